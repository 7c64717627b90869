"""The letters of a word as division sees them: vowels, consonants and silent letters in order.

A unit is a grapheme with two differences: r is taken off a vowel (so that it may go right when a vowel
follows), and the final e of a split vowel stands alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from larkslate.words.model import Grapheme
from larkslate.words.sounds import bare

VOWEL_LETTERS = frozenset("aeiouy")
_LONG = frozenset({"EY", "IY", "AY", "OW", "UW", "OY", "AW"})
SPLIT_SILENT = {
    "st": 1,
    "sc": 1,
    "bt": 1,
    "ft": 1,
    "cqu": 1,
    "pph": 1,
    "tth": 1,
    "rrh": 1,
    "cch": 1,
    "xh": 1,
    "dj": 1,
    "xc": 1,
    "pb": 1,
}
DOUBLES = frozenset(
    ["bb", "cc", "dd", "ff", "gg", "kk", "ll", "mm", "nn", "pp", "rr", "ss", "tt", "vv", "zz"]
)


@dataclass(frozen=True, slots=True)
class Unit:
    """A grapheme as division sees it: r is taken off a vowel, a split vowel's e stands alone."""

    letters: str
    start: int
    end: int
    sounds: tuple[str, ...]
    vowel: str | None  # the vowel sound with its digit, where this unit carries a written syllable
    colored: bool = False  # the sound of r was inside the vowel
    after_w: bool = False  # a after the sound /w/ is said as in want

    @property
    def silent(self) -> bool:
        """True for letters without a sound of their own."""
        return not self.sounds and self.vowel is None and not self.colored


def _has_vowel_letter(letters: str) -> bool:
    return any(c in VOWEL_LETTERS or c == "w" for c in letters)


def units_of(word: str, graphemes: Sequence[Grapheme]) -> list[Unit]:
    """Units in the order of their letters; letters no grapheme covers become silent units."""
    parts: list[Unit] = []
    ordered = sorted(graphemes, key=lambda g: g.start)
    for k, g in enumerate(ordered):
        first, *rest = g.spans
        vowels = [p for p in g.phonemes if p[-1].isdigit()]
        letters = word[first[0] : first[1]].lower()
        parts.extend(Unit(word[a:b].lower(), a, b, (), None) for a, b in rest)
        if letters in {"ed", "e"} and k and _syllabic_l(ordered[k - 1]):
            # ruffled as l + ed: the written syllable is -fled, with its e
            at = first[0] + 1
            parts.append(Unit("e", first[0], at, ("AH0",), "AH0"))
            if at < first[1]:
                parts.append(Unit(letters[1:], at, first[1], g.phonemes, None))
        elif letters == "n" and vowels and word[first[1] : first[1] + 1] in {"'", "’"}:
            parts.append(Unit("n", *first, g.phonemes, vowels[0]))  # did·n't
        elif len(vowels) > 1 and len(letters) > 1 and all(c in VOWEL_LETTERS for c in letters):
            at = first[0] + 1  # two vowel sounds in one grapheme: the first letter has the first
            parts.append(Unit(letters[0], first[0], at, (vowels[0],), vowels[0]))
            parts.append(Unit(letters[1:], at, first[1], (vowels[1],), vowels[1]))
        elif vowels and _has_vowel_letter(letters):
            parts.extend(_vowel_units(letters, first[0], g.phonemes, vowels[0]))
        else:
            parts.extend(_consonant_units(letters, first[0], g.phonemes))
    parts.sort(key=lambda u: u.start)
    out: list[Unit] = []
    here = 0
    for unit in parts:
        if unit.start > here:
            out.append(Unit(word[here : unit.start].lower(), here, unit.start, (), None))
        out.append(unit)
        here = max(here, unit.end)
    if here < len(word):
        out.append(Unit(word[here:].lower(), here, len(word), (), None))
    marked = [
        replace(u, after_w=True) if u.letters == "a" and "W" in before.sounds else u
        for before, u in zip([Unit("", 0, 0, (), None), *out], out, strict=False)
    ]
    return _joined_nuclei(marked)


