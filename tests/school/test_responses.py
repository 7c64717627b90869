"""Answers saved cell by cell: nothing lost, nothing overwritten silently, absent never zero."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from larkslate.assess.model import Channel, ResponseStatus
from larkslate.errors import Malformed, Missing
from larkslate.school import responses, roster
from larkslate.school.model import Answer, Classroom, Conflict, Saved, Sitting, Student
from larkslate.school.store import School

Students = tuple[Student, ...]


def cell(sitting: Sitting, student: Student, written: str, revision: int = 0) -> Answer:
    return Answer(sitting.id, student.id, 1, written, revision=revision)


def saved(found: Saved | Conflict) -> Answer:
    assert isinstance(found, Saved)
    return found.answer


def test_an_answer_is_stored_as_written(
    school: School, sitting: Sitting, students: Students
) -> None:
    made = saved(responses.save(school, cell(sitting, students[0], "  Cach’s  don't ")))
    assert made.written == "Cach’s don't"  # capital, both apostrophes, the spelling: untouched
    assert made.revision == 1
    assert responses.answers(school, sitting.id) == (made,)


def test_the_same_answer_twice_is_stored_once(
    school: School, sitting: Sitting, students: Students
) -> None:
    first = responses.save(school, cell(sitting, students[0], "cach"))
    again = responses.save(school, cell(sitting, students[0], "cach"))
    assert isinstance(again, Saved)
    assert not again.changed
    assert again.answer == saved(first)


def test_a_change_needs_the_revision_it_was_made_from(
    school: School, sitting: Sitting, students: Students
) -> None:
    saved(responses.save(school, cell(sitting, students[0], "cach")))
    new = saved(responses.save(school, cell(sitting, students[0], "catch", revision=1)))
    assert (new.written, new.revision) == ("catch", 2)


def test_two_windows_never_overwrite_each_other_silently(
    school: School, sitting: Sitting, students: Students
) -> None:
    saved(responses.save(school, cell(sitting, students[0], "cach")))  # one window
    found = responses.save(school, cell(sitting, students[0], "kach"))  # the other saw it empty
    assert isinstance(found, Conflict)
    assert (found.stored.written, found.yours.written) == ("cach", "kach")
    assert found.says == ("Another window has written “cach” here, this one “kach”. Choose one.")
    assert responses.answers(school, sitting.id)[0].written == "cach"
    chosen = replace(found.yours, revision=found.stored.revision)
    assert saved(responses.save(school, chosen)).written == "kach"


def test_several_are_stored_together_and_conflicts_are_told_apart(
    school: School, sitting: Sitting, students: Students
) -> None:
    saved(responses.save(school, cell(sitting, students[0], "cach")))
    first, second = responses.save_all(
        school, [cell(sitting, students[0], "kach"), cell(sitting, students[1], "catch")]
    )
    assert isinstance(first, Conflict)
    assert saved(second).written == "catch"


def test_one_answer_that_cannot_be_keeps_all_out(
    school: School, sitting: Sitting, students: Students
) -> None:
    bad = Answer(sitting.id, students[1].id, 99, "x")
    with pytest.raises(Missing, match="no item 99"):
        responses.save_all(school, [cell(sitting, students[0], "cach"), bad])
    assert responses.answers(school, sitting.id) == ()


def test_what_is_not_there_is_named(school: School, sitting: Sitting, students: Students) -> None:
    with pytest.raises(Missing, match="dictation is not there"):
        responses.save(school, Answer("nothing", students[0].id, 1, "x"))
    with pytest.raises(Missing, match="not in the class"):
        responses.save(school, Answer(sitting.id, "nobody", 1, "x"))
    other = roster.add_student(school, roster.add_class(school, "Room 14").id, "Zora Q.")
    with pytest.raises(Missing, match="not in the class"):
        responses.save(school, cell(sitting, other, "x"))


@pytest.mark.parametrize("status", [s for s in ResponseStatus if s is not ResponseStatus.WRITTEN])
def test_failure_10_absent_blank_and_illegible_are_kept_apart_and_hold_no_text(
    school: School, sitting: Sitting, students: Students, status: ResponseStatus
) -> None:
    made = saved(responses.save(school, Answer(sitting.id, students[0].id, 1, "catch", status)))
    assert (made.written, made.status) == ("", status)


def test_nothing_written_needs_to_be_called_what_it_is(
    school: School, sitting: Sitting, students: Students
) -> None:
    with pytest.raises(Malformed, match="blank, illegible or absent"):
        responses.save(school, cell(sitting, students[0], "  "))
    with pytest.raises(Malformed, match="at most 300"):
        responses.save(school, cell(sitting, students[0], "x" * 301))
    with pytest.raises(Malformed, match="cannot be shown"):
        responses.save(school, cell(sitting, students[0], "ca\x07tch"))


def test_home_and_class_are_told_apart(
    school: School, sitting: Sitting, students: Students
) -> None:
    home = replace(cell(sitting, students[0], "catch"), channel=Channel.HOME)
    saved(responses.save(school, home))
    assert responses.answers(school, sitting.id)[0].channel is Channel.HOME


def test_a_cell_is_emptied_only_as_it_was_seen(
    school: School, sitting: Sitting, students: Students
) -> None:
    made = saved(responses.save(school, cell(sitting, students[0], "cach")))
    assert isinstance(responses.clear(school, replace(made, revision=7)), Conflict)
    assert len(responses.answers(school, sitting.id)) == 1
    assert isinstance(responses.clear(school, made), Saved)
    assert responses.answers(school, sitting.id) == ()
    again = responses.clear(school, made)
    assert isinstance(again, Saved)
    assert not again.changed


def test_the_grid_goes_by_seat_and_finds_the_next_paper(
    school: School, sitting: Sitting, students: Students
) -> None:
    ada, ben, cleo = students
    roster.change_student(school, cleo.id, seat=10)
    roster.change_student(school, ada.id, seat=11)
    shown = responses.grid(school, sitting.id)
    assert [s.id for s in shown.students] == [ben.id, cleo.id, ada.id]
    assert shown.missing == 6
    first = shown.next_student()
    assert first is not None
    assert first.id == ben.id
    done = responses.mark_rest_right(school, sitting.id, ben.id)
    assert [saved(d).written for d in done] == ["catch", "bridge"]
    following = responses.grid(school, sitting.id).next_student(ben.id)
    assert following is not None
    assert following.id == cleo.id


def test_only_what_was_wrong_needs_typing(
    school: School, sitting: Sitting, students: Students
) -> None:
    saved(responses.save(school, cell(sitting, students[0], "cach")))
    responses.mark_rest_right(school, sitting.id, students[0].id)
    assert [a.written for a in responses.answers(school, sitting.id)] == ["cach", "bridge"]


def test_an_absent_student_is_marked_in_one_step(
    school: School, sitting: Sitting, students: Students
) -> None:
    responses.mark_absent(school, sitting.id, students[0].id)
    found = responses.answers(school, sitting.id)
    assert {a.status for a in found} == {ResponseStatus.ABSENT}
    shown = responses.grid(school, sitting.id)
    assert shown.missing == 4
    assert responses.grid(school, sitting.id).next_student() != students[0]


def test_who_had_left_before_is_not_in_the_grid_unless_there_is_an_answer(
    school: School, sitting: Sitting, students: Students
) -> None:
    roster.change_student(school, students[0].id, left=date(2026, 3, 1))
    assert len(responses.grid(school, sitting.id).students) == 2
    saved(responses.save(school, cell(sitting, students[0], "cach")))
    assert len(responses.grid(school, sitting.id).students) == 3


def test_answers_of_a_class_are_counted_as_changes(
    school: School, room: Classroom, sitting: Sitting, students: Students
) -> None:
    before = roster.changes(school, room.id)
    responses.save(school, cell(sitting, students[0], "cach"))
    responses.save(school, cell(sitting, students[0], "cach"))
    assert roster.changes(school, room.id) == before + 1
