"""Numbers and arrows beside a letter: one for each movement of the pen, where there is most room for it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise, product

from larkslate.handwriting.curves import Curve, Point
from larkslate.handwriting.joining import Stroke

# All in em units: how far from the line an arrow runs, its lengths, and the movement too short to have one.
ASIDE = (72.0, -72.0, 98.0, -98.0)
LENGTHS = (190.0, 120.0, 80.0)
CLEAR = 75.0  # more room than this is no better
ENOUGH = 105.0  # an arrow this long is as good as a longer one
SHORTEST = 165.0
STARTS = (0.02, 0.12, 0.24, 0.36, 0.5, 0.62)
LABEL_BEHIND = 52.0
SPACING = 18.0


@dataclass(frozen=True, slots=True)
class Guide:
    """One numbered arrow: the movement's number, where its number stands, and the points of the arrow."""

    number: int
    label: Point
    arrow: tuple[Point, ...]


def movements(stroke: Stroke) -> list[tuple[Curve, ...]]:
    """A stroke cut where the pen turns sharply."""
    parts: list[tuple[Curve, ...]] = []
    start = 0
    for index in sorted(stroke.sharp):
        parts.append(stroke.curves[start : index + 1])
        start = index + 1
    parts.append(stroke.curves[start:])
    return [part for part in parts if part]


@lru_cache(maxsize=512)
def guides(strokes: tuple[Stroke, ...]) -> tuple[Guide, ...]:
    """A numbered arrow for every movement long enough to be shown, in writing order.

    The arrow runs beside its movement on whichever side is clearest of ink and of the arrows before it.
    """
    ink, taken = Near(), Near()
    for stroke in strokes:
        ink.add(_spaced(stroke.curves))
    found: list[Guide] = []
    for stroke in strokes:
        for part in movements(stroke):
            points = _spaced(part)
            if _length(points) < SHORTEST:
                continue
            guide = _best(points, len(found) + 1, ink, taken)
            taken.add([guide.label, *guide.arrow])
            found.append(guide)
    return tuple(found)


def _best(points: list[Point], number: int, ink: Near, taken: Near) -> Guide:
    best: Guide | None = None
    best_score = -math.inf
    total = _length(points)
    for start, longest in product(STARTS, LENGTHS):
        span = min(longest, 0.5 * total)
        if start * total + span > total:
            continue
        window = _between(points, start * total, start * total + span)
        for aside in ASIDE:
            if CLEAR - 60.0 * start - 0.1 * abs(aside) + 0.5 * min(span * 1.6, ENOUGH) < best_score:
                continue  # even with all the room in the world this place would be no better
            arrow = _beside(window, aside)
            (x0, y0), (x1, y1) = arrow[0], arrow[1]
            size = math.hypot(x1 - x0, y1 - y0) or 1.0
            label = (
                x0 - LABEL_BEHIND * (x1 - x0) / size,
                y0 - LABEL_BEHIND * (y1 - y0) / size,
            )
            room = min(
                *(ink.clear(p) for p in arrow),
                ink.clear(label) - 15.0,
                *(taken.clear(p) - 5.0 for p in (label, *arrow)),
            )
            # Near the start of the movement is where a child looks for it.
            score = (
                min(room, CLEAR)
                - 60.0 * start
                - 0.1 * abs(aside)
                + 0.5 * min(_length(arrow), ENOUGH)
            )
            if score > best_score:
                best, best_score = Guide(number, label, tuple(arrow)), score
    if best is None:  # STARTS begins near zero and a span is half the movement, so one always fits
        best = Guide(number, points[0], tuple(points[:2]))
    return best


def _spaced(curves: Sequence[Curve]) -> list[Point]:
    """Points along curves, about 18 em units apart."""
    points: list[Point] = [curves[0].start]
    for curve in curves:
        steps = max(1, round(curve.rough_length() / SPACING))
        points += [curve.at(i / steps) for i in range(1, steps + 1)]
    return points


def _length(points: Sequence[Point]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(points))


def _between(points: Sequence[Point], start: float, end: float) -> list[Point]:
    kept: list[Point] = []
    gone = 0.0
    for a, b in pairwise(points):
        if start <= gone <= end:
            kept.append(a)
        gone += math.dist(a, b)
    return kept if len(kept) > 1 else list(points[:2])


def _beside(window: Sequence[Point], aside: float) -> list[Point]:
    """The window moved to the left of the pen's direction (right where negative)."""
    moved: list[Point] = []
    for i, (x, y) in enumerate(window):
        (xa, ya), (xb, yb) = window[max(i - 1, 0)], window[min(i + 1, len(window) - 1)]
        size = math.hypot(xb - xa, yb - ya) or 1.0
        moved.append((x - aside * (yb - ya) / size, y + aside * (xb - xa) / size))
    return moved


class Near:
    """Points sorted into squares, to ask how far the nearest one is, up to the side of a square."""

    def __init__(self, side: float = 100.0) -> None:
        self.side = side
        self.squares: dict[tuple[int, int], list[Point]] = {}

    def add(self, points: Iterable[Point]) -> None:
        """More points."""
        for point in points:
            self.squares.setdefault(self._square(point), []).append(point)

    def clear(self, point: Point) -> float:
        """The distance to the nearest point, at most the side of a square."""
        column, row = self._square(point)
        return min(
            (
                math.dist(point, other)
                for i in (column - 1, column, column + 1)
                for j in (row - 1, row, row + 1)
                for other in self.squares.get((i, j), ())
            ),
            default=self.side,
        )

    def _square(self, point: Point) -> tuple[int, int]:
        return math.floor(point[0] / self.side), math.floor(point[1] / self.side)
