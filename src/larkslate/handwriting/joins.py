"""How letters stand to each other and meet: the table of joins, the joining curve, first and last strokes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from larkslate import datafile
from larkslate.errors import Malformed
from larkslate.handwriting.curves import Curve, Point, curvature_at_end, fitted, heading, turn
from larkslate.handwriting.letters import ROOM, Entry, Exit, Hand, Letter, Path, letters
from larkslate.handwriting.notation import Knot, curves, sharp
from larkslate.handwriting.spacing import distance, profile

# The bend of a lead-in where it leaves the baseline: that of the turn at the foot of a small i.
LEAD_RADIUS = 110.0
FLATTEST = 1.0 / 150.0


@dataclass(frozen=True, slots=True)
class Leg:
    """A stroke added before or after a letter: how far across, how high, and the pen's direction there."""

    across: float
    height: float
    direction: float


@dataclass(frozen=True, slots=True)
class Joins:
    """What the table of joins says; see ``data/joins.toml``."""

    gap: Mapping[tuple[Exit, Entry], float]
    after: Mapping[tuple[str, Entry], float]
    pair: Mapping[str, float]
    lead: Mapping[Entry, Leg]
    end: Mapping[Exit, Leg]


@cache
def joins() -> Joins:
    """The table of joins. Raises Malformed, naming the entry."""
    return read_joins(datafile.read_toml(ROOM, "joins.toml"))


def read_joins(table: Mapping[str, Any]) -> Joins:
    """The table of joins from its parsed file. Raises Malformed, naming the entry."""
    try:
        gap = {
            (Exit(out), Entry(into)): float(space)
            for out, row in table["gap"].items()
            for into, space in row.items()
        }
        wanted = {(o, e) for o in Exit for e in Entry if o is not Exit.NONE and e is not Entry.NONE}
        missing = wanted - set(gap)
        if missing:
            out, into = min(missing)
            raise Malformed(f"{ROOM}/joins.toml: gap.{out} has no entry {into}; add it.")
        return Joins(
            gap=MappingProxyType(gap),
            after=MappingProxyType(
                {
                    (char, Entry(into)): float(space)
                    for char, row in table.get("after", {}).items()
                    for into, space in row.items()
                }
            ),
            pair=MappingProxyType({k: float(v) for k, v in table.get("pair", {}).items()}),
            lead=MappingProxyType({Entry(k): Leg(**v) for k, v in table["lead"].items()}),
            end=MappingProxyType({Exit(k): Leg(**v) for k, v in table["end"].items()}),
        )
    except KeyError as missing_key:
        raise Malformed(f"{ROOM}/joins.toml: {missing_key.args[0]} is missing.") from None
    except (ValueError, TypeError) as error:
        raise Malformed(f"{ROOM}/joins.toml: {error}.") from None


def joined_to(hand: Hand | str, left: str, right: str) -> bool:
    """Whether the hand joins ``left`` to ``right`` when they stand side by side in a word."""
    table = letters(Hand(hand))
    if left not in table or right not in table or Hand(hand) is not Hand.JOINED:
        return False
    return table[left].exit is not Exit.NONE and table[right].entry is not Entry.NONE


def arrival(letter: Letter, kind: Exit) -> tuple[Knot, ...]:
    """The knots of a letter's first stroke as a join from a letter with that exit begins it."""
    own = letter.strokes[0]
    path = letter.from_top if kind is Exit.TOP and letter.from_top else letter.from_base
    if not path:
        return own
    for index, knot in enumerate(own):
        if knot.point == path[-1].point:
            return (*path, *own[index + 1 :])
    raise Malformed(
        f"Letter “{letter.char}” of the {letter.hand} hand: an arriving join must end on a knot of the "
        f"first stroke; {path[-1].x:g},{path[-1].y:g} is none."
    )


