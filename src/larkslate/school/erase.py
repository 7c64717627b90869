"""Erasing a student, a class or a year for good.

The rows are deleted with their bytes overwritten, the database and every backup in the folder are written anew, exports
in the folder that held them are deleted and those elsewhere are listed. What stays is the random id and the day, so
that a restore or an import can take the student out again. A killed erasure is finished at the next start.
"""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterable
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

import sqlalchemy as sa

from larkslate.errors import LarkslateError, Malformed, Missing, NotAllowed
from larkslate.school import backup, roster, schema
from larkslate.school import folder as places
from larkslate.school.model import Export
from larkslate.school.store import School

RUNNING = "erasing"
STUDENT, CLASS = "student", "class"
PUT_FOR_NAME = "[erased]"
_TEXTS = (("lesson_day", "note"), ("note", "text"), ("overrule", "reason"))


@dataclass(frozen=True, slots=True)
class Gone:
    """Something erased: a random id, whether a student or a class, and the day."""

    id: str
    what: str
    day: date


@dataclass(frozen=True, slots=True)
class Erased:
    """What an erasure did. ``elsewhere`` are exports out of reach: the teacher deletes them by hand."""

    students: int
    classes: int
    backups: int
    exports: tuple[Path, ...]
    elsewhere: tuple[Export, ...]
    mentions: int


def erased(school: School) -> dict[str, Gone]:
    """Everything erased in this folder, from the list beside the database and from the database."""
    found = read_list(school.folder)
    with suppress(LarkslateError), school.reading() as connection:
        for row in connection.execute(sa.select(schema.erasures)):
            found.setdefault(row.id, Gone(row.id, row.what, date.fromisoformat(row.day)))
    return found


def read_list(folder: Path) -> dict[str, Gone]:
    """What the list beside the database says was erased. Raises Malformed for a damaged list."""
    path = folder / places.ERASED
    found: dict[str, Gone] = {}
    try:
        lines = path.read_text(encoding="ascii").splitlines()
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as error:
        raise LarkslateError(
            f"The list of erased ids {path} cannot be read ({error}). Without it a restore could bring an erased "
            "student back, so put the file right first."
        ) from None
    for number, line in enumerate(lines, start=1):
        match = re.fullmatch(r"([0-9a-z-]{1,32}) (student|class) (\d{4}-\d\d-\d\d)", line)
        if match is None:
            if number == len(lines):
                continue  # a line that a killed process did not finish; its erasure had not begun
            raise Malformed(
                f"{path}, line {number}: not an id, what it was, and a day. Restore the file."
            )
        found[match[1]] = Gone(match[1], match[2], date.fromisoformat(match[3]))
    return found


def _add_to_list(folder: Path, gone: Iterable[Gone]) -> None:
    known = read_list(folder)
    path = folder / places.ERASED
    part = path.with_suffix(".part")
    every = {**known, **{g.id: g for g in gone}}
    text = "".join(f"{g.id} {g.what} {g.day.isoformat()}\n" for g in every.values())
    try:
        with part.open("w", encoding="ascii") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        raise LarkslateError(
            f"The list of erased ids could not be written ({error.strerror}), so nothing was erased. Free some "
            "space and try again."
        ) from None


# ---- taking out of one database ---------------------------------------------------------------


def take_out(path: Path, gone: dict[str, Gone], labels: Iterable[str] = ()) -> int:
    """Delete what was erased from one database file and write the file anew; gives the mentions blanked.

    The file may be of an older version. Raises sqlite3.Error or OSError.
    """
    with closing(sqlite3.connect(path)) as connection:
        connection.isolation_level = None
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")
        connection.execute("PRAGMA temp_store = MEMORY")
        connection.execute("PRAGMA journal_mode = DELETE")
        connection.execute("BEGIN IMMEDIATE")
        mentions = _delete(connection, gone, labels)
        connection.execute("COMMIT")
        connection.execute("VACUUM")
    return mentions


def _tables(connection: sqlite3.Connection) -> set[str]:
    rows = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    return {str(row[0]) for row in rows}


