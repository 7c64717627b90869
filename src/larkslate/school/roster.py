"""Classes and students: kept, listed, changed."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import sqlalchemy as sa

from larkslate.errors import Malformed, Missing, NotAllowed
from larkslate.school import schema
from larkslate.school.model import (
    Classroom,
    ClassSettings,
    Hand,
    RosterPreview,
    RosterRow,
    Student,
)
from larkslate.school.store import School, new_id

LABEL_MOST, CLASS_MOST, NAME_MOST = 40, 100, 60
_UNSET: Any = object()


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


# ---- classes ---------------------------------------------------------------------------------


def _settings_json(settings: ClassSettings) -> str:
    return json.dumps(
        {
            "sequence": settings.sequence,
            "writing": settings.writing,
            "letters_per_minute": settings.letters_per_minute,
            "accents": list(settings.accents),
            "paper": settings.paper,
            "first_day": settings.first_day.isoformat() if settings.first_day else None,
            "purge": settings.purge.isoformat() if settings.purge else None,
        }
    )


def _settings(text: str) -> ClassSettings:
    found = json.loads(text)
    plain = ClassSettings()
    return ClassSettings(
        sequence=found.get("sequence", plain.sequence),
        writing=found.get("writing", plain.writing),
        letters_per_minute=found.get("letters_per_minute", plain.letters_per_minute),
        accents=tuple(found.get("accents", ())),
        paper=found.get("paper", plain.paper),
        first_day=_day(found.get("first_day")),
        purge=_day(found.get("purge")),
    )


def _classroom(row: sa.Row[Any]) -> Classroom:
    return Classroom(row.id, row.name, row.grade, row.year, _settings(row.settings), row.invented)


def _checked_settings(settings: ClassSettings) -> ClassSettings:
    if settings.writing not in ("joined", "print"):
        raise Malformed(f"The hand is joined or print, not {settings.writing!r}: choose one.")
    if not 5 <= settings.letters_per_minute <= 200:
        raise Malformed(
            "The writing speed must be 5 to 200 letters a minute: a grade 3 copies about 45."
        )
    return settings


def _class_name(name: str) -> str:
    plain = " ".join(unicodedata.normalize("NFC", name).split())
    if not plain:
        raise Malformed("The class has no name: write one, such as Room 12.")
    if len(plain) > NAME_MOST:
        raise Malformed(f"The name of a class has at most {NAME_MOST} letters: shorten it.")
    return plain


def year_end(year: str) -> date | None:
    """The day after which a school year's data should go: July 31 of its last year; None for no year."""
    years = re.findall(r"\d{2,4}", year)
    if not years:
        return None
    first = int(years[0]) if len(years[0]) == 4 else 2000 + int(years[0][:2])
    last = (
        first + 1
        if len(years) == 1
        else int(years[1])
        if len(years[1]) == 4
        else 2000 + int(years[1][:2])
    )
    return date(last, 7, 31)


def add_class(
    school: School,
    name: str,
    *,
    grade: str = "3",
    year: str = "",
    settings: ClassSettings | None = None,
    invented: bool = False,
) -> Classroom:
    """A new class. Without a purge date it is the end of the school year.

    Raises NotAllowed for a name that another class has, Malformed for an empty one.
    """
    plain = _class_name(name)
    chosen = _checked_settings(settings or ClassSettings())
    if chosen.purge is None:
        chosen = replace(chosen, purge=year_end(year))
    made = Classroom(new_id(), plain, grade.strip(), " ".join(year.split()), chosen, invented)
    with school.writing() as connection:
        _free_name(connection, plain, None)
        connection.execute(
            schema.classes.insert().values(
                id=made.id,
                name=made.name,
                grade=made.grade,
                year=made.year,
                invented=invented,
                settings=_settings_json(chosen),
                created=school.stamp(),
                changed=school.stamp(),
            )
        )
    return made


def _free_name(connection: sa.Connection, name: str, but: str | None) -> None:
    for row in connection.execute(sa.select(schema.classes.c.id, schema.classes.c.name)):
        if row.id != but and row.name.casefold() == name.casefold():
            raise NotAllowed(f"There is a class {row.name} already: choose another name.")


def classes(school: School) -> tuple[Classroom, ...]:
    """All classes, the newest school year first, then by name."""
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(schema.classes).order_by(schema.classes.c.year.desc(), schema.classes.c.name)
        ).all()
    return tuple(_classroom(r) for r in rows)


def classroom(school: School, class_id: str) -> Classroom:
    """One class. Raises Missing."""
    with school.reading() as connection:
        row = connection.execute(
            sa.select(schema.classes).where(schema.classes.c.id == class_id)
        ).one_or_none()
    if row is None:
        raise Missing(
            "There is no such class here: it may have been deleted. Go back to the list of classes."
        )
    return _classroom(row)


def class_named(school: School, name: str) -> Classroom:
    """The class of a name, capitals aside. Raises Missing with the names there are."""
    every = classes(school)
    for one in every:
        if one.name.casefold() == " ".join(name.split()).casefold():
            return one
    there = ", ".join(c.name for c in every) or "none yet"
    raise Missing(f"There is no class {name}: the classes are {there}.")


