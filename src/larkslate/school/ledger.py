"""The ledger: what the answers of a class show about each student and point, worked out anew from what is stored.

Nothing here is a stored judgment. What one answer shows depends only on its content, so that is remembered by a hash of
the content and of the version of the marking; erasing empties that memory. Each sitting is marked with what had been
taught by its day. What was taught to the class before a student came, or on a day a student was absent, is not yet
taught to that student: it counts from the day it is shown or caught up.
"""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from larkslate.assess.mark import HARD_WORD_CLASS
from larkslate.assess.model import Chance, Channel, Mark, ResponseStatus
from larkslate.assess.score import normal
from larkslate.assess.standings import SHIPPED, Group, Rule, groups, standings, whole_class
from larkslate.school import daybook, responses, roster
from larkslate.school.marking import Asked, Marking, marking_version
from larkslate.school.model import Answer, Classroom, ItemKind, LessonDay, Sitting, Student
from larkslate.school.sittings import sittings as sittings_of
from larkslate.school.store import School
from larkslate.school.views import ClassView, Last, PointView, Seen, StudentView, WordView
from larkslate.school.wording import day_name, label, say
from larkslate.sequence.model import Sequence as Course

if TYPE_CHECKING:
    from larkslate.sequence.reach import Reach
    from larkslate.words.lexicon import Lexicon

_KEPT_MOST = 4


@dataclass(frozen=True, slots=True)
class _Stored:
    classroom: Classroom
    students: tuple[Student, ...]
    sittings: tuple[Sitting, ...]
    answers: tuple[Answer, ...]
    lessons: tuple[LessonDay, ...]
    absent: dict[str, frozenset[date]]
    caught_up: dict[str, frozenset[str]]
    counted: dict[str, frozenset[str]]
    overruled: dict[tuple[str, str], str]


def taught_days(
    course: Course, lessons: Iterable[LessonDay], given: Iterable[Sitting]
) -> dict[str, date]:
    """The first day by which each point had been taught to the class.

    From lessons that are done, and from sittings, which say through which point the class had come. The assumed
    points were taught before the first day that is known.
    """
    found: dict[str, date] = {}

    def note(point: str, day: date) -> None:
        found[point] = min(day, found.get(point, day))

    for lesson in lessons:
        if not lesson.done or not 1 <= lesson.unit <= len(course.themes):
            continue
        slots = course.theme(lesson.unit).lessons
        if 1 <= lesson.lesson <= len(slots) and slots[lesson.lesson - 1].kind == "new":
            note(slots[lesson.lesson - 1].points[0], lesson.day)
    for one in given:
        for point in course.points[: course.end_of(one.through) + 1]:
            note(point.id, one.day)
    return found


