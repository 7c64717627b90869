"""Starting the workbench: a loopback port, a browser where there is one, a clean end."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import sys
import threading
from typing import TYPE_CHECKING

from larkslate.errors import NotAllowed

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from larkslate.desk import Desk

HOST = "127.0.0.1"
PORT = 8476  # free of common programs; the next ten are tried when it is taken


def bind(port: int | None) -> socket.socket:
    """A socket on this machine only. A named port must be free; else the first free one of ours.

    Raises NotAllowed when it cannot be had.
    """
    wanted = [port] if port is not None else [*range(PORT, PORT + 10), 0]
    for one in wanted:
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if os.name != "nt":  # there it would let two programs share a port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((HOST, one))
            listening.listen()
        except OSError as error:
            listening.close()
            if port is None and error.errno == errno.EADDRINUSE:
                continue
            raise NotAllowed(
                f"Port {one} cannot be used ({'another program has it' if error.errno == errno.EADDRINUSE else error.strerror}): "
                "leave out --port, or name another."
            ) from None
        return listening
    raise NotAllowed("No free port was found on this computer.")


def has_screen() -> bool:
    """Whether a browser window can appear: not in CI, not over a remote shell, not without a display."""
    if os.environ.get("CI") or os.environ.get("SSH_CONNECTION"):
        return False
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def open_browser(address: str) -> None:
    """Open the person's own browser, without waiting for it."""
    import webbrowser

    threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()


def serve(
    port: int | None,
    browser: bool,
    desk: Desk,
    tell: Callable[[str], None],
    data: Path | None = None,
) -> None:
    """Serve until stopped. ``tell`` gets the line for the terminal, ``data`` is the teacher's folder.

    Raises NotAllowed for a port that cannot be had, and what opening the word list raises.
    """
    with bind(port) as listening:
        number = listening.getsockname()[1]
        address = f"http://{HOST}:{number}/"
        desk.lexicon  # noqa: B018 - opened, and built where run.py asked, before anybody waits for a page
        import uvicorn

        from larkslate.web.app import create

        server = uvicorn.Server(
            uvicorn.Config(
                create(number, desk, data),
                loop="asyncio",
                http="h11",
                ws="none",
                lifespan="off",
                log_config=None,
                access_log=False,
                server_header=False,
            )
        )
        tell(f"Larkslate is at {address}  (press Ctrl+C to stop)")
        if browser and has_screen():
            open_browser(address)
        with contextlib.suppress(KeyboardInterrupt):
            server.run(sockets=[listening])