def change_class(
    school: School,
    class_id: str,
    *,
    name: str | None = None,
    grade: str | None = None,
    year: str | None = None,
    settings: ClassSettings | None = None,
) -> Classroom:
    """Change what is given and keep the rest. Raises Missing, NotAllowed for a name that is taken."""
    old = classroom(school, class_id)
    new = replace(
        old,
        name=_class_name(name) if name is not None else old.name,
        grade=grade.strip() if grade is not None else old.grade,
        year=" ".join(year.split()) if year is not None else old.year,
        settings=_checked_settings(settings) if settings is not None else old.settings,
    )
    with school.writing() as connection:
        _free_name(connection, new.name, class_id)
        connection.execute(
            schema.classes.update()
            .where(schema.classes.c.id == class_id)
            .values(
                name=new.name,
                grade=new.grade,
                year=new.year,
                settings=_settings_json(new.settings),
                changed=school.stamp(),
                changes=schema.classes.c.changes + 1,
            )
        )
    return new


def purge_due(school: School) -> tuple[Classroom, ...]:
    """Classes whose purge date has come: the teacher is told, nothing is deleted by itself."""
    today = school.today()
    return tuple(c for c in classes(school) if c.settings.purge and c.settings.purge <= today)


def touch(connection: sa.Connection, school: School, class_id: str) -> None:
    """Note that something of a class has changed."""
    connection.execute(
        schema.classes.update()
        .where(schema.classes.c.id == class_id)
        .values(changed=school.stamp(), changes=schema.classes.c.changes + 1)
    )


def changes(school: School, class_id: str) -> int:
    """How often anything of a class has changed. Raises Missing."""
    with school.reading() as connection:
        found = connection.execute(
            sa.select(schema.classes.c.changes).where(schema.classes.c.id == class_id)
        ).scalar_one_or_none()
    if found is None:
        raise Missing(
            "There is no such class here: it may have been deleted. Go back to the list of classes."
        )
    return int(found)


def last_changed(school: School) -> str | None:
    """The id of the class in which something changed last; None where there is no class."""
    table = schema.classes
    with school.reading() as connection:
        return connection.execute(
            sa.select(table.c.id).order_by(table.c.changed.desc(), table.c.id).limit(1)
        ).scalar_one_or_none()


# ---- students --------------------------------------------------------------------------------


def clean_label(text: str) -> str:
    """A label with single blanks, composed. Raises Malformed for an empty, long or unprintable one."""
    plain = " ".join(unicodedata.normalize("NFC", text).split())
    if not plain:
        raise Malformed("the label is empty: write a code, or a first name and an initial.")
    if len(plain) > LABEL_MOST:
        raise Malformed(
            f"the label has {len(plain)} letters, at most {LABEL_MOST} fit: shorten it."
        )
    if any(unicodedata.category(c).startswith("C") for c in plain):
        raise Malformed("the label holds signs that cannot be printed: type it anew.")
    return plain


def same_label(label: str) -> str:
    """What two labels must not share."""
    return unicodedata.normalize("NFKC", label).casefold().rstrip(".")


def _student(row: sa.Row[Any]) -> Student:
    return Student(
        id=row.id,
        class_id=row.class_id,
        label=row.label,
        seat=row.seat,
        hand=Hand(row.hand),
        larger_print=row.larger_print,
        extra_time=row.extra_time,
        joined=_day(row.joined),
        left=_day(row.left),
    )


def in_seat_order(students: Iterable[Student]) -> tuple[Student, ...]:
    """Students by seat, those without one at the end by label."""
    return tuple(
        sorted(students, key=lambda s: (s.seat is None, s.seat or 0, same_label(s.label), s.id))
    )


def students(
    school: School, class_id: str, *, on: date | None = None, everyone: bool = False
) -> tuple[Student, ...]:
    """The students of a class in seat order, without those who had left by that day (today).

    ``everyone`` lists those who have left too.
    """
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(schema.students).where(schema.students.c.class_id == class_id)
        ).all()
    day = on or school.today()
    found = (_student(r) for r in rows)
    return in_seat_order(s for s in found if everyone or s.left is None or s.left >= day)


def student(school: School, student_id: str) -> Student:
    """One student. Raises Missing."""
    with school.reading() as connection:
        row = connection.execute(
            sa.select(schema.students).where(schema.students.c.id == student_id)
        ).one_or_none()
    if row is None:
        raise Missing("There is no such student here: reload the class list.")
    return _student(row)


def add_student(
    school: School,
    class_id: str,
    label: str,
    *,
    seat: int | None = None,
    hand: Hand = Hand.RIGHT,
    larger_print: int = 0,
    extra_time: bool = False,
    joined: date | None = None,
) -> Student:
    """A new student of a class. Raises NotAllowed for a label or seat that is taken."""
    row = RosterRow(1, label, seat, hand, larger_print, extra_time, joined)
    return add_students(school, class_id, RosterPreview((row,)))[0]


