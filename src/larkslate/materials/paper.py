"""The dictation paper: words, sentences, a passage with gaps, the map of the lake, choose and say why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from larkslate import datafile
from larkslate.errors import Malformed, NotAllowed
from larkslate.materials.look import LETTER, Look
from larkslate.materials.passage import pieces
from larkslate.materials.runs import Runs, Style, label, letters, prose, typographic
from larkslate.materials.sheet import (
    Label,
    Pair,
    Part,
    Row,
    Sheet,
    Written,
    text_row,
    word_row,
    wrap,
)
from larkslate.materials.wording import wording
from larkslate.plan.model import ChoosePair, Dictation, Lesson, Passage, PlaceName

GAP_LEAST, GAP_MOST = (
    30.0,
    62.0,
)  # width of a gap, millimeters: one width for all, so it gives nothing away
CLOSED_UP = 1.05  # a gap is for one word, with a little room before and after


@dataclass(frozen=True, slots=True)
class Spot:
    """A place of the map: what it is, where it lies in words, its spot and label in millimeters."""

    place: str
    where: str
    at: tuple[float, float]
    label: tuple[float, float]


@lru_cache(maxsize=1)
def spots() -> tuple[Spot, ...]:
    """The places of the map in the order they are named, from data/lake.toml."""
    found: list[Spot] = []
    for number, cells in enumerate(datafile.read_toml("materials", "lake.toml")["place"], start=1):
        try:
            at, corner = (tuple(float(x) for x in cells[k]) for k in ("at", "label"))
            found.append(
                Spot(cells["place"], cells["where"], (at[0], at[1]), (corner[0], corner[1]))
            )
        except (KeyError, TypeError, ValueError, IndexError):
            raise Malformed(
                f"materials/lake.toml, place {number}: place, where, at and label are needed, "
                "the last two as [x, y] in millimeters."
            ) from None
    return tuple(found)


def dictations(lesson: Lesson, form: str | None = None) -> tuple[Dictation, ...]:
    """The dictations of a lesson, all forms or one."""
    return tuple(
        item
        for block in lesson.blocks
        for item in block.items
        if isinstance(item, Dictation) and form in (None, item.form)
    )


def paper(unit: str, lesson: Lesson, dictation: Dictation, look: Look) -> Sheet:
    """The paper of one form. Raises NotAllowed if it names more places than the map has."""
    parts: list[Part] = []
    if dictation.words:
        parts.append(
            _lines(
                "words",
                tuple(word_row(n, w, look) for n, w in enumerate(dictation.words, start=1)),
                "" if sentences_settle(dictation) else "words-alone",
            )
        )
    if dictation.sentences:
        parts.append(
            _lines(
                "sentences",
                tuple(
                    text_row(n, s.text, look) for n, s in enumerate(dictation.sentences, start=1)
                ),
            )
        )
    if dictation.passage:
        parts.append(passage_part(dictation.passage, look))
    if dictation.places:
        parts.append(places_part(dictation.places))
    if dictation.pairs:
        parts.append(pairs_part(dictation.pairs))
    return Sheet(
        lesson.id,
        typographic(lesson.title),
        typographic(unit),
        tuple(replace(part, tight=look.tight) for part in parts),
        form=dictation.form,
    )


def _lines(name: str, rows: tuple[Row, ...], do: str = "") -> Part:
    """Numbered writing lines under a heading of the paper."""
    told = wording(f"paper.{do or name}-do")
    return Part("lines", wording(f"paper.{name}"), prose(told), rows=rows)


def sentences_settle(dictation: Dictation) -> bool:
    """Whether the words of a dictation come with sentences."""
    return any(word.sentence for word in dictation.words)


def passage_part(passage: Passage, look: Look) -> Part:
    """The passage with its gaps and the lines of the sentences written whole."""
    cut = pieces(passage)
    longest = max((len(gap.word) for gap in passage.gaps), default=0)
    width = min(GAP_MOST, max(GAP_LEAST, longest * look.lines.height * LETTER * CLOSED_UP))
    per_line = max(1, int(look.fits(look.width) * 0.9))
    written: list[Written] = []
    for piece in cut:
        runs: Runs = ((piece.text, Style.PLAIN),)
        if piece.number is None:
            written.append(Written("text", prose(piece.text)))
        elif piece.whole:
            written.append(Written("sentence", runs, piece.number, wrap(piece.text, per_line)))
        else:
            written.append(Written("gap", runs, piece.number))
    return Part(
        "passage",
        typographic(passage.title),
        prose(wording(f"paper.passage-do-{('none', 'one', 'more')[min(2, len(passage.write))]}")),
        pieces=tuple(written),
        gap=width,
    )


def places_part(places: tuple[PlaceName, ...]) -> Part:
    """The map with an empty label for each place; the key also lists the other right spellings."""
    if len(places) > len(spots()):
        raise NotAllowed(
            f"The map of the lake has {len(spots())} places to name, not {len(places)}: "
            "leave some out, or add a place to materials/data/lake.toml."
        )
    return Part(
        "places",
        wording("paper.places"),
        prose(wording("paper.places-do")),
        accepted=label(wording("paper.accepted")),
        places=tuple(
            Label(
                number,
                spot.place,
                spot.where,
                spot.at,
                spot.label,
                letters(name.name),
                prose(", ".join(other for other in name.legal if other != name.name)),
            )
            for number, (name, spot) in enumerate(zip(places, spots(), strict=False), start=1)
        ),
    )


def pairs_part(pairs: tuple[ChoosePair, ...]) -> Part:
    """Sentences with a gap and two words to choose from, and a line for the reason."""
    return Part(
        "pairs",
        wording("paper.pairs"),
        prose(wording("paper.pairs-do")),
        why=label(wording("paper.why")),
        pairs=tuple(_pair(number, pair) for number, pair in enumerate(pairs, start=1)),
    )


def _pair(number: int, pair: ChoosePair) -> Pair:
    """One choice. Raises Malformed if the answer is neither of the two."""
    if pair.answer not in pair.choices:
        raise Malformed(
            f"The answer “{pair.answer}” is neither of its choices "
            f"({' or '.join(pair.choices)}): it must be one of them."
        )
    return Pair(
        number,
        prose(pair.before.strip()),
        prose(pair.after.strip()),
        tuple(letters(choice) for choice in pair.choices),
        letters(pair.answer),
        prose(pair.reason),
    )
