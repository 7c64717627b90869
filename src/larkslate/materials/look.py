"""How a page looks: paper, size of print, ruling, and the writing speed that pauses are reckoned with."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from larkslate import datafile
from larkslate.errors import Malformed, NotAllowed

PAPERS = {"us-letter": 215.9, "a4": 210.0}  # width in millimeters
SIZES = (14, 18, 24)  # points; 18 and 24 are the large prints
MARGIN = 18.0  # left and right, millimeters

# Copying speed, grade 3: means of 45 to 50 letters a minute (attributed to Graham et al. 1998 in a public
# handout); the slower figure leaves nobody behind.
SPEED = 45
SETTLE = 3  # seconds a child needs before the pencil moves; our proposal


@dataclass(frozen=True, slots=True)
class Ruling:
    """Writing lines, in millimeters: top line to baseline, baseline to descender line, clear gap.

    ``letter`` is the room that one written letter takes along the line.
    """

    name: str
    height: float
    below: float
    gap: float
    letter: float

    @property
    def pitch(self) -> float:
        """From one top line to the next."""
        return self.height + self.below + self.gap


@lru_cache(maxsize=1)
def _tables() -> tuple[dict[str, Ruling], dict[int, str]]:
    """The rulings and the ruling for each size of print, from data/rulings.toml."""
    table = datafile.read_toml("materials", "rulings.toml")
    rulings: dict[str, Ruling] = {}
    for name, cells in table["ruling"].items():
        lengths = [cells.get(k) for k in ("height", "below", "gap", "letter")]
        if not all(isinstance(x, float) and x > 0 for x in lengths):
            raise Malformed(
                f"materials/rulings.toml, ruling {name}: height, below, gap and letter "
                "must be lengths in millimeters above zero."
            )
        rulings[name] = Ruling(name, *lengths)
    sizes = {int(size): str(name) for size, name in table["for-size"].items()}
    for size in SIZES:
        if sizes.get(size) not in rulings:
            raise Malformed(f"materials/rulings.toml: no ruling is named for size {size}.")
    return rulings, sizes


def rulings() -> dict[str, Ruling]:
    """The rulings by name."""
    return _tables()[0]


@dataclass(frozen=True, slots=True)
class Look:
    """The options of a document. ``size`` in points, ``speed`` in letters a minute."""

    paper: str = "us-letter"
    size: int = 14
    ruling: str | None = None
    speed: int = SPEED
    two_sided: bool = False
    left_handed: bool = False

    def __post_init__(self) -> None:
        """Check the options. Raises NotAllowed with the choices there are."""
        if self.paper not in PAPERS:
            raise NotAllowed(f"There is no paper “{self.paper}”: choose {' or '.join(PAPERS)}.")
        if self.size not in SIZES:
            raise NotAllowed(f"The print size {self.size} is not one of 14, 18 or 24 points.")
        if self.ruling is not None and self.ruling not in rulings():
            raise NotAllowed(
                f"There is no ruling “{self.ruling}”: choose one of {', '.join(rulings())}."
            )
        if not 10 <= self.speed <= 150:
            raise NotAllowed(
                f"A writing speed of {self.speed} letters a minute is not within 10 and 150."
            )

    @property
    def lines(self) -> Ruling:
        """The ruling in use."""
        return rulings()[self.ruling or _tables()[1][self.size]]

    @property
    def width(self) -> float:
        """The width between the margins, in millimeters."""
        return PAPERS[self.paper] - 2 * MARGIN

    def fits(self, width: float) -> int:
        """How many written letters go on a line of this many millimeters."""
        return max(1, int(width / self.lines.letter))

    def pause(self, letters: int, *, settle: bool = True) -> int:
        """Seconds to wait while this many letters are written."""
        return math.ceil(letters * 60 / self.speed) + (SETTLE if settle else 0)

    def data(self) -> dict[str, Any]:
        """What the templates need to know."""
        lines = self.lines
        return {
            "paper": self.paper,
            "size": self.size,
            "margin": MARGIN,
            "two_sided": self.two_sided,
            "left_handed": self.left_handed,
            "ruling": {"height": lines.height, "below": lines.below, "gap": lines.gap},
        }
