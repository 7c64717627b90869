"""The open data folder: one database, every change in one transaction, errors that say what to do.

``School.open`` brings the tables up to date (after a backup), makes the backup of the day and holds the folder, so that
two servers cannot open it. Everything else in this room is functions that take a School.
"""

from __future__ import annotations

import os
import secrets
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.pool import QueuePool

from larkslate.errors import LarkslateError, NotAllowed, OutOfDate
from larkslate.school import folder as places
from larkslate.school import schema

BUSY_MS = 5000
Clock = Callable[[], datetime]


def new_id() -> str:
    """A random id that says nothing."""
    return secrets.token_hex(10)


def _machine_clock() -> datetime:
    return datetime.now().astimezone()


def explained(error: BaseException, path: Path) -> LarkslateError:
    """What an error of the database means to a teacher, and what she can do."""
    said = str(getattr(error, "orig", None) or error)
    text = said.lower()
    nothing = "What was stored before is still there; this change was not stored."
    if "locked" in text or "busy" in text:
        return LarkslateError(
            f"The database {path} is locked by another program. Close the other program (a backup or a copy may be "
            f"running) and try again. {nothing}"
        )
    if "readonly" in text or "read-only" in text or "unable to open" in text:
        return LarkslateError(
            f"The database {path} cannot be written. Ask for the right to write in that folder, or choose another "
            f"with --data. {nothing}"
        )
    if "full" in text or "disk i/o" in text or "no space" in text:
        return LarkslateError(
            f"The disk is full or cannot be written ({path}). Free some space and try again. {nothing}"
        )
    if "malformed" in text or "not a database" in text:
        return LarkslateError(
            f"The database {path} is damaged. Restore the newest backup from the folder "
            f"{path.parent / places.BACKUPS}; keep the damaged file until you are sure."
        )
    return LarkslateError(f"The database {path} refused the change ({said}). {nothing}")


def prepare(connection: sqlite3.Connection, busy_ms: int = BUSY_MS) -> None:
    """The settings of every connection to the database."""
    connection.isolation_level = None  # we say BEGIN ourselves
    for setting in (
        f"busy_timeout = {busy_ms}",
        "journal_mode = WAL",
        "synchronous = FULL",
        "foreign_keys = ON",
        "secure_delete = ON",
        "temp_store = MEMORY",
        "trusted_schema = OFF",
    ):
        connection.execute(f"PRAGMA {setting}")


def version_of(connection: sqlite3.Connection) -> str | None:
    """The version of the tables in a database; None for an empty one."""
    tables = connection.execute(
        "SELECT count(*) FROM sqlite_master WHERE type = 'table'"
    ).fetchone()
    if not tables[0]:
        return None
    try:
        row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.OperationalError:
        row = None
    if row is None:
        raise OutOfDate(
            "This file is not a Larkslate database. Choose another folder with --data, or move the file away."
        )
    return str(row[0])


@dataclass(frozen=True, slots=True)
class Opened:
    """What opening the folder did: made it, brought it up to date, made a backup, found a risk."""

    new: bool
    migrated_from: str | None
    backup: Path | None
    warnings: tuple[str, ...]


