"""What is in reach when: words and texts held against what has been taught.

A word is in reach when every skill it needs is taught, or when its bases are known whole and what it
needs beyond them is taught. The test is one comparison of bit masks for each word.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from larkslate.sequence.model import K2, Sequence
from larkslate.words.model import Need, Span, Status, Word
from larkslate.words.needs import beyond_bases

KNOWN_WHOLE_POINT = "K2.hfw"
WORD_PATTERN = re.compile(
    r"(?:[’'‘](?=(?:tis|twas|em|til|cause)\b))?[^\W\d_]+(?:[’'‘`´ʼ][^\W\d_]+)*[’'‘`´ʼ]?|\d+",
    re.UNICODE,
)
MODAL_HAVE = re.compile(r"\b(could|should|would|might|must)\s+have\b", re.IGNORECASE)
APOSTROPHES = str.maketrans(dict.fromkeys("’‘`´ʼ", "'"))


class Lookup(Protocol):
    """What reach asks of the lexicon."""

    @property
    def skills(self) -> tuple[str, ...]:
        """Skill ids; the index is the bit of a mask."""

    def lookup(self, word: str) -> Word:
        """All that is known about a word, UNKNOWN where nothing is."""


class Masked(Protocol):
    """A word reduced to what the reach test asks: see words.lexicon.Entry."""

    @property
    def mask(self) -> int:
        """Skills needed, a bit each."""

    @property
    def bases(self) -> tuple[str, ...]:
        """The free bases."""

    @property
    def rest(self) -> int:
        """Skills needed beyond the bases, a bit each."""


@dataclass(frozen=True, slots=True)
class Taught:
    """What a class has been taught: ``end`` is the index of the last point, ``mask`` its skills."""

    end: int
    mask: int
    known: frozenset[str]

    def reaches(self, word: Masked) -> bool:
        """True if the word is in reach."""
        if not word.mask:
            return False  # nothing is known of what it needs: an abbreviation
        if not word.mask & ~self.mask:
            return True
        return (
            bool(word.bases)
            and not word.rest & ~self.mask
            and all(base.lower() in self.known for base in word.bases)
        )


@dataclass(frozen=True, slots=True)
class TextWord:
    """One word of a text: where it stands and what it still lacks."""

    word: str
    span: Span
    status: Status
    in_reach: bool
    missing: tuple[Need, ...]


@dataclass(frozen=True, slots=True)
class TextReport:
    """A text held against a taught set: every word in order, counts of what is missing by skill."""

    words: tuple[TextWord, ...]
    by_skill: dict[str, int]

    @property
    def out_of_reach(self) -> tuple[TextWord, ...]:
        """The words out of reach, in order."""
        return tuple(w for w in self.words if not w.in_reach)

    @property
    def share(self) -> float:
        """Share of words in reach, 1.0 for an empty text."""
        return 1.0 - len(self.out_of_reach) / len(self.words) if self.words else 1.0


class Reach:
    """A sequence and a lexicon put together: every question of the form "since when?"."""

    def __init__(self, sequence: Sequence, lexicon: Lookup) -> None:
        self.sequence = sequence
        self.lexicon = lexicon
        self._first = {
            skill: min(sequence.index(p) for p in points)
            for skill, points in sequence.teaches.items()
        }
        self._known = {w.lower(): sequence.index(p) for w, p in sequence.known_words.items()}
        self._k2_end = sequence.end_of(K2)
        self._taught: dict[int, Taught] = {}
        self._words: dict[str, Word] = {}

    def word(self, text: str) -> Word:
        """The word as the lexicon has it, remembered."""
        found = self._words.get(text)
        if found is None:
            found = self._words[text] = self.lexicon.lookup(text)
        return found

    def taught(self, through: str | int) -> Taught:
        """Everything taught after a point, a unit, or "K2"."""
        end = self.sequence.end_of(through)
        if end not in self._taught:
            mask = 0
            for bit, skill in enumerate(self.lexicon.skills):
                since = self.since_skill(skill)
                if since is not None and since <= end:
                    mask |= 1 << bit
            known = frozenset(w for w, at in self._known.items() if at <= end)
            self._taught[end] = Taught(end, mask, known)
        return self._taught[end]

    def since_skill(self, skill: str) -> int | None:
        """Index of the first point that teaches a skill; None where no point does."""
        if skill.startswith(("odd:", "word:")):
            return self._known.get(skill.split(":", 1)[1])
        return self._first.get(skill)

    def _since(self, needs: Iterable[Need]) -> int | None:
        latest = 0
        for need in needs:
            since = self.since_skill(need.skill)
            if since is None:
                return None
            latest = max(latest, since)
        return latest

    def _known_since(self, text: str) -> int | None:
        return self._known.get(text.lower())

    def _since_bases(self, word: Word) -> int | None:
        bases, rest = beyond_bases(word)
        latest = self._since(rest)
        for base in bases:
            since = self._known_since(base)
            if since is None or latest is None:
                return None
            latest = max(latest, since)
        return latest if bases else None

    def since(self, text: str) -> int | None:
        """Index of the point from which a word is in reach; None: never in this sequence."""
        whole = self._known_since(text.translate(APOSTROPHES))
        if whole is not None:
            return whole
        word = self.word(text)
        if not word.readings or not word.first.needs:
            return None
        ways = [
            w for w in (self._since(word.first.needs), self._since_bases(word)) if w is not None
        ]
        return min(ways) if ways else None

    def in_reach_from(self, text: str) -> str | None:
        """The point from which a word is in reach: "K2", a point id, or None for never."""
        since = self.since(text)
        if since is None:
            return None
        return K2 if since <= self._k2_end else self.sequence.points[since].id

    def in_reach(self, text: str, through: str | int) -> bool:
        """True if a word is in reach after a point, a unit, or "K2"."""
        since = self.since(text)
        return since is not None and since <= self.sequence.end_of(through)

    def missing(self, text: str, through: str | int) -> tuple[Need, ...]:
        """What a word needs that is not taught by then; empty for a word in reach."""
        if self.in_reach(text, through):
            return ()
        word = self.word(text)
        if not word.readings:
            return ()
        end = self.sequence.end_of(through)
        _, rest = beyond_bases(word)
        if self._since_bases(word) is not None and any(
            (s := self.since_skill(n.skill)) is None or s > end for n in rest
        ):
            needs: tuple[Need, ...] = rest
        else:
            needs = word.first.needs
        return tuple(n for n in needs if (s := self.since_skill(n.skill)) is None or s > end)

    def points_for(self, need: Need, through: str | int | None = None) -> tuple[str, ...]:
        """The points that evidence on a need counts for: grade-3 points met by then, else K-2 points.

        Empty where no point of this sequence teaches the skill.
        """
        if need.skill.startswith(("odd:", "word:")):
            return (KNOWN_WHOLE_POINT,)
        named = self.sequence.counts.get(need.skill)
        if named is not None:
            return (named,)
        points = self.sequence.teaches.get(need.skill, ())
        own = tuple(p for p in points if not self.sequence.point(p).k2)
        if through is not None:
            end = self.sequence.end_of(through)
            own = tuple(p for p in own if self.sequence.index(p) <= end)
        return own or tuple(p for p in points if self.sequence.point(p).k2) or points

    def point_of(self, need: Need, through: str | int | None = None) -> str | None:
        """The last of ``points_for``; None where no point teaches the skill."""
        points = self.points_for(need, through)
        return points[-1] if points else None

    def points_of(self, text: str, through: str | int | None = None) -> tuple[str, ...]:
        """The points that a word gives a chance on, in the order of the sequence."""
        word = self.word(text)
        if not word.readings:
            return ()
        needs = word.first.needs
        if through is None:
            # Asked without a class in mind, every reading counts: lives is live + s, and life + s.
            needs = tuple(n for r in word.readings for n in r.needs)
        points = {p for n in needs for p in self.points_for(n, through)}
        if self._known_since(word.word) is not None and not points:
            points.add(KNOWN_WHOLE_POINT)
        return tuple(sorted(points, key=self.sequence.index))

    def text(self, text: str, through: str | int, names: Iterable[str] = ()) -> TextReport:
        """Every word of a text against what is taught by then; ``names`` are always in reach."""
        end = self.sequence.end_of(through)
        allowed = {n.translate(APOSTROPHES) for n in names}
        modal = {m.span()[0]: m for m in MODAL_HAVE.finditer(text)}
        words: list[TextWord] = []
        counts: dict[str, int] = {}
        for match in WORD_PATTERN.finditer(text):
            token = match.group().translate(APOSTROPHES)
            if token.endswith("'") and not token.endswith("s'"):
                token = token[:-1]
            span = (match.start(), match.start() + len(token))
            if token in allowed or token.removesuffix("'s") in allowed:
                words.append(TextWord(token, span, Status.CHECKED, True, ()))
                continue
            if token.isdigit():
                words.append(TextWord(token, span, Status.UNKNOWN, False, ()))
                counts["number in figures"] = counts.get("number in figures", 0) + 1
                continue
            since = self.since(token)
            fine = since is not None and since <= end
            missing = () if fine else self.missing(token, through)
            if match.start() in modal and (at := self.since_skill("con:modal-have")) is not None:
                if fine and at > end:
                    fine, missing = False, (Need("con:modal-have", ((0, len(token)),)),)
            for skill in {n.skill for n in missing}:
                counts[skill] = counts.get(skill, 0) + 1
            words.append(TextWord(token, span, self.word(token).status, fine, missing))
        return TextReport(tuple(words), counts)
