"""The values of the sequence room: points, themes, and the sequence that orders them.

A *point* is one teaching point: it teaches skills. A *theme* is a unit: points that belong together, taught
in 5 to 15 lessons. K-2 points are what a grade-3 class is assumed to bring. Order is the order of the list.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from larkslate.errors import Missing

K2 = "K2"


@dataclass(frozen=True, slots=True)
class Example:
    """A word that shows a point. ``later`` names points taught later that the word also contains."""

    word: str
    later: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A word that looks or sounds as if it followed the point, and why it does not."""

    word: str
    why: str


@dataclass(frozen=True, slots=True)
class Point:
    """One teaching point. ``rule`` and ``exception`` are said to the class as they stand."""

    id: str
    name: str
    rule: str
    exception: str | None
    k2: bool
    prerequisites: tuple[str, ...]
    standards: tuple[str, ...]
    skills: tuple[str, ...]
    examples: tuple[Example, ...] = ()
    near_misses: tuple[NearMiss, ...] = ()


@dataclass(frozen=True, slots=True)
class LessonSlot:
    """One lesson of a theme: ``kind`` is new, mix, checkpoint, dictation or respond."""

    kind: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Theme:
    """A unit: its title, its points in order, its irregular words, letters of the hand, lessons."""

    number: int
    title: str
    goal: str
    points: tuple[str, ...]
    irregular: tuple[str, ...]
    letters: tuple[str, ...]
    lessons: tuple[LessonSlot, ...]


@dataclass(frozen=True, slots=True)
class Sequence:
    """Points in the order taught, K-2 points first, and the themes that group the others.

    ``teaches`` maps a skill to the points that teach it, in order: the first puts words that need it in
    reach; a response on it counts for the grade-3 points among them, or for the point in ``counts`` where
    that names another. ``known_words`` maps a
    word that is known whole to the point from which it is in reach.
    """

    id: str
    title: str
    points: tuple[Point, ...]
    themes: tuple[Theme, ...]
    teaches: dict[str, tuple[str, ...]]
    counts: dict[str, str]
    known_words: dict[str, str]
    _index: dict[str, int] = field(default_factory=dict, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Fill the index of point ids."""
        self._index.update({p.id: i for i, p in enumerate(self.points)})

    @property
    def k2(self) -> tuple[Point, ...]:
        """The assumed points."""
        return tuple(p for p in self.points if p.k2)

    @property
    def taught_points(self) -> tuple[Point, ...]:
        """The points this sequence teaches, without the assumed ones."""
        return tuple(p for p in self.points if not p.k2)

    def index(self, point: str) -> int:
        """Place of a point in the order. Raises Missing."""
        try:
            return self._index[point]
        except KeyError:
            raise Missing(
                f"There is no point {point!r} in this sequence: `larkslate points` lists them."
            ) from None

    def point(self, point: str) -> Point:
        """The point with this id. Raises Missing."""
        return self.points[self.index(point)]

    def theme(self, number: int) -> Theme:
        """The theme with this number, from 1. Raises Missing."""
        if not 1 <= number <= len(self.themes):
            raise Missing(
                f"There is no unit {number}: this sequence has units 1 to {len(self.themes)}."
            )
        return self.themes[number - 1]

    def theme_of(self, point: str) -> Theme | None:
        """The theme that teaches a point; None for an assumed point."""
        return next((t for t in self.themes if point in t.points), None)

    def end_of(self, through: str | int) -> int:
        """Index of the last point taught after ``through``: "K2", a point id, or a unit number.

        A unit may be given as a number or as text ("3"). Raises Missing.
        """
        text = str(through).strip()
        if text.upper() == K2:
            return len(self.k2) - 1
        if text.isdigit():
            return self.index(self.theme(int(text)).points[-1])
        return self.index(text)

    def points_before(self, number: int) -> tuple[Point, ...]:
        """All points, the assumed ones too, that come before a theme."""
        return self.points[: self.index(self.theme(number).points[0])]
