"""Any text as strokes of the pen: letters set side by side, joined where the hand joins them.

A join is one curve fitted to where and how a letter ends and where and how the next begins. Crossbars and
dots wait until the word is written.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Literal

from larkslate.errors import NotAllowed
from larkslate.handwriting.curves import Curve, bounds
from larkslate.handwriting.joins import (
    arrival,
    arriving,
    begun,
    beside,
    ending,
    finished,
    fitted_join,
    joined_to,
    joins,
)
from larkslate.handwriting.letters import LINES, Exit, Hand, Letter, Path, letters
from larkslate.handwriting.notation import Knot, sharp

SLANT_LIMIT = 20.0
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
    ``sharp`` are the curves, by index, after which the pen turns sharply; everywhere else it runs on in the
    same direction. ``delayed`` strokes are dots and crossbars, made when the word is written.
    """

    start: int
    end: int
    curves: Path
    sharp: tuple[int, ...] = ()
    delayed: bool = False

    def changed(self, change: Callable[[Curve], Curve]) -> Stroke:
        """The same stroke with every curve changed."""
        return replace(self, curves=tuple(change(c) for c in self.curves))


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


def write(
    text: str,
    hand: Hand | str = Hand.JOINED,
    *,
    slant: float = 0.0,
    lead_in: bool = True,
    pulled_bars: bool = False,
    unknown: Literal["skip", "plain"] = "skip",
    substitutes: Mapping[str, str] = MappingProxyType({}),
) -> Written:
    """``text`` as the strokes of a hand, on one line.

    ``slant`` in degrees to the right, 0 to 20. ``lead_in``: whether a word of the joined hand begins with a
    stroke from the baseline where its first letter usually has one. ``pulled_bars``: crossbars run from right
    to left, as many left-handed writers make them. A character the hand does not hold is
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
        raise NotAllowed(
            f"“{unknown}” is no way to treat unknown characters: choose skip or plain."
        )
    composed = unicodedata.normalize("NFC", text)
    chars, notices = _readable(composed, chosen, unknown, substitutes)
    pen = _Pen(chosen, lead_in, pulled_bars)
    for index, char in chars:
        pen.put(index, char)
    strokes = pen.lift()
    slope = math.tan(math.radians(slant))
    if slope:
        strokes = [s.changed(lambda c: c.sheared(slope)) for s in strokes]
    if not strokes:
        return Written(composed, chosen, slant, (), 0.0, tuple(notices))
    left, _, right, _ = bounds(c for s in strokes for c in s.curves)
    placed = tuple(s.changed(lambda c: c.moved(-left)) for s in strokes)
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
                "curves": [[round(n, 2) + 0.0 for n in c] for c in s.curves],
            }
            for s in written.strokes
        ],
    }


def usual_form(char: str) -> str:
    """What is written for a typed character that only looks different: a curly apostrophe, a dash."""
    return _ALIKE.get(char, char)


def _readable(
    text: str, hand: Hand, unknown: str, substitutes: Mapping[str, str]
) -> tuple[list[tuple[int, str]], list[str]]:
    """Characters that can be written with their places in the text, and notices for the others."""
    table = letters(hand)
    chars: list[tuple[int, str]] = []
    notices: list[str] = []
    for index, char in enumerate(text):
        usual = char if char in table else usual_form(char)
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

    def __init__(self, hand: Hand, lead_in: bool, pulled_bars: bool) -> None:
        self.hand = hand
        self.lead_in = lead_in
        self.pulled_bars = pulled_bars
        self.done: list[Stroke] = []
        self.waiting: list[Stroke] = []  # dots and crossbars of the word
        self.chain: list[Curve] = []  # the stroke being made
        self.sharp: list[int] = []  # where it turns sharply
        self.span = (0, 0)  # the characters it belongs to
        self.before: Letter | None = None  # the letter just written in this word
        self.offset = 0.0  # where that letter's own origin stands
        self.edge = 0.0  # where the next word may begin

    def put(self, index: int, char: str) -> None:
        """Write one character."""
        if char == " ":
            if self.before is not None:
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
        for knots, path in zip(letter.strokes[1:], letter.paths[1:], strict=True):
            self._flush()
            self.chain = [c.moved(self.offset) for c in path]
            self.sharp = list(sharp(knots))
            self.span = (index, index + 1)
        for knots, path in zip(letter.delayed, letter.delayed_paths, strict=True):
            moved = tuple(c.moved(self.offset) for c in path)
            if self.pulled_bars and len(path) == 1 and path[0].y0 == path[0].y3:
                moved = (moved[0].reversed(),)
            self.waiting.append(Stroke(index, index + 1, moved, sharp(knots), True))
        self.before = letter
        if self.hand is Hand.PRINT:
            self._close()
            self._add_waiting()

    def lift(self) -> list[Stroke]:
        """All strokes, the pen lifted for good."""
        self._end_word()
        return self.done

    def _join(self, before: Letter, letter: Letter) -> None:
        knots, path, turns = arriving(self.hand, letter.char, before.exit)
        table = joins()
        end = self.chain[-1]
        room = table.gap[before.exit, letter.entry]
        room += table.after.get((before.char, letter.entry), 0.0)
        room += table.pair.get(before.char + letter.char, 0.0)
        self.offset = end.x3 + room - knots[0].x
        body = [c.moved(self.offset) for c in path]
        link = fitted_join(end, before.strokes[-1][-1], body[0].start, knots[0])
        self._turn_at(before.strokes[-1][-1])
        self.sharp += [len(self.chain) + i for i in turns]
        self.chain += [link, *body]

    def _set(self, letter: Letter) -> None:
        """Begin a letter that no join reaches."""
        shape = begun(letter, self.lead_in)
        knots = letter.strokes[0]
        if len(shape[0]) > len(letter.paths[0]):
            knots = (Knot(0.0, 0.0), *arrival(letter, Exit.BASE))
        self.sharp = list(sharp(knots))
        if self.before is None:
            self.offset = self.edge - bounds(c for path in shape for c in path)[0]
        else:
            self.offset += beside(self.hand, self.before.char, letter.char, self.lead_in)
        self.chain = [c.moved(self.offset) for c in shape[0]]

    def _close(self) -> None:
        """End the stroke being made, with the last swing of its letter."""
        if self.chain and self.before is not None:
            swing = ending(self.chain[-1], self.before)
            if swing:
                self._turn_at(self.before.strokes[-1][-1])
            self.chain += swing
        self._flush()

    def _turn_at(self, last: Knot) -> None:
        """Note the cusp where a letter ends in one and the stroke goes on."""
        if last.cusp:
            self.sharp.append(len(self.chain) - 1)

    def _flush(self) -> None:
        if self.chain:
            self.done.append(Stroke(*self.span, tuple(self.chain), tuple(self.sharp)))
        self.chain, self.sharp = [], []

    def _add_waiting(self) -> None:
        self.done += self.waiting
        self.waiting = []

    def _end_word(self) -> None:
        self._close()
        self._add_waiting()
        if self.before is not None:
            self.edge = self.offset + bounds(c for p in finished(self.before) for c in p)[2]
        self.before = None
