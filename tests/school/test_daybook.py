"""Lessons taught, absences, notes, own lists, overrules."""

from __future__ import annotations

from datetime import date

import pytest

from larkslate.errors import Malformed, Missing, NotAllowed
from larkslate.school import daybook
from larkslate.school.model import Classroom, LessonDay, Sitting, Student
from larkslate.school.store import School
from larkslate.sequence.reach import Reach

Students = tuple[Student, ...]


def test_a_lesson_has_one_day(school: School, room: Classroom) -> None:
    daybook.set_lesson_day(school, LessonDay(room.id, 1, 2, date(2026, 3, 3)))
    later = LessonDay(room.id, 1, 2, date(2026, 3, 5), True, "went well")
    daybook.set_lesson_day(school, later)
    first = LessonDay(room.id, 1, 1, date(2026, 3, 2), True)
    daybook.set_lesson_day(school, first)
    assert daybook.lesson_days(school, room.id) == (first, later)
    with pytest.raises(Malformed, match="at most 500"):
        daybook.set_lesson_day(school, LessonDay(room.id, 1, 3, date(2026, 3, 5), note="x" * 501))


def test_without_an_entry_a_student_was_there(
    school: School, room: Classroom, students: Students
) -> None:
    day = date(2026, 3, 3)
    assert daybook.absences(school, room.id) == {}
    daybook.set_present(school, students[0].id, day, False)
    assert daybook.absences(school, room.id) == {students[0].id: {day}}
    daybook.set_present(school, students[0].id, day, True)
    assert daybook.absences(school, room.id) == {}


def test_catch_ups_and_counted_sittings_are_kept(
    school: School, room: Classroom, students: Students, sitting: Sitting
) -> None:
    daybook.catch_up(school, students[0].id, "G3.01c")
    daybook.catch_up(school, students[0].id, "G3.01c", date(2026, 3, 1))
    assert daybook.catch_ups(school, room.id) == {students[0].id: {"G3.01c"}}
    daybook.count_anyway(school, students[0].id, sitting.id)
    assert daybook.counted(school, room.id) == {students[0].id: {sitting.id}}
    daybook.count_anyway(school, students[0].id, sitting.id, count=False)
    assert daybook.counted(school, room.id) == {}


def test_a_two_tap_note_needs_no_text(school: School, room: Classroom, students: Students) -> None:
    made = daybook.add_note(school, students[0].id, "G3.01c")
    assert daybook.notes(school, room.id) == (made,)
    assert made.day == date(2026, 3, 4)
    daybook.remove_note(school, made.id)
    assert daybook.notes(school, room.id) == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("pond, frog; heron", ("pond", "frog", "heron")),
        ("1. tadpole\n2. tadpole\n3. mother-of-pearl", ("tadpole", "mother-of-pearl")),
        ("The heron’s nest", ("The", "heron's", "nest")),
        ("o'clock", ("o'clock",)),
    ],
)
def test_words_are_taken_from_any_paste(text: str, words: tuple[str, ...]) -> None:
    assert daybook.words_in(text) == words


@pytest.mark.parametrize("text", ["", "123, 456", "..."])
def test_a_paste_without_words(text: str) -> None:
    with pytest.raises(Malformed, match="no word in the list"):
        daybook.words_in(text)


def test_a_paste_of_a_book() -> None:
    text = " ".join(f"w{chr(97 + n % 26)}{chr(97 + n // 26)}" for n in range(300))
    with pytest.raises(Malformed, match="300 words, at most 200"):
        daybook.words_in(text)


def test_own_lists_are_kept(school: School, room: Classroom) -> None:
    made = daybook.add_list(school, room.id, " Pond  words ", ("frog", "pond"))
    assert made.title == "Pond words"
    assert daybook.lists(school, room.id) == (made,)
    for title, words in (("", ("a",)), ("x" * 81, ("a",)), ("Pond", ())):
        with pytest.raises(Malformed):
            daybook.add_list(school, room.id, title, words)
    daybook.remove_list(school, made.id)
    assert daybook.lists(school, room.id) == ()


def test_an_own_list_is_held_against_reach(reach: Reach) -> None:
    found = daybook.check_words(("frog", "catch", "tadpole", "xylzq"), reach=reach, through="K2")
    frog, catch, tadpole, unknown = found
    assert (frog.in_reach, frog.says) == (True, "in reach")
    assert (catch.in_reach, catch.later) == (False, ("G3.01c",))
    assert catch.says == "later: tch after one short vowel"
    assert not tadpole.in_reach
    assert (unknown.known, unknown.in_reach) == (False, False)
    assert "look at its spelling" in unknown.says
    assert daybook.check_words(("catch",), reach=reach, through="G3.01c")[0].in_reach


def test_an_overrule_keeps_its_trace(school: School, room: Classroom) -> None:
    daybook.overrule(school, room.id, "catch", "katch", "O.ALT", was="P.SUB")
    made = daybook.overrule(school, room.id, "catch", "katch", "right", was="P.SUB", reason="seen")
    assert daybook.overrules(school, room.id)[0].id == made.id
    assert len(daybook.overrules(school, room.id)) == 1
    assert (made.code, made.was, made.reason) == ("right", "P.SUB", "seen")
    with pytest.raises(NotAllowed, match=r"no code X\.YZ"):
        daybook.overrule(school, room.id, "catch", "katch", "X.YZ", was=None)
    daybook.take_back(school, made.id)
    with pytest.raises(Missing):
        daybook.take_back(school, made.id)
