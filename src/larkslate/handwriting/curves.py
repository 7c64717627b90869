"""Cubic curves: the only thing a pen stroke is made of.

Points are pairs of floats in em units (1000 from the baseline to the top line, y upward);
angles are degrees, 0 to the right, counter-clockwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

Point = tuple[float, float]

# Handle of a quarter ellipse as a share of its half axis: the usual four-arc circle, off by 0.03 %.
QUARTER = 0.5522847498


def heading(a: Point, b: Point) -> float:
    """The direction from ``a`` to ``b`` in degrees, in [0, 360)."""
    return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 360.0


def turn(a: float, b: float) -> float:
    """The signed angle from direction ``a`` to direction ``b``, in (-180, 180]; left is positive."""
    d = (b - a) % 360.0
    return d - 360.0 if d > 180.0 else d


class Curve(NamedTuple):
    """One cubic curve: start, two handles, end, in the order of an SVG path.

    A named tuple and not a dataclass: a page makes tens of thousands, and this makes them three times as fast.
    """

    x0: float
    y0: float
    x1: float
    y1: float
    x2: float
    y2: float
    x3: float
    y3: float

    @property
    def start(self) -> Point:
        """Where the pen begins."""
        return (self.x0, self.y0)

    @property
    def end(self) -> Point:
        """Where the pen arrives."""
        return (self.x3, self.y3)

    def at(self, t: float) -> Point:
        """The point at ``t`` in 0..1."""
        s = 1.0 - t
        a, b, c, d = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        return (
            a * self.x0 + b * self.x1 + c * self.x2 + d * self.x3,
            a * self.y0 + b * self.y1 + c * self.y2 + d * self.y3,
        )

    def direction(self, t: float) -> float:
        """The heading of the pen at ``t`` in degrees; at a vanishing handle, that of its neighbour."""
        s = 1.0 - t
        a, b, c = s * s, 2 * s * t, t * t
        dx = a * (self.x1 - self.x0) + b * (self.x2 - self.x1) + c * (self.x3 - self.x2)
        dy = a * (self.y1 - self.y0) + b * (self.y2 - self.y1) + c * (self.y3 - self.y2)
        if math.hypot(dx, dy) < 1e-9:
            near = self.at(0.01) if t < 0.5 else self.at(0.99)
            return heading(self.start, near) if t < 0.5 else heading(near, self.end)
        return math.degrees(math.atan2(dy, dx)) % 360.0

    def moved(self, dx: float, dy: float = 0.0) -> Curve:
        """The same curve somewhere else."""
        x0, y0, x1, y1, x2, y2, x3, y3 = self
        return Curve(x0 + dx, y0 + dy, x1 + dx, y1 + dy, x2 + dx, y2 + dy, x3 + dx, y3 + dy)

    def sheared(self, slope: float) -> Curve:
        """Slanted to the right by ``slope`` = tan(angle), the baseline staying where it is."""
        return Curve(
            self.x0 + slope * self.y0,
            self.y0,
            self.x1 + slope * self.y1,
            self.y1,
            self.x2 + slope * self.y2,
            self.y2,
            self.x3 + slope * self.y3,
            self.y3,
        )

    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the curve itself, not of its handles."""
        left, right = _extent(self.x0, self.x1, self.x2, self.x3)
        bottom, top = _extent(self.y0, self.y1, self.y2, self.y3)
        return left, bottom, right, top

    def points(self, steps: int = 16) -> list[Point]:
        """``steps`` + 1 points from start to end."""
        return [self.at(i / steps) for i in range(steps + 1)]

    def length(self) -> float:
        """The way the pen travels, in em units; by 16 chords, short by less than 0.2 %."""
        p = self.points()
        return sum(math.dist(a, b) for a, b in pairwise(p))

    def rough_length(self) -> float:
        """The length for counting steps, too long by up to a fifth: halfway between the chord and the way over the handles."""
        x0, y0, x1, y1, x2, y2, x3, y3 = self
        chord = math.hypot(x3 - x0, y3 - y0)
        over = (
            math.hypot(x1 - x0, y1 - y0)
            + math.hypot(x2 - x1, y2 - y1)
            + math.hypot(x3 - x2, y3 - y2)
        )
        return (chord + over) / 2

    def reversed(self) -> Curve:
        """The same line drawn from its other end."""
        return Curve(self.x3, self.y3, self.x2, self.y2, self.x1, self.y1, self.x0, self.y0)


def line(a: Point, b: Point) -> Curve:
    """A straight line as a cubic curve with its handles at the thirds."""
    dx, dy = (b[0] - a[0]) / 3, (b[1] - a[1]) / 3
    return Curve(a[0], a[1], a[0] + dx, a[1] + dy, b[0] - dx, b[1] - dy, b[0], b[1])


def _extent(p0: float, p1: float, p2: float, p3: float) -> tuple[float, float]:
    low, high = min(p0, p3), max(p0, p3)
    if low <= p1 <= high and low <= p2 <= high:
        return low, high
    # Zeros of the derivative a t^2 + b t + c.
    a, b, c = -p0 + 3 * p1 - 3 * p2 + p3, 2 * (p0 - 2 * p1 + p2), p1 - p0
    roots: list[float] = []
    if abs(a) < 1e-9:
        if abs(b) > 1e-9:
            roots.append(-c / b)
    else:
        under = b * b - 4 * a * c
        if under >= 0:
            root = math.sqrt(under)
            roots += [(-b + root) / (2 * a), (-b - root) / (2 * a)]
    for t in roots:
        if 0.0 < t < 1.0:
            s = 1.0 - t
            value = s * s * s * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t * t * t * p3
            low, high = min(low, value), max(high, value)
    return low, high


