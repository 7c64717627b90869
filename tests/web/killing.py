"""Killing the server while it saves: what was answered must be there afterwards."""

from __future__ import annotations

import os
import random
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path

import httpx2

from tests.conftest import free_port


class Victim:
    """A workbench on a data folder with one class, one sitting, and a count of what it answered."""

    def __init__(self, data: Path, cache: Path) -> None:
        self.data, self.cache = data, cache
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.answered: dict[tuple[str, str], tuple[str, int]] = {}
        self.grid = ""
        self.cells: list[tuple[str, str]] = []
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it and wait until it listens."""
        self.process = subprocess.Popen(
            [
                *(sys.executable, "-m", "larkslate", "serve", "--no-browser"),
                *("--port", str(self.port), "--data", str(self.data)),
            ],
            env={**os.environ, "LARKSLATE_CACHE": str(self.cache)},
            stderr=subprocess.DEVNULL,
        )
        until = time.monotonic() + 60
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port)).close()
            except OSError:
                if self.process.poll() is not None or time.monotonic() > until:
                    raise AssertionError("the workbench did not start") from None
                time.sleep(0.02)
            else:
                return

    def client(self) -> httpx2.Client:
        """A client that asks as our own pages do."""
        return httpx2.Client(base_url=self.address, headers={"origin": self.address}, timeout=60)

    def prepare(self) -> None:
        """A class of six and the opening words to mark."""
        with self.client() as client:
            names = "student\n" + "".join(f"S{n}\n" for n in range(1, 7))
            form = {"name": "Room 12", "list": names, "step": "add"}
            room = client.post("/class/new", data=form).headers["location"]
            self.grid = client.post(f"{room}/opening", data={"form": "A"}).headers["location"]
            page = client.get(self.grid).text
        students = re.findall(r'data-student="(\w+)"', page)
        items = re.findall(r'<th [^>]*data-item="(\d+)"', page)
        self.cells = [(s, i) for s in students for i in items]

    def save_until_killed(self, chance: random.Random) -> int:
        """Save cell after cell, kill the server at a random moment; gives how many were answered."""
        process = self.process
        assert process is not None
        killer = threading.Timer(
            chance.uniform(0.2, 1.2), lambda: process.send_signal(signal.SIGKILL)
        )
        count = 0
        with self.client() as client:
            client.get("/settings")  # the database is open before the first save
            killer.start()
            while True:
                cell = chance.choice(self.cells)
                written, revision = (
                    f"w{chance.randrange(10**6)}",
                    self.answered.get(cell, ("", 0))[1],
                )
                body = {
                    "student": cell[0], "item": cell[1], "written": written, "revision": str(revision),
                }  # fmt: skip
                try:
                    told = client.post(f"{self.grid}/cell", data=body).json()
                except httpx2.TransportError:
                    break
                stored = told["stored"]  # after a kill the last one may have been stored unanswered
                self.answered[cell] = (stored["written"], stored["revision"])
                count += told["state"] == "saved"
        killer.join()
        process.wait()
        return count

    def check(self) -> None:
        """Every answered save is there, or a later one of the same cell; the database is sound."""
        with closing(sqlite3.connect(self.data / "school.db")) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
            rows = connection.execute(
                "SELECT student_id, item, written, revision FROM response"
            ).fetchall()
        stored = {(s, str(i)): (w, r) for s, i, w, r in rows}
        for cell, (written, revision) in self.answered.items():
            assert cell in stored, "an answered save is gone"
            assert stored[cell][1] >= revision, "an answered save is gone"
            if stored[cell][1] == revision:
                assert stored[cell][0] == written, "an answered save was changed"
