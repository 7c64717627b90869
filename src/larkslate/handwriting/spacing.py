"""How far letters that are not joined stand apart: by the room between their shapes, not their boxes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from larkslate.handwriting.letters import Path

BAND = 50.0
LOWEST = -500.0
BANDS = 31
# Mean room in the bands that count, the room beyond which a band adds nothing, the least room anywhere.
ROOM = 185.0
CAP = 300.0
LEAST = 105.0


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
            for (x0, y0), (x1, y1) in zip(points, points[1:], strict=False):
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
    right, left = _widened(a.right, max), _widened(b.left, min)
    tight = [r - l + LEAST for r, l in zip(right, left, strict=True) if r is not None and l is not None]
    floor = max(tight) if tight else a.edges[1] - b.edges[0] + LEAST
    first, last = _band(0.0), max(_band(500.0), min(_top(a.right), _top(b.left)))
    touching = [(right[i], left[i]) for i in range(first, last + 1)]
    both = [(r, l) for r, l in touching if r is not None and l is not None]
    if len(both) < 3:
        return max(floor, a.edges[1] - b.edges[0] + LEAST)
    low, high = floor, floor + 2 * CAP
    for _ in range(24):
        middle = (low + high) / 2
        rooms = [
            CAP if r is None or l is None else min(CAP, l + middle - r) for r, l in touching
        ]
        if sum(rooms) / len(rooms) < ROOM:
            low = middle
        else:
            high = middle
    return high


def _band(y: float) -> int:
    return min(max(int((y - LOWEST) // BAND), 0), BANDS - 1)


def _top(side: tuple[float | None, ...]) -> int:
    return max(i for i, v in enumerate(side) if v is not None)


def _widened(side: tuple[float | None, ...], pick: Callable[[list[float]], float]) -> list[float | None]:
    """Each band with its neighbours, so that ink just above or below counts too."""
    result: list[float | None] = []
    for i in range(len(side)):
        near = [v for v in side[max(i - 1, 0) : i + 2] if v is not None]
        result.append(pick(near) if near else None)
    return result
