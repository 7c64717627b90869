"""What the tests share: the root of the tree, the built lexicon, a Chromium that stays on this machine."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import pytest

from larkslate.desk import build_lexicon
from larkslate.errors import Missing, OutOfDate
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon
from larkslate.words.store import lexicon_path

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page, Route

ROOT = Path(__file__).resolve().parent.parent
CHROMIUM_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_configure(config: pytest.Config) -> None:
    """No test may touch the data of the person who runs it."""
    folder = tempfile.mkdtemp(prefix="larkslate-data-")
    os.environ["LARKSLATE_DATA"] = str(Path(folder) / "data")
    config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))


def in_ci() -> bool:
    """Whether a missing tool is a failure instead of a reason to skip."""
    return os.environ.get("CI", "").lower() not in ("", "0", "false")


def lacking(what: str) -> None:
    """Skip a test for want of a tool; in CI fail."""
    if in_ci():
        pytest.fail(f"{what}: required in CI")
    pytest.skip(what)


@pytest.fixture(scope="session")
def root() -> Path:
    """The folder of the checkout."""
    return ROOT


@contextmanager
def alone(name: str) -> Iterator[None]:
    """Hold a lock so that two workers do not build the same thing at once; a worker that dies lets go."""
    user = os.getuid() if os.name != "nt" else ""
    held = Path(tempfile.gettempdir()) / f"larkslate-{name}-{user}.lock"
    with held.open("a+b") as file:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX)
        yield


@pytest.fixture(scope="session")
def word_list() -> Path:
    """The built word list of this very code; built first where it is missing or old (run.py does so too)."""
    path = lexicon_path()
    with alone("building"):
        try:
            Lexicon.open(path).close()
        except (Missing, OutOfDate):
            build_lexicon(lambda _done, _total, _what: None)
    return path


@pytest.fixture(scope="session")
def lexicon(word_list: Path) -> Iterator[Lexicon]:
    """The open word list."""
    one = Lexicon.open(word_list)
    yield one
    one.close()


@pytest.fixture(scope="session")
def reach(lexicon: Lexicon) -> Reach:
    """The shipped sequence and the word list put together."""
    return Reach(shipped(), lexicon)


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of a Chromium; run.py finds or installs one."""
    names = ("chromium", "chromium-browser", "google-chrome")
    found = os.environ.get("LARKSLATE_CHROMIUM") or next(filter(None, map(shutil.which, names)), "")
    if not found:
        lacking("there is no Chromium here: set LARKSLATE_CHROMIUM or install one")
    return found


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    """One Chromium for all tests of a worker."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=chromium, args=CHROMIUM_FLAGS)
        yield running
        running.close()


class Watched:
    """A page of the browser, what it asked for, and what it complained about."""

    def __init__(self, context: BrowserContext) -> None:
        self.requests: list[str] = []
        self.refused: list[str] = []
        self.complaints: list[str] = []
        context.route("**/*", self._gate)
        self.page: Page = context.new_page()
        self.page.on("console", lambda m: self._hear(m.type, m.text))
        self.page.on("pageerror", lambda e: self.complaints.append(str(e)))

    def _gate(self, route: Route) -> None:
        """Let through what stays on this machine and refuse the rest."""
        address = urlsplit(route.request.url)
        self.requests.append(route.request.url)
        if address.scheme in ("data", "blob", "file") or address.hostname in (
            "127.0.0.1",
            "localhost",
        ):
            route.continue_()
        else:
            self.refused.append(route.request.url)
            route.abort()

    def _hear(self, kind: str, text: str) -> None:
        if kind in ("error", "warning"):
            self.complaints.append(text)


@pytest.fixture
def watched(browser: Browser) -> Iterator[Watched]:
    """A fresh page that cannot leave this machine; fails the test if it tried or complained."""
    context = browser.new_context(viewport={"width": 1280, "height": 720}, locale="en-US")
    one = Watched(context)
    yield one
    context.close()
    assert one.refused == [], "the page asked for something outside this machine"
    assert one.complaints == [], "the page's console is not silent"


def free_port() -> int:
    """A port that nobody has just now."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
        return port


@pytest.fixture(scope="session")
def workbench(word_list: Path) -> Iterator[str]:
    """The running workbench, started as a person starts it; its address without the last slash."""
    port = free_port()
    environment = {**os.environ, "LARKSLATE_CACHE": str(word_list.parent)}
    with subprocess.Popen(
        [sys.executable, "-m", "larkslate", "serve", "--port", str(port), "--no-browser"],
        env=environment,
        stderr=subprocess.PIPE,
        text=True,
    ) as server:
        address = f"http://127.0.0.1:{port}"
        until = time.monotonic() + 60
        while True:
            try:
                socket.create_connection(("127.0.0.1", port)).close()
                break
            except OSError:
                assert server.poll() is None, server.stderr and server.stderr.read()
                assert time.monotonic() < until, "the workbench did not start"
                time.sleep(0.05)
        yield address
        server.terminate()
        server.communicate()