def _syllabic_l(g: Grapheme) -> bool:
    return g.letters in {"l", "ll"} and g.phonemes[:1] == ("AH0",)


def _vowel_units(letters: str, start: int, phonemes: tuple[str, ...], vowel: str) -> Iterator[Unit]:
    """A vowel grapheme without the consonant letters at its edges: *le*, *ar*, *ire*, *ho* of hour."""
    head = 0
    while head < len(letters) - 1 and letters[head] not in VOWEL_LETTERS and letters[head] != "w":
        head += 1
    if head:
        yield Unit(letters[:head], start, start + head, ("L",) if "L" in phonemes else (), None)
    body = letters[head:]
    r = body.find("r")
    if r > 0:
        yield Unit(body[:r], start + head, start + head + r, (vowel,), vowel, colored=True)
        tail = r
        while tail < len(body) and body[tail] == "r":
            tail += 1
        yield Unit(body[r:tail], start + head + r, start + head + tail, ("R",), None)
        if tail < len(body):
            yield Unit(body[tail:], start + head + tail, start + len(letters), (), None)
        return
    sounds = (vowel, "L") if head and "L" in phonemes else (vowel,)  # the e of table carries the l
    yield Unit(body, start + head, start + len(letters), sounds, vowel)


def _consonant_units(letters: str, start: int, phonemes: tuple[str, ...]) -> Iterator[Unit]:
    """A consonant grapheme, with *ng* for two sounds parted."""
    if letters == "ng" and len(phonemes) == 2:
        yield Unit("n", start, start + 1, phonemes[:1], None)
        yield Unit("g", start + 1, start + 2, phonemes[1:], None)
        return
    yield Unit(letters, start, start + len(letters), phonemes, None)


def _joined_nuclei(units: list[Unit]) -> list[Unit]:
    """Make *re* after a vowel (fire as i + re) part of it: one written syllable."""
    out: list[Unit] = []
    for unit in units:
        before = out[-1] if out else None
        if (
            unit.vowel is not None
            and before is not None
            and before.letters == "r"
            and unit.letters == "e"
            and not unit.colored
            and bare(unit.vowel) == "ER"
            and len(out) > 1
            and out[-2].vowel is not None
        ):
            out.append(replace(unit, vowel=None, sounds=()))
            continue
        out.append(unit)
    return out


def is_short(unit: Unit) -> bool:
    """True for a stressed vowel that a consonant closes: robin, weather, cousin, cookie."""
    if unit.vowel is None or unit.vowel[-1] == "0":
        return False
    sound = bare(unit.vowel)
    if sound in _LONG or sound == "ER":
        return False
    if len(unit.letters) == 1:
        if unit.letters == "a":
            return sound in {"AE", "EH", "IH"} or (unit.after_w and sound in {"AA", "AO"})
        if unit.letters == "o":
            return sound in {"AA", "AO", "AH", "UH", "IH"}
        return True
    return sound in {"EH", "AH", "UH", "IH", "AE"}


def is_long(unit: Unit) -> bool:
    """True for a vowel with one of the long sounds, or one that glides."""
    return unit.vowel is not None and bare(unit.vowel) in _LONG


def is_stressed(unit: Unit) -> bool:
    """True for a vowel with primary or secondary stress."""
    return unit.vowel is not None and unit.vowel[-1] in "12"


def pieces_of(units: Sequence[Unit]) -> list[Unit]:
    """The consonants between two vowels, doubled letters as two."""
    out: list[Unit] = []
    for u in units:
        if u.letters in DOUBLES:
            middle = u.start + 1
            out.append(replace(u, letters=u.letters[0], end=middle))
            out.append(replace(u, letters=u.letters[1], start=middle))
        elif u.letters in SPLIT_SILENT and len(u.sounds) <= 2:
            middle = u.start + SPLIT_SILENT[u.letters]
            out.append(replace(u, letters=u.letters[: middle - u.start], end=middle))
            out.append(replace(u, letters=u.letters[middle - u.start :], start=middle))
        else:
            out.append(u)
    return out