def _checked(found: Student, others: Sequence[Student]) -> Student:
    """A student with a clean label, held against the others of the class."""
    try:
        label = clean_label(found.label)
    except Malformed as error:
        raise Malformed(str(error)[:1].upper() + str(error)[1:]) from None
    for other in others:
        if other.id == found.id:
            continue
        if same_label(other.label) == same_label(label):
            raise NotAllowed(
                f"{other.label} is in this class already: add a letter or a number to one of the two."
            )
        if found.seat is not None and other.seat == found.seat and other.left is None:
            raise NotAllowed(f"Seat {found.seat} is {other.label}’s: choose another seat.")
    if found.seat is not None and not 1 <= found.seat <= 999:
        raise Malformed(f"Seat {found.seat} cannot be: seats are numbers from 1 to 999.")
    if found.larger_print and not 12 <= found.larger_print <= 72:
        raise Malformed(f"{found.larger_print} points cannot be printed: choose 12 to 72, or none.")
    return replace(found, label=label)


def _values(found: Student) -> dict[str, object]:
    return {
        "id": found.id,
        "class_id": found.class_id,
        "label": found.label,
        "seat": found.seat,
        "hand": found.hand.value,
        "larger_print": found.larger_print,
        "extra_time": found.extra_time,
        "joined": found.joined.isoformat() if found.joined else None,
        "left": found.left.isoformat() if found.left else None,
    }


def _of_class(connection: sa.Connection, class_id: str) -> list[Student]:
    rows = connection.execute(
        sa.select(schema.students).where(schema.students.c.class_id == class_id)
    ).all()
    return [_student(r) for r in rows]


def change_student(
    school: School,
    student_id: str,
    *,
    label: str | None = None,
    seat: int | None = _UNSET,
    hand: Hand | None = None,
    larger_print: int | None = None,
    extra_time: bool | None = None,
    joined: date | None = _UNSET,
    left: date | None = _UNSET,
) -> Student:
    """Change what is given and keep the rest. Raises Missing, NotAllowed for a label or seat that is taken."""
    with school.writing() as connection:
        row = connection.execute(
            sa.select(schema.students).where(schema.students.c.id == student_id)
        ).one_or_none()
        if row is None:
            raise Missing("There is no such student here: reload the class list.")
        old = _student(row)
        new = replace(
            old,
            label=label if label is not None else old.label,
            seat=old.seat if seat is _UNSET else seat,
            hand=hand or old.hand,
            larger_print=old.larger_print if larger_print is None else larger_print,
            extra_time=old.extra_time if extra_time is None else extra_time,
            joined=old.joined if joined is _UNSET else joined,
            left=old.left if left is _UNSET else left,
        )
        new = _checked(new, _of_class(connection, old.class_id))
        connection.execute(
            schema.students.update()
            .where(schema.students.c.id == student_id)
            .values(**{k: v for k, v in _values(new).items() if k != "id"})
        )
        touch(connection, school, old.class_id)
    return new


def add_students(school: School, class_id: str, preview: RosterPreview) -> tuple[Student, ...]:
    """Do what a preview shows: new students come in, known ones get what the file says about them.

    All or nothing. A new student without a seat gets the next free one. Raises NotAllowed if the preview has
    faults or the class has changed since.
    """
    if preview.faults:
        raise NotAllowed(
            f"Nothing was added: {preview.faults[0]} Put it right and read the list again."
        )
    done: list[Student] = []
    with school.writing() as connection:
        if (
            connection.execute(
                sa.select(schema.classes.c.id).where(schema.classes.c.id == class_id)
            ).first()
            is None
        ):
            raise Missing("There is no such class here: go back to the list of classes.")
        others = _of_class(connection, class_id)
        if len(others) + len(preview.new) > CLASS_MOST:
            raise NotAllowed(
                f"A class holds at most {CLASS_MOST} students, this would be {len(others) + len(preview.new)}: "
                "read a list of one class."
            )
        taken = {s.seat for s in others} | {r.seat for r in preview.rows}
        free = (n for n in range(1, 1000) if n not in taken)
        for row in preview.rows:
            old = next((s for s in others if s.id == row.known), None)
            if row.known is not None and old is None:
                raise NotAllowed(
                    f"Row {row.row}: {row.label} is not there anymore. Read the list again."
                )
            base = old or Student(new_id(), class_id, row.label)
            new = replace(
                base,
                label=row.label,
                seat=row.seat if row.seat is not None else base.seat,
                hand=row.hand or base.hand,
                larger_print=base.larger_print if row.larger_print is None else row.larger_print,
                extra_time=base.extra_time if row.extra_time is None else row.extra_time,
                joined=row.joined or base.joined,
            )
            if new.seat is None:
                new = replace(new, seat=next(free))
            new = _checked(new, others)
            if old is None:
                connection.execute(schema.students.insert().values(**_values(new)))
                others.append(new)
            else:
                connection.execute(
                    schema.students.update()
                    .where(schema.students.c.id == new.id)
                    .values(**_values(new))
                )
                others[others.index(old)] = new
            done.append(new)
        touch(connection, school, class_id)
    return tuple(done)
