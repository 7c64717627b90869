"""Any text as strokes of the pen: letters set side by side, joined where the hand joins them.

A join is one curve fitted to where and how a letter ends and where and how the next begins. Crossbars and
dots wait until the word is written.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from larkslate import datafile
from larkslate.errors import Malformed, NotAllowed
from larkslate.handwriting.curves import Curve, bounds, curvature_at_end, fitted, heading, turn
from larkslate.handwriting.letters import (
    LINES,
    ROOM,
    Entry,
    Exit,
    Hand,
    Letter,
    Path,
    letters,
)
from larkslate.handwriting.notation import Knot, curves
from larkslate.handwriting.spacing import distance, profile

SLANT_LIMIT = 20.0
# The bend of a lead-in where it leaves the baseline: that of the turn at the foot of a small i.
LEAD_RADIUS = 110.0
FLATTEST = 1.0 / 150.0
# Space between words: about the width of a small o with room on both sides.
WORD_SPACE = {Hand.JOINED: 430.0, Hand.PRINT: 430.0}
# Typed characters that stand for one the hands hold.
_ALIKE = MappingProxyType(
    {"’": "'", "‘": "'", "ʼ": "'", "′": "'", "‐": "-", "‑": "-", "–": "-", "—": "-", "…": "...",
     "\t": " ", "\n": " ", "\r": " ", "\u00a0": " ", "\u202f": " "}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Stroke:
    """One movement without lifting the pen.

    ``start`` and ``end`` are a half-open span of the text: the characters this stroke belongs to.
    ``delayed`` strokes are dots and crossbars, made when the word is written.
    """

    start: int
    end: int
    curves: Path
    delayed: bool = False


@dataclass(frozen=True, slots=True)
class Written:
    """A text as strokes in writing order, in em units with the baseline at 0 and the left edge at 0.

    ``width`` reaches to the right-most ink; ``notices`` say what could not be written and what was done.
    """

    text: str
    hand: Hand
    slant: float
    strokes: tuple[Stroke, ...]
    width: float
    notices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Leg:
    """A stroke added before or after a letter: how far across, how high, and the pen's direction there."""

    across: float
    height: float
    direction: float


