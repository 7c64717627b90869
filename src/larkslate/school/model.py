"""The values of the school room: classes, students, sittings, answers, and what is told about them.

Everything here is frozen and knows nothing of a database. Ids are random and say nothing about anyone. A student
is a label (a code, or a first name and an initial) with plain classroom settings: no birth date, no diagnosis.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from larkslate.assess.model import Channel, ResponseStatus


class Hand(StrEnum):
    """The hand a student writes with."""

    LEFT = "left"
    RIGHT = "right"


class SittingKind(StrEnum):
    """What was given."""

    BASELINE = "baseline"  # K-2 words at the start of the year
    CHECKPOINT = "checkpoint"
    DICTATION = "dictation"
    CHECK = "check"  # a few words for one student or group: more evidence, or a recheck


class ItemKind(StrEnum):
    """How an item is marked."""

    WORD = "word"  # a dictated word, or a gap of the passage
    SENTENCE = "sentence"
    PLACE = "place"  # a made-up place-name: every legal spelling is right
    CHOICE = "choice"  # one of two words is chosen


@dataclass(frozen=True, slots=True)
class ClassSettings:
    """What holds for a class. ``purge`` is the day on which its data should be deleted, told not done.

    ``writing`` is ``joined`` or ``print``; ``letters_per_minute`` the copying speed that pauses are made for;
    ``accents`` are names of homophone_accents.tsv that hold for the whole class.
    """

    sequence: str = "grade3"
    writing: str = "joined"
    letters_per_minute: int = 45
    accents: tuple[str, ...] = ()
    paper: str = "us-letter"
    first_day: date | None = None
    purge: date | None = None


@dataclass(frozen=True, slots=True)
class Classroom:
    """One class of one school year. ``invented`` marks the demo class and everything in it."""

    id: str
    name: str
    grade: str
    year: str
    settings: ClassSettings
    invented: bool = False


@dataclass(frozen=True, slots=True)
class Student:
    """One student. ``larger_print`` is a size in points, 0 for the size of the class.

    ``joined`` is set for a student who started late: what the class was taught before is not yet taught to
    that student until it is shown. ``left`` is the day after which the student is not listed anymore.
    """

    id: str
    class_id: str
    label: str
    seat: int | None = None
    hand: Hand = Hand.RIGHT
    larger_print: int = 0
    extra_time: bool = False
    joined: date | None = None
    left: date | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """One dictated item. ``target`` is what is right: a word, a sentence, the chosen word, the key's spelling.

    ``points`` are the points it is there for; ``practiced`` is true where the class practiced this very word
    in the unit, ``known`` are such words of a sentence, in lower case. ``legal`` lists all right spellings of a place-name, ``phonemes`` its sounds; ``choices`` are
    the two words of a choice.
    """

    number: int
    kind: ItemKind
    target: str
    sentence: str | None = None
    points: tuple[str, ...] = ()
    practiced: bool = False
    known: tuple[str, ...] = ()
    legal: tuple[str, ...] = ()
    phonemes: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sitting:
    """A dictation or baseline given to a class on a day. ``through`` is the last point taught by then, or K2."""

    id: str
    class_id: str
    kind: SittingKind
    day: date
    through: str
    items: tuple[Item, ...]
    form: str = "A"
    unit: int | None = None
    lesson: int | None = None

    def item(self, number: int) -> Item:
        """The item with this number. Raises KeyError."""
        for item in self.items:
            if item.number == number:
                return item
        raise KeyError(number)


@dataclass(frozen=True, slots=True)
class Answer:
    """What one student wrote for one item. ``revision`` counts its changes from 1; 0 is not stored yet."""

    sitting_id: str
    student_id: str
    item: int
    written: str
    status: ResponseStatus = ResponseStatus.WRITTEN
    channel: Channel = Channel.CLASS
    revision: int = 0
    entered: datetime | None = None


@dataclass(frozen=True, slots=True)
class Saved:
    """An answer that is on the disk. ``changed`` is false where the same answer was there already."""

    answer: Answer
    changed: bool = True


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two windows changed one cell: nothing was stored. ``stored`` is what is there, ``yours`` what came."""

    stored: Answer
    yours: Answer
    says: str


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with one row of a file or paste, and what to do. ``row`` counts lines from 1."""

    row: int
    column: str
    value: str
    says: str

    def __str__(self) -> str:
        """One line that names the row."""
        return f"Row {self.row}: {self.says}"


@dataclass(frozen=True, slots=True)
class RosterRow:
    """One student read from a file. ``known`` is the id of the student of that label who is there already."""

    row: int
    label: str
    seat: int | None = None
    hand: Hand | None = None
    larger_print: int | None = None
    extra_time: bool | None = None
    joined: date | None = None
    known: str | None = None


@dataclass(frozen=True, slots=True)
class RosterPreview:
    """What an import would do. It can be done only where there are no faults."""

    rows: tuple[RosterRow, ...]
    faults: tuple[Fault, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def new(self) -> tuple[RosterRow, ...]:
        """Students who are not there yet."""
        return tuple(r for r in self.rows if r.known is None)


@dataclass(frozen=True, slots=True)
class LessonDay:
    """When a lesson of a unit is or was taught."""

    class_id: str
    unit: int
    lesson: int
    day: date
    done: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class StoredPlan:
    """A plan of a class; ``current`` is false for one that another has superseded."""

    id: str
    class_id: str
    unit: int
    seed: int
    current: bool
    created: datetime


@dataclass(frozen=True, slots=True)
class Overrule:
    """What a teacher said about one spelling in a class, and what the program had said.

    ``code`` is a code of the assess room, or "right"; ``was`` is the program's first code (None: right).
    """

    id: str
    class_id: str
    target: str
    written: str
    code: str
    was: str | None
    reason: str
    created: datetime


@dataclass(frozen=True, slots=True)
class Note:
    """A two-tap note: this student was stuck on this point on this day."""

    id: str
    student_id: str
    point: str
    day: date
    text: str = ""


@dataclass(frozen=True, slots=True)
class OwnList:
    """Words that a teacher brought from another subject."""

    id: str
    class_id: str
    title: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Export:
    """A file that left the house. ``students`` are opaque ids, so that erasing one can name the file."""

    id: str
    when: datetime
    what: str
    path: str
    students: tuple[str, ...] = field(default=(), repr=False)
