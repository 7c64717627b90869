"""The values of the assess room: responses, elements, findings, diagnoses, chances and standings.

Codes of findings are those of ``data/codes.tsv``. A diagnosis is derived and can be made again at any time;
what a teacher overrules is stored elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date as Date  # noqa: N812 - a field is called date
from enum import StrEnum


class ResponseStatus(StrEnum):
    """What there is to mark. Only ``written`` is ever scored."""

    WRITTEN = "written"
    BLANK = "blank"  # the student was there and wrote nothing
    ILLEGIBLE = "illegible"  # ask the student
    ABSENT = "absent"  # missing, never zero


class Channel(StrEnum):
    """Where a response was written. Work from home never decides a standing: help is unknown."""

    CLASS = "class"
    HOME = "home"


@dataclass(frozen=True, slots=True)
class Response:
    """What one student wrote for one item.

    ``item`` is the name or number of the item, ``form`` the form of the dictation (A, B), ``practiced`` is
    true where the student practiced this very word in the unit. ``row`` is the line of the file it came from.
    ``overrule`` is the code a teacher chose instead of the program's first one, or "right".
    """

    student: str
    target: str
    written: str
    sentence: str | None = None
    item: str | None = None
    status: ResponseStatus = ResponseStatus.WRITTEN
    channel: Channel = Channel.CLASS
    form: str | None = None
    date: Date | None = None
    practiced: bool = False
    row: int | None = None
    overrule: str | None = None

    @property
    def sitting(self) -> str:
        """The sitting it belongs to: its date, else its form, else "undated"."""
        return self.date.isoformat() if self.date else (self.form or "undated")


@dataclass(frozen=True, slots=True)
class Element:
    """One element of the target against what stands for it.

    Score 3 right, 2 wrong but a possible spelling of that sound, 1 not possible there, 0 left out
    (Masterson & Apel 2010: an element is a phoneme's letters, an affix is one element).
    A split vowel is written with an underscore: ``a_e``.
    """

    target: str
    written: str
    score: int


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another reading of the same error and what would show it."""

    code: str
    when: str

    def __str__(self) -> str:
        """One line: the code and the condition."""
        return f"{self.code} {self.when}"


@dataclass(frozen=True, slots=True)
class Finding:
    """One error site with its code. ``says`` is one plain sentence a teacher can say."""

    code: str
    target: str
    written: str
    says: str
    alternatives: tuple[Alternative, ...] = ()


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Everything read from one spelling.

    ``letter_sequences`` is (right, of). ``primary`` is the code of the first finding in the decision order.
    ``credited``, ``missed`` and ``not_yet_taught`` are point ids in the order of the sequence; an error on a
    point that comes after ``through`` stands under ``not_yet_taught`` and never under ``missed``.
    """

    target: str
    written: str
    right: bool
    letter_sequences: tuple[int, int]
    elements: tuple[Element, ...]
    primary: str | None
    findings: tuple[Finding, ...]
    credited: tuple[str, ...]
    missed: tuple[str, ...]
    not_yet_taught: tuple[str, ...] = ()
    status: ResponseStatus = ResponseStatus.WRITTEN

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes of the findings, the primary one first, each once."""
        return tuple(dict.fromkeys(f.code for f in self.findings))

    @property
    def element_mean(self) -> float:
        """The mean of the element scores; 0 where there is no element."""
        return sum(e.score for e in self.elements) / len(self.elements) if self.elements else 0.0


@dataclass(frozen=True, slots=True)
class Chance:
    """One chance that one student had on one point: a word that needs it, right or missed."""

    point: str
    word: str
    right: bool
    sitting: str
    date: Date | None = None
    practiced: bool = False
    channel: Channel = Channel.CLASS


class Mark(StrEnum):
    """The standing of one student on one point, in words for a teacher."""

    SECURE = "secure"
    RETEACH = "reteach"
    MORE_EVIDENCE = "more evidence"
    DUE = "due"
    NOT_YET_TAUGHT = "not yet taught"


@dataclass(frozen=True, slots=True)
class Standing:
    """The evidence on one point for one student.

    ``right`` of ``chances`` counts fresh class chances, each word once; ``practiced`` holds the same pair for
    practiced words. ``likely`` is P(p > threshold), for sorting and tests, never shown. ``possible`` is true
    where a group may rest on it though it says nothing for certain. ``says`` is the line a teacher reads.
    """

    point: str
    mark: Mark
    right: int
    chances: int
    sittings: int
    practiced: tuple[int, int]
    likely: float
    possible: bool
    says: str
    last_seen: Date | None = None
