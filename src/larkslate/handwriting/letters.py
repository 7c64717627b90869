"""The letters of the two hands, read from the data files beside this module.

A hand is its letters; a letter is the pen's strokes in order, how joins reach and leave it, what is
added when the word is written, and what a teacher says while she forms it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Any

from larkslate import datafile
from larkslate.errors import Malformed, Missing
from larkslate.handwriting.curves import Curve
from larkslate.handwriting.notation import Knot, curves, parse

ROOM = "handwriting"

# Writing lines in em units, as they are called in class.
LINES: Mapping[str, int] = MappingProxyType({"top": 1000, "mid": 500, "base": 0, "descender": -500})


class Hand(StrEnum):
    """The hands that can be written."""

    JOINED = "joined"
    PRINT = "print"


class Entry(StrEnum):
    """How a join arrives at a letter."""

    UP = "up"  # a rising stroke to a point: i t u
    TALL = "tall"  # a rising stroke into a tall loop: l h k
    SMALL = "small"  # a rising stroke into the loop of e
    OVER = "over"  # over a hump: n m v
    ROUND = "round"  # over the top, then back and round to the left: a c d
    NONE = "none"  # no join arrives


class Exit(StrEnum):
    """How a letter ends and a join leaves it."""

    BASE = "base"  # turning along the baseline: a i n
    TOP = "top"  # a dip just under the midline: o b v w
    TAIL = "tail"  # rising out of a loop below the line: g j y
    NONE = "none"  # the pen is lifted


Stroke = tuple[Knot, ...]
Path = tuple[Curve, ...]


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter, digit or mark of a hand, in its own coordinates (em units, baseline at 0).

    ``strokes`` in order, the last one carrying the exit; ``delayed`` after the word in a joined hand,
    after ``strokes`` in print. ``from_base`` and ``from_top`` are the path of an arriving join, empty
    where the join goes straight to the first knot. ``reach`` is the lowest and highest point.
    """

    char: str
    hand: Hand
    strokes: tuple[Stroke, ...]
    delayed: tuple[Stroke, ...]
    paths: tuple[Path, ...]  # the strokes as curves
    delayed_paths: tuple[Path, ...]
    entry: Entry
    exit: Exit
    from_base: Stroke
    from_top: Stroke
    end: tuple[float, float, float] | None  # its own last swing: across, height, direction
    lead: bool  # whether a lead-in stroke is usual at the start of a word
    reach: tuple[float, float]
    group: str
    say: tuple[str, ...]
    source: str


_NEEDED = frozenset({"char", "strokes", "reach", "group", "say", "source"})
_OPTIONAL = frozenset({"delayed", "entry", "exit", "from_base", "from_top", "end", "lead"})
_FILES: Mapping[Hand, tuple[str, ...]] = {
    Hand.JOINED: ("joined_small.toml", "joined_capitals.toml", "digits.toml", "marks.toml"),
    Hand.PRINT: ("print_small.toml", "print_capitals.toml", "digits.toml", "marks.toml"),
}


@cache
def letters(hand: Hand) -> Mapping[str, Letter]:
    """Every letter, digit and mark of a hand by its character. Raises Malformed, naming the letter."""
    found: dict[str, Letter] = {}
    for name in _FILES[hand]:
        for letter in read(datafile.read_toml(ROOM, name), hand, f"{ROOM}/{name}"):
            if letter.char in found:
                raise Malformed(f"{ROOM}/{name}: “{letter.char}” stands twice; remove one.")
            found[letter.char] = letter
    return MappingProxyType(found)


def letter(char: str, hand: Hand | str) -> Letter:
    """One letter. Raises Missing where the hand has none for this character."""
    try:
        return letters(Hand(hand))[char]
    except KeyError:
        raise Missing(f"The {hand} hand has no letter for “{char}”.") from None


def read(table: Mapping[str, Any], hand: Hand, file: str) -> list[Letter]:
    """The letters of one data file. Raises Malformed with file and letter."""
    usual = table.get("usual", {})
    return [_letter({**usual, **row}, hand, file) for row in table.get("letter", ())]


def _letter(row: Mapping[str, Any], hand: Hand, file: str) -> Letter:
    char = row.get("char")
    if not isinstance(char, str) or len(char) != 1:
        raise Malformed(f"{file}: a letter has no single character in “char” (found {char!r}).")
    where = f"{file}, letter “{char}”"
    unknown = sorted(set(row) - _NEEDED - _OPTIONAL)
    if unknown:
        raise Malformed(f"{where}: unknown field {unknown[0]}; correct or remove it.")
    try:
        low, high = row["reach"]
        strokes = tuple(parse(s) for s in row["strokes"])
        delayed = tuple(parse(s) for s in row.get("delayed", ()))
        return Letter(
            char=char,
            hand=hand,
            strokes=strokes,
            delayed=delayed,
            paths=tuple(curves(s) for s in strokes),
            delayed_paths=tuple(curves(s) for s in delayed),
            entry=Entry(row.get("entry", "none")),
            exit=Exit(row.get("exit", "none")),
            from_base=parse(row["from_base"]) if "from_base" in row else (),
            from_top=parse(row["from_top"]) if "from_top" in row else (),
            end=_end(row.get("end")),
            lead=bool(row.get("lead", False)),
            reach=(float(low), float(high)),
            group=str(row["group"]),
            say=tuple(row["say"]),
            source=str(row["source"]),
        )
    except KeyError as missing:
        raise Malformed(f"{where}: the field {missing.args[0]} is missing.") from None
    except (ValueError, TypeError) as error:
        raise Malformed(f"{where}: {error}.") from None
    except Malformed as error:
        raise Malformed(f"{where}: {error}") from None


def _end(value: list[float] | None) -> tuple[float, float, float] | None:
    if value is None:
        return None
    across, height, direction = value
    return float(across), float(height), float(direction)
