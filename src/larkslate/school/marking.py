"""Marking stored answers: what each shows, by its content alone, remembered by a hash of that content.

A point of a word has a chance only where a right spelling of the word would show it, so that right and wrong are counted
against the same chances. An error that counts against another point is still shown with the answer.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa

from larkslate.assess.diagnose import ACCEPTED, spelled
from larkslate.assess.mark import Marker
from larkslate.assess.model import Diagnosis, Response, ResponseStatus
from larkslate.assess.score import normal
from larkslate.assess.sentences import SentenceMarks, mark_sentence
from larkslate.errors import LarkslateError
from larkslate.school import schema
from larkslate.school.model import Answer, Item, ItemKind
from larkslate.school.store import School
from larkslate.sequence.model import Sequence as Course
from larkslate.words.store import stamp

if TYPE_CHECKING:
    from larkslate.sequence.reach import Reach
    from larkslate.words.lexicon import Lexicon

_ROOMS = ("assess", "sequence")


@cache
def marking_version() -> str:
    """The version of everything that marking depends on: code and data of the rooms below."""
    crc = zlib.crc32(stamp().encode() + Path(__file__).read_bytes())
    for room in _ROOMS:
        folder = resources.files("larkslate") / room
        for part in (folder, folder / "data"):
            for path in sorted(part.iterdir(), key=lambda p: p.name):
                if path.is_file() and path.name.endswith((".py", ".tsv", ".toml")):
                    crc = zlib.crc32(path.name.encode() + b"\0" + path.read_bytes(), crc)
    return f"{stamp()}{crc:08x}"


@dataclass(frozen=True, slots=True)
class Shown:
    """What one word of an answer shows: the points credited, missed, and wrong but not yet taught.

    ``chances`` are the points that a right spelling shows: only on these does the answer count, right or missed.
    """

    word: str
    right: bool
    primary: str | None
    credited: tuple[str, ...]
    missed: tuple[str, ...]
    untaught: tuple[str, ...]
    sequences: tuple[int, int]
    chances: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """An answer to be marked, with all that its marking depends on."""

    item: Item
    answer: Answer
    through: str
    accents: frozenset[str]
    slip: bool
    overrule: str | None

    @property
    def memory(self) -> tuple[object, ...]:
        """What tells this answer apart in one process; the items of a sitting never change."""
        return (
            self.answer.sitting_id,
            self.item.number,
            self.answer.written,
            self.accents,
            self.slip,
            self.overrule,
        )

    def content(self) -> str:
        """A hash of all that the marking of this answer depends on."""
        item = self.item
        parts = [
            item.kind.value,
            item.target,
            item.sentence,
            item.legal,
            item.phonemes,
            item.choices,
            item.points,
            self.answer.written,
            self.through,
            sorted(self.accents),
            self.slip,
            self.overrule,
        ]
        return hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:32]


class Marking:
    """Marks answers and keeps what it found, in memory and beside the answers. Use it from one thread at a time."""

    def __init__(self, lexicon: Lexicon, reach: Reach) -> None:
        self.lexicon = lexicon
        self.reach = reach
        self._markers: dict[tuple[str, frozenset[str]], Marker] = {}
        self.known: dict[tuple[object, ...], tuple[Shown, ...]] = {}
        self._chances: dict[tuple[str, str | None, str, bool], dict[str, tuple[str, ...]]] = {}

    @property
    def course(self) -> Course:
        """The sequence."""
        return self.reach.sequence

    # ---- one answer -------------------------------------------------------------------------

    def _marker(self, through: str, accents: frozenset[str]) -> Marker:
        key = (through, accents)
        if key not in self._markers:
            self._markers[key] = Marker(
                self.lexicon, self.reach, through=through, accents={"": accents}
            )
        return self._markers[key]

    def diagnosis(
        self,
        item: Item,
        answer: Answer,
        *,
        through: str,
        accents: Iterable[str] = (),
        right_elsewhere: bool = False,
        overrule: str | None = None,
    ) -> Diagnosis:
        """The whole diagnosis of an answer to a word, a place-name or a choice, for the marking grid.

        A choice is right or the other word; a sentence has one for each word: see ``sentence``.
        """
        if item.kind is ItemKind.PLACE:
            return spelled(
                item.target,
                answer.written,
                lexicon=self.lexicon,
                reach=self.reach,
                through=through,
                made_up=item.legal or None,
                phonemes=item.phonemes or None,
                status=answer.status,
                overrule=overrule,
            )
        return self._marker(through, frozenset(accents)).diagnosis(
            Response(
                student="",
                target=item.target,
                written=answer.written,
                sentence=item.sentence,
                status=answer.status,
                overrule=overrule,
            ),
            right_elsewhere=right_elsewhere,
        )

    def sentence(
        self, item: Item, answer: Answer, *, through: str, accents: Iterable[str] = ()
    ) -> SentenceMarks:
        """A written sentence, marked: words, capital, end mark and apostrophes each apart."""
        return mark_sentence(
            item.target,
            answer.written,
            lexicon=self.lexicon,
            reach=self.reach,
            through=through,
            accents=accents,
        )

    def shown(self, asked: Asked) -> tuple[Shown, ...]:
        """What one answer shows, worked out."""
        item, answer = asked.item, asked.answer
        if item.kind is ItemKind.SENTENCE:
            marks = self.sentence(item, answer, through=asked.through, accents=asked.accents)
            given = self._chances_of(asked)
            return tuple(
                replace(_of_diagnosis(w.diagnosis), chances=given.get(w.target.lower(), ()))
                for w in marks.words
                if w.diagnosis and w.target
            )
        written = normal(answer.written).lower()
        if item.kind is ItemKind.CHOICE:
            right = written == normal(item.target).lower() or asked.overrule == ACCEPTED
            if not right and written not in {normal(c).lower() for c in item.choices}:
                return ()  # neither of the two words: nothing was chosen
            none: tuple[str, ...] = ()
            return (
                Shown(
                    word=item.target,
                    right=right,
                    primary=None if right else "S.HOM",
                    credited=item.points if right else none,
                    missed=none if right else item.points,
                    untaught=none,
                    sequences=(0, 0),
                    chances=item.points,
                ),
            )
        found = self.diagnosis(
            item,
            answer,
            through=asked.through,
            accents=asked.accents,
            right_elsewhere=asked.slip,
            overrule=asked.overrule,
        )
        if found.status is not ResponseStatus.WRITTEN:
            return ()
        shown = _of_diagnosis(found)
        if item.kind is ItemKind.PLACE:
            # A made-up word has no entry in the word list: what it shows are the points it is there for.
            legal = {normal(n).lower() for n in (item.target, *item.legal)}
            right = written in legal or asked.overrule == ACCEPTED
            missed = tuple(p for p in shown.missed if p in item.points)
            shown = replace(
                shown,
                word=item.target,
                right=right,
                credited=item.points if right else (),
                missed=() if right else missed,
            )
            return (replace(shown, chances=item.points),)
        return (replace(shown, chances=self._chances_of(asked).get(item.target.lower(), ())),)

    def _chances_of(self, asked: Asked) -> dict[str, tuple[str, ...]]:
        """The points that a right answer shows, by word in lower case."""
        item = asked.item
        sentence = item.kind is ItemKind.SENTENCE
        key = (item.target, item.sentence, asked.through, sentence)
        if key not in self._chances:
            right = replace(asked.answer, written=item.target)
            if sentence:
                marks = self.sentence(item, right, through=asked.through, accents=asked.accents)
                found = {
                    w.target.lower(): w.diagnosis.credited
                    for w in marks.words
                    if w.target and w.diagnosis
                }
            else:
                one = self.diagnosis(item, right, through=asked.through, accents=asked.accents)
                found = {item.target.lower(): one.credited}
            self._chances[key] = found
        return self._chances[key]

    def remember(self, school: School, asked: Sequence[Asked]) -> None:
        """Look up or work out what the answers show, and keep what is new beside them."""
        wanted = {a.memory: a for a in asked if a.memory not in self.known}
        if not wanted:
            return
        version = marking_version()
        keys = {memory: version + a.content() for memory, a in wanted.items()}
        stored: dict[str, str] = {}
        table = schema.evidence
        every = sorted(set(keys.values()))
        with school.reading() as connection:
            for start in range(0, len(every), 500):
                rows = connection.execute(
                    sa.select(table).where(table.c.key.in_(every[start : start + 500]))
                )
                stored.update({r.key: r.body for r in rows})
        new: dict[str, str] = {}
        for memory, one in wanted.items():
            key = keys[memory]
            if key in stored:
                shown = _shown_from(stored[key])
            else:
                shown = self.shown(one)
                stored[key] = new[key] = _shown_json(shown)
            self.known[memory] = shown
        if new:
            # A folder that cannot be written costs time at the next start, nothing else.
            with suppress(LarkslateError), school.writing() as connection:
                connection.execute(table.delete().where(~table.c.key.startswith(version)))
                connection.execute(
                    table.insert().prefix_with("OR IGNORE", dialect="sqlite"),
                    [{"key": key, "body": body} for key, body in sorted(new.items())],
                )

    def forget(self) -> None:
        """Empty the memory: after an erasure, a restore or an import."""
        self.known.clear()
        self._chances.clear()
        self._markers.clear()


def _of_diagnosis(found: Diagnosis) -> Shown:
    return Shown(
        word=found.target,
        right=found.right,
        primary=found.primary,
        credited=found.credited,
        missed=found.missed,
        untaught=found.not_yet_taught,
        sequences=found.letter_sequences,
    )


def _shown_json(shown: Sequence[Shown]) -> str:
    return json.dumps(
        [
            [s.right, s.primary, s.credited, s.missed, s.untaught, s.sequences, s.chances, s.word]
            for s in shown
        ]
    )


def _shown_from(text: str) -> tuple[Shown, ...]:
    return tuple(
        Shown(
            word=word,
            right=right,
            primary=primary,
            credited=tuple(credited),
            missed=tuple(missed),
            untaught=tuple(untaught),
            sequences=(sequences[0], sequences[1]),
            chances=tuple(chances),
        )
        for right, primary, credited, missed, untaught, sequences, chances, word in json.loads(text)
    )
