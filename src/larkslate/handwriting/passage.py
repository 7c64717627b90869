"""Any text as one drawing of several ruled lines, for a screen: what the pen page and the moving pen show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from larkslate.handwriting.drawing import (
    GUIDE_ROOM,
    MARGIN,
    Look,
    describe,
    document,
    ink,
    rules,
)
from larkslate.handwriting.joining import Written
from larkslate.handwriting.letters import Hand
from larkslate.handwriting.rulings import Ruling
from larkslate.handwriting.sheets import Paper, lines_of, paper


@dataclass(frozen=True, slots=True)
class Passage:
    """Lines of writing: an SVG document, its size in mm, how many strokes, and what was done about the text."""

    svg: str
    width: float
    height: float
    em: float  # mm from the baseline to the top line
    strokes: int
    notices: tuple[str, ...]


def passage(
    text: str,
    hand: Hand | str = Hand.JOINED,
    on: Paper | None = None,
    look: Look | None = None,
    *,
    fill: bool = False,
) -> Passage:
    """``text`` broken into lines that fit the paper, as wide as its longest line (``fill``: as the paper).

    Line ends of the text are kept. Raises what ``write`` raises.
    """
    page = paper() if on is None else on
    shown = Look() if look is None else look
    margin = MARGIN + (GUIDE_ROOM * page.ruling.scale if shown.arrows or shown.numbers else 0.0)
    inner = replace(page, width=page.width - 2 * margin)
    lines: list[tuple[Written, Ruling]] = []
    notices: dict[str, None] = {}
    for part in text.splitlines():
        broken, said = lines_of(part, hand, inner)
        lines += broken
        notices.update(dict.fromkeys(said))
    return _stacked(lines, page, shown, margin, tuple(notices), fill)


def _stacked(
    lines: Sequence[tuple[Written, Ruling]],
    page: Paper,
    look: Look,
    margin: float,
    notices: tuple[str, ...],
    fill: bool,
) -> Passage:
    widest = max((w.width * rule.scale for w, rule in lines), default=0.0)
    width = page.width if fill else min(page.width, widest + 2 * margin)
    body: list[str] = []
    down = margin
    for written, rule in lines:
        body.append(rules(rule, width, down))
        body.append(ink(written, look, rule, margin, down + rule.height))
        down += rule.pitch
    height = (down - lines[-1][1].gap if lines else down) + margin
    alt = " ".join(describe(written) for written, _ in lines) or "No writing."
    return Passage(
        document(width, height, body, alt),
        width,
        height,
        page.ruling.height,
        sum(len(written.strokes) for written, _ in lines),
        notices,
    )
