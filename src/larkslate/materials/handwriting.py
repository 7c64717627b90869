"""Handwriting on the printed pages: rows of models, copies to trace and room to write, from the strokes."""

from __future__ import annotations

from dataclasses import dataclass, replace

from larkslate.handwriting.sheets import Paper, Row, paper, review_sheet, word_sheet
from larkslate.materials.look import Look
from larkslate.materials.runs import typographic
from larkslate.plan.model import LetterItem

# Rows of words after the letters on a student sheet, and on one that is set tight; the practice page has all.
WORDS_ON_SHEET, WORDS_TIGHT = 2, 1
TIGHT_GAP = 2.2  # millimeters between rows that are set tight


@dataclass(frozen=True, slots=True)
class Figure:
    """One ruled row as an SVG document, and the same in words."""

    svg: str
    alt: str


def _on(look: Look) -> Paper:
    """The writing space of a page."""
    return paper(
        rule=replace(look.lines, gap=TIGHT_GAP) if look.tight else look.lines,
        width=look.width,
        slant=look.slant,
        left_handed=look.left_handed,
        pulled_bars=look.left_handed,
    )


def _figures(rows: tuple[Row, ...]) -> tuple[Figure, ...]:
    return tuple(Figure(row.svg, typographic(row.alt)) for row in rows)


def sheet_rows(item: LetterItem, look: Look) -> tuple[Figure, ...]:
    """Rows for a lesson's sheet: one for each letter or join, then one for each of the first words."""
    on = _on(look)
    rows = review_sheet(item.letters, look.hand, on).rows if item.letters else ()
    some = item.words[: WORDS_TIGHT if look.tight else WORDS_ON_SHEET]
    words = word_sheet(some, look.hand, on).rows
    return _figures((*rows, *words))
