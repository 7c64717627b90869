"""How a page looks: paper, size of print, ruling, and the writing speed that pauses are reckoned with."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from larkslate.errors import NotAllowed
from larkslate.handwriting.letters import Hand
from larkslate.handwriting.rulings import Ruling, ruling

PAPERS = {"us-letter": 215.9, "a4": 210.0}  # width in millimeters
# Sizes of what children read, in points, each with its ruling; 18 and 24 are the large prints.
SIZES = {14: "grade 3", 18: "grade 2", 24: "grade 1"}
MARGIN = 18.0  # left and right, millimeters

# Copying speed, grade 3: means of 45 to 50 letters a minute (attributed to Graham et al. 1998 in a public
# handout); the slower figure leaves nobody behind.
SPEED = 45
SETTLE = 3  # seconds a child needs before the pencil moves; our proposal

# The room one letter of a child takes along the line, as a part of the height of the top line: about as
# wide as it is high between baseline and midline. An estimate of ours.
LETTER = 0.46
TALLEST = 25.0  # millimeters; a taller set leaves no room on a sheet


@dataclass(frozen=True, slots=True)
class Look:
    """The options of a document. ``size`` in points, ``speed`` in letters a minute.

    ``slant`` of the handwriting in degrees, ``ruling`` is a size of the handwriting room ("grade 3") or millimeters from baseline to top line.
    """

    paper: str = "us-letter"
    size: int = 14
    ruling: str | float | None = None
    speed: int = SPEED
    two_sided: bool = False
    left_handed: bool = False
    hand: Hand = Hand.JOINED
    slant: float = 0.0
    tight: bool = False  # less room between writing lines, where a lesson would run on

    def __post_init__(self) -> None:
        """Check the options. Raises NotAllowed or Missing with the choices there are."""
        if self.paper not in PAPERS:
            raise NotAllowed(f"There is no paper “{self.paper}”: choose {' or '.join(PAPERS)}.")
        if self.size not in SIZES:
            raise NotAllowed(f"The print size {self.size} is not one of 14, 18 or 24 points.")
        if not 10 <= self.speed <= 150:
            raise NotAllowed(
                f"A writing speed of {self.speed} letters a minute is not within 10 and 150."
            )
        if self.lines.height > TALLEST:
            raise NotAllowed(
                f"A ruling of {self.lines.height:g} mm is for the board: "
                f"choose {TALLEST:g} mm or less for paper."
            )

    @property
    def lines(self) -> Ruling:
        """The ruling in use."""
        return ruling("four-line", SIZES[self.size] if self.ruling is None else self.ruling)

    @property
    def width(self) -> float:
        """The width between the margins, in millimeters."""
        return PAPERS[self.paper] - 2 * MARGIN

    def fits(self, width: float) -> int:
        """How many written letters go on a line of this many millimeters."""
        return max(1, int(width / (self.lines.height * LETTER)))

    def pause(self, letters: int) -> int:
        """Seconds to wait while this many letters are written."""
        return math.ceil(letters * 60 / self.speed) + SETTLE

    def data(self) -> dict[str, Any]:
        """What the templates need to know; lengths in millimeters, lines from the top line down."""
        lines = self.lines
        return {
            "paper": self.paper,
            "size": self.size,
            "margin": MARGIN,
            "two_sided": self.two_sided,
            "left_handed": self.left_handed,
            "ruling": {
                "height": lines.height,
                "set": lines.set_height,
                "gap": lines.gap,
                "lines": [
                    {
                        "down": lines.height - line.at * lines.scale,
                        "color": line.color,
                        "width": line.width,
                        "dash": line.dash,
                        "space": line.space,
                    }
                    for line in lines.lines
                ],
            },
        }
