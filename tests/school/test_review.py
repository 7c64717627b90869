"""What comes back and why, from the view of a class."""

from __future__ import annotations

from datetime import date

import pytest

from larkslate.assess.model import Mark
from larkslate.plan.schedule import PULL
from larkslate.school.model import Classroom, ClassSettings
from larkslate.school.review import Pull, class_standings, judged, reason_for, review_due
from larkslate.school.views import ClassView, Last, PointView

MARCH_3 = date(2026, 3, 3)


def many(start: int, count: int) -> tuple[str, ...]:
    return tuple(f"s{n}" for n in range(start, start + count))


def point(
    *,
    reteach: int = 0,
    more: int = 0,
    due: int = 0,
    secure: int = 0,
    untaught: int = 0,
    missed: int = 0,
    of: int = 0,
    whole: bool = False,
    name: str = "tch",
) -> PointView:
    counts = {
        Mark.RETEACH: reteach,
        Mark.MORE_EVIDENCE: more,
        Mark.DUE: due,
        Mark.SECURE: secure,
        Mark.NOT_YET_TAUGHT: untaught,
    }
    marks, start = {}, 0
    for mark, count in counts.items():
        if count:
            marks[mark] = many(start, count)
            start += count
    last = Last(MARCH_3, many(0, missed), of) if of else None
    return PointView(f"G.{name}", f"The point {name}", name, 30, 72, marks, whole, last)


def view(*points: PointView) -> ClassView:
    room = Classroom("c", "Room 12", "3", "2025-26", ClassSettings())
    return ClassView(room, (), points, (), (), {}, (), "f")


@pytest.mark.parametrize(
    ("found", "pull", "reason"),
    [
        (point(reteach=5, more=18), Pull.RETEACH, "5 of 23 need tch taught again"),
        (point(reteach=4, more=20), Pull.MORE, ""),
        (point(reteach=1, more=2), Pull.MORE, ""),  # one student is taught alone
        (point(more=24, missed=8, of=24), Pull.DUE, "8 of 24 missed tch on March 3"),
        (point(more=24, missed=5, of=24), Pull.MORE, ""),
        (point(more=3, missed=1, of=3), Pull.MORE, ""),
        (point(secure=24, missed=6, of=24), Pull.DUE, "6 of 24 missed tch on March 3"),
        (point(due=6, secure=18), Pull.DUE, "6 of 24 have not met tch for 6 weeks"),
        (point(secure=20, more=4), Pull.SECURE, ""),
        (point(secure=18, more=6), Pull.MORE, ""),
        (point(untaught=24), Pull.MORE, ""),
        (point(secure=4, untaught=20), Pull.SECURE, ""),
        (
            point(more=24, whole=True),
            Pull.RETEACH,
            "The class got 30 of 72 right on tch: teach it again to all",
        ),
    ],
)
def test_the_pull_of_a_point(found: PointView, pull: Pull, reason: str) -> None:
    assert judged(found)[:2] == (pull, reason)


def test_the_strongest_pull_comes_first() -> None:
    found = review_due(
        view(
            point(more=24, missed=8, of=24, name="ck"),
            point(reteach=5, more=19, name="tch"),
            point(secure=24, name="ff"),
            point(reteach=9, more=15, name="dge"),
            point(more=24, missed=12, of=24, name="ai"),
        )
    )
    assert [(d.name, d.pull.value) for d in found] == [
        ("The point dge", "reteach"),
        ("The point tch", "reteach"),
        ("The point ai", "due"),
        ("The point ck", "due"),
    ]
    assert found[0].students == many(0, 9)
    assert reason_for(("G.none", "G.tch"), found) == "5 of 24 need tch taught again"
    assert reason_for(("G.none",), found) is None


def test_the_planner_understands_every_pull() -> None:
    told = class_standings(
        view(
            point(reteach=5, more=19, name="a"),
            point(more=24, missed=8, of=24, name="b"),
            point(more=24, name="c"),
            point(secure=24, name="d"),
            PointView("G.e", "e", "e", 0, 0, {}, False, None),
        )
    )
    assert told == {"G.a": "reteach", "G.b": "due", "G.c": "more", "G.d": "secure"}
    assert set(told.values()) <= set(PULL)
