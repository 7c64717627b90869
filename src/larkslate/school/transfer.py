"""Everything as one file: the export of all classes, its import, and the move between two machines.

A moved file is an export without the tables for a spreadsheet, named ``.larkslate``.

Each class has a hash of its content, and remembers the hashes it had when it was moved. So an import can tell a class
that was changed on one side only from one that was changed on both: the first is brought up to date, the second is listed
and never overwritten unless the teacher says so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path

import sqlalchemy as sa

from larkslate.errors import Missing, NotAllowed
from larkslate.school import archive, backup, erase, roster, schema
from larkslate.school import folder as places
from larkslate.school.rows import TABLES, ClassData, Row, class_data, content_of, of_student
from larkslate.school.store import School, new_id

SUFFIX = ".larkslate"


# ---- sending ----------------------------------------------------------------------------------


def _new_path(school: School, stem: str, suffix: str) -> Path:
    folder = school.folder / places.EXPORTS
    plain = re.sub(r"[^A-Za-z0-9]+", "-", stem).strip("-").lower() or "class"
    name = f"{plain}-{school.now():%Y%m%d-%H%M%S}"
    names = (f"{name}{suffix}", *(f"{name}-{n}{suffix}" for n in range(2, 1000)))
    return next(folder / n for n in names if not (folder / n).exists())


def _log(
    connection: sa.Connection, school: School, what: str, path: Path, every: list[ClassData]
) -> None:
    who = [str(r["id"]) for d in every for r in d.tables["student"]]
    connection.execute(
        schema.exports.insert().values(
            id=new_id(),
            day=school.stamp(),
            what=what,
            path=str(path.resolve()),
            students="\n".join([*who, *(d.id for d in every)]),
        )
    )


def _send(
    school: School, class_ids: Iterable[str] | None, path: Path, what: str, with_csv: bool
) -> Path:
    with school.writing() as connection:
        ids = (
            list(class_ids)
            if class_ids is not None
            else list(
                connection.execute(
                    sa.select(schema.classes.c.id).order_by(schema.classes.c.id)
                ).scalars()
            )
        )
        every = []
        for class_id in ids:
            data = class_data(connection, class_id)
            if data is None:
                raise Missing("There is no such class here: go back to the list of classes.")
            every.append(data)
        gone = connection.execute(sa.select(schema.erasures.c.id)).scalars().all()
        _log(connection, school, what, path, every)
        for data in every:
            _remember(connection, school, data.id, {data.content})
        archive.write(
            path, every, school.stamp(), gone, with_csv
        )  # where this fails nothing is logged
    return path


def export_all(school: School, to: Path | None = None) -> Path:
    """Everything as one zip (JSON and CSV), into the folder's exports or where ``to`` says. Gives the path.

    The export is logged with the random ids of the students in it.
    """
    return _send(
        school, None, to or _new_path(school, "larkslate-export", ".zip"), "everything", True
    )


def export_class(school: School, class_id: str, to: Path | None = None) -> Path:
    """One class as a zip (JSON and CSV)."""
    name = roster.classroom(school, class_id).name
    return _send(school, [class_id], to or _new_path(school, name, ".zip"), "class", True)


def export_student(school: School, student_id: str, to: Path | None = None) -> Path:
    """One student as a zip (JSON and CSV), for a parent or a new school: no other student is in it."""
    found = roster.student(school, student_id)
    path = to or _new_path(school, "student", ".zip")
    with school.writing() as connection:
        whole = class_data(connection, found.class_id)
        if whole is None:
            raise Missing("There is no such class here: go back to the list of classes.")
        one = of_student(whole, student_id)
        _log(connection, school, "student", path, [one])
        archive.write(path, [one], school.stamp(), (), True)
    return path


def move_out(
    school: School, class_ids: Iterable[str] | None = None, to: Path | None = None
) -> Path:
    """Classes (all without ``class_ids``) as one ``.larkslate`` file to open on another machine."""
    return _send(school, class_ids, to or _new_path(school, "larkslate", SUFFIX), "move", False)


# ---- receiving --------------------------------------------------------------------------------


class State(StrEnum):
    """How a class of a file stands to the class here."""

    NEW = "new"  # not here
    SAME = "same"
    NEWER = "newer"  # changed there only: it can be brought up to date
    OLDER = "older"  # changed here only: nothing to do
    CONFLICT = "conflict"  # changed on both sides
    ERASED = "erased"  # erased here: it stays out


class Choice(StrEnum):
    """What to do with a class that was changed on both sides."""

    MINE = "mine"  # keep the one here
    THEIRS = "theirs"  # take the one of the file
    BOTH = "both"  # bring the one of the file in beside it, under another name


@dataclass(frozen=True, slots=True)
class Incoming:
    """One class of a file: its id, name, counts, and how it stands to what is here."""

    id: str
    name: str
    state: State
    students: int
    answers: int
    says: str


@dataclass(frozen=True, slots=True)
class Arrival:
    """What a file holds. ``erased_there`` are students and classes here that were erased on the other machine."""

    classes: tuple[Incoming, ...]
    erased_there: tuple[str, ...] = ()

    @property
    def conflicts(self) -> tuple[Incoming, ...]:
        """Classes that need a choice."""
        return tuple(c for c in self.classes if c.state is State.CONFLICT)


_SAYS = {
    State.NEW: "is not here yet and will be added.",
    State.SAME: "is the same here.",
    State.NEWER: "was changed on the other machine only and will be brought up to date.",
    State.OLDER: "was changed here since; the one here stays.",
    State.CONFLICT: "was changed here and on the other machine. Choose which one to keep, or keep both.",
    State.ERASED: "was erased here and stays out.",
}


def _remember(
    connection: sa.Connection, school: School, class_id: str, contents: Iterable[str]
) -> None:
    table = schema.moves
    known = set(
        connection.execute(sa.select(table.c.content).where(table.c.class_id == class_id)).scalars()
    )
    for content in sorted(set(contents) - known):
        connection.execute(
            table.insert().values(class_id=class_id, content=content, moved=school.stamp())
        )


def _state(mine: ClassData | None, theirs: ClassData, gone: Mapping[str, erase.Gone]) -> State:
    if theirs.id in gone:
        return State.ERASED
    if mine is None:
        return State.NEW
    if mine.content == theirs.content:
        return State.SAME
    if mine.content in theirs.history:
        return State.NEWER
    if theirs.content in mine.history:
        return State.OLDER
    return State.CONFLICT


def look(school: School, path: Path) -> Arrival:
    """What a file would bring, without bringing it. Raises Missing, Malformed, OutOfDate."""
    found = archive.read(path)
    gone = erase.erased(school)
    classes = []
    with school.reading() as connection:
        for data in found.classes:
            theirs = _without(data, gone)
            state = _state(class_data(connection, data.id), theirs, gone)
            classes.append(_incoming(theirs, state))
        here = set(connection.execute(sa.select(schema.students.c.id)).scalars())
        here |= set(connection.execute(sa.select(schema.classes.c.id)).scalars())
    return Arrival(tuple(classes), tuple(i for i in found.erased if i in here))


def _incoming(data: ClassData, state: State) -> Incoming:
    name = str(data.row["name"])
    return Incoming(
        id=data.id,
        name=name,
        state=state,
        students=len(data.tables["student"]),
        answers=len(data.tables["response"]),
        says=f"{name} {_SAYS[state]}",
    )


def _without(data: ClassData, gone: Mapping[str, erase.Gone]) -> ClassData:
    """The class without the students that were erased here."""
    out = {r["id"] for r in data.tables["student"] if r["id"] in gone}
    if not out:
        return data
    tables = {
        name: [
            r
            for r in rows
            if r.get("student_id") not in out and not (name == "student" and r["id"] in out)
        ]
        for name, rows in data.tables.items()
    }
    return replace(data, tables=tables, content=content_of(data.row, tables))


def bring_in(
    school: School, path: Path, choices: Mapping[str, Choice] | None = None
) -> tuple[Incoming, ...]:
    """Bring the classes of a file in, after a backup; gives each class as it stood to the one here.

    ``choices`` says, by class id, what to do where both sides changed; without one such a class is left as it is
    here. All or nothing. Raises Missing, Malformed, OutOfDate, NotAllowed; nothing is changed then.
    """
    found = archive.read(path)
    gone = erase.erased(school)
    chosen = dict(choices or {})
    with school.reading() as connection:
        any_here = connection.execute(sa.select(schema.classes.c.id).limit(1)).first() is not None
    if any_here:
        backup.make(school, backup.Why.IMPORT)
    done = []
    with school.writing() as connection:
        for data in found.classes:
            theirs = _without(data, gone)
            mine = class_data(connection, data.id)
            state = _state(mine, theirs, gone)
            done.append(_incoming(theirs, state))
            history = {theirs.content, *theirs.history}
            choice = chosen.get(data.id)
            if state in (State.NEW, State.NEWER) or (
                state is State.CONFLICT and choice is Choice.THEIRS
            ):
                if mine is not None:
                    history |= {mine.content, *mine.history}
                _put(connection, school, theirs, replaces=mine)
                _remember(connection, school, data.id, history)
            elif state is State.CONFLICT and choice is Choice.BOTH:
                _put(connection, school, _copied(theirs), replaces=None)
            elif state is State.SAME or (state is State.CONFLICT and choice is Choice.MINE):
                _remember(connection, school, data.id, history)
    return tuple(done)


def _free(connection: sa.Connection, name: str, class_id: str) -> str:
    """A name that no other class has."""
    taken = {
        r.name.casefold()
        for r in connection.execute(sa.select(schema.classes.c.id, schema.classes.c.name))
        if r.id != class_id
    }
    names = (name, *(f"{name[:50]} ({n})" for n in range(2, 1000)))
    return next(n for n in names if n.casefold() not in taken)


def _put(
    connection: sa.Connection, school: School, data: ClassData, *, replaces: ClassData | None
) -> None:
    """Insert a class with all its rows in the place of the one that was there."""
    table = schema.classes
    count = 0
    if replaces is not None:
        count = int(replaces.row["changes"])
        connection.execute(table.delete().where(table.c.id == data.id))
    row = {
        **data.row,
        "name": _free(connection, str(data.row["name"]), data.id),
        "changed": school.stamp(),
        "changes": count + 1,
    }
    ids = [str(r["id"]) for r in data.tables["student"]]
    taken = connection.execute(
        sa.select(schema.students.c.id).where(schema.students.c.id.in_(ids)).limit(1)
    ).first()
    if taken is not None:
        raise NotAllowed(
            f"A student of {data.row['name']} is in another class here already, so nothing was brought in. Erase one "
            "of the two, or bring in a file made before they were parted."
        )
    connection.execute(table.insert(), [row])
    for name in TABLES:
        if data.tables[name]:
            connection.execute(schema.metadata.tables[name].insert(), data.tables[name])


def _copied(data: ClassData) -> ClassData:
    """The class with new ids everywhere, to stand beside the one it came from."""
    new: dict[str, str] = {data.id: new_id()}
    for name in TABLES:
        for r in data.tables[name]:
            if "id" in r:
                new[r["id"]] = new_id()

    def moved(row: Row) -> Row:
        return {k: new.get(v, v) if k == "id" or k.endswith("_id") else v for k, v in row.items()}

    tables = {name: [moved(r) for r in rows] for name, rows in data.tables.items()}
    row = {**data.row, "id": new[data.id]}
    return ClassData(row, tables, content_of(row, tables))
