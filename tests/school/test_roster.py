"""Classes and students."""

from __future__ import annotations

from datetime import date

import pytest

from larkslate.errors import Malformed, Missing, NotAllowed
from larkslate.school import roster
from larkslate.school.model import Classroom, ClassSettings, Hand, RosterPreview, RosterRow, Student
from larkslate.school.store import School
from tests.school.conftest import Clock


def test_a_class_keeps_its_settings(school: School) -> None:
    settings = ClassSettings(
        writing="print",
        letters_per_minute=30,
        accents=("cot-caught",),
        paper="a4",
        first_day=date(2025, 8, 20),
    )
    made = roster.add_class(school, "  Room   12 ", grade="3", year="2025-26", settings=settings)
    assert made.name == "Room 12"
    assert made.settings.purge == date(2026, 7, 31)
    assert roster.classroom(school, made.id) == made
    assert roster.class_named(school, "room 12") == made


@pytest.mark.parametrize(
    ("year", "end"),
    [
        ("2025-26", date(2026, 7, 31)),
        ("2025-2026", date(2026, 7, 31)),
        ("2025/26", date(2026, 7, 31)),
        ("2025", date(2026, 7, 31)),
        ("", None),
    ],
)
def test_data_should_go_after_the_school_year(year: str, end: date | None) -> None:
    assert roster.year_end(year) == end


def test_a_purge_date_is_told_and_nothing_is_deleted(
    school: School, room: Classroom, clock: Clock
) -> None:
    assert roster.purge_due(school) == ()
    clock.now = clock.now.replace(month=8)
    assert roster.purge_due(school) == (room,)
    assert roster.classes(school) == (room,)


@pytest.mark.usefixtures("room")
def test_two_classes_have_two_names(school: School) -> None:
    with pytest.raises(NotAllowed, match="Room 12 already"):
        roster.add_class(school, "ROOM 12")
    other = roster.add_class(school, "Room 14")
    with pytest.raises(NotAllowed, match="choose another name"):
        roster.change_class(school, other.id, name="Room 12")
    assert roster.change_class(school, other.id, grade="4").grade == "4"


@pytest.mark.parametrize("name", ["", "   ", "x" * 61])
def test_a_class_needs_a_name_that_fits(school: School, name: str) -> None:
    with pytest.raises(Malformed):
        roster.add_class(school, name)


@pytest.mark.usefixtures("room")
def test_a_class_that_is_not_there_is_named(school: School) -> None:
    with pytest.raises(Missing, match="the classes are Room 12"):
        roster.class_named(school, "Room 13")
    with pytest.raises(Missing):
        roster.classroom(school, "nothing")


def test_students_come_in_seat_order_with_free_seats_filled(
    school: School, room: Classroom
) -> None:
    roster.add_student(school, room.id, "Ada Q.", seat=2)
    roster.add_student(school, room.id, "Ben Q.")
    roster.add_student(school, room.id, "Cleo Q.")
    assert [(s.seat, s.label) for s in roster.students(school, room.id)] == [
        (1, "Ben Q."),
        (2, "Ada Q."),
        (3, "Cleo Q."),
    ]


def test_a_label_or_a_seat_is_taken_once(
    school: School, room: Classroom, students: tuple[Student, ...]
) -> None:
    with pytest.raises(NotAllowed, match=r"Ada Q\. is in this class already"):
        roster.add_student(school, room.id, "ada q")
    with pytest.raises(NotAllowed, match=r"Seat 1 is Ada Q\.’s"):
        roster.change_student(school, students[1].id, seat=1)
    with pytest.raises(Malformed, match="label is empty"):
        roster.add_student(school, room.id, "  ")
    assert len(roster.students(school, room.id)) == 3


def test_a_student_is_changed_field_by_field(school: School, students: tuple[Student, ...]) -> None:
    ada = students[0]
    new = roster.change_student(
        school, ada.id, hand=Hand.LEFT, larger_print=18, extra_time=True, joined=date(2026, 2, 1)
    )
    assert (new.label, new.seat) == (ada.label, ada.seat)
    assert roster.student(school, ada.id) == new
    assert roster.change_student(school, ada.id, joined=None, seat=None).joined is None
    assert roster.student(school, ada.id).seat is None


def test_who_has_left_is_listed_only_when_asked(
    school: School, room: Classroom, students: tuple[Student, ...]
) -> None:
    roster.change_student(school, students[0].id, left=date(2026, 3, 1))
    assert students[0].id not in [s.id for s in roster.students(school, room.id)]
    assert len(roster.students(school, room.id, everyone=True)) == 3
    assert len(roster.students(school, room.id, on=date(2026, 3, 1))) == 3


def test_a_roster_comes_in_whole_or_not_at_all(school: School, room: Classroom) -> None:
    rows = (RosterRow(1, "Ada Q."), RosterRow(2, "Ben Q.", seat=5), RosterRow(3, "Cleo Q.", seat=5))
    with pytest.raises(NotAllowed, match="Seat 5"):
        roster.add_students(school, room.id, RosterPreview(rows))
    assert roster.students(school, room.id) == ()


def test_every_change_is_counted(school: School, room: Classroom) -> None:
    before = roster.changes(school, room.id)
    roster.add_student(school, room.id, "Ada Q.")
    assert roster.changes(school, room.id) == before + 1
