"""Marking a class: every response diagnosed, evidence added up by student, by word and by point."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from larkslate.assess.diagnose import diagnose
from larkslate.assess.model import (
    Chance,
    Diagnosis,
    Mark,
    Response,
    ResponseStatus,
    Standing,
)
from larkslate.assess.score import normal
from larkslate.assess.standings import SHIPPED, Group, Rule, groups, standings, whole_class
from larkslate.assess.target import Lookup, Target, target_of
from larkslate.words.model import Need

HARD_WORD_CLASS = 20
"""From this many students on, a word that most of them miss is named as a hard item."""


class TaughtPoint(Protocol):
    """What marking asks of a point."""

    @property
    def id(self) -> str:
        """Its id."""

    @property
    def prerequisites(self) -> tuple[str, ...]:
        """Ids of the points it builds on."""


class Course(Protocol):
    """What marking asks of a sequence: see sequence.model.Sequence."""

    @property
    def points(self) -> Sequence[TaughtPoint]:
        """All points in order."""

    @property
    def known_words(self) -> dict[str, str]:
        """Words known whole, and the point from which."""

    def index(self, point: str) -> int:
        """Place of a point."""

    def end_of(self, through: str | int) -> int:
        """Index of the last point taught."""


class ReachLike(Protocol):
    """What marking asks of sequence.reach.Reach."""

    @property
    def sequence(self) -> Course:
        """The sequence."""

    def point_of(self, need: Need, through: str | int | None = None) -> str | None:
        """The point that evidence on a need counts for."""


@dataclass(frozen=True, slots=True)
class Marked:
    """One response and its diagnosis."""

    response: Response
    diagnosis: Diagnosis


@dataclass(frozen=True, slots=True)
class StudentResult:
    """One student: the marked responses in the order given, standings by point in the order of the sequence.

    ``words`` is (right, of) over what could be scored; ``sequences`` the letter sequences; ``unusual`` the
    sittings left out of the standings.
    """

    student: str
    marked: tuple[Marked, ...]
    words: tuple[int, int]
    sequences: tuple[int, int]
    standings: dict[str, Standing]
    blank: int = 0
    illegible: int = 0
    absent: int = 0
    unusual: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WrongForm:
    """A spelling that students wrote, how many did, and its primary code."""

    written: str
    students: tuple[str, ...]
    primary: str | None


@dataclass(frozen=True, slots=True)
class WordResult:
    """One dictated word in the class: right of scored, the wrong forms, most frequent first.

    ``hard`` says that most of a class of twenty or more missed it: a miss then says little about a student.
    """

    target: str
    right: int
    of: int
    wrong: tuple[WrongForm, ...]
    hard: bool


@dataclass(frozen=True, slots=True)
class PointResult:
    """One point in the class: chances added up, students by standing, and whether it goes back to all."""

    point: str
    right: int
    chances: int
    students: dict[Mark, tuple[str, ...]]
    whole_class: bool


@dataclass(frozen=True, slots=True)
class ClassResult:
    """A marked class. ``notes`` are what a teacher should know before she reads the rest."""

    students: tuple[StudentResult, ...]
    words: tuple[WordResult, ...]
    points: tuple[PointResult, ...]
    groups: tuple[Group, ...]
    notes: tuple[str, ...] = ()


class Marker:
    """Diagnoses responses against one lexicon and sequence, remembering targets and repeated spellings."""

    def __init__(
        self,
        lexicon: Lookup,
        reach: ReachLike,
        *,
        through: str | int | None = None,
        accents: Mapping[str, Iterable[str]] | None = None,
    ) -> None:
        self.lexicon = lexicon
        self.reach = reach
        self.through = through
        self._accents = {s: frozenset(a) for s, a in (accents or {}).items()}
        self._targets: dict[str, Target] = {}
        self._known: dict[tuple[object, ...], Diagnosis] = {}

    def target(self, text: str) -> Target:
        """The target for a dictated word, made once."""
        found = self._targets.get(text)
        if found is None:
            found = self._targets[text] = target_of(text, self.lexicon)
        return found

    def diagnosis(self, response: Response, *, right_elsewhere: bool = False) -> Diagnosis:
        """The diagnosis of one response; equal spellings are diagnosed once."""
        accents = self._accents.get(response.student, frozenset())
        key = (
            response.target,
            response.written,
            response.sentence,
            response.status,
            accents,
            right_elsewhere,
            response.overrule,
        )
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = diagnose(
                self.target(response.target),
                response.written,
                sentence=response.sentence,
                lexicon=self.lexicon,
                points=self.reach,
                through=self.through,
                accents=accents,
                status=response.status,
                right_elsewhere=right_elsewhere,
                overrule=response.overrule,
            )
        return found


def chances_of(marked: Marked) -> list[Chance]:
    """The chances that one marked response gives: right on what it credits, missed on what it misses.

    Blank, illegible and absent give none.
    """
    response, found = marked.response, marked.diagnosis
    if found.status is not ResponseStatus.WRITTEN:
        return []
    return [
        Chance(
            point=point,
            word=found.target,
            right=right,
            sitting=response.sitting,
            date=response.date,
            practiced=response.practiced,
            channel=response.channel,
        )
        for right, points in ((True, found.credited), (False, found.missed))
        for point in points
    ]


def _mark_student(rows: Sequence[Response], marker: Marker) -> tuple[Marked, ...]:
    right = {
        (r.sitting, normal(r.target).lower())
        for r in rows
        if r.status is ResponseStatus.WRITTEN
        and normal(r.written).lower() == normal(r.target).lower()
    }
    return tuple(
        Marked(
            row,
            marker.diagnosis(
                row, right_elsewhere=(row.sitting, normal(row.target).lower()) in right
            ),
        )
        for row in rows
    )


def _student(
    name: str,
    marked: tuple[Marked, ...],
    marker: Marker,
    today: date | None,
    rule: Rule,
    count_anyway: frozenset[str],
) -> StudentResult:
    course = marker.reach.sequence
    end = None if marker.through is None else course.end_of(marker.through)
    chances = [c for m in marked for c in chances_of(m)]
    found = standings(
        chances,
        taught=lambda p: end is None or course.index(p) <= end,
        today=today,
        count_anyway=count_anyway,
        rule=rule,
    )
    ordered = {p: found.by_point[p] for p in sorted(found.by_point, key=course.index)}
    scored = [m.diagnosis for m in marked if m.diagnosis.status is ResponseStatus.WRITTEN]
    status = Counter(m.diagnosis.status for m in marked)
    return StudentResult(
        student=name,
        marked=marked,
        words=(sum(d.right for d in scored), len(scored)),
        sequences=(
            sum(d.letter_sequences[0] for d in scored),
            sum(d.letter_sequences[1] for d in scored),
        ),
        standings=ordered,
        blank=status[ResponseStatus.BLANK],
        illegible=status[ResponseStatus.ILLEGIBLE],
        absent=status[ResponseStatus.ABSENT],
        unusual=found.unusual,
    )


def _words(students: Sequence[StudentResult]) -> tuple[WordResult, ...]:
    by_word: dict[str, list[Marked]] = defaultdict(list)
    for student in students:
        for marked in student.marked:
            by_word[marked.diagnosis.target].append(marked)
    out = []
    for target, all_marked in by_word.items():
        scored = [m for m in all_marked if m.diagnosis.status is ResponseStatus.WRITTEN]
        forms: dict[str, list[Marked]] = defaultdict(list)
        for m in scored:
            if not m.diagnosis.right:
                forms[m.diagnosis.written].append(m)
        wrong = tuple(
            WrongForm(
                written,
                tuple(dict.fromkeys(m.response.student for m in who)),
                who[0].diagnosis.primary,
            )
            for written, who in sorted(forms.items(), key=lambda f: (-len(f[1]), f[0]))
        )
        right = sum(m.diagnosis.right for m in scored)
        hard = len(scored) >= HARD_WORD_CLASS and right * 2 < len(scored)
        out.append(WordResult(target, right, len(scored), wrong, hard))
    return tuple(out)


def _points(
    students: Sequence[StudentResult], course: Course, rule: Rule
) -> tuple[PointResult, ...]:
    names = sorted({p for s in students for p in s.standings}, key=course.index)
    out = []
    for point in names:
        held = {s.student: s.standings[point] for s in students if point in s.standings}
        by_mark: dict[Mark, tuple[str, ...]] = {}
        for mark in Mark:
            who = tuple(n for n, s in held.items() if s.mark is mark)
            if who:
                by_mark[mark] = who
        counted = [s for s in held.values() if s.mark is not Mark.NOT_YET_TAUGHT]
        rates = [(s.right, s.chances) for s in counted]
        rates += [(0, 0)] * (len(students) - len(counted))
        out.append(
            PointResult(
                point=point,
                right=sum(s.right for s in held.values()),
                chances=sum(s.chances for s in held.values()),
                students=by_mark,
                whole_class=len(students) > 1 and whole_class(rates, rule),
            )
        )
    return tuple(out)


def mark(
    rows: Iterable[Response],
    *,
    lexicon: Lookup,
    reach: ReachLike,
    through: str | int | None = None,
    today: date | None = None,
    accents: Mapping[str, Iterable[str]] | None = None,
    rule: Rule = SHIPPED,
    count_anyway: Mapping[str, frozenset[str]] | None = None,
) -> ClassResult:
    """Mark the responses of a class; see read_marks for a file of them.

    ``through`` is the last point, unit or "K2" taught; ``accents`` are settings by student;
    ``count_anyway`` names, by student, unusual sittings that count all the same. Students and words keep
    the order in which they first come.
    """
    by_student: dict[str, list[Response]] = defaultdict(list)
    for row in rows:
        by_student[row.student].append(row)
    marker = Marker(lexicon, reach, through=through, accents=accents)
    students = tuple(
        _student(
            name,
            _mark_student(responses, marker),
            marker,
            today,
            rule,
            (count_anyway or {}).get(name, frozenset()),
        )
        for name, responses in by_student.items()
    )
    course = reach.sequence
    words = _words(students)
    points = _points(students, course, rule)
    back = frozenset(p.point for p in points if p.whole_class)
    grouped = groups(
        {s.student: s.standings for s in students},
        order=[p.id for p in course.points],
        prerequisites={p.id: p.prerequisites for p in course.points},
        skip=back,
    )
    return ClassResult(students, words, points, grouped, _notes(students, words))


def _notes(students: Sequence[StudentResult], words: Sequence[WordResult]) -> tuple[str, ...]:
    notes = []
    for word in words:
        if word.hard:
            notes.append(
                f"{word.target}: {word.of - word.right} of {word.of} missed it, so a miss says little "
                "about one student."
            )
    for student in students:
        for sitting in student.unusual:
            notes.append(
                f"{student.student}, {sitting}: most points that were secure were missed. "
                "This sitting is not counted; ask what happened."
            )
    unread = sum(s.illegible for s in students)
    if unread:
        answers = "1 answer" if unread == 1 else f"{unread} answers"
        notes.append(f"{answers} could not be read and did not count: ask the student.")
    return tuple(notes)


def _standing_json(standing: Standing) -> dict[str, Any]:
    right, of = standing.practiced
    return {
        "point": standing.point,
        "standing": standing.mark.value,
        "right": standing.right,
        "chances": standing.chances,
        "missed": standing.chances - standing.right,
        "sittings": standing.sittings,
        "practiced": {"right": right, "of": of},
        "possible": standing.possible,
        "says": standing.says,
    }


def to_json(result: ClassResult) -> dict[str, Any]:
    """A marked class as plain values: students, words, points, groups, notes.

    A spelling is given by its target, what was written and its primary code; the whole diagnosis of one is
    what ``spelled`` gives.
    """
    return {
        "students": [
            {
                "student": s.student,
                "words": {"right": s.words[0], "of": s.words[1]},
                "letter_sequences": {"right": s.sequences[0], "of": s.sequences[1]},
                "blank": s.blank,
                "illegible": s.illegible,
                "absent": s.absent,
                "unusual": list(s.unusual),
                "points": [_standing_json(x) for x in s.standings.values()],
                "items": [
                    {
                        "target": m.diagnosis.target,
                        "written": m.diagnosis.written,
                        "status": m.diagnosis.status.value,
                        "right": m.diagnosis.right,
                        "primary": m.diagnosis.primary,
                        "codes": list(m.diagnosis.codes),
                        "credited": list(m.diagnosis.credited),
                        "missed": list(m.diagnosis.missed),
                        "not_yet_taught": list(m.diagnosis.not_yet_taught),
                        "row": m.response.row,
                    }
                    for m in s.marked
                ],
            }
            for s in result.students
        ],
        "words": [
            {
                "target": w.target,
                "right": w.right,
                "of": w.of,
                "hard": w.hard,
                "wrong": [
                    {"written": f.written, "students": list(f.students), "primary": f.primary}
                    for f in w.wrong
                ],
            }
            for w in result.words
        ],
        "points": [
            {
                "point": p.point,
                "right": p.right,
                "chances": p.chances,
                "students": {m.value: list(who) for m, who in p.students.items()},
                "whole_class": p.whole_class,
            }
            for p in result.points
        ],
        "groups": [
            {
                "point": g.point,
                "students": list(g.students),
                "possible": list(g.possible),
                "says": g.says,
            }
            for g in result.groups
        ],
        "notes": list(result.notes),
    }