@dataclass(frozen=True, slots=True)
class Joins:
    """What the table of joins says; see ``data/joins.toml``."""

    gap: Mapping[tuple[Exit, Entry], float]
    pair: Mapping[str, float]
    lead: Mapping[Entry, _Leg]
    end: Mapping[Exit, _Leg]


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
        wanted = {
            (o, e) for o in Exit for e in Entry if o is not Exit.NONE and e is not Entry.NONE
        }
        missing = wanted - set(gap)
        if missing:
            out, into = min(missing)
            raise Malformed(f"{ROOM}/joins.toml: gap.{out} has no entry {into}; add it.")
        return Joins(
            gap=MappingProxyType(gap),
            pair=MappingProxyType({k: float(v) for k, v in table.get("pair", {}).items()}),
            lead=MappingProxyType({Entry(k): _Leg(**v) for k, v in table["lead"].items()}),
            end=MappingProxyType({Exit(k): _Leg(**v) for k, v in table["end"].items()}),
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


def write(
    text: str,
    hand: Hand | str = Hand.JOINED,
    *,
    slant: float = 0.0,
    lead_in: bool = True,
    unknown: Literal["skip", "plain"] = "skip",
    substitutes: Mapping[str, str] = MappingProxyType({}),
) -> Written:
    """``text`` as the strokes of a hand, on one line.

    ``slant`` in degrees to the right, 0 to 20. ``lead_in``: whether a word of the joined hand begins with a
    stroke from the baseline where its first letter usually has one. A character the hand does not hold is
    named in the notices and left out; with ``unknown="plain"`` an accented letter is written without its
    accent, and ``substitutes`` says what to write for a character. Raises NotAllowed for another slant,
    hand or choice.
    """
    try:
        chosen = Hand(hand)
    except ValueError:
        raise NotAllowed(f"There is no hand “{hand}”: choose joined or print.") from None
    if not 0.0 <= slant <= SLANT_LIMIT:
        raise NotAllowed(f"A slant of {slant:g} degrees cannot be written: choose 0 to 20.")
    if unknown not in ("skip", "plain"):
        raise NotAllowed(f"“{unknown}” is no way to treat unknown characters: choose skip or plain.")
    composed = unicodedata.normalize("NFC", text)
    chars, notices = _readable(composed, chosen, unknown, substitutes)
    pen = _Pen(chosen, lead_in)
    for index, char in chars:
        pen.put(index, char)
    strokes = pen.lift()
    slope = math.tan(math.radians(slant))
    if slope:
        strokes = [
            Stroke(s.start, s.end, tuple(c.sheared(slope) for c in s.curves), s.delayed)
            for s in strokes
        ]
    if not strokes:
        return Written(composed, chosen, slant, (), 0.0, tuple(notices))
    left, _, right, _ = bounds(c for s in strokes for c in s.curves)
    placed = tuple(
        Stroke(s.start, s.end, tuple(c.moved(-left) for c in s.curves), s.delayed) for s in strokes
    )
    return Written(composed, chosen, slant, placed, right - left, tuple(notices))


def to_json(written: Written) -> dict[str, Any]:
    """The exchange form: text, hand, lines, and strokes with their curves (numbers to two decimals)."""
    return {
        "text": written.text,
        "hand": str(written.hand),
        "lines": dict(LINES),
        "strokes": [
            {
                "from": s.start,
                "to": s.end,
                "curves": [[round(n, 2) + 0.0 for n in c.numbers] for c in s.curves],
            }
            for s in written.strokes
        ],
    }


def _readable(
    text: str, hand: Hand, unknown: str, substitutes: Mapping[str, str]
) -> tuple[list[tuple[int, str]], list[str]]:
    """Characters that can be written with their places in the text, and notices for the others."""
    table = letters(hand)
    chars: list[tuple[int, str]] = []
    notices: list[str] = []
    for index, char in enumerate(text):
        usual = char if char in table else _ALIKE.get(char, char)
        if usual != char or usual == " " or usual in table:
            chars += [(index, c) for c in usual]
            continue
        instead = substitutes.get(char)
        if instead is None and unknown == "plain":
            instead = "".join(
                c for c in unicodedata.normalize("NFD", char) if not unicodedata.combining(c)
            )
        fits = bool(instead) and all(c == " " or c in table for c in instead or "")
        if fits and instead:
            chars += [(index, c) for c in instead]
            notice = f"The {hand} hand has no letter for “{char}”: “{instead}” is written instead."
        else:
            notice = f"The {hand} hand has no letter for {_named(char)}: it is left out."
        if notice not in notices:
            notices.append(notice)
    return chars, notices


def _named(char: str) -> str:
    if unicodedata.category(char)[0] in "CZM":
        return f"the character U+{ord(char):04X}"
    return f"“{char}”"


class _Pen:
    """Puts letter after letter on the line; one use."""

    def __init__(self, hand: Hand, lead_in: bool) -> None:
        self.hand = hand
        self.lead_in = lead_in
        self.done: list[Stroke] = []
        self.waiting: list[Stroke] = []  # dots and crossbars of the word
        self.chain: list[Curve] = []  # the stroke being made
        self.span = (0, 0)  # the characters it belongs to
        self.before: Letter | None = None  # the letter just written in this word
        self.offset = 0.0  # where that letter's own origin stands
        self.edge = 0.0  # where the next word may begin

    def put(self, index: int, char: str) -> None:
        """Write one character."""
        if char == " ":
            self._end_word()
            self.edge += WORD_SPACE[self.hand]
            return
        letter = letters(self.hand)[char]
        if self.before is not None and joined_to(self.hand, self.before.char, char):
            self._join(self.before, letter)
            self.span = (self.span[0], index + 1)
        else:
            self._close()
            self._set(letter)
            self.span = (index, index + 1)
        for path in letter.paths[1:]:
            self._flush()
            self.chain = [c.moved(self.offset) for c in path]
            self.span = (index, index + 1)
        self.waiting += [
            Stroke(index, index + 1, tuple(c.moved(self.offset) for c in path), True)
            for path in letter.delayed_paths
        ]
        self.before = letter
        if self.hand is Hand.PRINT:
            self._close()
            self._add_waiting()

    def lift(self) -> list[Stroke]:
        """All strokes, the pen lifted for good."""
        self._end_word()
        return self.done

    def _join(self, before: Letter, letter: Letter) -> None:
        knots = arrival(letter, before.exit)
        path = curves(knots)
        table = joins()
        end = self.chain[-1]
        room = table.gap[before.exit, letter.entry] + table.pair.get(before.char + letter.char, 0.0)
        self.offset = end.x3 + room - knots[0].x
        body = [c.moved(self.offset) for c in path]
        link = fitted_join(end, before.strokes[-1][-1], body[0].start, knots[0])
        self.chain += [link, *body]

    def _set(self, letter: Letter) -> None:
        """Begin a letter that no join reaches."""
        shape = begun(letter, self.lead_in)
        if self.before is None:
            self.offset = self.edge - bounds(c for path in shape for c in path)[0]
        else:
            self.offset += beside(self.hand, self.before.char, letter.char, self.lead_in)
        self.chain = [c.moved(self.offset) for c in shape[0]]

    def _close(self) -> None:
        """End the stroke being made, with the last swing of its letter."""
        if self.chain and self.before is not None:
            self.chain += ending(self.chain[-1], self.before)
        self._flush()

    def _flush(self) -> None:
        if self.chain:
            self.done.append(Stroke(*self.span, tuple(self.chain)))
        self.chain = []

    def _add_waiting(self) -> None:
        self.done += self.waiting
        self.waiting = []

    def _end_word(self) -> None:
        self._close()
        self._add_waiting()
        if self.before is not None:
            self.edge = self.offset + bounds(c for p in finished(self.before) for c in p)[2]
        self.before = None


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


def fitted_join(end: Curve, left: Knot, to: tuple[float, float], arrive: Knot) -> Curve:
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
    leg = joins().end.get(letter.exit) if letter.end is None else _Leg(*letter.end)
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
