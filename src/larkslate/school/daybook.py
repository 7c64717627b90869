"""The daybook: lessons taught, who was there, catch-ups, two-tap notes, words from other subjects, overrules."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa

from larkslate.assess.codes import codes
from larkslate.assess.diagnose import ACCEPTED
from larkslate.errors import Malformed, Missing, NotAllowed
from larkslate.school import schema
from larkslate.school.model import LessonDay, Note, Overrule, OwnList
from larkslate.school.responses import clean
from larkslate.school.roster import student, touch
from larkslate.school.store import School, new_id
from larkslate.sequence.reach import Reach
from larkslate.words.model import Status

NOTE_MOST, LIST_MOST = 500, 200
_WORD = re.compile(r"[^\W\d_]+(?:['’‘-][^\W\d_]+)*['’]?")


def _text(text: str, most: int = NOTE_MOST) -> str:
    plain = text.strip()
    if len(plain) > most:
        raise Malformed(f"A note has at most {most} letters, this has {len(plain)}: shorten it.")
    return plain


# ---- lessons ---------------------------------------------------------------------------------


def set_lesson_day(school: School, lesson: LessonDay) -> None:
    """Store when a lesson is taught, whether it is done, and the teacher's note on it."""
    table = schema.lesson_days
    cell = sa.and_(
        table.c.class_id == lesson.class_id,
        table.c.unit == lesson.unit,
        table.c.lesson == lesson.lesson,
    )
    with school.writing() as connection:
        connection.execute(table.delete().where(cell))
        connection.execute(
            table.insert().values(
                class_id=lesson.class_id,
                unit=lesson.unit,
                lesson=lesson.lesson,
                day=lesson.day.isoformat(),
                done=lesson.done,
                note=_text(lesson.note),
            )
        )
        touch(connection, school, lesson.class_id)


def lesson_days(school: School, class_id: str) -> tuple[LessonDay, ...]:
    """The lessons of a class that have a day, in the order of the days."""
    table = schema.lesson_days
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table)
            .where(table.c.class_id == class_id)
            .order_by(table.c.day, table.c.unit, table.c.lesson)
        ).all()
    return tuple(
        LessonDay(r.class_id, r.unit, r.lesson, date.fromisoformat(r.day), r.done, r.note)
        for r in rows
    )


# ---- who was there ---------------------------------------------------------------------------


def set_present(school: School, student_id: str, day: date, present: bool) -> None:
    """Store whether a student was there on a day; without an entry a student was."""
    table = schema.attendance
    owner = student(school, student_id).class_id
    with school.writing() as connection:
        connection.execute(
            table.delete().where(table.c.student_id == student_id, table.c.day == day.isoformat())
        )
        if not present:
            connection.execute(
                table.insert().values(student_id=student_id, day=day.isoformat(), present=False)
            )
        touch(connection, school, owner)


def absences(school: School, class_id: str) -> dict[str, frozenset[date]]:
    """The days each student of a class was absent; students who never were are left out."""
    table, who = schema.attendance, schema.students
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table.c.student_id, table.c.day)
            .join(who, who.c.id == table.c.student_id)
            .where(who.c.class_id == class_id, table.c.present.is_(False))
        ).all()
    found: dict[str, set[date]] = {}
    for row in rows:
        found.setdefault(row.student_id, set()).add(date.fromisoformat(row.day))
    return {s: frozenset(days) for s, days in found.items()}


def catch_up(school: School, student_id: str, point: str, day: date | None = None) -> None:
    """Store that one student was taught a point apart from the class; from now on it counts."""
    table = schema.catch_ups
    owner = student(school, student_id).class_id
    with school.writing() as connection:
        connection.execute(
            table.delete().where(table.c.student_id == student_id, table.c.point == point)
        )
        connection.execute(
            table.insert().values(
                student_id=student_id, point=point, day=(day or school.today()).isoformat()
            )
        )
        touch(connection, school, owner)