class School:
    """An open data folder. Reading and writing from several threads is safe."""

    def __init__(self, folder: Path, clock: Clock, busy_ms: int) -> None:
        self.folder = folder
        self.path = folder / places.DATABASE
        self.opened = Opened(False, None, None, ())
        self._clock = clock
        self._busy_ms = busy_ms
        self._lock = places.InUse(folder)
        self._engine = self._make_engine()

    @classmethod
    def open(
        cls,
        folder: str | os.PathLike[str] | None = None,
        *,
        what: str = "the workbench",
        hold: bool = True,
        clock: Clock = _machine_clock,
        busy_ms: int = BUSY_MS,
    ) -> School:
        """Open a data folder, made where it is missing.

        ``hold`` keeps other processes out (``what`` is what they are told); without it the folder may be open
        elsewhere, which is enough to read and to export. Raises NotAllowed if it is held already, OutOfDate if a
        newer Larkslate wrote it, LarkslateError for a database that cannot be opened; nothing is changed then.
        """
        place = places.data_folder(folder)
        places.make(place)
        school = cls(place, clock, busy_ms)
        if hold:
            school._lock.take(what)
        try:
            school.bring_up_to_date()
        except BaseException:
            school.close()
            raise
        return school

    def close(self) -> None:
        """Close the database and let go of the folder."""
        self._engine.dispose()
        self._lock.give_up()

    def __enter__(self) -> School:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # ---- time -------------------------------------------------------------------------------

    def now(self) -> datetime:
        """The time, with its zone."""
        return self._clock()

    def today(self) -> date:
        """The day."""
        return self._clock().date()

    def stamp(self) -> str:
        """The time as it is stored."""
        return self._clock().astimezone(UTC).isoformat(timespec="milliseconds")

    # ---- reading and writing ----------------------------------------------------------------

    @contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """A connection that sees one state of the database."""
        with self._explained(), self._engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """A connection in a transaction: all that is done in it is stored at its end, or nothing."""
        with self._explained(), self._engine.connect() as connection:
            writer = connection.execution_options(larkslate_writes=True)
            with writer.begin():
                yield writer

    @contextmanager
    def raw(self) -> Iterator[sqlite3.Connection]:
        """A connection of its own outside any transaction, for backups and for erasing."""
        with self._explained():
            connection = sqlite3.connect(self.path)
            try:
                prepare(connection, self._busy_ms)
                yield connection
            finally:
                connection.close()

    def forget_connections(self) -> None:
        """Close every connection, so that the file can be replaced."""
        self._engine.dispose()

    @contextmanager
    def _explained(self) -> Iterator[None]:
        try:
            yield
        except IntegrityError as error:
            raise NotAllowed(
                f"This change does not fit what is stored ({error.orig}). Reload the page and try again."
            ) from error
        except (DBAPIError, sqlite3.Error) as error:
            raise explained(error, self.path) from error

    def _make_engine(self) -> sa.Engine:
        engine = sa.create_engine(
            sa.URL.create("sqlite", database=str(self.path)),
            poolclass=QueuePool,
            connect_args={"check_same_thread": False, "timeout": self._busy_ms / 1000},
        )

        @event.listens_for(engine, "connect")
        def connected(connection: sqlite3.Connection, _record: object) -> None:
            prepare(connection, self._busy_ms)

        @event.listens_for(engine, "begin")
        def began(connection: sa.Connection) -> None:
            writes = connection.get_execution_options().get("larkslate_writes", False)
            connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

        return engine

    # ---- opening ----------------------------------------------------------------------------

    @property
    def holds(self) -> bool:
        """True where this process alone has the folder."""
        return self._lock.held

    def bring_up_to_date(self) -> None:
        """Bring the tables up to date, make the backup of the day, finish an erasure that was killed."""
        from larkslate.school import backup, erase  # noqa: PLC0415 - they build on this module

        with self.raw() as connection:
            version = version_of(connection)
        if os.name == "posix":
            with suppress(OSError):
                self.path.chmod(0o600)
        if version is not None and version > schema.VERSION:
            raise OutOfDate(
                f"The data folder {self.folder} was written by a newer Larkslate (tables {version}, this one "
                f"knows {schema.VERSION}). Start the newer one; nothing was changed."
            )
        made = None
        if version != schema.VERSION:
            made = self._migrated(version)
        warnings = [places.warning(self.folder)]
        if self.holds and version is not None:
            erase.finish(self)
            if made is None:
                try:
                    made = backup.daily(self)
                except LarkslateError as error:
                    warnings.append(str(error))  # work goes on; the teacher is told
        self.opened = Opened(
            new=version is None,
            migrated_from=version if version not in (None, schema.VERSION) else None,
            backup=made,
            warnings=tuple(w for w in warnings if w),
        )

    def _migrated(self, version: str | None) -> Path | None:
        """Run the missing migrations in one transaction, after a backup; nobody else may have the folder."""
        from larkslate.school import backup, migrate  # noqa: PLC0415 - Alembic only when migrating

        held = self.holds
        if not held:
            self._lock.take("bringing the folder up to date")
        try:
            made = backup.make(self, backup.Why.MIGRATION) if version is not None else None
            with self.writing() as connection:
                migrate.upgrade(connection)
            return made
        finally:
            if not held:
                self._lock.give_up()
