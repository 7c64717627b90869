"""The values of the plan: a unit is lessons, a lesson is blocks of minutes, a block is items.

One lesson value feeds every document, the board and the recording, so they cannot disagree.
Nothing here knows about files, fonts or screens. All texts are plain Unicode, words as they are written.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from larkslate.words.model import Spans


class LessonKind(StrEnum):
    """What a lesson is for."""

    NEW = "new"  # one new point
    MIX = "mix"  # points of this unit against each other and against older ones
    CHECKPOINT = "checkpoint"  # short dictation, marked in class
    DICTATION = "dictation"  # the unit's dictation
    RESPOND = "respond"  # reteach in groups, extend, catch up


class BlockKind(StrEnum):
    """The blocks of a half hour."""

    RECALL = "recall"  # warm-up: sounds and spellings due today
    HEAR = "hear"  # say, count sounds or syllables, find the stress
    NEW_POINT = "new-point"
    TOGETHER = "together"  # build and write together
    ALONE = "alone"  # practice alone: words, a phrase, a sentence
    SORT = "sort"
    DICTATION = "dictation"
    CHECK = "check"  # children compare and mend
    GROUPS = "groups"
    HANDWRITING = "handwriting"
    CLOSE = "close"


class Role(StrEnum):
    """Why a word stands in a lesson."""

    MODEL = "model"  # shows the pattern, built step by step
    TOGETHER = "together"
    ALONE = "alone"
    FRESH = "fresh"  # dictated, not practised in this unit
    NEAR_MISS = "near-miss"  # looks or sounds alike, does not follow the pattern
    IRREGULAR = "irregular"
    REVIEW = "review"  # brings back a due skill


@dataclass(frozen=True, slots=True)
class Shown:
    """How page and board show a word so that the point of the day can be seen.

    ``marks`` are spans of the word as written: the letters concerned (*catch*: ((2, 5),)).
    ``parts`` only where parts meet (("hop", "ed") for *hopped*); ``division`` only where dividing is the
    point ("nap-kin"); ``full`` for a contraction, the words it stands for here (("do", "not")).
    """

    marks: Spans = ()
    parts: tuple[str, ...] = ()
    division: str | None = None
    full: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WordItem:
    """One chosen word. ``points`` are the points it gives a chance on; ``why`` says why it is here."""

    word: str
    role: Role
    points: tuple[str, ...]
    why: str
    sentence: str | None = None  # settles the reading; dictated with the word
    note: str | None = None  # near-miss: why it does not follow; irregular: the odd part
    shown: Shown | None = None  # the letters concerned; None where nothing is to be marked


@dataclass(frozen=True, slots=True)
class SoundItem:
    """One sound asked in the warm-up: the teacher says it, the children write its taught spellings.

    ``sound`` is shown between slashes in the teacher's notation; ``spellings`` in the order taught;
    ``examples`` pairs each spelling with a word in reach.
    """

    sound: str
    phonemes: tuple[str, ...]
    spellings: tuple[str, ...]
    examples: tuple[str, ...]
    point: str


@dataclass(frozen=True, slots=True)
class TextItem:
    """A phrase or sentence: ``points`` that its words give chances on, ``chunks`` for reading aloud."""

    text: str
    points: tuple[str, ...]
    chunks: tuple[str, ...] = ()
    source: str = ""  # file and line, or "teacher"


@dataclass(frozen=True, slots=True)
class SortItem:
    """Columns to sort words into; ``words`` mixed, ``answers`` gives the column of each."""

    columns: tuple[str, ...]
    words: tuple[str, ...]
    answers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LetterItem:
    """What the hand practises: letters or a join, and words writable with the letters met so far."""

    letters: tuple[str, ...]
    words: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class PlaceName:
    """A made-up word as a name on the lake map: every legal spelling of its sounds is right."""

    name: str  # the spelling printed in the key
    phonemes: tuple[str, ...]
    say: str  # how to say it, for the teacher
    legal: tuple[str, ...]
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ChoosePair:
    """Choose and say why: a sentence with two choices, the right one and the reason to listen for."""

    before: str
    choices: tuple[str, str]
    after: str
    answer: str
    reason: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Passage:
    """A dictation passage. ``text`` is whole; ``gaps`` are the words children write into it, in order;
    ``write`` are the whole sentences they write. ``phrases`` cut the text for reading aloud: joined with
    blanks they are the text; empty where nobody has cut it.
    """

    title: str
    text: str
    gaps: tuple[WordItem, ...]
    write: tuple[TextItem, ...]
    phrases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Dictation:
    """A dictation in our shape; a checkpoint has ``words`` and one sentence, a unit dictation the rest."""

    form: str  # "A" or "B"
    words: tuple[WordItem, ...] = ()
    sentences: tuple[TextItem, ...] = ()
    passage: Passage | None = None
    places: tuple[PlaceName, ...] = ()
    pairs: tuple[ChoosePair, ...] = ()


Item = WordItem | SoundItem | TextItem | SortItem | LetterItem | Dictation


@dataclass(frozen=True, slots=True)
class Block:
    """Minutes with one purpose. ``say`` are lines a teacher can read aloud; ``do`` what she does."""

    kind: BlockKind
    minutes: int
    title: str
    say: tuple[str, ...] = ()
    do: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()


@dataclass(frozen=True, slots=True)
class Lesson:
    """One half hour. ``id`` is "3.4": unit and lesson."""

    id: str
    unit: int
    number: int
    title: str
    kind: LessonKind
    points: tuple[str, ...]  # points worked on today, the new one first
    rule: str | None  # the new point in one sentence for the class
    exception: str | None  # what the class will meet that does not follow it
    blocks: tuple[Block, ...]

    @property
    def minutes(self) -> int:
        """Sum of the blocks' minutes."""
        return sum(b.minutes for b in self.blocks)


@dataclass(frozen=True, slots=True)
class Rejection:
    """Something the audit found: a word and why it may not stand where it stands."""

    lesson: str
    text: str
    reason: str


@dataclass(frozen=True, slots=True)
class Audit:
    """The proof beside a plan.

    ``uses`` counts the words looked at; ``out_of_reach`` must be empty; ``coverage`` counts the chances
    for each skill, ``chances`` (practice words, fresh chances, sittings) for each point of the unit.
    """

    uses: int
    out_of_reach: tuple[Rejection, ...]
    repeats: tuple[Rejection, ...]
    coverage: dict[str, int]
    chances: dict[str, tuple[int, int, int]]
    notes: tuple[str, ...] = ()  # what the plan could not do and why


@dataclass(frozen=True, slots=True)
class UnitPlan:
    """A planned unit: lessons in order, the dictations in two forms, the audit."""

    unit: int
    title: str
    goal: str
    points: tuple[str, ...]
    irregular: tuple[str, ...]
    seed: int
    lessons: tuple[Lesson, ...]
    audit: Audit
