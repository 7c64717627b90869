"""Erasing for good: afterwards no byte of the folder holds the label or what was written."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from larkslate.errors import LarkslateError, Malformed, Missing, NotAllowed
from larkslate.school import backup, daybook, erase, responses, roster, schema, transfer
from larkslate.school.model import Answer, Classroom, LessonDay, Sitting, Student
from larkslate.school.store import School
from tests.school.conftest import Opener

LABEL, WRITTEN, OTHER = "Zorblat Q.", "kattchzzz", "brijjyyy"


def holding(folder: Path, *texts: str) -> dict[str, list[str]]:
    """The files of a folder that hold one of the texts, in UTF-8 or UTF-16."""
    found: dict[str, list[str]] = {}
    for path in folder.rglob("*"):
        if path.is_file():
            data = path.read_bytes()
            for text in texts:
                if text.encode() in data or text.encode("utf-16-le") in data:
                    found.setdefault(text, []).append(path.name)
    return found


@pytest.fixture
def zorblat(
    school: School, room: Classroom, students: tuple[Student, ...], sitting: Sitting
) -> Student:
    """A student who has left traces everywhere."""
    one = roster.add_student(school, room.id, LABEL)
    responses.save(school, Answer(sitting.id, one.id, 1, WRITTEN))
    responses.save(school, Answer(sitting.id, students[0].id, 1, OTHER))
    daybook.overrule(
        school, room.id, "catch", WRITTEN, "O.FIN", was="P.SUB", reason=f"{LABEL} says so"
    )
    daybook.overrule(school, room.id, "catch", OTHER, "O.FIN", was=None, reason="kept")
    daybook.add_note(school, one.id, "G3.01c", text="zorblat q. was stuck")
    daybook.add_note(school, students[0].id, "G3.01c", text="sat with Zorblat Q., went well")
    daybook.set_present(school, one.id, date(2026, 3, 3), False)
    daybook.catch_up(school, one.id, "G3.01c")
    daybook.set_lesson_day(
        school, LessonDay(room.id, 1, 2, date(2026, 3, 2), True, f"asked {LABEL} again")
    )
    return one


def test_nothing_of_a_student_stays_in_the_folder(
    school: School, room: Classroom, zorblat: Student, tmp_path: Path
) -> None:
    backup.make(school)
    inside = transfer.export_all(school)
    outside = transfer.export_all(school, tmp_path / "stick" / "all.zip")
    (school.folder / "backups" / "school.part").write_text(WRITTEN)  # a killed process left it
    assert set(holding(school.folder, LABEL, WRITTEN)) == {LABEL, WRITTEN}

    done = erase.student(school, zorblat.id)

    assert holding(school.folder, LABEL, LABEL.lower(), "Zorblat", WRITTEN) == {}
    assert (done.students, done.classes, done.backups) == (1, 0, 1)
    assert done.exports == (inside,)
    assert not inside.exists()
    assert [e.path for e in done.elsewhere] == [str(outside.resolve())]  # the teacher is told
    assert done.mentions == 2
    assert [s.label for s in roster.students(school, room.id)] == ["Ada Q.", "Ben Q.", "Cleo Q."]
    assert holding(school.folder, zorblat.id).keys() == {zorblat.id}  # the id alone is kept


def test_what_belongs_to_others_stays(
    school: School, room: Classroom, zorblat: Student, sitting: Sitting
) -> None:
    erase.student(school, zorblat.id)
    assert [a.written for a in responses.answers(school, sitting.id)] == [OTHER]
    assert [o.written for o in daybook.overrules(school, room.id)] == [OTHER]
    assert [n.text for n in daybook.notes(school, room.id)] == ["sat with [erased], went well"]
    assert daybook.lesson_days(school, room.id)[0].note == "asked [erased] again"


def test_an_erasure_is_recorded_by_the_id_and_the_day_only(
    school: School, zorblat: Student
) -> None:
    erase.student(school, zorblat.id)
    text = (school.folder / "erased.txt").read_text()
    assert text == f"{zorblat.id} student 2026-03-04\n"
    assert erase.erased(school)[zorblat.id].day == date(2026, 3, 4)
    with school.reading() as connection:
        assert [tuple(r) for r in connection.execute(schema.erasures.select())] == [
            (zorblat.id, "student", "2026-03-04")
        ]


def test_a_class_and_a_year_go_whole(school: School, room: Classroom, zorblat: Student) -> None:
    other = roster.add_class(school, "Room 14", year="2024-25")
    roster.add_student(school, other.id, "Yuzz Q.")
    backup.make(school)
    done = erase.year(school, "2024-25")
    assert (done.students, done.classes) == (1, 1)
    assert holding(school.folder, "Yuzz", "Room 14") == {}
    with pytest.raises(Missing, match="the years are 2025-26"):
        erase.year(school, "2024-25")
    done = erase.classroom(school, room.id)
    assert (done.students, done.classes) == (4, 1)
    assert roster.classes(school) == ()
    assert holding(school.folder, LABEL, WRITTEN, OTHER, "Ada Q.", "Room 12") == {}
    assert zorblat.id in erase.erased(school)


def test_what_marking_remembers_goes_too(school: School, zorblat: Student) -> None:
    with school.writing() as connection:
        connection.execute(schema.evidence.insert().values(key="k", body="[]"))
    erase.student(school, zorblat.id)
    with school.reading() as connection:
        assert connection.execute(schema.evidence.select()).all() == []


def test_a_killed_erasure_is_finished_at_the_next_start(
    opener: Opener, school: School, zorblat: Student, monkeypatch: pytest.MonkeyPatch
) -> None:
    backup.make(school)

    def killed(*_: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(erase, "take_out", killed)
    with pytest.raises(KeyboardInterrupt):
        erase.student(school, zorblat.id)
    monkeypatch.undo()
    school.close()
    assert WRITTEN in holding(school.folder, WRITTEN)
    again = opener()
    assert holding(again.folder, LABEL, WRITTEN) == {}
    assert not (again.folder / erase.RUNNING).exists()


def test_a_backup_that_cannot_be_written_says_that_it_will_go_on(
    school: School, zorblat: Student, monkeypatch: pytest.MonkeyPatch
) -> None:
    backup.make(school)

    def full(*_: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(erase, "take_out", full)
    with pytest.raises(LarkslateError, match="it will finish"):
        erase.student(school, zorblat.id)
    monkeypatch.undo()
    assert erase.finish(school) is not None
    assert holding(school.folder, LABEL, WRITTEN) == {}


def test_erasing_needs_the_folder_alone(school: School, zorblat: Student) -> None:
    with (
        School.open(school.folder, hold=False) as reader,
        pytest.raises(NotAllowed, match="Close the other windows"),
    ):
        erase.student(reader, zorblat.id)
    with pytest.raises(Missing):
        erase.student(school, "nobody")


def test_short_codes_are_not_blanked_in_free_text(
    school: School, room: Classroom, students: tuple[Student, ...]
) -> None:
    coded = roster.add_student(school, room.id, "12")
    daybook.add_note(school, students[0].id, "G3.01c", text="12 words in 12 minutes")
    assert erase.student(school, coded.id).mentions == 0
    assert daybook.notes(school, room.id)[0].text == "12 words in 12 minutes"


def test_a_damaged_list_of_erasures_stops_a_restore(school: School, zorblat: Student) -> None:
    path = backup.make(school)
    (school.folder / "erased.txt").write_text("not an id\nabc student 2026-03-04\n")
    with pytest.raises(Malformed, match="line 1"):
        backup.restore(school, path)
    (school.folder / "erased.txt").write_text("abc student 2026-03-04\nab")  # killed while writing
    assert list(erase.read_list(school.folder)) == ["abc"]
    assert roster.student(school, zorblat.id)
