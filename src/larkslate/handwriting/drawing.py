"""Writing as SVG in millimeters: ruled lines, strokes in several trace styles, start dot, numbers, arrows.

Every stroke is one path with ``pathLength="1"``, so that a clock can draw it: set ``stroke-dasharray`` to 1
and ``stroke-dashoffset`` from 1 to 0. A dotted stroke is one path too, of dots that every printer draws.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

from larkslate.errors import NotAllowed
from larkslate.handwriting.curves import Curve, Point
from larkslate.handwriting.guides import Near, guides
from larkslate.handwriting.joining import Stroke, Written, usual_form
from larkslate.handwriting.letters import Hand, letters
from larkslate.handwriting.rulings import Ruling, ruling

INK = "#1a1f2b"
GUIDE = "#4d4d4d"
# The shades of faded letters, step by step, as gray from 0 black to 100 white.
FADES = (45, 60, 72, 82)
MARGIN = 3.0
# A stroke shorter than this (em units) is a dot, drawn this many times as wide as the pen.
TOUCH, DOT = 30.0, 1.6
# Room beside and above writing for its arrows and numbers, em units.
GUIDE_ROOM = 160.0


class Trace(StrEnum):
    """How the strokes of a letter are drawn for a child to see or trace."""

    SOLID = "solid"
    DOTTED = "dotted"
    OUTLINED = "outlined"
    FADED = "faded"


@dataclass(frozen=True, slots=True)
class Look:
    """How writing is drawn. ``pen`` in mm (None: fit for the size), ``fade`` a step from 1 to 4."""

    trace: Trace = Trace.SOLID
    pen: float | None = None
    fade: int = 1
    start_dot: bool = False
    arrows: bool = False
    numbers: bool = False


def svg(
    written: Written,
    *,
    ruling: Ruling | None = None,
    pen: float | None = None,
    trace: Trace | str = Trace.SOLID,
    fade: int = 1,
    arrows: bool = False,
    numbers: bool = False,
    start_dot: bool = False,
    ruled: bool = True,
    width: float | None = None,
) -> str:
    """One line of writing as an SVG document in millimeters, with alternative text that says the path.

    ``ruling`` gives the size, also where ``ruled`` is false and no lines are drawn. ``width`` in mm of the
    whole drawing; without it as wide as the writing. Raises NotAllowed for an unknown trace style.
    """
    rule = _usual() if ruling is None else ruling
    look = look_of(trace, pen, fade=fade, start_dot=start_dot, arrows=arrows, numbers=numbers)
    margin = MARGIN + (GUIDE_ROOM * rule.scale if arrows or numbers else 0.0)
    wide = written.width * rule.scale + 2 * margin if width is None else width
    body = [rules(rule, wide, margin)] if ruled else []
    body.append(ink(written, look, rule, margin, margin + rule.height))
    return document(wide, rule.set_height + 2 * margin, body, describe(written))


def look_of(
    trace: Trace | str,
    pen: float | None = None,
    *,
    fade: int = 1,
    start_dot: bool = False,
    arrows: bool = False,
    numbers: bool = False,
) -> Look:
    """A checked Look. Raises NotAllowed for an unknown style, fade or pen."""
    try:
        style = Trace(trace)
    except ValueError:
        raise NotAllowed(f"There is no trace style “{trace}”: choose {', '.join(Trace)}.") from None
    if not 1 <= fade <= len(FADES):
        raise NotAllowed(f"There is no fade {fade}: choose 1 (dark) to {len(FADES)} (pale).")
    if pen is not None and not 0.1 <= pen <= 20.0:
        raise NotAllowed(f"A pen of {pen:g} mm cannot be drawn: choose 0.1 to 20 mm.")
    return Look(style, pen, fade, start_dot, arrows, numbers)


def _usual() -> Ruling:
    return ruling()


def document(width: float, height: float, body: Iterable[str], label: str) -> str:
    """A whole SVG document around drawn parts; ``label`` is its alternative text."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="0 0 {_n(width)} {_n(height)}" role="img" aria-label={quoteattr(label)}>'
        f"<title>{escape(label)}</title>{''.join(body)}</svg>"
    )


def rules(rule: Ruling, width: float, top: float, left: float = 0.0) -> str:
    """The ruled lines of one set, its top line at ``top`` mm, from ``left`` to ``width`` mm."""
    parts = []
    for line in rule.lines:
        y = top + rule.height - line.at * rule.scale
        dash = f' stroke-dasharray="{_n(line.dash)} {_n(line.space)}"' if line.dash else ""
        parts.append(
            f'<line x1="{_n(left)}" y1="{_n(y)}" x2="{_n(width)}" y2="{_n(y)}" '
            f'stroke="{line.color}" stroke-width="{_n(line.width)}"{dash}/>'
        )
    return f'<g class="ruling" aria-hidden="true">{"".join(parts)}</g>'