def catch_ups(school: School, class_id: str) -> dict[str, frozenset[str]]:
    """The points that students of a class were taught apart from it."""
    table, who = schema.catch_ups, schema.students
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table.c.student_id, table.c.point)
            .join(who, who.c.id == table.c.student_id)
            .where(who.c.class_id == class_id)
        ).all()
    found: dict[str, set[str]] = {}
    for row in rows:
        found.setdefault(row.student_id, set()).add(row.point)
    return {s: frozenset(points) for s, points in found.items()}


def count_anyway(school: School, student_id: str, sitting_id: str, count: bool = True) -> None:
    """Let an unusual sitting of a student count all the same, or not."""
    table = schema.counted
    owner = student(school, student_id).class_id
    with school.writing() as connection:
        connection.execute(
            table.delete().where(table.c.student_id == student_id, table.c.sitting_id == sitting_id)
        )
        if count:
            connection.execute(table.insert().values(student_id=student_id, sitting_id=sitting_id))
        touch(connection, school, owner)


def counted(school: School, class_id: str) -> dict[str, frozenset[str]]:
    """Unusual sittings that count all the same, by student."""
    table, who = schema.counted, schema.students
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table)
            .join(who, who.c.id == table.c.student_id)
            .where(who.c.class_id == class_id)
        ).all()
    found: dict[str, set[str]] = {}
    for row in rows:
        found.setdefault(row.student_id, set()).add(row.sitting_id)
    return {s: frozenset(ids) for s, ids in found.items()}


# ---- two-tap notes ---------------------------------------------------------------------------


def add_note(
    school: School, student_id: str, point: str, *, day: date | None = None, text: str = ""
) -> Note:
    """Note that a student was stuck on a point."""
    made = Note(new_id(), student_id, point, day or school.today(), _text(text))
    owner = student(school, student_id).class_id
    with school.writing() as connection:
        connection.execute(
            schema.notes.insert().values(
                id=made.id,
                student_id=student_id,
                point=point,
                day=made.day.isoformat(),
                text=made.text,
            )
        )
        touch(connection, school, owner)
    return made


def notes(school: School, class_id: str) -> tuple[Note, ...]:
    """The notes of a class, the latest first."""
    table, who = schema.notes, schema.students
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table)
            .join(who, who.c.id == table.c.student_id)
            .where(who.c.class_id == class_id)
            .order_by(table.c.day.desc(), table.c.id)
        ).all()
    return tuple(Note(r.id, r.student_id, r.point, date.fromisoformat(r.day), r.text) for r in rows)


def remove_note(school: School, note_id: str) -> None:
    """Delete a note; nothing happens if it is not there."""
    with school.writing() as connection:
        connection.execute(schema.notes.delete().where(schema.notes.c.id == note_id))


# ---- words from another subject --------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CheckedWord:
    """One word of a list against what the class was taught.

    ``known`` is false for a word that the word list does not hold. ``later`` are the points it still needs, in
    order; ``never`` is true where it needs something that no point of the sequence teaches.
    """

    word: str
    known: bool
    in_reach: bool
    later: tuple[str, ...]
    never: bool
    says: str


def words_in(text: str) -> tuple[str, ...]:
    """The words of a pasted text or list, each once, in order. Raises Malformed for none or too many."""
    found = tuple(dict.fromkeys(w.replace("’", "'").replace("‘", "'") for w in _WORD.findall(text)))
    if not found:
        raise Malformed("There is no word in the list: paste words, one a line or with commas.")
    if len(found) > LIST_MOST:
        raise Malformed(
            f"The list has {len(found):,} words, at most {LIST_MOST} fit: paste a part of it."
        )
    return found


def check_words(words: tuple[str, ...], *, reach: Reach, through: str) -> tuple[CheckedWord, ...]:
    """Each word of a list against what has been taught ``through`` a point."""
    course = reach.sequence
    made = []
    for word in words:
        if reach.word(word).status is Status.UNKNOWN:
            says = "not in the word list: look at its spelling"
            made.append(CheckedWord(word, False, False, (), False, says))
            continue
        since = [reach.since_skill(need.skill) for need in reach.missing(word, through)]
        later = tuple(course.points[i].id for i in sorted({i for i in since if i is not None}))
        if reach.in_reach(word, through):
            made.append(CheckedWord(word, True, True, (), False, "in reach"))
        elif None in since or not since:
            says = "needs a spelling that this sequence does not teach"
            made.append(CheckedWord(word, True, False, later, True, says))
        else:
            names = ", ".join(course.point(p).name for p in later)
            made.append(CheckedWord(word, True, False, later, False, f"later: {names}"))
    return tuple(made)


