"""Ruled lines: which lines a page has, how far apart, and how they print."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any

from larkslate import datafile
from larkslate.errors import Malformed, Missing, NotAllowed
from larkslate.handwriting.letters import ROOM

EM = 1000.0
# Smaller than this no school pen writes; larger does not fit a page.
SMALLEST, LARGEST = 3.0, 200.0


@dataclass(frozen=True, slots=True)
class RuledLine:
    """One line of a set: its height in em units, its gray (0 black to 100 white), width and dashes in mm."""

    at: float
    gray: int
    width: float
    dash: float = 0.0
    space: float = 0.0

    @property
    def color(self) -> str:
        """The gray as a color of SVG; it prints the same on a gray printer."""
        level = round(self.gray * 255 / 100)
        return f"#{level:02x}{level:02x}{level:02x}"


@dataclass(frozen=True, slots=True)
class Ruling:
    """A set of lines. ``height`` in mm from the baseline to the top line, ``gap`` in mm to the next set.

    Room for what hangs below the baseline is kept in every set, ruled or not.
    """

    kind: str
    lines: tuple[RuledLine, ...]
    height: float
    gap: float

    @property
    def scale(self) -> float:
        """Millimeters to one em unit."""
        return self.height / EM

    @property
    def set_height(self) -> float:
        """Millimeters from the top line to the descender line."""
        return self.height * 1.5

    @property
    def pitch(self) -> float:
        """Millimeters from one baseline to the next."""
        return self.set_height + self.gap


@cache
def _tables() -> tuple[Mapping[str, tuple[RuledLine, ...]], Mapping[str, tuple[float, float]]]:
    return read_rulings(datafile.read_toml(ROOM, "rulings.toml"))


def read_rulings(
    table: Mapping[str, Any],
) -> tuple[Mapping[str, tuple[RuledLine, ...]], Mapping[str, tuple[float, float]]]:
    """Kinds and sizes from the parsed file. Raises Malformed, naming the entry."""
    try:
        kinds = {
            str(row["name"]): tuple(RuledLine(**line) for line in row["lines"])
            for row in table["kind"]
        }
        sizes = {str(r["name"]): (float(r["height"]), float(r["gap"])) for r in table["size"]}
    except (KeyError, TypeError, ValueError) as error:
        raise Malformed(f"{ROOM}/rulings.toml: {error}.") from None
    for name, lines in kinds.items():
        if not any(line.at == 0 for line in lines):
            raise Malformed(f"{ROOM}/rulings.toml: {name} has no baseline (a line at 0).")
    return MappingProxyType(kinds), MappingProxyType(sizes)


def kinds() -> tuple[str, ...]:
    """The names of the rulings."""
    return tuple(_tables()[0])


def sizes() -> Mapping[str, tuple[float, float]]:
    """Named sizes: height and gap in mm."""
    return _tables()[1]


def ruling(
    kind: str = "four-line",
    size: str | float = "grade 3",
    *,
    gap: float | None = None,
) -> Ruling:
    """A ruling of a kind in a named size or in mm from baseline to top line.

    Raises Missing for an unknown name and NotAllowed for a size no page can take.
    """
    lines_of, size_of = _tables()
    if kind not in lines_of:
        raise Missing(f"There is no ruling “{kind}”: choose {', '.join(lines_of)}.")
    if isinstance(size, str):
        if size not in size_of:
            raise Missing(f"There is no size “{size}”: choose {', '.join(size_of)}, or give mm.")
        height, usual = size_of[size]
    else:
        height, usual = float(size), float(size) * 0.5
    if not SMALLEST <= height <= LARGEST:
        raise NotAllowed(
            f"A height of {height:g} mm cannot be written: choose {SMALLEST:g} to {LARGEST:g} mm."
        )
    chosen = usual if gap is None else gap
    if chosen < 0:
        raise NotAllowed(
            f"A gap of {chosen:g} mm would lay lines over each other: choose 0 or more."
        )
    return Ruling(kind, lines_of[kind], height, chosen)


def resized(old: Ruling, height: float) -> Ruling:
    """The same ruling in another height, the gap in proportion."""
    return replace(old, height=height, gap=old.gap * height / old.height)
