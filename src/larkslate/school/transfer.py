"""Everything as one file: the export of all classes, its import, and the move between two machines.

The file is a zip: ``manifest.json`` (versions, checksums, what is inside), ``data.json`` (every row of every class) and,
in an export, ``csv/`` for a spreadsheet. A moved file is a plain export without the CSV, named ``.larkslate``.

Each class has a hash of its content, and remembers the hashes it had when it was moved. So an import can tell a class
that was changed on one side only from one that was changed on both: the first is brought up to date, the second is listed
and never overwritten unless the teacher says so.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import re
import zipfile
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from larkslate.errors import LarkslateError, Malformed, Missing, NotAllowed, OutOfDate
from larkslate.plan.codec import from_json
from larkslate.school import backup, erase, roster, schema
from larkslate.school import folder as places
from larkslate.school.sittings import items_from
from larkslate.school.store import School, new_id

FORMAT, VERSION = "larkslate-data", 1
SUFFIX = ".larkslate"
BYTES_MOST = 400_000_000
_ID = re.compile(r"[0-9a-z]{1,32}")
_OF_CLASS = ("student", "plan", "lesson_day", "sitting", "overrule", "own_list")
_OF_STUDENT = ("response", "attendance", "note", "catch_up", "counted")
TABLES = (*_OF_CLASS, *_OF_STUDENT)
_NOT_CONTENT = {"changed", "changes"}

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class ClassData:
    """All rows of one class; ``content`` is a hash of them, ``history`` hashes it had when it was moved."""

    row: Row
    tables: dict[str, list[Row]] = field(repr=False)
    content: str
    history: frozenset[str] = frozenset()

    @property
    def id(self) -> str:
        """The id of the class."""
        return str(self.row["id"])


# ---- reading the database ---------------------------------------------------------------------


def _rows(connection: sa.Connection, query: sa.Select[Any], table: sa.Table) -> list[Row]:
    keys = [c.name for c in table.primary_key]
    found = [dict(r) for r in connection.execute(query).mappings()]
    return sorted(found, key=lambda r: tuple(str(r[k]) for k in keys))


def _content(row: Row, tables: Mapping[str, list[Row]]) -> str:
    kept = {k: v for k, v in row.items() if k not in _NOT_CONTENT}
    text = json.dumps([kept, {t: tables[t] for t in TABLES}], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def class_data(connection: sa.Connection, class_id: str) -> ClassData | None:
    """All rows of a class, in a fixed order; None where there is no such class."""
    row = (
        connection.execute(sa.select(schema.classes).where(schema.classes.c.id == class_id))
        .mappings()
        .one_or_none()
    )
    if row is None:
        return None
    tables: dict[str, list[Row]] = {}
    for name in _OF_CLASS:
        table = schema.metadata.tables[name]
        tables[name] = _rows(
            connection, sa.select(table).where(table.c.class_id == class_id), table
        )
    who = sa.select(schema.students.c.id).where(schema.students.c.class_id == class_id)
    for name in _OF_STUDENT:
        table = schema.metadata.tables[name]
        tables[name] = _rows(connection, sa.select(table).where(table.c.student_id.in_(who)), table)
    history = connection.execute(
        sa.select(schema.moves.c.content).where(schema.moves.c.class_id == class_id)
    ).scalars()
    plain = dict(row)
    return ClassData(plain, tables, _content(plain, tables), frozenset(history))


def _of_student(data: ClassData, student_id: str) -> ClassData:
    """The class reduced to one student: no other student's row, no plan, no free text about the class."""
    tables: dict[str, list[Row]] = {t: [] for t in TABLES}
    tables["student"] = [r for r in data.tables["student"] if r["id"] == student_id]
    for name in _OF_STUDENT:
        tables[name] = [r for r in data.tables[name] if r["student_id"] == student_id]
    sat = {r["sitting_id"] for r in tables["response"]}
    tables["sitting"] = [r for r in data.tables["sitting"] if r["id"] in sat]
    return ClassData(data.row, tables, _content(data.row, tables))


# ---- writing a file ---------------------------------------------------------------------------