def add_list(school: School, class_id: str, title: str, words: tuple[str, ...]) -> OwnList:
    """Keep a list of words of a class. Raises Malformed without a title or words."""
    name = " ".join(title.split())
    if not name or len(name) > 80:
        raise Malformed("Give the list a title of at most 80 letters, such as Pond words.")
    if not words:
        raise Malformed("There is no word in the list: paste words, one a line or with commas.")
    made = OwnList(new_id(), class_id, name, tuple(words))
    with school.writing() as connection:
        connection.execute(
            schema.own_lists.insert().values(
                id=made.id,
                class_id=class_id,
                title=name,
                words="\n".join(words),
                created=school.stamp(),
            )
        )
        touch(connection, school, class_id)
    return made


def lists(school: School, class_id: str) -> tuple[OwnList, ...]:
    """The lists of a class, the latest first."""
    table = schema.own_lists
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table).where(table.c.class_id == class_id).order_by(table.c.created.desc())
        ).all()
    return tuple(OwnList(r.id, r.class_id, r.title, tuple(r.words.split("\n"))) for r in rows)


def remove_list(school: School, list_id: str) -> None:
    """Delete a list; nothing happens if it is not there."""
    with school.writing() as connection:
        connection.execute(schema.own_lists.delete().where(schema.own_lists.c.id == list_id))


# ---- overrules -------------------------------------------------------------------------------


def _overrule(row: sa.Row[Any]) -> Overrule:
    return Overrule(
        row.id,
        row.class_id,
        row.target,
        row.written,
        row.code,
        row.was,
        row.reason,
        datetime.fromisoformat(row.created),
    )


def overrule(
    school: School,
    class_id: str,
    target: str,
    written: str,
    code: str,
    *,
    was: str | None,
    reason: str = "",
) -> Overrule:
    """Keep what a teacher says about one spelling; it holds wherever the class wrote it.

    ``code`` is a code of the assess room, or "right"; ``was`` is what the program said. Raises NotAllowed for
    a code that does not exist.
    """
    if code != ACCEPTED and code not in codes():
        raise NotAllowed(f"There is no code {code}: choose one of the list, or {ACCEPTED}.")
    made = Overrule(
        new_id(), class_id, target, clean(written), code, was, _text(reason), school.now()
    )
    table = schema.overrules
    with school.writing() as connection:
        connection.execute(
            table.delete().where(_spelling(made.class_id, made.target, made.written))
        )
        connection.execute(
            table.insert().values(
                id=made.id,
                class_id=class_id,
                target=target,
                written=made.written,
                code=code,
                was=was,
                reason=made.reason,
                created=school.stamp(),
            )
        )
        touch(connection, school, class_id)
    return made


def _spelling(class_id: str, target: str, written: str) -> sa.ColumnElement[bool]:
    table = schema.overrules
    return sa.and_(
        table.c.class_id == class_id, table.c.target == target, table.c.written == written
    )


def take_back(school: School, overrule_id: str) -> None:
    """Let the program's own reading hold again. Raises Missing."""
    table = schema.overrules
    with school.writing() as connection:
        owner = connection.execute(
            sa.select(table.c.class_id).where(table.c.id == overrule_id)
        ).scalar_one_or_none()
        if owner is None:
            raise Missing("This was taken back already: reload the page.")
        connection.execute(table.delete().where(table.c.id == overrule_id))
        touch(connection, school, owner)


def overrules(school: School, class_id: str) -> tuple[Overrule, ...]:
    """What the teacher has said about spellings in a class, the latest first."""
    table = schema.overrules
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table).where(table.c.class_id == class_id).order_by(table.c.created.desc())
        ).all()
    return tuple(_overrule(r) for r in rows)
