"""Answers: one cell at a time, so that nothing is lost and two windows never overwrite each other silently."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from larkslate.assess.model import Channel, ResponseStatus
from larkslate.errors import Malformed, Missing
from larkslate.school import roster, schema
from larkslate.school.model import Answer, Conflict, Saved, Sitting, Student
from larkslate.school.roster import touch
from larkslate.school.sittings import items_from, sitting
from larkslate.school.store import School

WRITTEN_MOST = 300


def clean(text: str) -> str:
    """What was written, composed, with blanks as one; nothing else is changed. Raises Malformed."""
    plain = " ".join(unicodedata.normalize("NFC", text).split())
    if len(plain) > WRITTEN_MOST:
        raise Malformed(
            f"An answer has at most {WRITTEN_MOST} letters, this has {len(plain)}: shorten it."
        )
    if any(unicodedata.category(c) in ("Cc", "Cs") for c in plain):
        raise Malformed("The answer holds signs that cannot be shown: type it anew.")
    return plain


def _answer(row: sa.Row[Any]) -> Answer:
    return Answer(
        sitting_id=row.sitting_id,
        student_id=row.student_id,
        item=row.item,
        written=row.written,
        status=ResponseStatus(row.status),
        channel=Channel(row.channel),
        revision=row.revision,
        entered=datetime.fromisoformat(row.entered),
    )


def _said(answer: Answer) -> str:
    return f"“{answer.written}”" if answer.status is ResponseStatus.WRITTEN else answer.status.value


def _checked(answer: Answer) -> Answer:
    written = clean(answer.written)
    if answer.status is ResponseStatus.WRITTEN and not written:
        raise Malformed(
            "There is nothing written: write the answer, or choose blank, illegible or absent."
        )
    return replace(answer, written=written if answer.status is ResponseStatus.WRITTEN else "")


def save(school: School, answer: Answer) -> Saved | Conflict:
    """Store one answer; ``answer.revision`` is the revision that the window has seen, 0 for an empty cell.

    The same answer sent twice is stored once. If the cell has another answer that the window has not seen,
    nothing is stored and both are given back. Raises Missing for a student or item that is not there.
    """
    return save_all(school, (answer,))[0]


def save_all(school: School, answers: Iterable[Answer]) -> tuple[Saved | Conflict, ...]:
    """Store several answers in one transaction; each is stored or is a conflict, as in ``save``."""
    checked = [_checked(a) for a in answers]
    out: list[Saved | Conflict] = []
    with school.writing() as connection:
        known: dict[str, tuple[str, frozenset[int]]] = {}
        seated: dict[str, str | None] = {}
        for answer in checked:
            _must_fit(connection, answer, known, seated)
            out.append(_save(connection, school, answer))
        changed = {o.answer.sitting_id for o in out if isinstance(o, Saved) and o.changed}
        for class_id in {known[s][0] for s in changed}:
            touch(connection, school, class_id)
    return tuple(out)


def _must_fit(
    connection: sa.Connection,
    answer: Answer,
    known: dict[str, tuple[str, frozenset[int]]],
    seated: dict[str, str | None],
) -> None:
    if answer.sitting_id not in known:
        row = connection.execute(
            sa.select(schema.sittings.c.class_id, schema.sittings.c["items"]).where(
                schema.sittings.c.id == answer.sitting_id
            )
        ).one_or_none()
        if row is None:
            raise Missing(
                "This dictation is not there anymore: go back to the class and open it again."
            )
        known[answer.sitting_id] = (row[0], frozenset(i.number for i in items_from(row[1])))
    if answer.student_id not in seated:
        seated[answer.student_id] = connection.execute(
            sa.select(schema.students.c.class_id).where(schema.students.c.id == answer.student_id)
        ).scalar_one_or_none()
    class_id, numbers = known[answer.sitting_id]
    if seated[answer.student_id] != class_id:
        raise Missing("This student is not in the class of this dictation: reload the page.")
    if answer.item not in numbers:
        raise Missing(f"This dictation has no item {answer.item}: reload the page.")


def _cell(answer: Answer) -> sa.ColumnElement[bool]:
    table = schema.responses
    return sa.and_(
        table.c.sitting_id == answer.sitting_id,
        table.c.student_id == answer.student_id,
        table.c.item == answer.item,
    )


def _save(connection: sa.Connection, school: School, answer: Answer) -> Saved | Conflict:
    table = schema.responses
    row = connection.execute(sa.select(table).where(_cell(answer))).one_or_none()
    stored = _answer(row) if row is not None else None
    if stored is not None and (stored.written, stored.status, stored.channel) == (
        answer.written,
        answer.status,
        answer.channel,
    ):
        return Saved(stored, changed=False)
    if stored is not None and stored.revision != answer.revision:
        return Conflict(
            stored=stored,
            yours=answer,
            says=f"Another window has written {_said(stored)} here, this one {_said(answer)}. Choose one.",
        )
    stamp = school.stamp()
    # A cell that was emptied elsewhere is written anew: nothing of the other window is lost by that.
    new = replace(
        answer,
        revision=(stored.revision if stored else answer.revision) + 1,
        entered=datetime.fromisoformat(stamp),
    )
    values = {
        "written": new.written,
        "status": new.status.value,
        "channel": new.channel.value,
        "revision": new.revision,
        "entered": stamp,
    }
    if stored is None:
        connection.execute(
            table.insert().values(
                sitting_id=new.sitting_id, student_id=new.student_id, item=new.item, **values
            )
        )
    else:
        connection.execute(table.update().where(_cell(new)).values(**values))
    return Saved(new)


def clear(school: School, answer: Answer) -> Saved | Conflict:
    """Empty a cell: not marked yet. A conflict where another window has changed it since."""
    with school.writing() as connection:
        row = connection.execute(sa.select(schema.responses).where(_cell(answer))).one_or_none()
        empty = replace(answer, written="", revision=0, entered=None)
        if row is None:
            return Saved(empty, changed=False)
        stored = _answer(row)
        if stored.revision != answer.revision:
            return Conflict(
                stored,
                answer,
                f"Another window has written {_said(stored)} here. Nothing was emptied.",
            )
        connection.execute(schema.responses.delete().where(_cell(answer)))
        owner = connection.execute(
            sa.select(schema.sittings.c.class_id).where(schema.sittings.c.id == answer.sitting_id)
        ).scalar_one()
        touch(connection, school, owner)
    return Saved(empty)


def answers(school: School, sitting_id: str) -> tuple[Answer, ...]:
    """Every stored answer of a sitting."""
    table = schema.responses
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table)
            .where(table.c.sitting_id == sitting_id)
            .order_by(table.c.student_id, table.c.item)
        ).all()
    return tuple(_answer(r) for r in rows)


def answers_of_class(school: School, class_id: str) -> tuple[Answer, ...]:
    """Every stored answer of a class, in the order of its sittings."""
    table, given = schema.responses, schema.sittings
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table)
            .join(given, given.c.id == table.c.sitting_id)
            .where(given.c.class_id == class_id)
            .order_by(given.c.day, given.c.created, table.c.student_id, table.c.item)
        ).all()
    return tuple(_answer(r) for r in rows)


@dataclass(frozen=True, slots=True)
class Grid:
    """A sitting to mark: the students in seat order, the items, and what is stored by student and item."""

    sitting: Sitting
    students: tuple[Student, ...]
    cells: dict[tuple[str, int], Answer]

    @property
    def missing(self) -> int:
        """How many cells are still empty."""
        return len(self.students) * len(self.sitting.items) - len(self.cells)

    def next_student(self, after: str | None = None) -> Student | None:
        """The next student in seat order with an empty cell; the first one without ``after``."""
        order = list(self.students)
        start = next((i + 1 for i, s in enumerate(order) if s.id == after), 0)
        numbers = [i.number for i in self.sitting.items]
        for one in order[start:] + order[:start]:
            if any((one.id, n) not in self.cells for n in numbers):
                return one
        return None


def grid(school: School, sitting_id: str) -> Grid:
    """What the marking grid shows. Students who had left by that day stand in it only if they have answers."""
    given = sitting(school, sitting_id)
    stored = answers(school, sitting_id)
    wrote = {a.student_id for a in stored}
    every = roster.students(school, given.class_id, everyone=True)
    there = tuple(s for s in every if s.left is None or s.left >= given.day or s.id in wrote)
    return Grid(given, there, {(a.student_id, a.item): a for a in stored})


def mark_rest_right(
    school: School, sitting_id: str, student_id: str
) -> tuple[Saved | Conflict, ...]:
    """Write the target into every empty cell of one student: the teacher types only what was wrong."""
    shown = grid(school, sitting_id)
    return save_all(
        school,
        (
            Answer(sitting_id, student_id, item.number, item.target)
            for item in shown.sitting.items
            if (student_id, item.number) not in shown.cells
        ),
    )


def mark_absent(school: School, sitting_id: str, student_id: str) -> tuple[Saved | Conflict, ...]:
    """Every empty cell of one student is absent: missing, never zero."""
    shown = grid(school, sitting_id)
    return save_all(
        school,
        (
            Answer(sitting_id, student_id, item.number, "", ResponseStatus.ABSENT)
            for item in shown.sitting.items
            if (student_id, item.number) not in shown.cells
        ),
    )
