"""Strokes, joins, ruled lines: any word written as a class is taught to write it."""

from larkslate.handwriting.chart import chart
from larkslate.handwriting.drawing import Look, Trace, describe, stroke_texts, svg
from larkslate.handwriting.joining import Stroke, Written, to_json, write
from larkslate.handwriting.letters import LINES, Hand, Letter, letter, letters
from larkslate.handwriting.order import joins_in, met, order, words_for, writable
from larkslate.handwriting.rulings import Ruling, ruling
from larkslate.handwriting.sheets import (
    Paper,
    Row,
    Sheet,
    empty_row,
    letter_sheet,
    name_sheet,
    paper,
    path_sheet,
    review_sheet,
    sentence_sheet,
    word_sheet,
)

__all__ = [
    "LINES",
    "Hand",
    "Letter",
    "Look",
    "Paper",
    "Row",
    "Ruling",
    "Sheet",
    "Stroke",
    "Trace",
    "Written",
    "chart",
    "describe",
    "empty_row",
    "joins_in",
    "letter",
    "letter_sheet",
    "letters",
    "met",
    "name_sheet",
    "order",
    "paper",
    "path_sheet",
    "review_sheet",
    "ruling",
    "sentence_sheet",
    "stroke_texts",
    "svg",
    "to_json",
    "word_sheet",
    "words_for",
    "writable",
    "write",
]
