"""The notation in which a stroke is written in the data files, read and written back.

A stroke is knots with links between them::

    0,500:60/d - 0,130:d ~ 115,0:r

A knot is ``x,y`` in em units. After a colon stands the direction of the pen there: ``r``, ``u``, ``l``, ``d``
or degrees (0 right, 90 up). Two directions with a slash, arriving and leaving, make a cusp: the only
places where the pen may turn sharply; ``^`` is a corner between links that are both straight, or
straight on one side with the direction of the other left open. A knot without a direction is passed in
the smoothest way.
A link is ``-`` (straight) or ``~`` (curve); ``~1.15`` is a fuller curve, ``~0.9`` a flatter one.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from larkslate.errors import Malformed
from larkslate.handwriting.curves import Curve, Point, fitted, free_directions, heading, line, turn

_NAMED = {"r": 0.0, "u": 90.0, "l": 180.0, "d": 270.0}
_NAMES = {angle: name for name, angle in _NAMED.items()}
_NUMBER = r"-?\d+(?:\.\d+)?"
_KNOT = re.compile(rf"({_NUMBER}),({_NUMBER})(?::([^\s/]+)(?:/([^\s/]+))?)?$")
_LINK = re.compile(r"(-|~)(\d+(?:\.\d+)?)?$")

# A straight link whose ends claim another direction is a slip of the author, not a curve.
STRAIGHT_TOLERANCE = 1.5


@dataclass(frozen=True, slots=True)
class Knot:
    """A place the pen passes: where, in which direction it arrives and leaves, and how it came.

    ``straight`` and ``fullness`` describe the link from the knot before and mean nothing on a first knot.
    """

    x: float
    y: float
    into: float | None = None
    out: float | None = None
    straight: bool = False
    fullness: float = 1.0
    corner: bool = False

    @property
    def point(self) -> Point:
        """The place alone."""
        return (self.x, self.y)

    @property
    def cusp(self) -> bool:
        """Whether the pen is meant to turn sharply here."""
        if self.corner:
            return True
        return (
            self.into is not None and self.out is not None and abs(turn(self.into, self.out)) > 1e-6
        )

    def moved(self, dx: float) -> Knot:
        """The same knot further right."""
        return replace(self, x=self.x + dx)


def parse(stroke: str) -> tuple[Knot, ...]:
    """The knots of a stroke. Raises Malformed, naming the part that cannot be read."""
    parts = stroke.split()
    if not parts:
        raise Malformed("A stroke is empty: write at least one knot, such as 0,500:d.")
    knots: list[Knot] = []
    straight, fullness, linked = False, 1.0, True
    for part in parts:
        if not linked:
            link = _LINK.match(part)
            if link is None or (link[1] == "-" and link[2]):
                raise Malformed(f"“{part}” should be a link between knots: - or ~ or ~1.1.")
            straight, fullness = link[1] == "-", float(link[2] or 1.0)
            linked = True
            continue
        found = _KNOT.match(part)
        if found is None:
            raise Malformed(f"“{part}” should be a knot such as 0,500:d or 0,500:60/d.")
        corner = found[3] == "^"
        into = None if found[3] is None or corner else _direction(found[3], part)
        out = into if found[4] is None else _direction(found[4], part)
        knots.append(Knot(float(found[1]), float(found[2]), into, out, straight, fullness, corner))
        straight, fullness, linked = False, 1.0, False
    if linked:
        raise Malformed(f"“{stroke}” ends in a link: add the knot it leads to.")
    return tuple(knots)


def format_knots(knots: Sequence[Knot]) -> str:
    """The notation of knots; ``parse`` gives the same knots back (numbers to two decimals)."""
    parts: list[str] = []
    for index, knot in enumerate(knots):
        if index:
            parts.append(
                "-"
                if knot.straight
                else "~" + ("" if knot.fullness == 1.0 else _number(knot.fullness))
            )
        where = f"{_number(knot.x)},{_number(knot.y)}"
        if knot.corner:
            where += ":^"
        elif knot.into is not None and knot.out is not None:
            where += f":{_name(knot.into)}"
            if knot.cusp:
                where += f"/{_name(knot.out)}"
        parts.append(where)
    return " ".join(parts)


def sharp(knots: Sequence[Knot]) -> tuple[int, ...]:
    """The curves of a stroke (by index) after which the pen turns sharply, as its cusps say."""
    return tuple(i - 1 for i in range(1, len(knots) - 1) if knots[i].cusp)


def curves(knots: Sequence[Knot]) -> tuple[Curve, ...]:
    """The curves through the knots. Raises Malformed where a straight link contradicts a direction."""
    done = _settled(knots)
    result: list[Curve] = []
    for a, b in pairwise(done):
        # A link between two knots is straight, or both its directions have been settled.
        if b.straight or a.out is None or b.into is None:
            result.append(line(a.point, b.point))
        else:
            result.append(fitted(a.point, a.out, b.point, b.into, b.fullness))
    return tuple(result)


def _settled(knots: Sequence[Knot]) -> list[Knot]:
    """Every direction filled in: from straight links first, then the smoothest way through the rest."""
    done = list(knots)
    for i in range(1, len(done)):
        if not done[i].straight:
            continue
        way = heading(done[i - 1].point, done[i].point)
        for knot, claimed in ((done[i - 1], done[i - 1].out), (done[i], done[i].into)):
            if claimed is not None and abs(turn(claimed, way)) > STRAIGHT_TOLERANCE:
                raise Malformed(
                    f"The straight link {format_knots(done[i - 1 : i + 1])} runs at {way:.0f} degrees, "
                    f"but the knot {format_knots([knot])} says {claimed:.0f}: correct one of them."
                )
        done[i - 1] = _leaving(done[i - 1], way)
        done[i] = _arriving(done[i], way)
    start = 0
    for i in range(1, len(done)):
        if done[i].straight:
            start = i
            continue
        if done[i].into is None and not done[i].corner and i < len(done) - 1:
            continue
        run = done[start : i + 1]
        found = free_directions([k.point for k in run], run[0].out, run[-1].into)
        done[start] = _leaving(done[start], found[0])
        for offset in range(1, len(run) - 1):
            done[start + offset] = replace(
                done[start + offset], into=found[offset], out=found[offset]
            )
        done[i] = _arriving(done[i], found[-1])
        start = i
    return done


def _leaving(knot: Knot, way: float) -> Knot:
    """The knot with its leaving direction known; a knot that is no corner is also reached that way."""
    into = knot.into if knot.corner else _or(knot.into, way)
    return replace(knot, into=into, out=_or(knot.out, way))


def _arriving(knot: Knot, way: float) -> Knot:
    """The knot with its arriving direction known; a knot that is no corner is also left that way."""
    out = knot.out if knot.corner else _or(knot.out, way)
    return replace(knot, into=_or(knot.into, way), out=out)


def _or(known: float | None, other: float) -> float:
    return other if known is None else known


def _direction(text: str, part: str) -> float:
    if text in _NAMED:
        return _NAMED[text]
    if re.fullmatch(_NUMBER, text):
        return float(text) % 360.0
    raise Malformed(f"“{text}” in “{part}” is no direction: use r, u, l, d or degrees.")


def _name(angle: float) -> str:
    return _NAMES.get(angle) or _number(angle)


def _number(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