@cache
def arriving(hand: Hand, char: str, kind: Exit) -> tuple[tuple[Knot, ...], Path, tuple[int, ...]]:
    """The knots and curves of ``arrival``, and the sharp turns counted from the joining curve as curve 0."""
    knots = arrival(letters(hand)[char], kind)
    return knots, curves(knots), sharp((Knot(0.0, 0.0), *knots))


def fitted_join(end: Curve, left: Knot, to: Point, arrive: Knot) -> Curve:
    """The one curve from the end of a letter to the start of the next.

    It leaves in the direction of ``left`` and arrives in that of ``arrive``. Where the pen runs on without
    a cusp it also leaves with the bend the letter ended with, so that the turn on the baseline is one curve.
    """
    out = end.direction(1.0) if left.out is None else left.out
    into = heading(end.end, to) if arrive.into is None else arrive.into
    link = fitted(end.end, out, to, into)
    if left.cusp:
        return link
    return _eased(end, out, link)


def _eased(before: Curve, out: float, link: Curve) -> Curve:
    """``link`` with its first handle as long as keeps the curvature at the end of ``before``."""
    bend = curvature_at_end(before)
    # A letter whose foot is nearly flat still begins to rise at once.
    if 0.0 <= bend < FLATTEST and abs(turn(out, 0.0)) < 1.0:
        bend = FLATTEST
    return _rounded(link, out, bend)


def _rounded(link: Curve, out: float, bend: float) -> Curve:
    ux, uy = math.cos(math.radians(out)), math.sin(math.radians(out))
    aside = ux * (link.y2 - link.y0) - uy * (link.x2 - link.x0)
    if bend * aside <= 0:
        return link
    chord = math.dist(link.start, link.end)
    handle = min(max(math.sqrt(2 * aside / (3 * bend)), 0.2 * chord), 0.7 * chord)
    return Curve(
        link.x0,
        link.y0,
        link.x0 + handle * ux,
        link.y0 + handle * uy,
        link.x2,
        link.y2,
        link.x3,
        link.y3,
    )


def begun(letter: Letter, lead_in: bool) -> tuple[Path, ...]:
    """The strokes of a letter that no join reaches, with a lead-in where it usually has one."""
    lead = joins().lead.get(letter.entry)
    if not (lead_in and letter.lead and lead is not None):
        return letter.paths
    knots = arrival(letter, Exit.BASE)
    start = Knot(knots[0].x - lead.across, lead.height, lead.direction, lead.direction)
    body = curves(knots)
    link = fitted(start.point, lead.direction, knots[0].point, _into(knots[0], start))
    if letter.entry is not Entry.OVER:
        link = _rounded(link, lead.direction, 1.0 / LEAD_RADIUS)
    return ((link, *body), *letter.paths[1:])


def _into(knot: Knot, before: Knot) -> float:
    return heading(before.point, knot.point) if knot.into is None else knot.into


def ending(last: Curve, letter: Letter) -> Path:
    """The last swing after a letter that ends a run of joined letters; empty where it has none."""
    leg = joins().end.get(letter.exit) if letter.end is None else Leg(*letter.end)
    if leg is None:
        return ()
    to = (last.x3 + leg.across, last.y3 + leg.height)
    knot = Knot(*to, leg.direction, leg.direction)
    return (fitted_join(last, letter.strokes[-1][-1], to, knot),)


@cache
def _finished(hand: Hand, char: str) -> tuple[Path, ...]:
    letter = letters(hand)[char]
    last = letter.paths[-1]
    return (*letter.paths[:-1], last + ending(last[-1], letter), *letter.delayed_paths)


def finished(letter: Letter) -> tuple[Path, ...]:
    """All strokes of a letter that nothing is joined to."""
    return _finished(letter.hand, letter.char)


@cache
def beside(hand: Hand, left: str, right: str, lead_in: bool) -> float:
    """How far the origin of ``right`` stands from that of ``left`` when they are not joined."""
    a, b = letters(hand)[left], letters(hand)[right]
    return distance(profile(finished(a)), profile((*begun(b, lead_in), *b.delayed_paths)))