class Ledger(Marking):
    """The standings of classes, worked out from stored answers. One ledger serves all classes; use it from one thread."""

    def __init__(self, lexicon: Lexicon, reach: Reach, *, rule: Rule = SHIPPED) -> None:
        super().__init__(lexicon, reach)
        self.rule = rule
        self._views: dict[str, ClassView] = {}

    def forget(self) -> None:
        """Empty the memory: after an erasure, a restore or an import."""
        super().forget()
        self._views.clear()

    def view(self, school: School, class_id: str, *, today: date | None = None) -> ClassView:
        """The class as its answers show it; made once for each state of what is stored.

        Raises Missing for a class that is not there.
        """
        day = today or school.today()
        mark_ = f"{class_id} {roster.changes(school, class_id)} {day} {marking_version()}"
        if mark_ not in self._views:
            while len(self._views) >= _KEPT_MOST:
                self._views.pop(next(iter(self._views)))
            self._views[mark_] = self._made(school, _stored(school, class_id, day), day, mark_)
        return self._views[mark_]

    def seen(self, school: School, class_id: str, sitting_id: str) -> tuple[Seen, ...]:
        """Every answer of one sitting with what it shows, students who have left too."""
        stored = _stored(school, class_id, None)
        found = self._seen(school, stored)
        return tuple(
            s for each in found.values() for s in each if s.answer.sitting_id == sitting_id
        )

    def _seen(self, school: School, stored: _Stored) -> dict[str, list[Seen]]:
        """Every answer with what it shows, by student, in the order of the sittings."""
        given = {s.id: s for s in stored.sittings}
        items = {(s.id, i.number): i for s in stored.sittings for i in s.items}
        accents = frozenset(stored.classroom.settings.accents)
        right = {
            (a.student_id, a.sitting_id, normal(a.written).lower())
            for a in stored.answers
            if a.status is ResponseStatus.WRITTEN
            and (item := items.get((a.sitting_id, a.item))) is not None
            and normal(a.written).lower() == normal(item.target).lower()
        }
        asked: list[Asked | None] = []
        for answer in stored.answers:
            item = items.get((answer.sitting_id, answer.item))
            if item is None or answer.status is not ResponseStatus.WRITTEN:
                asked.append(None)
                continue
            wrong = normal(answer.written).lower() != normal(item.target).lower()
            slip = wrong and (
                (answer.student_id, answer.sitting_id, normal(item.target).lower()) in right
            )
            asked.append(
                Asked(
                    item,
                    answer,
                    given[answer.sitting_id].through,
                    accents,
                    slip,
                    stored.overruled.get((item.target, answer.written)),
                )
            )
        self.remember(school, [a for a in asked if a is not None])
        found: dict[str, list[Seen]] = defaultdict(list)
        for answer, one in zip(stored.answers, asked, strict=True):
            item = items.get((answer.sitting_id, answer.item))
            if item is not None:
                shown = self.known[one.memory] if one is not None else ()
                found[answer.student_id].append(
                    Seen(answer, item, given[answer.sitting_id].day, shown)
                )
        return found

    def _made(self, school: School, stored: _Stored, today: date, mark_: str) -> ClassView:
        seen = self._seen(school, stored)
        taught = taught_days(self.course, stored.lessons, stored.sittings)
        students = tuple(
            self._student(one, seen.get(one.id, []), stored, taught, today)
            for one in stored.students
        )
        points = self._points(students)
        words = _words(students)
        back = frozenset(p.point for p in points if p.whole_class)
        grouped = groups(
            {s.student.id: s.standings for s in students},
            order=[p.id for p in self.course.points],
            prerequisites={p.id: p.prerequisites for p in self.course.points},
            skip=back,
        )
        return ClassView(
            classroom=stored.classroom,
            students=students,
            points=points,
            words=words,
            groups=tuple(replace(g, says=_group_says(g, self.course)) for g in grouped),
            taught=taught,
            notes=_notes(stored, students, words),
            fingerprint=hashlib.sha256(mark_.encode()).hexdigest()[:16],
        )

    def _taught(
        self, one: Student, seen: Sequence[Seen], stored: _Stored, taught: Mapping[str, date]
    ) -> frozenset[str]:
        """The points taught to one student; see the module's first lines."""
        shown = {
            p
            for s in seen
            if s.answer.channel is Channel.CLASS
            for w in s.shown
            for p in w.credited
        }
        late = is_late(one, taught)
        away = stored.absent.get(one.id, frozenset())
        met_in = {d.day for d in stored.lessons if d.done}
        found = set(stored.caught_up.get(one.id, frozenset())) | shown
        for point in self.course.points:
            day = taught.get(point.id)
            if point.k2 and not late:
                found.add(point.id)
            elif day is None or (late and one.joined is not None and day < one.joined):
                continue
            elif not (day in away and day in met_in):
                found.add(point.id)
        return frozenset(found)

    def _student(
        self,
        one: Student,
        seen: list[Seen],
        stored: _Stored,
        taught: Mapping[str, date],
        today: date,
    ) -> StudentView:
        mine = self._taught(one, seen, stored, taught)
        found = standings(
            (c for s in seen for c in _chances(s)),
            taught=mine.__contains__,
            today=today,
            count_anyway=stored.counted.get(one.id, frozenset()),
            rule=self.rule,
        )
        status = Counter(s.answer.status for s in seen)
        words = [w for s in seen for w in s.shown]
        return StudentView(
            student=one,
            standings={p: found.by_point[p] for p in sorted(found.by_point, key=self.course.index)},
            seen=tuple(seen),
            taught=mine,
            words=(sum(w.right for w in words), len(words)),
            sequences=(sum(w.sequences[0] for w in words), sum(w.sequences[1] for w in words)),
            blank=status[ResponseStatus.BLANK],
            illegible=status[ResponseStatus.ILLEGIBLE],
            absent=status[ResponseStatus.ABSENT],
            unusual=found.unusual,
        )

    def _points(self, students: Sequence[StudentView]) -> tuple[PointView, ...]:
        last = _last(students)
        names = sorted({p for s in students for p in s.standings}, key=self.course.index)
        made = []
        for point in names:
            held = {s.student.id: s.standings[point] for s in students if point in s.standings}
            by_mark = {
                mark_: who
                for mark_ in Mark
                if (who := tuple(i for i, h in held.items() if h.mark is mark_))
            }
            counted = [h for h in held.values() if h.mark is not Mark.NOT_YET_TAUGHT]
            rates = [(h.right, h.chances) for h in counted]
            rates += [(0, 0)] * (len(students) - len(counted))
            made.append(
                PointView(
                    point=point,
                    name=self.course.point(point).name,
                    label=label(self.course, point),
                    right=sum(h.right for h in counted),
                    chances=sum(h.chances for h in counted),
                    students=by_mark,
                    whole_class=len(students) > 1 and whole_class(rates, self.rule),
                    last=last.get(point),
                )
            )
        return tuple(made)


