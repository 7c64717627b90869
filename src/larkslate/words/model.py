"""The values of the words room: what is known about a word, frozen.

Spans are half-open pairs of character indices in the NFC word as written ("catch"[2:5] is "tch").
Phonemes are ARPAbet symbols with a stress digit on vowels (0 none, 1 primary, 2 secondary);
schwa is ``AH0`` and an unstressed r-coloured vowel ``ER0``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

Span = tuple[int, int]
Spans = tuple[Span, ...]


class Status(StrEnum):
    """How far an entry can be trusted, from best to worst."""

    REVIEWED = "reviewed"  # read one by one; the reviewer and the date are in the override table
    CHECKED = "checked"  # two machine passes agree
    AUTOMATIC = "automatic"  # derived by the rules, no one has read it
    FALLBACK = "fallback"  # the rules did not fit cleanly; never shown as fact
    UNKNOWN = "unknown"  # not in the lexicon and not derivable from it


class SyllableType(StrEnum):
    """The written syllable types (Common Core Appendix A, figure 12), plus ``odd``."""

    CLOSED = "closed"
    OPEN = "open"
    VCE = "vce"
    TEAM = "team"
    VOWEL_R = "vowel-r"
    CONSONANT_LE = "consonant-le"
    ODD = "odd"


class SyllableDetail(StrEnum):
    """What a type alone does not say."""

    CLOSED_LONG = "closed-long"  # kind, old
    E_DROPPED = "e-dropped"  # hop(e)+ing
    WEAK_E = "weak-e"  # active, office
    STABLE_ENDING = "stable-ending"  # -tion, -sion, -ture


class MorphemeKind(StrEnum):
    """The part a morpheme plays in a word."""

    PREFIX = "prefix"
    BASE = "base"
    SUFFIX = "suffix"  # makes a new word: -ness, -er (doer), -y
    ENDING = "ending"  # inflection: -s, -es, -ed, -ing, -er/-est (comparing), 's


class JoinChange(StrEnum):
    """What happens to the letters where an ending joins a base."""

    NONE = "none"
    DOUBLE = "double"  # hop + ed -> hopped
    DROP_E = "drop-e"  # make + ing -> making
    Y_TO_I = "y-to-i"  # cry + ed -> cried
    IE_TO_Y = "ie-to-y"  # die + ing -> dying
    F_TO_V = "f-to-v"  # leaf + s -> leaves
    ADD_K = "add-k"  # picnic + ing -> picnicking
    DROP_LE = "drop-le"  # simple + ly -> simply
    DROP_LETTER = "drop-letter"  # full -> -ful, all -> al-; truly
    IRREGULAR = "irregular"


@dataclass(frozen=True, slots=True)
class Grapheme:
    """Letters that spell one sound (rarely two, as x; or none, as a silent letter).

    A split vowel has two spans and an underscore in ``letters``: ``a_e`` at ((1, 2), (3, 4)).
    """

    letters: str
    spans: Spans
    phonemes: tuple[str, ...]

    @property
    def start(self) -> int:
        """Index of the first letter."""
        return self.spans[0][0]

    @property
    def end(self) -> int:
        """Index after the last letter of the first span."""
        return self.spans[0][1]


@dataclass(frozen=True, slots=True)
class Syllable:
    """One written syllable. ``stress`` is 0, 1 or 2."""

    letters: str
    span: Span
    type: SyllableType
    detail: SyllableDetail | None
    stress: int


@dataclass(frozen=True, slots=True)
class Morpheme:
    """A meaningful part. ``letters`` as they stand in the word, ``form`` as the part is written alone.

    In *hopping*: ``Morpheme("hopp", (0, 4), BASE, "hop")`` and ``Morpheme("ing", (4, 7), ENDING, "ing")``.
    In *making*: ``Morpheme("mak", (0, 3), BASE, "make")``. In *losses* the ending is ``es``, in *makes* ``s``.
    """

    letters: str
    span: Span
    kind: MorphemeKind
    form: str


@dataclass(frozen=True, slots=True)
class Join:
    """Where two morphemes meet: ``at`` is the index of the first letter of the right-hand part."""

    at: int
    change: JoinChange
    left: str  # form of all that stands left, written alone: "hop", "unhappy"
    right: str  # form of the part that is added: "ing"


@dataclass(frozen=True, slots=True)
class Need:
    """One skill that the word asks for, at the letters concerned."""

    skill: str
    spans: Spans


@dataclass(frozen=True, slots=True)
class Step:
    """One typed step of a derivation; every explanation, board scene and test walks these.

    ``kind`` is a stable word ("join", "divide", "spell", "odd", "contract-drop" ...);
    ``teacher`` and ``child`` are one plain sentence each.
    """

    kind: str
    teacher: str
    child: str = ""
    spans: Spans = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to say the word, with everything that follows from it."""

    phonemes: tuple[str, ...]
    pos: tuple[str, ...] = ()  # noun, verb, adjective, adverb, pronoun, ..., name
    graphemes: tuple[Grapheme, ...] = ()
    syllables: tuple[Syllable, ...] = ()
    also: tuple[str, ...] = ()  # other accepted divisions, "ca-bin"
    morphemes: tuple[Morpheme, ...] = ()
    joins: tuple[Join, ...] = ()
    needs: tuple[Need, ...] = ()
    odd: Spans = ()  # letters that no taught rule explains
    why: tuple[Step, ...] = ()

    @property
    def division(self) -> str:
        """The written division with hyphens: ``nap-kin``."""
        return "-".join(s.letters for s in self.syllables)

    @property
    def stress(self) -> tuple[int, ...]:
        """The stress digits of the vowels in order."""
        return tuple(int(p[-1]) for p in self.phonemes if p[-1].isdigit())


@dataclass(frozen=True, slots=True)
class ContractionForm:
    """One full form behind a contraction.

    ``full`` is None where no single full form exists. ``dropped`` lists the runs of letters that leave.
    ``apostrophes`` are the indices of the marks in the contraction.
    """

    full: tuple[str, ...] | None
    dropped: tuple[str, ...]
    apostrophes: tuple[int, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Contraction:
    """A contraction with every reading it has in writing."""

    written: str
    group: str  # not, am, are, is, will, have, had-would, us, double, irregular
    irregular: bool
    level: str  # "write" or "recognize" in grade 3
    register: str  # standard, informal, regional, rare, old
    forms: tuple[ContractionForm, ...]
    skill: str = ""  # the contraction family it needs: con:not, con:be ...
    note: str = ""  # one sentence for the teacher


@dataclass(frozen=True, slots=True)
class Word:
    """Everything known about one written word."""

    word: str
    status: Status
    zipf: float  # log10 of occurrences per thousand million words; 0 where not known
    readings: tuple[Reading, ...]
    contraction: Contraction | None = None
    homophones: tuple[str, ...] = ()
    flags: frozenset[str] = field(default_factory=frozenset)  # name, heteronym, unsuitable, ...

    @property
    def first(self) -> Reading:
        """The default reading. Raises IndexError for an unknown word."""
        return self.readings[0]
