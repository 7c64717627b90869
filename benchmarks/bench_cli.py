"""How long a person waits: whole processes from a cold start, and the first page of the workbench.

Run by hand: ``python benchmarks/bench_cli.py [repeats]``. Prints the median and the slowest of each.
"""

from __future__ import annotations

import socket
import statistics
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable

COMMANDS = (
    ("word", "catch", "--json"),
    ("word", "unhappiness", "doesn't", "record"),
    ("points", "--json"),
    ("find", "--needs", "gp:tch=CH", "--through", "5", "--json"),
    ("spelled", "catch", "cach", "--json"),
)


def run(command: tuple[str, ...]) -> float:
    """Seconds for one whole process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "larkslate", *command], check=False, capture_output=True)
    return time.perf_counter() - start


def first_page() -> float:
    """Seconds from the start of the process to the whole first page."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    start = time.perf_counter()
    server = subprocess.Popen(
        [sys.executable, "-m", "larkslate", "serve", "--port", str(port), "--no-browser"],
        stderr=subprocess.DEVNULL,
    )
    try:
        while time.perf_counter() - start < 20:
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/") as page:
                    page.read()
                return time.perf_counter() - start
            except OSError:
                time.sleep(0.005)
        raise TimeoutError("no page within 20 s")
    finally:
        server.terminate()
        server.wait()


def report(name: str, once: Callable[[], float], repeats: int) -> None:
    """One line of the table."""
    times = sorted(once() for _ in range(repeats))
    print(f"{name:52} {statistics.median(times):6.3f} s   slowest {times[-1]:6.3f} s")


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    for words in COMMANDS:
        report("larkslate " + " ".join(words), lambda w=words: run(w), count)  # type: ignore[misc]
    report("serve: process start to first page", first_page, count)