def _delete(connection: sqlite3.Connection, gone: dict[str, Gone], labels: Iterable[str]) -> int:
    """Delete rows inside the caller's transaction."""
    there = _tables(connection)
    named = set(labels)
    students = [g.id for g in gone.values() if g.what == STUDENT]
    classes = [g.id for g in gone.values() if g.what == CLASS]
    for one in classes:
        rows = connection.execute("SELECT id FROM student WHERE class_id = ?", (one,))
        students += [str(row[0]) for row in rows]
    for one in students:
        rows = connection.execute("SELECT label FROM student WHERE id = ?", (one,))
        named.update(str(row[0]) for row in rows)
        connection.execute("DELETE FROM student WHERE id = ?", (one,))
    for one in classes:
        connection.execute("DELETE FROM class WHERE id = ?", (one,))
        if "move" in there:
            connection.execute("DELETE FROM move WHERE class_id = ?", (one,))
    if "overrule" in there:
        # A spelling that only an erased student wrote goes with the student.
        connection.execute(
            "DELETE FROM overrule WHERE NOT EXISTS (SELECT 1 FROM response JOIN sitting ON "
            "sitting.id = response.sitting_id WHERE sitting.class_id = overrule.class_id "
            "AND response.written = overrule.written)"
        )
    if "evidence" in there:
        connection.execute("DELETE FROM evidence")
    if "erasure" in there:
        connection.executemany(
            "INSERT OR IGNORE INTO erasure (id, what, day) VALUES (?, ?, ?)",
            [(g.id, g.what, g.day.isoformat()) for g in gone.values()],
        )
    return sum(
        _blank(connection, table, column, named) for table, column in _TEXTS if table in there
    )


def _blank(connection: sqlite3.Connection, table: str, column: str, labels: set[str]) -> int:
    """Blank the labels where they stand in a teacher's free text; short codes and numbers are left."""
    long_enough = sorted(
        (n for n in labels if len(n) >= 3 and not n.isdigit()), key=len, reverse=True
    )
    if not long_enough:
        return 0
    pattern = re.compile(
        rf"(?<!\w)(?:{'|'.join(re.escape(n.rstrip('.')) for n in long_enough)})(?!\w)\.?",
        re.IGNORECASE,
    )
    count = 0
    found = connection.execute(f'SELECT rowid, "{column}" FROM "{table}"').fetchall()  # noqa: S608 - our names
    for rowid, text in found:
        new, hits = pattern.subn(PUT_FOR_NAME, text or "")
        if hits:
            connection.execute(
                f'UPDATE "{table}" SET "{column}" = ? WHERE rowid = ?',  # noqa: S608 - our names
                (new, rowid),
            )
            count += hits
    return count


# ---- the whole of it ---------------------------------------------------------------------------


def student(school: School, student_id: str) -> Erased:
    """Erase one student with every answer. Raises Missing, NotAllowed where the folder is not held."""
    found = roster.student(school, student_id)
    return _erase(school, {student_id: STUDENT}, {found.label})


def classroom(school: School, class_id: str) -> Erased:
    """Erase a class with its students, plans and answers. Raises Missing, NotAllowed."""
    return _erase_classes(school, [roster.classroom(school, class_id).id])


def year(school: School, name: str) -> Erased:
    """Erase every class of a school year. Raises Missing where there is none."""
    plain = " ".join(name.split())
    found = [c.id for c in roster.classes(school) if c.year == plain]
    if not found:
        years = sorted({c.year for c in roster.classes(school) if c.year})
        raise Missing(
            f"There is no class of the year {plain}: the years are {', '.join(years) or 'none'}."
        )
    return _erase_classes(school, found)


def _erase_classes(school: School, class_ids: Iterable[str]) -> Erased:
    wanted: dict[str, str] = {}
    labels: set[str] = set()
    for class_id in class_ids:
        wanted[class_id] = CLASS
        for one in roster.students(school, class_id, everyone=True):
            wanted[one.id] = STUDENT
            labels.add(one.label)
    return _erase(school, wanted, labels)


