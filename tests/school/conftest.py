"""A data folder with a clock that stands still, and a small class in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from larkslate.school import roster, sittings
from larkslate.school.ledger import Ledger
from larkslate.school.model import Classroom, Item, ItemKind, Sitting, SittingKind, Student
from larkslate.school.store import School
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon

NOON = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
Opener = Callable[..., School]


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def opener(tmp_path: Path, clock: Clock) -> Iterator[Opener]:
    """Opens data folders and closes them at the end."""
    made: list[School] = []

    def opened(folder: Path | None = None, **more: object) -> School:
        one = School.open(folder or tmp_path / "data", clock=clock, **more)  # type: ignore[arg-type]
        made.append(one)
        return one

    yield opened
    for one in made:
        one.close()


@pytest.fixture
def school(opener: Opener) -> School:
    return opener()


@pytest.fixture
def room(school: School) -> Classroom:
    return roster.add_class(school, "Room 12", grade="3", year="2025-26")


@pytest.fixture
def students(school: School, room: Classroom) -> tuple[Student, ...]:
    return tuple(roster.add_student(school, room.id, f"{n} Q.") for n in ("Ada", "Ben", "Cleo"))


def words(*targets: str) -> tuple[Item, ...]:
    return tuple(Item(n, ItemKind.WORD, t) for n, t in enumerate(targets, start=1))


@pytest.fixture
def sitting(school: School, room: Classroom) -> Sitting:
    return sittings.add(
        school, room.id, SittingKind.CHECKPOINT, words("catch", "bridge"), through="G3.01d"
    )


@pytest.fixture
def ledger(lexicon: Lexicon, reach: Reach) -> Ledger:
    return Ledger(lexicon, reach)
