"""Labels to cut out and the list of seats, on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from larkslate.errors import Missing
from larkslate.materials.look import Look
from larkslate.materials.typeset import typeset
from larkslate.school.model import Hand

if TYPE_CHECKING:
    from collections.abc import Iterable

    from larkslate.school.model import Classroom, Student

TITLES = {"labels": "Labels", "seats": "Seat list"}


def settings_of(one: Student) -> str:
    """A student's settings in a few words, for the seat list."""
    said = []
    if one.hand is Hand.LEFT:
        said.append("writes with the left hand")
    if one.larger_print:
        said.append(f"print of {one.larger_print} points")
    if one.extra_time:
        said.append("extra time")
    return ", ".join(said)


def make(kind: str, room: Classroom, students: Iterable[Student]) -> bytes:
    """A PDF of labels or of the seat list. Raises Missing for another kind or an empty class."""
    everyone = list(students)
    if kind not in TITLES:
        raise Missing("There are labels and a seat list: choose one of them.")
    if not everyone:
        raise Missing("There is no student in this class yet: add a list first.")
    data = {
        "look": Look(room.settings.paper).data(),
        "title": f"{TITLES[kind]}: {room.name}",
        "kind": TITLES[kind],
        "class": room.name,
        "words": {"page": "{page} of {pages}"},
        "students": [
            {
                "seat": "" if one.seat is None else str(one.seat),
                "label": one.label,
                "says": settings_of(one),
            }
            for one in everyone
        ],
    }
    return typeset(kind, data)
