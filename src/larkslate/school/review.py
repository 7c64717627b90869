"""The loop: what the ledger says should come back, with a plain reason, in the words the planner understands.

The rules are ours. A point is to be taught again where it goes back to the whole class, or where at least two students
and a fifth of those seen need it again. It is due where at least two students and a quarter missed it in the last
sitting that had it, or where as many have not met it for six weeks though they were secure. It is secure where four of
five are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from larkslate.assess.model import Mark
from larkslate.assess.standings import SHIPPED
from larkslate.school.views import ClassView, PointView
from larkslate.school.wording import day_name, say


class Pull(StrEnum):
    """How a point pulls on the planner; the names are the planner's (``plan.schedule.PULL``)."""

    RETEACH = "reteach"
    DUE = "due"
    MORE = "more"
    SECURE = "secure"


@dataclass(frozen=True, slots=True)
class ReviewRule:
    """The shares from which a point of the class comes back; ``least`` students in any case."""

    least: int = 2
    reteach: float = 0.2
    missed: float = 0.25
    due: float = 0.25
    secure: float = 0.8


RULE = ReviewRule()


@dataclass(frozen=True, slots=True)
class Due:
    """A point that should come back, how strongly, and why in one line; ``students`` are ids."""

    point: str
    name: str
    pull: Pull
    reason: str
    students: tuple[str, ...]


def _enough(count: int, of: int, share: float, rule: ReviewRule) -> bool:
    return count >= rule.least and count >= share * of


def judged(point: PointView, rule: ReviewRule = RULE) -> tuple[Pull, str, tuple[str, ...]]:
    """The pull of one point of a class, the reason (empty for more and secure), and the students concerned."""
    marks = point.students
    counted = [m for m in marks if m is not Mark.NOT_YET_TAUGHT]
    seen = sum(len(marks[m]) for m in counted)
    again, due = marks.get(Mark.RETEACH, ()), marks.get(Mark.DUE, ())
    last = point.last
    if point.whole_class:
        reason = say(
            "review", "whole-class", right=point.right, chances=point.chances, name=point.label
        )
        return Pull.RETEACH, reason, tuple(s for m in counted for s in marks[m])
    if _enough(len(again), seen, rule.reteach, rule):
        reason = say("review", "reteach", count=len(again), of=seen, name=point.label)
        return Pull.RETEACH, reason, again
    if last is not None and _enough(len(last.missed), last.of, rule.missed, rule):
        reason = say(
            "review",
            "missed",
            missed=len(last.missed),
            of=last.of,
            name=point.label,
            day=day_name(last.day),
        )
        return Pull.DUE, reason, last.missed
    if _enough(len(due), seen, rule.due, rule):
        weeks = SHIPPED.due_days // 7
        reason = say("review", "due", count=len(due), of=seen, name=point.label, weeks=weeks)
        return Pull.DUE, reason, due
    if seen and len(marks.get(Mark.SECURE, ())) >= rule.secure * seen:
        return Pull.SECURE, "", ()
    return Pull.MORE, "", ()


def class_standings(view: ClassView, rule: ReviewRule = RULE) -> dict[str, str]:
    """What the class has shown on each point it had a chance on: what ``plan.unit.plan_unit`` takes."""
    return {p.point: judged(p, rule)[0].value for p in view.points if any(p.students)}


def review_due(view: ClassView, rule: ReviewRule = RULE) -> tuple[Due, ...]:
    """The points that should come back, with the reason; the strongest pull first, then the most students."""
    found = []
    for place, point in enumerate(view.points):
        pull, reason, who = judged(point, rule)
        if pull in (Pull.RETEACH, Pull.DUE):
            due = Due(point.point, point.name, pull, reason, who)
            found.append(((pull is not Pull.RETEACH, -len(who), place), due))
    return tuple(due for _, due in sorted(found, key=lambda f: f[0]))


def reason_for(points: Iterable[str], due: Iterable[Due]) -> str | None:
    """Why a review word is here: the reason of the first due point that it gives a chance on."""
    by_point = {d.point: d for d in due}
    return next((by_point[p].reason for p in points if p in by_point), None)
