"""What a teacher sees of a class: students, points and words, as the ledger works them out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from larkslate.assess.model import Mark, Standing
from larkslate.assess.standings import Group
from larkslate.school.marking import Shown
from larkslate.school.model import Answer, Classroom, Item, Student


@dataclass(frozen=True, slots=True)
class Seen:
    """One answer with what it shows; a sentence shows one thing for each of its words."""

    answer: Answer
    item: Item
    day: date
    shown: tuple[Shown, ...]

    @property
    def right(self) -> bool:
        """True where everything in it is right."""
        return bool(self.shown) and all(s.right for s in self.shown)


@dataclass(frozen=True, slots=True)
class StudentView:
    """One student: standings by point in the order of the sequence, and every answer, the earliest first.

    ``words`` is (right, of) over what could be scored, ``sequences`` the letter sequences. ``taught`` are the
    points taught to this student. ``unusual`` are ids of sittings left out of the standings.
    """

    student: Student
    standings: dict[str, Standing]
    seen: tuple[Seen, ...]
    taught: frozenset[str]
    words: tuple[int, int]
    sequences: tuple[int, int]
    blank: int = 0
    illegible: int = 0
    absent: int = 0
    unusual: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Last:
    """The last day on which a class met a point: ``missed`` of ``of`` students missed it.

    A student missed it who got half or fewer of that day's chances right, and not all.
    """

    day: date
    missed: tuple[str, ...]
    of: int


@dataclass(frozen=True, slots=True)
class PointView:
    """One point in the class (``label`` is its name inside a sentence): chances added up, students (ids) by standing, the last sitting that had it."""

    point: str
    name: str
    label: str
    right: int
    chances: int
    students: dict[Mark, tuple[str, ...]]
    whole_class: bool
    last: Last | None


@dataclass(frozen=True, slots=True)
class WordView:
    """One dictated word in the class: right of scored, wrong forms with the students (ids) who wrote them."""

    word: str
    right: int
    of: int
    wrong: tuple[tuple[str, tuple[str, ...]], ...]
    hard: bool


@dataclass(frozen=True, slots=True)
class ClassView:
    """A class as the answers show it. ``fingerprint`` changes when anything it was made from does."""

    classroom: Classroom
    students: tuple[StudentView, ...]
    points: tuple[PointView, ...]
    words: tuple[WordView, ...]
    groups: tuple[Group, ...]
    taught: dict[str, date]
    notes: tuple[str, ...]
    fingerprint: str

    def student(self, student_id: str) -> StudentView:
        """The view of one student. Raises KeyError."""
        for one in self.students:
            if one.student.id == student_id:
                return one
        raise KeyError(student_id)

    def point(self, point: str) -> PointView | None:
        """The view of one point; None where the class has had no chance on it."""
        return next((p for p in self.points if p.point == point), None)
