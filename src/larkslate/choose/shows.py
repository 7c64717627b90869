"""What shows a point: which words carry its pattern, and at which letters.

A word may need a skill of a point without showing the point: *yellow* has ll, but a lesson on ll at the end of a
short word is not shown by it. The table ``data/shows.toml`` says where the letters must stand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from larkslate.datafile import read_toml
from larkslate.errors import Malformed
from larkslate.sequence.model import Sequence
from larkslate.words.model import MorphemeKind, Need, Reading, Span, Spans, Word
from larkslate.words.sounds import SHORT_VOWELS, bare, is_vowel

# Full and all have one vowel letter, but not its short sound.
NOT_SHORT = (("u", "UH"), ("a", "AO"))
PLACES = ("", "base-end", "word-end", "base")
SOURCES = ("word", "contraction", "owner", "choice", "capital")
KEYS = {
    "skills", "without", "where", "base_syllables", "short", "only", "closed", "column", "label",
    "except",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Pattern:
    """What a word must have to show a point; see the head of the table."""

    point: str
    skills: tuple[str, ...]
    without: tuple[str, ...] = ()
    where: str = ""
    base_syllables: int | None = None
    short: bool = False
    only: str = "word"
    closed: bool = False
    column: str = ""
    label: str = ""
    exceptions: frozenset[str] = frozenset()

    def carries(self, skill: str) -> bool:
        """True for a skill that carries the point."""
        return _among(skill, self.skills)


@cache
def _among(skill: str, names: tuple[str, ...]) -> bool:
    return any(skill == n or (n.endswith("*") and skill.startswith(n[:-1])) for n in names)


def _pattern(point: str, entry: dict[str, Any]) -> Pattern:
    where = f"choose/data/shows.toml, point {point}"
    unknown = set(entry) - KEYS
    if unknown:
        raise Malformed(f"{where}: {', '.join(sorted(unknown))} is not a key of this table.")
    if not entry.get("skills"):
        raise Malformed(f"{where}: skills is missing or empty.")
    if entry.get("where", "") not in PLACES:
        raise Malformed(f"{where}: where must be one of {', '.join(PLACES[1:])}.")
    if entry.get("only", "word") not in SOURCES:
        raise Malformed(f"{where}: only must be one of {', '.join(SOURCES)}.")
    return Pattern(
        point=point,
        skills=tuple(entry["skills"]),
        without=tuple(entry.get("without", ())),
        where=entry.get("where", ""),
        base_syllables=entry.get("base_syllables"),
        short=entry.get("short", False),
        only=entry.get("only", "word"),
        closed=entry.get("closed", False),
        column=entry.get("column", ""),
        label=entry.get("label", ""),
        exceptions=frozenset(entry.get("except", ())),
    )


@lru_cache(maxsize=1)
def table() -> Mapping[str, Pattern]:
    """The patterns by point id. Raises Malformed naming a bad entry."""
    return {point: _pattern(point, e) for point, e in read_toml("choose", "shows.toml").items()}


def pattern(sequence: Sequence, point: str) -> Pattern:
    """The pattern of a point; a point that is not in the table is shown by every skill it teaches."""
    found = table().get(point)
    if found is not None:
        return found
    taught = sequence.point(point)
    return Pattern(point, taught.skills, column=taught.name, label=taught.name)


def _base_spans(reading: Reading, length: int) -> tuple[Span, ...]:
    bases = tuple(m.span for m in reading.morphemes if m.kind is MorphemeKind.BASE)
    return bases or ((0, length),)


def _vowels_in(reading: Reading, span: Span) -> int:
    return sum(
        1
        for g in reading.graphemes
        if span[0] <= g.start < span[1] and any(is_vowel(p) for p in g.phonemes)
    )


def _short_before(reading: Reading, start: int) -> bool:
    """One vowel letter with its short sound right before a letter index."""
    before = next((g for g in reading.graphemes if g.end == start), None)
    return (
        before is not None
        and len(before.letters) == 1
        and len(before.phonemes) == 1
        and bare(before.phonemes[0]) in SHORT_VOWELS
        and (before.letters, bare(before.phonemes[0])) not in NOT_SHORT
    )


def _fits(need: Need, rule: Pattern, reading: Reading, length: int) -> bool:
    bases = _base_spans(reading, length)
    if not need.spans:
        return not rule.where
    start, end = need.spans[0][0], need.spans[-1][1]
    if rule.where == "word-end" and end != length:
        return False
    base = next((b for b in bases if b[0] <= start < b[1]), None)
    if rule.where in ("base", "base-end") and base is None:
        return False
    if base is not None and rule.where == "base-end" and end != base[1]:
        return False
    if base is not None and rule.where == "base" and end > base[1]:
        return False
    if rule.base_syllables is not None and (
        base is None or _vowels_in(reading, base) != rule.base_syllables
    ):
        return False
    return not rule.short or _short_before(reading, start)


def spans_showing(word: Word, rule: Pattern) -> Spans:
    """The letters of a word that show the point; empty where it does not show it."""
    if not word.readings or word.word.lower() in rule.exceptions:
        return ()
    reading = word.first
    if any(_among(n.skill, rule.without) for n in reading.needs):
        return ()
    found: list[Span] = []
    for need in reading.needs:
        if rule.carries(need.skill) and _fits(need, rule, reading, len(word.word)):
            found += _whole_ending(need) or ((0, len(word.word)),)
    return tuple(sorted(set(found)))


def _whole_ending(need: Need) -> Spans:
    """The letters of a need; a weak ending such as el is shown with its consonant."""
    tail = need.skill.removeprefix("weak:")
    if len(need.spans) == 1 and tail != need.skill and len(tail) == 2 and tail.isalpha():
        start, end = need.spans[0]
        return ((start, max(end, start + 2)),)
    return need.spans
