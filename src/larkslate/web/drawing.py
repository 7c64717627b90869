"""What a page needs to draw a word: cells of letters with their sounds, and lines said in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from larkslate.words.model import MorphemeKind, Status, SyllableDetail, SyllableType
from larkslate.words.sounds import respell, to_ipa

if TYPE_CHECKING:
    from larkslate.sequence.model import Point
    from larkslate.sequence.reach import Reach
    from larkslate.words.model import Grapheme, Reading, Word

WHOLE = ("odd:", "word:")  # skills of a word that is learned whole
LONG, LONGEST = 7, 11  # letters from which a word is set smaller

TYPES = {
    SyllableType.CLOSED: "closed",
    SyllableType.OPEN: "open",
    SyllableType.VCE: "vowel–consonant–e",
    SyllableType.TEAM: "vowel team",
    SyllableType.VOWEL_R: "vowel–r",
    SyllableType.CONSONANT_LE: "consonant–le",
    SyllableType.ODD: "odd",
}
DETAILS = {
    SyllableDetail.CLOSED_LONG: "but long",
    SyllableDetail.E_DROPPED: "e dropped",
    SyllableDetail.WEAK_E: "weak e",
    SyllableDetail.STABLE_ENDING: "fixed ending",
}
KINDS = {
    MorphemeKind.PREFIX: "prefix",
    MorphemeKind.BASE: "base",
    MorphemeKind.SUFFIX: "suffix",
    MorphemeKind.ENDING: "ending",
}
TRUST = {
    Status.REVIEWED: "Read and confirmed one by one.",
    Status.CHECKED: "Two separate machine checks agree; no person has read it yet.",
    Status.AUTOMATIC: "Worked out by rule; no person has read it yet.",
    Status.FALLBACK: "The rules do not fit this word cleanly: check it before you teach it.",
    Status.UNKNOWN: "Not in the word list.",
}


@dataclass(frozen=True, slots=True)
class Cell:
    """Letters that stand together in the drawing, and the sound beneath them.

    ``link`` is "start", "through" or "end" of the line above a split vowel, else "".
    """

    letters: str
    sound: str
    silent: bool = False
    link: str = ""
    odd: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A syllable or a morpheme: its letters and a line beneath."""

    letters: str
    note: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Needed:
    """A teaching point that a word needs, the letters concerned, and the unit.

    ``whole`` is true where the word is learned whole, whatever the point.
    """

    letters: str
    point: Point | None
    unit: int | None
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Drawn:
    """One reading, ready for the page."""

    ipa: str
    said: str
    pos: tuple[str, ...]
    cells: tuple[Cell, ...]
    syllables: tuple[Part, ...]
    also: tuple[str, ...]
    parts: tuple[Part, ...]
    needs: tuple[Needed, ...]
    why: tuple[str, ...]


def size(word: str) -> str:
    """How large a word is set: "large", "middle" or "small"."""
    return "small" if len(word) >= LONGEST else "middle" if len(word) >= LONG else "large"


def _links(graphemes: tuple[Grapheme, ...]) -> dict[int, str]:
    """For each letter index under the line of a split vowel, its part of the line."""
    links: dict[int, str] = {}
    for grapheme in graphemes:
        if len(grapheme.spans) < 2:
            continue
        first, last = grapheme.spans[0], grapheme.spans[-1]
        for index in range(first[1], last[0]):
            links[index] = "through"
        links[first[0]] = "start"
        links[last[0]] = "end"
    return links


def cells(word: str, reading: Reading) -> tuple[Cell, ...]:
    """The letters of a word grouped by sound, in order; letters no sound claims stand alone."""
    links = _links(reading.graphemes)
    starts = {
        span[0]: (span, number, grapheme)
        for grapheme in reading.graphemes
        for number, span in enumerate(grapheme.spans)
    }
    drawn: list[Cell] = []
    index = 0
    while index < len(word):
        if index not in starts:
            drawn.append(Cell(word[index], "", link=links.get(index, "")))
            index += 1
            continue
        (start, end), number, grapheme = starts[index]
        odd = any(a < end and start < b for a, b in reading.odd)
        silent = not grapheme.phonemes
        sound = "" if number or silent else respell(grapheme.phonemes)
        drawn.append(Cell(word[start:end], sound, silent, links.get(start, ""), odd))
        index = max(end, index + 1)
    return tuple(drawn)


def _syllables(reading: Reading) -> tuple[Part, ...]:
    alone = len(reading.syllables) == 1
    return tuple(
        Part(
            s.letters,
            ", ".join([TYPES[s.type], *([DETAILS[s.detail]] if s.detail else [])]),
            strong=s.stress == 1 and not alone,
        )
        for s in reading.syllables
    )


def _parts(reading: Reading) -> tuple[Part, ...]:
    return tuple(
        Part(
            m.letters,
            KINDS[m.kind] + (f", written alone: {m.form}" if m.form != m.letters else ""),
            strong=m.kind is MorphemeKind.BASE,
        )
        for m in reading.morphemes
    )


def _needs(word: str, reading: Reading, reach: Reach) -> tuple[Needed, ...]:
    """The points a reading needs, in the order taught, each once with all its letters."""
    sequence = reach.sequence
    found: dict[tuple[int, bool], list[str]] = {}
    never = len(sequence.points)
    for need in reading.needs:
        since = reach.since_skill(need.skill)
        letters = "…".join(word[a:b] for a, b in need.spans)
        whole = need.skill.startswith(WHOLE)
        shown = found.setdefault((never if since is None else since, whole), [])
        if letters and letters not in shown:
            shown.append(letters)
    rows = []
    for place, whole in sorted(found):
        point = sequence.points[place] if place < never else None
        theme = sequence.theme_of(point.id) if point else None
        letters = ", ".join(found[place, whole])
        rows.append(Needed(letters, point, theme.number if theme else None, whole))
    return tuple(rows)


def draw(word: Word, reach: Reach) -> tuple[Drawn, ...]:
    """Every reading of a word, ready for the page."""
    return tuple(
        Drawn(
            ipa=to_ipa(r.phonemes),
            said=respell(r.phonemes),
            pos=r.pos,
            cells=cells(word.word, r),
            syllables=_syllables(r),
            also=tuple(a.replace("-", "·") for a in r.also),
            parts=_parts(r),
            needs=_needs(word.word, r, reach),
            why=tuple(s.teacher for s in r.why),
        )
        for r in word.readings
    )