def _safe(value: object) -> str:
    """A cell of a CSV that no spreadsheet takes for a formula."""
    text = "" if value is None else str(value)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def _table(header: Iterable[str], rows: Iterable[Iterable[object]]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(header)
    writer.writerows([_safe(v) for v in row] for row in rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode()  # spreadsheets ask for the mark


def _csv_files(every: Iterable[ClassData]) -> dict[str, bytes]:
    classes, students, answers, lessons, notes = [], [], [], [], []
    for data in every:
        name = data.row["name"]
        classes.append(
            (name, data.row["grade"], data.row["year"], "yes" if data.row["invented"] else "no")
        )
        label = {r["id"]: r["label"] for r in data.tables["student"]}
        for r in data.tables["student"]:
            students.append(
                (
                    name,
                    r["label"],
                    r["seat"],
                    r["hand"],
                    r["larger_print"] or "",
                    "yes" if r["extra_time"] else "no",
                    r["joined"],
                    r["left"],
                )
            )
        given = {r["id"]: r for r in data.tables["sitting"]}
        items = {(i, n.number): n for i, r in given.items() for n in items_from(r["items"])}
        for r in data.tables["response"]:
            sitting, item = given[r["sitting_id"]], items.get((r["sitting_id"], r["item"]))
            answers.append(
                (
                    name,
                    label[r["student_id"]],
                    sitting["day"],
                    sitting["kind"],
                    sitting["form"],
                    sitting["unit"],
                    sitting["lesson"],
                    r["item"],
                    item.target if item else "",
                    r["written"],
                    r["status"],
                    r["channel"],
                    r["entered"],
                )
            )
        for r in data.tables["lesson_day"]:
            lessons.append(
                (
                    name,
                    f"{r['unit']}.{r['lesson']}",
                    r["day"],
                    "yes" if r["done"] else "no",
                    r["note"],
                )
            )
        for r in data.tables["note"]:
            notes.append((name, label[r["student_id"]], r["day"], r["point"], r["text"]))
    return {
        "csv/classes.csv": _table(("class", "grade", "year", "invented"), classes),
        "csv/students.csv": _table(
            ("class", "student", "seat", "hand", "larger print", "extra time", "joined", "left"),
            students,
        ),
        "csv/answers.csv": _table(
            (
                "class",
                "student",
                "date",
                "kind",
                "form",
                "unit",
                "lesson",
                "item",
                "target",
                "written",
                "status",
                "channel",
                "entered",
            ),
            answers,
        ),
        "csv/lessons.csv": _table(("class", "lesson", "date", "done", "note"), lessons),
        "csv/notes.csv": _table(("class", "student", "date", "point", "note"), notes),
    }


def _write(
    path: Path, every: list[ClassData], made: str, erased: Iterable[str], with_csv: bool
) -> None:
    body = {
        "classes": [{"class": d.row, "tables": d.tables} for d in every],
        "erased": sorted(erased),
    }
    files = {"data.json": json.dumps(body, ensure_ascii=False, indent=1).encode()}
    if with_csv:
        files.update(_csv_files(every))
    manifest = {
        "format": FORMAT,
        "version": VERSION,
        "tables": schema.VERSION,
        "made": made,
        "classes": [
            {
                "id": d.id,
                "name": d.row["name"],
                "content": d.content,
                "history": sorted(d.history),
                "rows": {t: len(d.tables[t]) for t in TABLES},
            }
            for d in every
        ],
        "files": {
            n: {"sha256": hashlib.sha256(b).hexdigest(), "bytes": len(b)} for n, b in files.items()
        },
    }
    part = path.with_name(path.name + ".part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("manifest.json", json.dumps(manifest, indent=1))
            for name, content in files.items():
                archive.writestr(name, content)
        with part.open("rb+") as file:
            os.fsync(file.fileno())
        if os.name == "posix":
            part.chmod(0o600)
        part.replace(path)
    except OSError as error:
        raise LarkslateError(
            f"The file {path} could not be written ({error.strerror}). Free some space or choose another place; "
            "nothing stored has changed."
        ) from None
    finally:
        with suppress(OSError):
            part.unlink()


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
        _write(path, every, school.stamp(), gone, with_csv)  # where this fails nothing is logged
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
        one = _of_student(whole, student_id)
        _log(connection, school, "student", path, [one])
        _write(path, [one], school.stamp(), (), True)
    return path


def move_out(
    school: School, class_ids: Iterable[str] | None = None, to: Path | None = None
) -> Path:
    """Classes (all without ``class_ids``) as one ``.larkslate`` file to open on another machine."""
    return _send(school, class_ids, to or _new_path(school, "larkslate", SUFFIX), "move", False)


# ---- reading a file ---------------------------------------------------------------------------


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


@dataclass(frozen=True, slots=True)
class _File:
    classes: tuple[ClassData, ...]
    erased: tuple[str, ...]


_SAYS = {
    State.NEW: "is not here yet and will be added.",
    State.SAME: "is the same here.",
    State.NEWER: "was changed on the other machine only and will be brought up to date.",
    State.OLDER: "was changed here since; the one here stays.",
    State.CONFLICT: "was changed here and on the other machine. Choose which one to keep, or keep both.",
    State.ERASED: "was erased here and stays out.",
}


def _damaged(path: Path, why: str) -> Malformed:
    return Malformed(
        f"{path.name} cannot be read ({why}): make the file again on the other machine."
    )


def _read(path: Path) -> _File:
    """A file, checked against its manifest and against the tables."""
    try:
        with zipfile.ZipFile(path) as archive:
            sizes = {i.filename: i.file_size for i in archive.infolist()}
            if "manifest.json" not in sizes or "data.json" not in sizes:
                raise Malformed(
                    f"{path.name} is not a Larkslate export: choose a .zip or .larkslate file."
                )
            if sizes["manifest.json"] + sizes["data.json"] > BYTES_MOST:
                raise _damaged(path, "it is far too large")
            manifest = json.loads(archive.read("manifest.json"))
            data = archive.read("data.json")
    except FileNotFoundError:
        raise Missing(f"There is no file {path}: check the name and the folder.") from None
    except zipfile.BadZipFile:
        raise Malformed(
            f"{path.name} is not a Larkslate export: choose a .zip or .larkslate file."
        ) from None
    except (OSError, ValueError, EOFError, zipfile.LargeZipFile, NotImplementedError) as error:
        raise _damaged(path, str(error)) from None
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise Malformed(f"{path.name} is not a Larkslate export: choose a .zip or .larkslate file.")
    if manifest.get("version") != VERSION or str(manifest.get("tables")) > schema.VERSION:
        raise OutOfDate(
            f"{path.name} was made by a newer Larkslate: update this one first. Nothing was changed."
        )
    try:
        if hashlib.sha256(data).hexdigest() != manifest["files"]["data.json"]["sha256"]:
            raise _damaged(path, "its checksum is wrong")
        histories = {c["id"]: frozenset(map(str, c["history"])) for c in manifest["classes"]}
        body = json.loads(data)
        every = tuple(
            _class_from(path, entry, histories.get(entry["class"]["id"], frozenset()))
            for entry in body["classes"]
        )
        return _File(every, tuple(str(i) for i in body["erased"]))
    except (KeyError, TypeError, AttributeError, ValueError, RecursionError) as error:
        raise _damaged(path, f"{type(error).__name__}: {error}") from None


def _class_from(path: Path, entry: Row, history: frozenset[str]) -> ClassData:
    row = _checked(path, schema.classes, entry["class"], 1)
    tables = {
        name: [
            _checked(path, schema.metadata.tables[name], r, n)
            for n, r in enumerate(entry["tables"].get(name, []), start=1)
        ]
        for name in TABLES
    }
    class_id = row["id"]
    students = {r["id"] for r in tables["student"]}
    sittings = {r["id"] for r in tables["sitting"]}
    for name in TABLES:
        for number, r in enumerate(tables[name], start=1):
            if r.get("class_id", class_id) != class_id:
                raise _damaged(path, f"{name}, row {number} is of another class")
            if "student_id" in r and r["student_id"] not in students:
                raise _damaged(path, f"{name}, row {number} is of no student of the class")
            if "sitting_id" in r and r["sitting_id"] not in sittings:
                raise _damaged(path, f"{name}, row {number} is of no sitting of the class")
    for r in tables["sitting"]:
        items_from(r["items"])
    for r in tables["plan"]:
        with suppress(OutOfDate):
            from_json(r["body"])
    for name in TABLES:
        keys = [c.name for c in schema.metadata.tables[name].primary_key]
        tables[name].sort(key=lambda r, keys=keys: tuple(str(r[k]) for k in keys))  # type: ignore[misc]
    return ClassData(row, tables, _content(row, tables), history)


def _checked(path: Path, table: sa.Table, row: object, number: int) -> Row:
    """A row with every column of its table and nothing else, each of its type."""
    where = f"{table.name}, row {number}"
    if not isinstance(row, dict):
        raise _damaged(path, f"{where} is no row")
    if extra := row.keys() - set(table.columns.keys()):
        raise _damaged(path, f"{where} has the unknown column {min(extra)}")
    made: Row = {}
    for column in table.columns:
        value = row.get(column.name)
        if value is None:
            if not column.nullable:
                raise _damaged(path, f"{where} has no {column.name}")
        elif isinstance(column.type, sa.Boolean):
            if not isinstance(value, bool):
                raise _damaged(path, f"{where}: {column.name} is not true or false")
        elif isinstance(column.type, sa.Integer):
            if not isinstance(value, int) or isinstance(value, bool) or abs(value) > 2**53:
                raise _damaged(path, f"{where}: {column.name} is not a number")
        else:
            long = getattr(column.type, "length", None)
            if not isinstance(value, str) or (long and len(value) > long):
                raise _damaged(path, f"{where}: {column.name} is not a text that fits")
            if (column.name == "id" or column.name.endswith("_id")) and not _ID.fullmatch(value):
                raise _damaged(path, f"{where}: {column.name} is not an id")
        made[column.name] = value
    return made


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
    found = _read(path)
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
    return replace(data, tables=tables, content=_content(data.row, tables))


def bring_in(
    school: School, path: Path, choices: Mapping[str, Choice] | None = None
) -> tuple[Incoming, ...]:
    """Bring the classes of a file in, after a backup; gives each class as it stood to the one here.

    ``choices`` says, by class id, what to do where both sides changed; without one such a class is left as it is
    here. All or nothing. Raises Missing, Malformed, OutOfDate, NotAllowed; nothing is changed then.
    """
    found = _read(path)
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
    return ClassData(row, tables, _content(row, tables))
