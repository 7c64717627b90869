"""Killing a program that saves, again and again, and counting what is there afterwards."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from larkslate.school import responses, roster, sittings
from larkslate.school.model import Item, ItemKind, SittingKind
from larkslate.school.store import School

SAVER = Path(__file__).with_name("saver.py")


def prepared(folder: Path) -> None:
    """A class with three students and a sitting of three words."""
    with School.open(folder) as school:
        room = roster.add_class(school, "Room 12")
        for label in ("Ada Q.", "Ben Q.", "Cleo Q."):
            roster.add_student(school, room.id, label)
        items = [
            Item(n, ItemKind.WORD, w) for n, w in enumerate(("catch", "bridge", "off"), start=1)
        ]
        sittings.add(school, room.id, SittingKind.CHECKPOINT, items, through="G3.01d")


@dataclass(slots=True)
class Kill:
    """One kill: how many saves were answered, what was lost or wrong afterwards."""

    answered: int
    faults: list[str] = field(default_factory=list)


def kills(folder: Path, count: int, seed: int, longest: float = 0.25) -> Iterator[Kill]:
    """Start the saver and end it with SIGKILL at a random moment, ``count`` times; look at the folder after each."""
    chance = random.Random(seed)
    for _ in range(count):
        said: list[str] = []
        with subprocess.Popen(
            [sys.executable, str(SAVER), str(folder)], stdout=subprocess.PIPE, text=True
        ) as program:
            assert program.stdout is not None
            assert program.stdout.readline() == "ready\n"
            timer = threading.Timer(chance.uniform(0.005, longest), program.kill)
            timer.start()
            said.extend(line for line in program.stdout if line.endswith("\n"))
            timer.join()
        yield _looked_at(folder, said)


def _looked_at(folder: Path, said: list[str]) -> Kill:
    last: dict[tuple[str, int], tuple[int, str]] = {}
    for line in said:
        student, item, count, text = line.split()
        last[student, int(item)] = (int(count), text)
    found = Kill(len(said))
    with School.open(folder) as school:
        room = roster.classes(school)[0]
        given = sittings.sittings(school, room.id)[0]
        there = {(a.student_id, a.item): a for a in responses.answers(school, given.id)}
    for cell, (revision, written) in last.items():
        one = there.get(cell)
        # The save that was running when the kill came may be there or not; an answered one must be.
        if one is None or one.revision < revision:
            found.faults.append(f"{cell}: revision {revision} was answered and is lost")
        elif one.revision == revision and one.written != written:
            found.faults.append(f"{cell}: {written} was answered, {one.written} is there")
        elif one.revision > revision + 1:
            found.faults.append(f"{cell}: revision {one.revision} from nowhere")
    with closing(sqlite3.connect(folder / "school.db")) as connection:
        check = connection.execute("PRAGMA integrity_check").fetchone()[0]
        broken = connection.execute("PRAGMA foreign_key_check").fetchall()
    if check != "ok" or broken:
        found.faults.append(f"integrity: {check}, {len(broken)} broken references")
    return found
