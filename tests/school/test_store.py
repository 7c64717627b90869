"""Opening, the settings of every connection, and what goes wrong with disks and databases."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import event

from larkslate.errors import LarkslateError, NotAllowed, OutOfDate
from larkslate.school import migrate, responses, roster, schema
from larkslate.school.model import Answer, Sitting, Student
from larkslate.school.store import School, explained
from tests.school.conftest import Opener

SECOND_START = """
import sys
from larkslate.school.store import School
School.open(sys.argv[1]).close()
print("alembic" in sys.modules)
"""
READ_ONLY = """
import os, sys
from larkslate.school import roster
from larkslate.school.store import School
from larkslate.errors import LarkslateError
import larkslate.school.migrate, larkslate.school.backup, larkslate.school.erase
if os.geteuid() == 0:
    os.setegid(65534); os.seteuid(65534)
try:
    with School.open(sys.argv[1], hold=sys.argv[2] == "hold") as school:
        roster.add_class(school, "Room 13")
except LarkslateError as error:
    print(error)
"""


def names(school: School) -> list[str]:
    return [c.name for c in roster.classes(school)]


def test_a_new_folder_is_made_and_opened_again(opener: Opener) -> None:
    first = opener()
    assert first.opened.new
    assert first.opened.backup is None
    roster.add_class(first, "Room 12")
    first.close()
    again = opener()
    assert not again.opened.new
    assert names(again) == ["Room 12"]


def test_every_connection_is_set_for_safety(school: School) -> None:
    asked = {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "secure_delete": 1,
        "busy_timeout": 5000,
        "trusted_schema": 0,
    }
    with school.reading() as connection:
        for name, value in asked.items():
            assert connection.exec_driver_sql(f"PRAGMA {name}").scalar() == value, name


def test_the_migrations_make_the_tables_of_the_schema(school: School) -> None:
    with school.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, schema.metadata) == []
    assert ScriptDirectory.from_config(migrate.config()).get_current_head() == schema.VERSION


def test_the_tables_can_be_made_in_postgresql_too() -> None:
    from sqlalchemy.dialects import postgresql
    from sqlalchemy.schema import CreateTable

    for table in schema.metadata.sorted_tables:
        assert str(CreateTable(table).compile(dialect=postgresql.dialect()))  # type: ignore[no-untyped-call]


def test_a_second_start_does_not_load_the_migrations(school: School) -> None:
    school.close()
    done = subprocess.run(
        [sys.executable, "-c", SECOND_START, str(school.folder)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "False"


def test_a_change_that_fails_half_way_leaves_nothing(school: School) -> None:
    def half() -> None:
        with school.writing() as connection:
            connection.execute(schema.evidence.insert().values(key="a", body="[]"))
            raise RuntimeError

    with pytest.raises(RuntimeError):
        half()
    with school.reading() as connection:
        assert connection.execute(sa.select(schema.evidence)).all() == []


def test_a_newer_folder_is_refused_and_left_alone(opener: Opener) -> None:
    school = opener()
    roster.add_class(school, "Room 12")
    with school.writing() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    school.close()
    before = school.path.read_bytes()
    with pytest.raises(OutOfDate, match="newer Larkslate"):
        opener()
    assert school.path.read_bytes() == before


def test_a_migration_that_fails_leaves_the_folder_as_it_was(
    opener: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    school = opener()
    roster.add_class(school, "Room 12")
    with school.writing() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0000'")
    school.close()

    def broken(connection: sa.Connection) -> None:
        connection.exec_driver_sql("DROP TABLE note")
        raise LarkslateError("broken")

    monkeypatch.setattr(migrate, "upgrade", broken)
    with pytest.raises(LarkslateError, match="broken"):
        opener()
    with closing(sqlite3.connect(school.path)) as connection_:
        assert connection_.execute("SELECT count(*) FROM note").fetchone() == (0,)
        assert connection_.execute("SELECT name FROM class").fetchall() == [("Room 12",)]
    kept = list((school.folder / "backups").glob("*before-migration.db"))
    assert len(kept) == 1  # the copy made first


def test_an_old_folder_that_another_process_has_is_not_migrated_under_it(opener: Opener) -> None:
    school = opener()
    with school.writing() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0000'")
    with pytest.raises(NotAllowed, match="open already"):
        School.open(school.folder, hold=False)
    assert not list((school.folder / "backups").iterdir())


def test_another_database_is_refused(tmp_path: Path, opener: Opener) -> None:
    (tmp_path / "data").mkdir()
    with closing(sqlite3.connect(tmp_path / "data" / "school.db")) as connection:
        connection.execute("CREATE TABLE something (a)")
        connection.commit()
    with pytest.raises(OutOfDate, match="not a Larkslate database"):
        opener()


def test_a_damaged_database_names_the_backups(tmp_path: Path, opener: Opener) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "school.db").write_bytes(b"nothing of a database here" * 400)
    with pytest.raises(LarkslateError, match=r"damaged\. Restore the newest backup"):
        opener()


def test_a_locked_database_says_so_and_loses_nothing(opener: Opener, tmp_path: Path) -> None:
    school = opener(tmp_path / "data", busy_ms=30)
    room = roster.add_class(school, "Room 12")
    with closing(sqlite3.connect(school.path)) as other:
        other.isolation_level = None
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LarkslateError, match="locked by another program"):
            roster.add_student(school, room.id, "Ada Q.")
        other.execute("ROLLBACK")
    assert names(school) == ["Room 12"]
    assert roster.add_student(school, room.id, "Ada Q.").label == "Ada Q."


@pytest.mark.skipif(sys.platform == "win32", reason="rights are kept otherwise there")
@pytest.mark.parametrize("hold", ["hold", "read"])
def test_a_read_only_folder_says_so_and_loses_nothing(hold: str) -> None:
    place = Path(tempfile.mkdtemp(prefix="larkslate-read-only-"))  # tmp_path is closed to others
    try:
        with School.open(place / "data") as school:
            roster.add_class(school, "Room 12")
        place.chmod(0o755)
        for path in [place / "data", *(place / "data").rglob("*")]:
            path.chmod(0o555 if path.is_dir() else 0o444)
        done = subprocess.run(
            [sys.executable, "-c", READ_ONLY, str(place / "data"), hold],
            capture_output=True,
            text=True,
            check=True,
        )
        assert "cannot be written" in done.stdout, done.stderr
        for path in [place / "data", *(place / "data").rglob("*")]:
            path.chmod(0o755)
        with School.open(place / "data") as school:
            assert names(school) == ["Room 12"]
    finally:
        shutil.rmtree(place)


def test_a_full_disk_says_so_and_loses_nothing(
    school: School, students: tuple[Student, ...], sitting: Sitting
) -> None:
    responses.save(school, Answer(sitting.id, students[0].id, 1, "catch"))

    @event.listens_for(school._engine, "connect")
    def small(connection: sqlite3.Connection, _record: object) -> None:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages}")

    school.forget_connections()

    def fill() -> None:
        for n in range(2000):
            roster.add_class(school, f"Room {n + 100} with a long name", year="2025-26")

    with pytest.raises(LarkslateError, match="disk is full"):
        fill()
    event.remove(school._engine, "connect", small)
    school.forget_connections()
    assert responses.answers(school, sitting.id)[0].written == "catch"
    assert roster.add_class(school, "Room 99")
    with school.raw() as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("database is locked", "locked by another program"),
        ("attempt to write a readonly database", "cannot be written"),
        ("database or disk is full", "disk is full"),
        ("disk I/O error", "disk is full or cannot be written"),
        ("database disk image is malformed", "damaged"),
        ("something new", "something new"),
    ],
)
def test_every_error_of_the_database_is_explained(said: str, told: str) -> None:
    found = explained(sqlite3.OperationalError(said), Path("/data/school.db"))
    assert told in str(found)
    assert "/data" in str(found)


def test_what_does_not_fit_is_refused(school: School) -> None:
    with pytest.raises(NotAllowed, match="does not fit"), school.writing() as connection:
        connection.execute(
            schema.notes.insert().values(
                id="n", student_id="nobody", point="G3.01a", day="2026-03-04", text=""
            )
        )
