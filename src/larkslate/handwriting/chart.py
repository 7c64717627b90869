"""A chart: many letters, pairs or words side by side on ruled lines, for a wall or for a careful look."""

from __future__ import annotations

from collections.abc import Sequence

from larkslate.errors import NotAllowed
from larkslate.handwriting.drawing import GUIDE_ROOM, Look, document, ink, look_of, rules
from larkslate.handwriting.joining import write
from larkslate.handwriting.letters import Hand
from larkslate.handwriting.rulings import Ruling, ruling

# Free room on both sides of a cell, as a share of the writing's height, and between cells in mm.
ROOM = 0.1
BETWEEN = 1.5


def chart(
    texts: Sequence[str],
    hand: Hand | str = Hand.JOINED,
    *,
    rule: Ruling | None = None,
    width: float = 260.0,
    slant: float = 0.0,
    look: Look | None = None,
    title: str = "",
) -> str:
    """An SVG document ``width`` mm wide with each text in a ruled cell, in rows as they fit.

    Raises NotAllowed where one text is wider than the chart.
    """
    rule = ruling() if rule is None else rule
    look = look_of("solid") if look is None else look
    guided = look.arrows or look.numbers
    room = ROOM * rule.height + (GUIDE_ROOM * rule.scale if guided else 0.0)
    top = room if guided else max(1.0, 0.06 * rule.height)
    row_height = top + rule.set_height + 0.1 * rule.height
    body = ['<rect width="100%" height="100%" fill="#ffffff"/>']
    x, y = 0.0, 0.0
    for text in texts:
        written = write(text, hand, slant=slant)
        cell = written.width * rule.scale + 2 * room
        if cell > width:
            raise NotAllowed(
                f"“{text}” needs {cell:.0f} mm and the chart has {width:g}: write it smaller."
            )
        if x and x + cell > width:
            x, y = 0.0, y + row_height
        body.append(rules(rule, x + cell, y + top, x))
        body.append(ink(written, look, rule, x + room, y + top + rule.height))
        x += cell + BETWEEN
    label = title or f"Chart of {', '.join(texts)}."
    return document(width, y + row_height, body, label)
