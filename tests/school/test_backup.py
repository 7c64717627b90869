"""Backups and restores."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from datetime import timedelta

import pytest

from larkslate.errors import LarkslateError, Missing, NotAllowed, OutOfDate
from larkslate.school import backup, erase, responses, roster
from larkslate.school.backup import Why
from larkslate.school.model import Answer, Classroom, Sitting, Student
from larkslate.school.store import School
from tests.school.conftest import Clock, Opener

Students = tuple[Student, ...]


def test_one_backup_a_day(opener: Opener, clock: Clock) -> None:
    school = opener()
    roster.add_class(school, "Room 12")
    school.close()
    second = opener()
    assert second.opened.backup is not None
    assert backup.daily(second) is None
    second.close()
    assert opener().opened.backup is None
    clock.now += timedelta(days=1)
    assert backup.daily(second) is not None
    assert [b.why for b in backup.backups(second)] == [Why.DAY, Why.DAY]


def test_only_the_newest_are_kept(school: School, clock: Clock) -> None:
    for _ in range(backup.KEPT_DAYS + 3):
        clock.now += timedelta(days=1)
        backup.daily(school)
    for _ in range(backup.KEPT_OTHERS + 2):
        clock.now += timedelta(seconds=1)
        backup.make(school)
    kept = backup.backups(school)
    assert sum(b.why is Why.DAY for b in kept) == backup.KEPT_DAYS
    assert sum(b.why is Why.ASKED for b in kept) == backup.KEPT_OTHERS
    assert kept == tuple(sorted(kept, key=lambda b: b.made, reverse=True))


def test_a_backup_is_whole_and_one_file(
    school: School, sitting: Sitting, students: Students
) -> None:
    responses.save(school, Answer(sitting.id, students[0].id, 1, "cach"))
    path = backup.make(school)
    assert backup.sound(path)
    with closing(sqlite3.connect(path)) as copy:
        assert copy.execute("SELECT written FROM response").fetchall() == [("cach",)]
    assert [p.name for p in path.parent.iterdir()] == [path.name]


@pytest.mark.usefixtures("students")
def test_a_restore_brings_back_and_keeps_what_was_there(school: School, room: Classroom) -> None:
    path = backup.make(school)
    roster.add_student(school, room.id, "Dov Q.")
    before = backup.restore(school, path)
    assert [s.label for s in roster.students(school, room.id)] == ["Ada Q.", "Ben Q.", "Cleo Q."]
    backup.restore(school, before)
    assert len(roster.students(school, room.id)) == 4


def test_a_restore_does_not_bring_an_erased_student_back(
    school: School, room: Classroom, students: Students, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = backup.make(school)
    outside = tmp_path_factory.mktemp("stick") / path.name
    shutil.copy(path, outside)  # a copy the erasure cannot reach
    erase.student(school, students[0].id)
    assert b"Ada Q." in outside.read_bytes()
    backup.restore(school, outside)
    assert [s.label for s in roster.students(school, room.id)] == ["Ben Q.", "Cleo Q."]
    assert all(b"Ada Q." not in p.read_bytes() for p in school.folder.rglob("*") if p.is_file())


def test_a_damaged_database_is_kept_aside_and_replaced(
    school: School, room: Classroom, students: Students
) -> None:
    path = backup.make(school)
    erase.student(school, students[0].id)
    school.forget_connections()
    school.path.write_bytes(b"nothing of a database" * 500)
    aside = backup.restore(school, path)
    assert aside.suffix == ".damaged"
    assert [s.label for s in roster.students(school, room.id)] == ["Ben Q.", "Cleo Q."]


def test_what_cannot_be_restored_changes_nothing(school: School, room: Classroom) -> None:
    path = backup.make(school)
    with pytest.raises(Missing, match="no backup"):
        backup.restore(school, path.with_name("other.db"))
    damaged = path.with_name("damaged.db")
    damaged.write_bytes(path.read_bytes()[:5000])
    with pytest.raises(NotAllowed, match="damaged: choose an older one"):
        backup.restore(school, damaged)
    newer = path.with_name("newer.db")
    shutil.copy(path, newer)
    with closing(sqlite3.connect(newer)) as copy:
        copy.execute("UPDATE alembic_version SET version_num = '9999'")
        copy.commit()
    with pytest.raises(OutOfDate, match="newer Larkslate"):
        backup.restore(school, newer)
    with (
        School.open(school.folder, hold=False) as reader,
        pytest.raises(NotAllowed, match="Close the other windows"),
    ):
        backup.restore(reader, path)
    assert roster.classes(school) == (room,)


def test_a_backup_without_room_says_so(school: School, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_path: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup, "_to_disk", full)
    with pytest.raises(LarkslateError, match="Free some space"):
        backup.make(school)
    assert backup.backups(school) == ()
    assert list((school.folder / "backups").iterdir()) == []


def test_a_failed_daily_backup_does_not_keep_the_teacher_out(
    opener: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    school = opener()
    school.close()

    def full(_path: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup, "_to_disk", full)
    again = opener()
    assert "could not be written" in again.opened.warnings[0]