def _erase(school: School, wanted: dict[str, str], labels: set[str]) -> Erased:
    if not school.holds:
        raise NotAllowed("Close the other windows first: erasing needs the data folder for itself.")
    now = {i: Gone(i, what, school.today()) for i, what in wanted.items()}
    _mark(school)
    _add_to_list(school.folder, now.values())
    done = _everywhere(school, now, labels)
    _finished(school)
    return replace(
        done,
        students=sum(w == STUDENT for w in wanted.values()),
        classes=sum(w == CLASS for w in wanted.values()),
    )


def _mark(school: School) -> None:
    try:
        (school.folder / RUNNING).touch()
    except OSError as error:
        raise LarkslateError(
            f"The data folder cannot be written ({error.strerror}), so nothing was erased. Put that right and "
            "try again."
        ) from None


def _finished(school: School) -> None:
    (school.folder / RUNNING).unlink(missing_ok=True)


def finish(school: School) -> Erased | None:
    """Finish an erasure that was killed half way; None where there was none. Opening the folder calls it."""
    if not (school.folder / RUNNING).exists():
        return None
    done = _everywhere(school, erased(school), set())
    _finished(school)
    return done


def _everywhere(school: School, gone: dict[str, Gone], labels: set[str]) -> Erased:
    """The database, every backup, every export in the folder."""
    inside, elsewhere = _exports(school, gone)
    with school.raw() as connection:
        connection.execute("BEGIN IMMEDIATE")
        mentions = _delete(connection, gone, labels)
        connection.executemany("DELETE FROM export WHERE id = ?", [(e.id,) for e in inside])
        connection.execute("UPDATE class SET changes = changes + 1")
        connection.execute("COMMIT")
    school.forget_connections()  # an open reader would hold the log
    with school.raw() as connection:
        connection.execute("VACUUM")
        busy = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        if busy:
            raise LarkslateError(
                "The student is deleted, but another program is reading the database, so its log could not be "
                "emptied. Close that program and start Larkslate again: it will finish."
            )
    count = 0
    for kept in backup.backups(school):
        try:
            take_out(kept.path, gone, labels)
        except (OSError, sqlite3.Error) as error:
            raise LarkslateError(
                f"The backup {kept.path.name} could not be written anew ({error}). Free some space or delete that "
                "backup, and start Larkslate again: it will finish."
            ) from None
        count += 1
    for left in _leftovers(school.folder):
        with suppress(OSError):
            left.unlink()
    gone_files = []
    for one in inside:
        with suppress(FileNotFoundError):
            Path(one.path).unlink()
            gone_files.append(Path(one.path))
    return Erased(0, 0, count, tuple(gone_files), elsewhere, mentions)


def _leftovers(folder: Path) -> Iterable[Path]:
    """Files that a killed process or a damaged database left behind; nothing reads them."""
    for pattern in ("*.part", "*.damaged", "*.restoring", "*.part-journal", "*.restoring-journal"):
        yield from folder.glob(pattern)
        yield from (folder / places.BACKUPS).glob(pattern)
        yield from (folder / places.EXPORTS).glob(pattern)


def _exports(school: School, gone: dict[str, Gone]) -> tuple[list[Export], tuple[Export, ...]]:
    """Exports that held what is erased: those in the folder, and those out of reach."""
    inside, elsewhere = [], []
    for one in exports(school):
        if not any(i in gone for i in one.students):
            continue
        path = Path(one.path)
        if path.is_relative_to((school.folder / places.EXPORTS).resolve()):
            inside.append(one)
        else:
            elsewhere.append(one)
    return inside, tuple(elsewhere)


def exports(school: School) -> tuple[Export, ...]:
    """Every file that was exported, the latest first."""
    table = schema.exports
    with school.reading() as connection:
        rows = connection.execute(sa.select(table).order_by(table.c.day.desc())).all()
    return tuple(
        Export(r.id, datetime.fromisoformat(r.day), r.what, r.path, tuple(r.students.split()))
        for r in rows
    )