def bounds(curves: Iterable[Curve]) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of several curves. Raises ValueError for none."""
    boxes = [c.bounds() for c in curves]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def fitted(a: Point, out: float, b: Point, into: float, fullness: float = 1.0) -> Curve:
    """The curve that leaves ``a`` in direction ``out`` and arrives at ``b`` in direction ``into``.

    Handle lengths follow J. D. Hobby, "Smooth, easy to compute interpolating splines" (1986), which keeps
    the change of curvature small; a right-angled turn between upright and level tangents is a quarter
    ellipse. ``fullness`` above 1 makes the curve rounder in its corner, below 1 flatter.
    """
    dx, dy = b[0] - a[0], b[1] - a[1]
    chord = math.hypot(dx, dy)
    if chord == 0.0:
        return Curve(a[0], a[1], a[0], a[1], b[0], b[1], b[0], b[1])
    ux, uy = math.cos(math.radians(out)), math.sin(math.radians(out))
    vx, vy = math.cos(math.radians(into)), math.sin(math.radians(into))
    square = abs(ux * vx + uy * vy) < 1e-6 and min(abs(ux), abs(uy)) < 1e-6
    first, second = ux * dx + uy * dy, vx * dx + vy * dy
    if square and first > 0 and second > 0:
        first, second = QUARTER * first, QUARTER * second
    else:
        along = heading(a, b)
        theta, phi = math.radians(turn(along, out)), math.radians(turn(into, along))
        first, second = chord * _velocity(theta, phi), chord * _velocity(phi, theta)
    first, second = first * fullness, second * fullness
    return Curve(
        a[0],
        a[1],
        a[0] + first * ux,
        a[1] + first * uy,
        b[0] - second * vx,
        b[1] - second * vy,
        b[0],
        b[1],
    )


def _velocity(theta: float, phi: float) -> float:
    """Hobby's handle length as a share of the chord."""
    st, ct, sp, cp = math.sin(theta), math.cos(theta), math.sin(phi), math.cos(phi)
    above = 2.0 + math.sqrt(2.0) * (st - sp / 16) * (sp - st / 16) * (ct - cp)
    below = 3.0 * (1.0 + 0.5 * (math.sqrt(5.0) - 1.0) * ct + 0.5 * (3.0 - math.sqrt(5.0)) * cp)
    # Hobby's own guard: a handle longer than four chords is a loop nobody asked for.
    return min(above / below, 4.0) if below > 1e-9 else 4.0


def free_directions(
    points: Sequence[Point], first: float | None, last: float | None
) -> list[float]:
    """Directions through points where the pen may choose, so that curvature changes least.

    ``first`` and ``last`` are the directions at the ends, None where the end is free too (the curve then
    starts or ends nearly as a circle's arc). Same source as ``fitted``. Needs two points or more.
    """
    n = len(points) - 1
    chords = [math.dist(a, b) or 1e-9 for a, b in pairwise(points)]
    along = [heading(a, b) for a, b in pairwise(points)]
    psi = [0.0] + [math.radians(turn(along[i - 1], along[i])) for i in range(1, n)] + [0.0]
    # Rows of a three-banded system low*theta[i-1] + mid*theta[i] + high*theta[i+1] = right.
    low, mid, high, right = ([0.0] * (n + 1) for _ in range(4))
    mid[0] = 1.0
    if first is not None:
        right[0] = math.radians(turn(along[0], first))
    else:
        high[0], right[0] = 1.0, -psi[1]
    for i in range(1, n):
        low[i] = 1.0 / chords[i - 1]
        mid[i] = 2.0 / chords[i - 1] + 2.0 / chords[i]
        high[i] = 1.0 / chords[i]
        right[i] = -(2.0 * psi[i] / chords[i - 1]) - psi[i + 1] / chords[i]
    mid[n] = 1.0
    if last is not None:
        right[n] = math.radians(turn(along[n - 1], last))
    else:
        low[n] = 1.0
    for i in range(1, n + 1):
        factor = low[i] / mid[i - 1]
        mid[i] -= factor * high[i - 1]
        right[i] -= factor * right[i - 1]
    theta = [0.0] * (n + 1)
    theta[n] = right[n] / mid[n] if abs(mid[n]) > 1e-12 else 0.0
    for i in range(n - 1, -1, -1):
        theta[i] = (right[i] - high[i] * theta[i + 1]) / mid[i]
    result = [(along[i] + math.degrees(theta[i])) % 360.0 for i in range(n)]
    result.append((along[n - 1] + math.degrees(theta[n])) % 360.0)
    return result


def joints(curves: Sequence[Curve]) -> Iterator[tuple[Point, float]]:
    """Between consecutive curves: the place and the turn of the pen in degrees."""
    for a, b in pairwise(curves):
        yield a.end, turn(a.direction(1.0), b.direction(0.0))


def curvature_at_end(curve: Curve) -> float:
    """One over the radius of the bend where the curve ends; positive where the pen turns left."""
    hx, hy = curve.x3 - curve.x2, curve.y3 - curve.y2
    size = math.hypot(hx, hy)
    if size < 1e-9:
        return 0.0
    across = (curve.x2 - curve.x1) * hy - (curve.y2 - curve.y1) * hx
    return 2.0 * across / (3.0 * size**3)