def ink(written: Written, look: Look, rule: Ruling, x: float, baseline: float) -> str:
    """The strokes of ``written`` with its left edge at ``x`` mm on a baseline ``baseline`` mm down."""
    drawn = strokes(written, look, rule, x, baseline) + marks(written, look, rule, x, baseline)
    return f'<g class="writing">{drawn}</g>'


def strokes(written: Written, look: Look, rule: Ruling, x: float, baseline: float) -> str:
    """What the pen draws, without start dot, arrows and numbers; arguments as for ``ink``."""
    place = _Place(rule.scale, x, baseline)
    pen = pen_width(look, rule)
    parts: list[str] = []
    if look.trace is Trace.OUTLINED:
        parts += [
            f'<path class="outline" aria-hidden="true" d="{place.path(s.curves)}" fill="none" '
            f'stroke="{INK}" stroke-width="{_n(DOT * pen if _touch(s) else pen)}" stroke-linecap="round" '
            f'stroke-linejoin="round"/>'
            for s in written.strokes
        ]
    parts += [_stroke(s, i, look, place, pen) for i, s in enumerate(written.strokes)]
    return "".join(parts)


def marks(written: Written, look: Look, rule: Ruling, x: float, baseline: float) -> str:
    """Start dot, arrows and numbers as the look asks for; empty where it asks for none."""
    if not written.strokes:
        return ""
    place = _Place(rule.scale, x, baseline)
    drawn = _guides(written.strokes, look, place) if look.arrows or look.numbers else ""
    if look.start_dot:
        cx, cy = place.point(written.strokes[0].curves[0].start)
        hollow = look.trace is Trace.OUTLINED
        radius = max(0.5 if hollow else pen_width(look, rule) * 1.1, 38 * rule.scale)
        drawn += (
            f'<circle class="start" cx="{_n(cx)}" cy="{_n(cy)}" r="{_n(radius)}" fill="{INK}" '
            f'stroke="#ffffff" stroke-width="{_n(radius * 0.35)}"/>'
        )
    return drawn


def pen_width(look: Look, rule: Ruling) -> float:
    """The width of the drawn stroke in mm: as given, or fit for the size of the writing."""
    if look.pen is not None:
        return look.pen
    if look.trace is Trace.OUTLINED:
        return max(1.2, 0.095 * rule.height)
    if look.trace is Trace.DOTTED:
        return max(0.35, 0.035 * rule.height)
    return max(0.4, 0.045 * rule.height)


def _stroke(stroke: Stroke, index: int, look: Look, place: _Place, pen: float) -> str:
    color, width = INK, pen
    if _touch(stroke):
        width = DOT * pen
    if look.trace is Trace.FADED:
        level = round(FADES[look.fade - 1] * 255 / 100)
        color = f"#{level:02x}{level:02x}{level:02x}"
    elif look.trace is Trace.OUTLINED:
        color, width = "#ffffff", width - max(0.3, 0.2 * pen)
    d = (
        place.dots(stroke.curves, 2.1 * pen)
        if look.trace is Trace.DOTTED
        else place.path(stroke.curves)
    )
    late = ' data-delayed="true"' if stroke.delayed else ""
    return (
        f'<path class="stroke" d="{d}" pathLength="1" fill="none" '
        f'stroke="{color}" stroke-width="{_n(width)}" stroke-linecap="round" '
        f'stroke-linejoin="round" data-step="{index + 1}" data-from="{stroke.start}" '
        f'data-to="{stroke.end}"{late}/>'
    )


def _touch(stroke: Stroke) -> bool:
    """Whether the pen only touches the paper: the dot of i, a period."""
    return sum(c.rough_length() for c in stroke.curves) < TOUCH


