"""How far letters that are not joined stand apart: by the room between their shapes, not their boxes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise

from larkslate.handwriting.letters import Path

BAND = 50.0
LOWEST = -500.0
BANDS = 31
# Mean room in the bands that count, the room beyond which a band adds nothing, the least room
# anywhere.
ROOM = 200.0
CAP = 300.0
LEAST = 105.0
# How far one letter may reach over or under its neighbor.
OVERLAP = 90.0


@dataclass(frozen=True, slots=True)
class Profile:
    """The left-most and right-most ink of a shape in each band of 50 em units, None where there is none."""

    left: tuple[float | None, ...]
    right: tuple[float | None, ...]

    @property
    def edges(self) -> tuple[float, float]:
        """The left-most and right-most ink of all."""
        return (
            min(v for v in self.left if v is not None),
            max(v for v in self.right if v is not None),
        )


def profile(paths: Iterable[Path]) -> Profile:
    """The profile of a letter's strokes, each taken at 17 points a curve."""
    left: list[float | None] = [None] * BANDS
    right: list[float | None] = [None] * BANDS
    for path in paths:
        for curve in path:
            points = curve.points()
            for (x0, y0), (x1, y1) in pairwise(points):
                low, high = _band(min(y0, y1)), _band(max(y0, y1))
                for b in range(low, high + 1):
                    old_left, old_right = left[b], right[b]
                    left[b] = min(x0, x1) if old_left is None else min(old_left, x0, x1)
                    right[b] = max(x0, x1) if old_right is None else max(old_right, x0, x1)
    return Profile(tuple(left), tuple(right))


def distance(a: Profile, b: Profile) -> float:
    """How far right of ``a`` the origin of ``b`` stands.

    The mean room over the bands from the baseline to the midline (higher where both reach higher) is the
    same for every pair, each band counting up to a limit; nowhere is there less than the least room.
    """
    rights, lefts = _widened(a.right, max), _widened(b.left, min)
    gaps = [
        None if end is None or begin is None else begin - end
        for end, begin in zip(rights, lefts, strict=True)
    ]
    floor = max(
        [a.edges[1] - b.edges[0] - OVERLAP, *(LEAST - gap for gap in gaps if gap is not None)]
    )
    top = max(_band(500.0), min(_top(a.right), _top(b.left)))
    counted = gaps[_band(0.0) : top + 1]
    if sum(gap is not None for gap in counted) < 3:
        return max(floor, a.edges[1] - b.edges[0] + LEAST)
    low, high = floor, floor + 2 * CAP
    for _ in range(24):
        middle = (low + high) / 2
        rooms = [CAP if gap is None else min(CAP, gap + middle) for gap in counted]
        if sum(rooms) / len(rooms) < ROOM:
            low = middle
        else:
            high = middle
    return high


def _band(y: float) -> int:
    return min(max(int((y - LOWEST) // BAND), 0), BANDS - 1)


def _top(side: tuple[float | None, ...]) -> int:
    return max(i for i, v in enumerate(side) if v is not None)


def _widened(
    side: tuple[float | None, ...], pick: Callable[[list[float]], float]
) -> list[float | None]:
    """Each band with its neighbours, so that ink just above or below counts too."""
    result: list[float | None] = []
    for i in range(len(side)):
        near = [v for v in side[max(i - 1, 0) : i + 2] if v is not None]
        result.append(pick(near) if near else None)
    return result
