"""A dictation passage cut into what is printed, the gaps and the sentences that children write."""

from __future__ import annotations

import re
from dataclasses import dataclass

from larkslate.errors import Malformed
from larkslate.materials.runs import typographic
from larkslate.plan.model import Passage
from larkslate.words.model import Span


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the passage: ``number`` is None for print, else the number of the gap or sentence."""

    text: str
    span: Span
    number: int | None = None
    whole: bool = False  # a sentence written whole


def pieces(passage: Passage) -> tuple[Piece, ...]:
    """The passage in order: print, numbered gaps, sentences written whole (lettered by their number).

    Raises Malformed if a gap word or a sentence is not in the text, or not in that order.
    """
    text = typographic(passage.text)  # one letter for one: spans stay
    taken: list[Piece] = []
    for number, item in enumerate(passage.write, start=1):
        sentence = typographic(item.text)
        at = text.find(sentence)
        if at < 0:
            raise Malformed(
                f"The sentence “{item.text}” is not in the passage “{passage.title}”: "
                "write it as it stands there."
            )
        taken.append(Piece(sentence, (at, at + len(sentence)), number, whole=True))
    after = 0
    for number, gap in enumerate(passage.gaps, start=1):
        span = _find(text, typographic(gap.word), after, [piece.span for piece in taken])
        if span is None:
            raise Malformed(
                f"The word “{gap.word}” is not in the passage “{passage.title}” after gap "
                f"{number - 1}, or only in a sentence written whole: put the gaps in order."
            )
        taken.append(Piece(text[slice(*span)], span, number))
        after = span[1]
    taken.sort(key=lambda piece: piece.span)
    found: list[Piece] = []
    at = 0
    for piece in taken:
        if piece.span[0] > at:
            found.append(Piece(text[at : piece.span[0]], (at, piece.span[0])))
        found.append(piece)
        at = piece.span[1]
    if at < len(text):
        found.append(Piece(text[at:], (at, len(text))))
    return tuple(found)


def _find(text: str, word: str, after: int, closed: list[Span]) -> Span | None:
    """The first place of a whole word outside the closed spans."""
    pattern = re.compile(rf"(?<![\w'’]){re.escape(word)}(?![\w]|['’]\w)", re.IGNORECASE)
    for match in pattern.finditer(text, after):
        if not any(start < match.end() and match.start() < end for start, end in closed):
            return match.span()
    return None


def phrases(passage: Passage) -> tuple[Span, ...]:
    """The spans of the phrases for reading aloud; whole sentences where nobody has cut the text.

    Raises Malformed if the phrases, joined with blanks, are not the text.
    """
    text = typographic(passage.text)
    if not passage.phrases:
        return tuple(m.span() for m in re.finditer(r"\S.*?(?:[.?!][”’]?(?=\s|$)|$)", text))
    spans: list[Span] = []
    at = 0
    for phrase in passage.phrases:
        start = text.find(typographic(phrase), at)
        if start < 0 or text[at:start].strip():
            raise Malformed(
                f"The phrase “{phrase}” does not follow the one before it in the passage "
                f"“{passage.title}”: the phrases must be the text, cut."
            )
        spans.append((start, start + len(phrase)))
        at = start + len(phrase)
    if text[at:].strip():
        raise Malformed(f"The phrases of the passage “{passage.title}” stop before its end.")
    return tuple(spans)


def letters_written(span: Span, cut: tuple[Piece, ...]) -> int:
    """How many letters children write within a span of the passage."""
    return sum(
        sum(
            c.isalpha()
            for c in piece.text[max(0, span[0] - piece.span[0]) : max(0, span[1] - piece.span[0])]
        )
        for piece in cut
        if piece.number is not None
    )
