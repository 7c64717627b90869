"""When a point is tested and when it comes back: the sittings of a unit, and the review spread over later units.

A point is dictated in two sittings: the checkpoint and the unit's dictation, or, where it is taught after the
checkpoint, the dictation and the first sitting of the next unit. Review is spaced over about one, three and eight
weeks (spacing as common practice; the numbers are ours): the unit before, two units before, four and more before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from larkslate.sequence.model import LessonSlot, Sequence, Theme

CHECKPOINT, SHORT, DICTATION = "checkpoint", "short", "dictation"
CHECKPOINT_WORDS, SHORT_WORDS = 10, 8
CHANCES, SITTINGS, PRACTICE = 4, 2, 3
WORDS_EACH = 2  # fresh words of a point in a sitting
PULL = {"reteach": 3.0, "due": 2.0, "more": 1.0, "more-evidence": 1.0, "secure": -1.0}
"""How strongly a standing brings a point back; without standings every point counts alike."""


@dataclass(frozen=True, slots=True)
class Sitting:
    """One dictation: the number of its lesson, its kind, the unit's points it tests, late points of the unit before."""

    lesson: int
    kind: str
    points: tuple[str, ...]
    late: tuple[str, ...] = ()

    @property
    def size(self) -> int:
        """How many single words it has at most."""
        return CHECKPOINT_WORDS if self.kind == CHECKPOINT else SHORT_WORDS


def introduced(theme: Theme) -> dict[str, int]:
    """The lesson in which each point of a theme is new."""
    found: dict[str, int] = {}
    for number, slot in enumerate(theme.lessons, start=1):
        if slot.kind == "new":
            found.setdefault(slot.points[0], number)
    return found


def _short_lesson(theme: Theme) -> int | None:
    """The mixed lesson that holds a short dictation where a theme has no checkpoint."""
    if any(s.kind == CHECKPOINT for s in theme.lessons):
        return None
    before: int | None = None
    for number, slot in enumerate(theme.lessons, start=1):
        if slot.kind == "mix":
            before = number
        if slot.kind == DICTATION and before is not None:
            return before
    return None


def _own_sittings(theme: Theme) -> list[Sitting]:
    new_in = introduced(theme)
    short = _short_lesson(theme)
    sittings: list[Sitting] = []
    for number, slot in enumerate(theme.lessons, start=1):
        kind = SHORT if number == short else slot.kind
        if kind in (CHECKPOINT, SHORT, DICTATION):
            points = tuple(p for p in slot.points if new_in.get(p, number) < number)
            sittings.append(Sitting(number, kind, points))
    return sittings


def late_points(theme: Theme) -> tuple[str, ...]:
    """Points with fewer than two sittings in their own theme."""
    sittings = _own_sittings(theme)
    return tuple(p for p in theme.points if sum(p in s.points for s in sittings) < SITTINGS)


def sittings(sequence: Sequence, theme: Theme) -> tuple[Sitting, ...]:
    """The sittings of a theme in order; the first takes in what was late in the theme before."""
    found = _own_sittings(theme)
    if found and theme.number > 1:
        late = late_points(sequence.theme(theme.number - 1))
        first = found[0]
        found[0] = Sitting(first.lesson, first.kind, first.points, late)
    return tuple(found)


def lesson_shape(theme: Theme, number: int, slot: LessonSlot) -> str:
    """The name of the shape of a lesson."""
    return "mix-short" if number == _short_lesson(theme) else slot.kind


def taught_by(theme: Theme, sequence: Sequence, lesson: int) -> int:
    """Index of the last point taught by the end of a lesson of a theme."""
    before = sequence.index(theme.points[0]) - 1
    taught = [sequence.index(p) for p, at in introduced(theme).items() if at <= lesson]
    return max([before, *taught])


def review_order(
    sequence: Sequence, theme: Theme, standings: Mapping[str, str] | None = None
) -> tuple[str, ...]:
    """Earlier grade-3 points, the most due first.

    Points of the unit before, of two units before, and of four and more before take turns, so that each is met
    after about one, three and eight weeks. A class standing (reteach, due, more, secure) moves a point up or down.
    """
    number = theme.number
    near = [p for t in sequence.themes if t.number == number - 1 for p in t.points]
    middle = [p for t in sequence.themes if t.number in (number - 2, number - 3) for p in t.points]
    far = [p for t in sequence.themes if t.number <= number - 4 for p in t.points]
    if far:  # begin at another place in each unit, so that all come round
        turn = (number * 3) % len(far)
        far = far[turn:] + far[:turn]
    order: list[str] = []
    lists = [near, middle, far]
    while any(lists):
        for one in lists:
            if one:
                order.append(one.pop(0))
    known = standings or {}
    place = {p: n for n, p in enumerate(order)}
    return tuple(sorted(order, key=lambda p: (-PULL.get(known.get(p, ""), 0.0), place[p])))