def is_late(one: Student, taught: Mapping[str, date]) -> bool:
    """True for a student who joined after the first day on which anything of the class is known."""
    return one.joined is not None and bool(taught) and one.joined > min(taught.values())


def _group_says(group: Group, course: Course) -> str:
    """The line for a group, with the point's name instead of its id."""
    text = say("group", "says", count=len(group.students), name=label(course, group.point))
    if group.possible:
        text += say("group", "possible", count=len(group.possible))
    return f"{text}."


def _chances(seen: Seen) -> Iterable[Chance]:
    """The chances that one answer gives: on the points that a right spelling would show."""
    for shown in seen.shown:
        practiced = seen.item.practiced or shown.word.lower() in seen.item.known
        for right, points in ((True, shown.credited), (False, shown.missed)):
            for point in points:
                if point not in shown.chances:
                    continue
                yield Chance(
                    point=point,
                    word=shown.word,
                    right=right,
                    sitting=seen.answer.sitting_id,
                    date=seen.day,
                    practiced=practiced,
                    channel=seen.answer.channel,
                )


def _last(students: Sequence[StudentView]) -> dict[str, Last]:
    """For each point the last day on which the class met it, and who missed it then."""
    on: dict[str, dict[date, dict[str, list[bool]]]] = defaultdict(
        lambda: defaultdict(lambda: defaultdict(list))
    )
    for one in students:
        for seen in one.seen:
            for chance in _chances(seen):
                counts = chance.channel is Channel.CLASS and chance.point in one.taught
                if counts and chance.date is not None and seen.answer.sitting_id not in one.unusual:
                    on[chance.point][chance.date][one.student.id].append(chance.right)
    found = {}
    for point, days in on.items():
        day = max(days)
        missed = tuple(
            who for who, got in days[day].items() if sum(got) * 2 <= len(got) and not all(got)
        )
        found[point] = Last(day, missed, len(days[day]))
    return found


def _words(students: Sequence[StudentView]) -> tuple[WordView, ...]:
    right: Counter[str] = Counter()
    scored: Counter[str] = Counter()
    wrong: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for one in students:
        for seen in one.seen:
            if seen.item.kind is not ItemKind.WORD or not seen.shown:
                continue
            word = seen.item.target
            scored[word] += 1
            right[word] += seen.right
            if not seen.right:
                wrong[word][seen.answer.written].append(one.student.id)
    return tuple(
        WordView(
            word=word,
            right=right[word],
            of=of,
            wrong=tuple(
                (form, tuple(dict.fromkeys(who)))
                for form, who in sorted(wrong[word].items(), key=lambda f: (-len(f[1]), f[0]))
            ),
            hard=of >= HARD_WORD_CLASS and right[word] * 2 < of,
        )
        for word, of in scored.items()
    )


def _notes(
    stored: _Stored, students: Sequence[StudentView], words: Sequence[WordView]
) -> tuple[str, ...]:
    days = {s.id: s.day for s in stored.sittings}
    found = [
        say("note", "hard", word=w.word, missed=w.of - w.right, of=w.of) for w in words if w.hard
    ]
    for one in students:
        found += [
            say("note", "unusual", student=one.student.label, day=day_name(days[sitting]))
            for sitting in one.unusual
        ]
    unread = sum(s.illegible for s in students)
    if unread:
        found.append(say("note", "unread-one" if unread == 1 else "unread", count=unread))
    taught = taught_days_of(stored)
    found += [
        say("note", "late", student=s.student.label, day=day_name(s.student.joined))
        for s in students
        if s.student.joined is not None and taught and s.student.joined > taught
    ]
    return tuple(found)


def taught_days_of(stored: _Stored) -> date | None:
    """The first day on which anything of the class is known."""
    days = [s.day for s in stored.sittings] + [d.day for d in stored.lessons if d.done]
    return min(days, default=None)


def _stored(school: School, class_id: str, day: date | None) -> _Stored:
    return _Stored(
        classroom=roster.classroom(school, class_id),
        students=roster.students(school, class_id, on=day, everyone=day is None),
        sittings=sittings_of(school, class_id),
        answers=responses.answers_of_class(school, class_id),
        lessons=daybook.lesson_days(school, class_id),
        absent=daybook.absences(school, class_id),
        caught_up=daybook.catch_ups(school, class_id),
        counted=daybook.counted(school, class_id),
        overruled={(o.target, o.written): o.code for o in daybook.overrules(school, class_id)},
    )