def _guides(strokes: tuple[Stroke, ...], look: Look, place: _Place) -> str:
    parts: list[str] = []
    thin = max(0.2, 16 * place.scale)
    for guide in guides(strokes):
        points = [place.point(p) for p in guide.arrow]
        if look.arrows:
            d = "M" + "L".join(f"{_n(px)} {_n(py)}" for px, py in points)
            parts.append(
                f'<path class="arrow" d="{d}{_head(points, 48 * place.scale)}" fill="none" '
                f'stroke="{GUIDE}" stroke-width="{_n(thin)}" stroke-linecap="round" '
                f'stroke-linejoin="round"/>'
            )
        if look.numbers:
            nx, ny = place.point(guide.label)
            size = max(2.0, 95 * place.scale)
            parts.append(
                f'<text class="number" x="{_n(nx)}" y="{_n(ny + 0.35 * size)}" '
                f'font-size="{_n(size)}" text-anchor="middle" fill="{GUIDE}" '
                f'font-family="Source Sans 3, sans-serif" font-weight="600">{guide.number}</text>'
            )
    return f'<g class="guides" aria-hidden="true">{"".join(parts)}</g>'


def _head(points: Sequence[Point], size: float) -> str:
    (xa, ya), (xb, yb) = points[-2], points[-1]
    angle = math.atan2(yb - ya, xb - xa)
    sides = [
        (xb - size * math.cos(angle + turn), yb - size * math.sin(angle + turn))
        for turn in (0.5, -0.5)
    ]
    (x1, y1), (x2, y2) = sides
    return f"M{_n(x1)} {_n(y1)}L{_n(xb)} {_n(yb)}L{_n(x2)} {_n(y2)}"


@dataclass(frozen=True, slots=True)
class _Place:
    """From em units, upward, to millimeters, downward."""

    scale: float
    x: float
    baseline: float

    def point(self, p: Point) -> Point:
        return self.x + p[0] * self.scale, self.baseline - p[1] * self.scale

    def dots(self, curves: Sequence[Curve], spacing: float) -> str:
        places = (self.point(p) for p in dots(curves, spacing / self.scale))
        return "".join(f"M{_n(px)} {_n(py)}h0.001" for px, py in places)

    def path(self, curves: Sequence[Curve]) -> str:
        x, y = self.point(curves[0].start)
        parts = [f"M{_n(x)} {_n(y)}"]
        for c in curves:
            ends = (self.point(p) for p in ((c.x1, c.y1), (c.x2, c.y2), (c.x3, c.y3)))
            parts.append("C" + " ".join(f"{_n(px)} {_n(py)}" for px, py in ends))
        return "".join(parts)


def dots(curves: Sequence[Curve], spacing: float) -> list[Point]:
    """Points ``spacing`` em units apart along a stroke, none where the pen goes back over dots before."""
    length = sum(c.rough_length() for c in curves)
    step = length / max(1, round(length / spacing))
    apart = 0.72 * spacing
    near = Near(apart)
    found: list[Point] = []
    gone, due = 0.0, 0.0
    for curve in curves:
        pieces = max(3, math.ceil(curve.rough_length() * 5 / spacing))
        for a, b in pairwise(curve.points(pieces)):
            if gone >= due - 1e-6:
                if near.clear(a) >= apart:
                    found.append(a)
                    near.add((a,))
                due += step
            gone += math.dist(a, b)
    last = curves[-1].end
    if near.clear(last) >= apart:
        found.append(last)
    return found


def describe(written: Written) -> str:
    """The path of the pen in words, stroke by stroke: the alternative text of a drawing."""
    if not written.strokes:
        return "No writing."
    kind = "print" if written.hand is Hand.PRINT else "joined writing"
    shown = written.text.strip()
    steps = stroke_texts(written)
    if len(steps) == 1:
        return f"{shown} in {kind}. {steps[0]}"
    return f"{shown} in {kind}. " + " ".join(f"{i}. {s}" for i, s in enumerate(steps, start=1))


def stroke_texts(written: Written) -> tuple[str, ...]:
    """For each stroke, what the pen does, in words for a teacher to say."""
    table = letters(written.hand)
    made: dict[int, int] = {}  # strokes made so far of the letter at an index
    texts: list[str] = []
    for stroke in written.strokes:
        covered = written.text[stroke.start : stroke.end]
        spoken = table.get(usual_form(covered)) if len(covered) == 1 else None
        order = made.get(stroke.start, 0)
        if spoken is not None and stroke.delayed:
            order = max(order, len(spoken.strokes))
        made[stroke.start] = order + 1
        if spoken is not None and order < len(spoken.say):
            texts.append(spoken.say[order])
        elif len(covered) > 1 and order:
            texts.append(f"Finish {covered[0]} and go on to {_listed(covered[1:])} in one stroke.")
        else:
            texts.append(f"Write {_listed(covered)} in one stroke.")
    return tuple(texts)


def _listed(chars: str) -> str:
    if len(chars) == 1:
        return chars
    return f"{', '.join(chars[:-1])} and {chars[-1]}"


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
