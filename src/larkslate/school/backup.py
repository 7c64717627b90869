"""Backups: one copy of the database each day, one before a migration or a restore, checked when made.

A restore puts a copy in the place of the database after keeping the present one, and takes out again whoever was
erased since.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

from larkslate.errors import LarkslateError, Missing, NotAllowed, OutOfDate
from larkslate.school import folder as places
from larkslate.school import schema

if TYPE_CHECKING:
    from larkslate.school.store import School

KEPT_DAYS, KEPT_OTHERS = 14, 6
_NAME = re.compile(r"school-(\d{8}-\d{6})-([a-z-]+)(?:-\d+)?\.db")


class Why(StrEnum):
    """Why a backup was made."""

    DAY = "day"
    MIGRATION = "before-migration"
    RESTORE = "before-restore"
    IMPORT = "before-import"
    ASKED = "asked"


@dataclass(frozen=True, slots=True)
class Backup:
    """One copy of the database: when and why it was made, its size in bytes."""

    path: Path
    made: datetime
    why: Why
    size: int


def backups(school: School) -> tuple[Backup, ...]:
    """The backups in the folder, the newest first."""
    return listed(school.folder)


def listed(folder: Path) -> tuple[Backup, ...]:
    """The backups in a data folder, the newest first."""
    found = []
    for path in (folder / places.BACKUPS).glob("school-*.db"):
        named = _NAME.fullmatch(path.name)
        if named is None or named[2] not in list(Why):
            continue
        made = datetime.strptime(named[1], "%Y%m%d-%H%M%S")
        found.append(Backup(path, made, Why(named[2]), path.stat().st_size))
    return tuple(sorted(found, key=lambda b: (b.made, b.path.name), reverse=True))


def _new_path(school: School, why: Why) -> Path:
    stem = f"school-{school.now():%Y%m%d-%H%M%S}-{why}"
    folder = school.folder / places.BACKUPS
    names = (f"{stem}.db", *(f"{stem}-{n}.db" for n in range(2, 1000)))
    return next(folder / n for n in names if not (folder / n).exists())


def sound(path: Path) -> bool:
    """True if a database file passes SQLite's own check and holds our tables."""
    try:
        with closing(
            sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
        ) as connection:
            good = connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
            connection.execute("SELECT count(*) FROM student").fetchone()
            return bool(good)
    except sqlite3.Error:
        return False


def make(school: School, why: Why = Why.ASKED) -> Path:
    """Copy the database into the folder's backups, check the copy, and take away the oldest beyond what is kept.

    Raises LarkslateError where there is no room; the database itself is never touched.
    """
    target = _new_path(school, why)
    part = target.with_suffix(".part")
    try:
        with school.raw() as source, closing(sqlite3.connect(part)) as copy:
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, no log beside it
        if not sound(part):
            raise LarkslateError(
                "The backup was made but does not pass its check, so it was thrown away. Check the disk, and "
                "export your classes to another place today."
            )
        _to_disk(part)
        part.replace(target)
    except (OSError, sqlite3.Error) as error:
        raise LarkslateError(
            f"The backup could not be written to {target.parent} ({error}). Free some space and try again; "
            "the data itself is as it was."
        ) from None
    finally:
        for left in (part, part.with_name(part.name + "-journal")):
            with suppress(OSError):
                left.unlink()
    _thin(school)
    return target


def _to_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _thin(school: School) -> None:
    every = backups(school)
    days = [b for b in every if b.why is Why.DAY][KEPT_DAYS:]
    others = [b for b in every if b.why is not Why.DAY][KEPT_OTHERS:]
    for old in (*days, *others):
        with suppress(OSError):
            old.path.unlink()


def daily(school: School) -> Path | None:
    """The backup of the day, where none was made today; None otherwise.

    Call it when the folder is opened and now and then while it stays open.
    """
    today = f"{school.now():%Y%m%d}"
    if any(b.why is Why.DAY and f"{b.made:%Y%m%d}" == today for b in backups(school)):
        return None
    return make(school, Why.DAY)


def restore(school: School, path: Path) -> Path:
    """Put a backup in the place of the database; gives the backup of what was there before.

    Everything erased since the backup was made is taken out of it again. Raises Missing for no file, NotAllowed
    for a damaged one or a folder that is not held, OutOfDate for one of a newer Larkslate; nothing is changed
    then.
    """
    from larkslate.school import erase  # noqa: PLC0415 - erasing builds on this module
    from larkslate.school.store import version_of  # noqa: PLC0415 - this module is under the store

    if not school.holds:
        raise NotAllowed(
            "Close the other windows first: a restore needs the data folder for itself."
        )
    if not path.is_file():
        raise Missing(f"There is no backup {path}: choose one from the list.")
    if not sound(path):
        raise NotAllowed(f"The backup {path.name} is damaged: choose an older one.")
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as connection:
        version = version_of(connection)
    if version is not None and version > schema.VERSION:
        raise OutOfDate(
            f"The backup {path.name} was made by a newer Larkslate: restore it there. Nothing was changed."
        )
    gone = erase.erased(school)
    before = _kept_aside(school)
    part = school.path.with_suffix(".restoring")
    try:
        shutil.copyfile(path, part)
        erase.take_out(part, gone)
        _to_disk(part)
        school.forget_connections()
        for beside in ("-wal", "-shm"):
            school.path.with_name(school.path.name + beside).unlink(missing_ok=True)
        part.replace(school.path)
    except (OSError, sqlite3.Error) as error:
        raise LarkslateError(
            f"The restore failed ({error}). Free some space and try again; what was there before is in "
            f"{before.name}."
        ) from None
    finally:
        for left in (part, part.with_name(part.name + "-journal")):
            with suppress(OSError):
                left.unlink()
    school.bring_up_to_date()
    return before


def _kept_aside(school: School) -> Path:
    """A copy of the present database, damaged or not."""
    try:
        return make(school, Why.RESTORE)
    except LarkslateError:
        school.forget_connections()
        target = _new_path(school, Why.RESTORE).with_suffix(".damaged")
        try:
            shutil.copyfile(school.path, target)
        except OSError as error:
            raise LarkslateError(
                f"The present database could not be kept aside ({error}), so nothing was restored. Free some "
                "space and try again."
            ) from None
        return target
