"""From stored answers to standings: fair to who was absent, came late, or wrote at home."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from larkslate.assess.model import Channel, Mark, ResponseStatus
from larkslate.school import daybook, responses, roster, schema, sittings
from larkslate.school.ledger import Ledger, taught_days
from larkslate.school.model import (
    Answer,
    Classroom,
    ClassSettings,
    Item,
    ItemKind,
    LessonDay,
    Saved,
    Sitting,
    SittingKind,
    Student,
)
from larkslate.school.store import School
from larkslate.school.views import ClassView
from larkslate.sequence.load import shipped
from tests.school.conftest import words

Students = tuple[Student, ...]
TCH = "G3.01c"
FIRST, SECOND = ("catch", "match", "pitch"), ("ditch", "fetch", "patch")
MARCH_2, MARCH_3 = date(2026, 3, 2), date(2026, 3, 3)


def give(
    school: School, room: Classroom, targets: tuple[str, ...], day: date, through: str = TCH
) -> Sitting:
    return sittings.add(
        school, room.id, SittingKind.CHECKPOINT, words(*targets), through=through, day=day
    )


def write(
    school: School,
    sitting: Sitting,
    student: Student,
    *answers: str,
    channel: Channel = Channel.CLASS,
) -> None:
    for n, text in enumerate(answers, start=1):
        status = ResponseStatus(text[1:]) if text.startswith("!") else ResponseStatus.WRITTEN
        written = "" if text.startswith("!") else text
        answer = Answer(sitting.id, student.id, n, written, status, channel)
        assert isinstance(responses.save(school, answer), Saved)


def mark_of(view: ClassView, student: Student, point: str = TCH) -> Mark | None:
    found = view.student(student.id).standings.get(point)
    return found.mark if found else None


@pytest.fixture
def two(school: School, room: Classroom) -> tuple[Sitting, Sitting]:
    """Two sittings of three words with tch."""
    return give(school, room, FIRST, MARCH_2), give(school, room, SECOND, MARCH_3)


def test_right_twice_is_secure_and_wrong_twice_is_to_be_taught_again(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    ada, ben, cleo = students
    for sitting, targets in zip(two, (FIRST, SECOND), strict=True):
        write(school, sitting, ada, *targets)
        write(school, sitting, ben, *(t.replace("tch", "ch") for t in targets))
        write(school, sitting, cleo, "!absent", "!absent", "!absent")
    view = ledger.view(school, room.id)
    assert mark_of(view, ada) is Mark.SECURE
    assert mark_of(view, ben) is Mark.RETEACH
    assert mark_of(view, cleo) is None  # absent is missing, never zero
    assert view.student(cleo.id).absent == 6
    assert view.student(ben.id).standings[TCH].says == "right 0 of 6: teach it again"
    point = view.point(TCH)
    assert point is not None
    assert (point.right, point.chances) == (6, 12)
    assert point.last is not None
    assert (point.last.day, point.last.missed, point.last.of) == (MARCH_3, (ben.id,), 2)


def test_failure_5_nobody_is_secure_from_two_items_or_one_sitting(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    write(school, two[0], students[0], *FIRST)
    write(school, two[1], students[1], "ditch", "fetch")
    view = ledger.view(school, room.id)
    assert mark_of(view, students[0]) is Mark.MORE_EVIDENCE
    assert "one more sitting" in view.student(students[0].id).standings[TCH].says
    assert mark_of(view, students[1]) is Mark.MORE_EVIDENCE


def test_failure_10_blank_and_illegible_are_counted_apart_and_give_no_chance(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    write(school, two[0], students[0], "!blank", "!illegible", "pitch")
    one = ledger.view(school, room.id).student(students[0].id)
    assert (one.blank, one.illegible, one.absent) == (1, 1, 0)
    assert one.standings[TCH].chances == 1
    assert one.words == (1, 1)
    assert ledger.view(school, room.id).notes == (
        "1 answer could not be read and did not count: ask the student.",
    )


def test_work_from_home_never_decides(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    write(school, two[0], students[0], "cach", "mach", "pich", channel=Channel.HOME)
    standing = ledger.view(school, room.id).student(students[0].id).standings[TCH]
    assert (standing.chances, standing.mark) == (0, Mark.MORE_EVIDENCE)


def test_practiced_words_are_kept_apart(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    items = tuple(replace(i, practiced=True) for i in words(*FIRST))
    given = sittings.add(school, room.id, SittingKind.DICTATION, items, through=TCH, day=MARCH_2)
    write(school, given, students[0], *FIRST)
    standing = ledger.view(school, room.id).student(students[0].id).standings[TCH]
    assert (standing.chances, standing.practiced) == (0, (3, 3))


def test_an_error_counts_only_where_a_right_spelling_would_have_counted(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    given = give(school, room, ("blossom",), MARCH_2, through="G3.03b")
    write(school, given, students[0], "blossom")
    write(school, given, students[1], "blossem")
    right, wrong = (ledger.view(school, room.id).student(s.id) for s in students[:2])
    shown = wrong.seen[0].shown[0]
    assert shown.chances == right.seen[0].shown[0].credited
    assert shown.missed == ("G3.03b",)  # shown with the answer ...
    assert "G3.03b" not in {*right.standings, *wrong.standings}  # ... and counted for nobody


def test_what_is_not_taught_yet_is_never_missed(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    given = give(school, room, FIRST, MARCH_2, through="G3.01b")
    write(school, given, students[0], "cach", "mach", "pich")
    view = ledger.view(school, room.id).student(students[0].id)
    assert TCH not in view.standings
    assert all(s.shown[0].missed == () for s in view.seen)
    assert all(TCH in s.shown[0].untaught for s in view.seen)


def test_a_late_start_has_an_empty_taught_set_until_it_is_shown(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    late = roster.change_student(school, students[0].id, joined=MARCH_3)
    write(school, two[1], late, "dich", "fech", "pach")
    write(school, two[1], students[1], "dich", "fech", "pach")
    view = ledger.view(school, room.id)
    assert mark_of(view, late) is Mark.NOT_YET_TAUGHT
    assert mark_of(view, students[1]) is Mark.RETEACH
    assert TCH not in view.student(late.id).taught
    assert TCH in view.student(students[1].id).taught
    assert "Ada Q. started on March 3" in view.notes[0]
    point = view.point(TCH)
    assert point is not None
    assert (point.right, point.chances) == (0, 3)  # the late start is not in the class's count
    daybook.catch_up(school, late.id, TCH)
    assert mark_of(ledger.view(school, room.id), late) is Mark.RETEACH


def test_showing_a_point_makes_it_taught(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    late = roster.change_student(school, students[0].id, joined=MARCH_3)
    write(school, two[1], late, "ditch", "fetch", "pach")
    view = ledger.view(school, room.id)
    assert TCH in view.student(late.id).taught
    assert view.student(late.id).standings[TCH].says.startswith("right 2 of 3")


def test_who_was_absent_when_a_point_was_new_was_not_taught_it(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    daybook.set_lesson_day(school, LessonDay(room.id, 1, 4, MARCH_2, True))  # tch is new in 1.4
    daybook.set_present(school, students[0].id, MARCH_2, False)
    given = give(school, room, SECOND, MARCH_3)
    for student in students[:2]:
        write(school, given, student, "dich", "fech", "pach")
    view = ledger.view(school, room.id)
    assert mark_of(view, students[0]) is Mark.NOT_YET_TAUGHT
    assert mark_of(view, students[1]) is Mark.RETEACH


def test_taught_days_come_from_lessons_and_sittings(school: School, room: Classroom) -> None:
    course = shipped()
    lessons = [
        LessonDay(room.id, 1, 4, MARCH_3, True),
        LessonDay(room.id, 1, 6, MARCH_3, False),  # planned, not taught
        LessonDay(room.id, 99, 1, MARCH_3, True),
        LessonDay(room.id, 1, 99, MARCH_3, True),
    ]
    found = taught_days(course, lessons, [give(school, room, FIRST, MARCH_2, through="G3.01a")])
    assert found[TCH] == MARCH_3
    assert found["G3.01a"] == found["K2.short"] == MARCH_2
    assert "G3.01d" not in found


def test_an_overrule_holds_for_the_class(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    write(school, two[0], students[0], "cach", "match", "pitch")
    assert ledger.view(school, room.id).student(students[0].id).standings[TCH].right == 2
    daybook.overrule(school, room.id, "catch", "cach", "right", was="O.FIN", reason="a smudge")
    view = ledger.view(school, room.id)
    assert view.student(students[0].id).standings[TCH].right == 3
    assert view.student(students[0].id).words == (3, 3)


def test_an_unusual_sitting_waits_for_the_teacher(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    days = [date(2026, 2, d) for d in (9, 16, 23)]
    targets = [
        ("catch", "duck", "cliff", "match", "neck", "shell"),
        ("ditch", "sock", "grass", "patch", "brick", "miss"),
        ("fetch", "truck", "off", "pitch", "lock", "bell"),
    ]
    given = [give(school, room, t, d) for t, d in zip(targets, days, strict=True)]
    write(school, given[0], students[0], *targets[0])
    write(school, given[1], students[0], *targets[1])
    write(school, given[2], students[0], "fech", "truk", "of", "pich", "lok", "bel")
    view = ledger.view(school, room.id)
    assert view.student(students[0].id).unusual == (given[2].id,)
    assert "Ada Q., February 23" in view.notes[0]
    before = view.student(students[0].id).standings[TCH]
    daybook.count_anyway(school, students[0].id, given[2].id)
    after = ledger.view(school, room.id).student(students[0].id).standings[TCH]
    assert after.chances == before.chances + 2
    assert ledger.view(school, room.id).student(students[0].id).unusual == ()


def test_failure_3_every_legal_spelling_of_a_place_name_is_right(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    item = Item(
        1,
        ItemKind.PLACE,
        "Blick",
        points=("G3.01b",),
        legal=("Blick", "Blicke"),
        phonemes=("B", "L", "IH1", "K"),
    )
    given = sittings.add(school, room.id, SittingKind.DICTATION, (item,), through=TCH, day=MARCH_2)
    for student, text in zip(students, ("Blick", "blicke", "Blik"), strict=True):
        write(school, given, student, text)
    seen = {s.answer.student_id: s for s in ledger.seen(school, room.id, given.id)}
    assert [seen[s.id].right for s in students] == [True, True, False]
    assert seen[students[1].id].shown[0].credited == ("G3.01b",)


def test_a_choice_is_right_the_other_word_or_nothing(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    item = Item(1, ItemKind.CHOICE, "their", points=("G3.14c",), choices=("there", "their"))
    given = sittings.add(
        school, room.id, SittingKind.DICTATION, (item,), through="G3.14c", day=MARCH_2
    )
    for student, text in zip(students, ("their", "There", "???"), strict=True):
        write(school, given, student, text)
    seen = {s.answer.student_id: s for s in ledger.seen(school, room.id, given.id)}
    ada, ben, cleo = (seen[s.id].shown for s in students)
    assert ada[0].credited == ("G3.14c",)
    assert ben[0].missed == ("G3.14c",)
    assert cleo == ()


def test_failure_4_and_8_capitals_and_other_apostrophes_cost_no_word(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    sentence = Item(1, ItemKind.SENTENCE, "He can't catch it.")
    given = sittings.add(
        school, room.id, SittingKind.DICTATION, (sentence,), through="G3.03d", day=MARCH_2
    )
    write(school, given, students[0], "he can’t catch it")
    write(school, given, students[1], "He can't cach it.")
    seen = {s.answer.student_id: s for s in ledger.seen(school, room.id, given.id)}
    assert seen[students[0].id].right
    wrong = [s.word for s in seen[students[1].id].shown if not s.right]
    assert wrong == ["catch"]


def test_words_of_a_sentence_that_were_practiced_are_kept_apart(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    sentence = Item(1, ItemKind.SENTENCE, "Catch the ball.", known=("catch",))
    given = sittings.add(
        school, room.id, SittingKind.DICTATION, (sentence,), through=TCH, day=MARCH_2
    )
    write(school, given, students[0], "Catch the ball.")
    standing = ledger.view(school, room.id).student(students[0].id).standings[TCH]
    assert (standing.chances, standing.practiced) == (0, (1, 1))


def test_a_word_right_elsewhere_in_the_sitting_is_a_slip(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    given = give(school, room, ("catch", "catch"), MARCH_2)
    write(school, given, students[0], "catch", "cach")
    seen = ledger.seen(school, room.id, given.id)
    assert [s.shown[0].primary for s in seen] == [None, "K.SLIP"]
    assert seen[1].shown[0].missed == ()


def test_accents_of_the_class_are_used(
    school: School, room: Classroom, students: Students, ledger: Ledger
) -> None:
    given = give(school, room, ("pen",), MARCH_2, through="K2")
    write(school, given, students[0], "pin")
    before = ledger.seen(school, room.id, given.id)[0].shown[0]
    roster.change_class(school, room.id, settings=ClassSettings(accents=("pin-pen",)))
    after = ledger.seen(school, room.id, given.id)[0].shown[0]
    assert (before.primary, after.primary) == ("P.SUB.V", "S.HOM")
    assert not after.right  # a setting explains a spelling and never changes its score


def test_a_view_is_made_once_for_each_state(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    write(school, two[0], students[0], "catch")
    first = ledger.view(school, room.id)
    assert ledger.view(school, room.id) is first
    write(school, two[0], students[1], "catch")
    second = ledger.view(school, room.id)
    assert second.fingerprint != first.fingerprint
    ledger.forget()
    assert ledger.view(school, room.id) == second


def test_what_was_marked_is_found_again_after_a_restart_without_the_words(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    write(school, two[0], students[0], "kattch", "match", "pich")
    first = ledger.view(school, room.id)
    again = Ledger(ledger.lexicon, ledger.reach)
    monkeypatch.setattr(again, "shown", lambda _asked: pytest.fail("marked once more"))
    assert again.view(school, room.id) == first
    with school.reading() as connection:
        stored = "".join(str(tuple(r)) for r in connection.execute(schema.evidence.select()))
    assert "kattch" not in stored  # the hash is kept, not what a child wrote


def test_hard_words_and_wrong_forms_are_told(
    school: School, room: Classroom, ledger: Ledger
) -> None:
    given = give(school, room, ("catch",), MARCH_2)
    everyone = [roster.add_student(school, room.id, f"S-{n:02}") for n in range(20)]
    for n, student in enumerate(everyone):
        write(school, given, student, "cach" if n < 8 else "kach" if n < 12 else "catch")
    (word,) = ledger.view(school, room.id).words
    assert (word.right, word.of, word.hard) == (8, 20, True)
    assert [(form, len(who)) for form, who in word.wrong] == [("cach", 8), ("kach", 4)]
    assert ledger.view(school, room.id).notes[0].startswith("catch: 12 of 20 missed it")


def test_failure_12_no_label_for_a_child(
    school: School,
    room: Classroom,
    students: Students,
    two: tuple[Sitting, Sitting],
    ledger: Ledger,
) -> None:
    for sitting, targets in zip(two, (FIRST, SECOND), strict=True):
        for student in students:
            write(school, sitting, student, *(t.replace("tch", "") for t in targets))
    view = ledger.view(school, room.id)
    told = " ".join(
        [
            *view.notes,
            *(g.says for g in view.groups),
            *(s.says for one in view.students for s in one.standings.values()),
        ]
    ).lower()
    for word in ("dyslexi", "dysgraph", "risk", "disorder", "weak student", "low", "rank"):
        assert word not in told
    columns = {c.name for t in schema.metadata.sorted_tables for c in t.columns}
    assert not columns & {
        "birth_date",
        "birthday",
        "diagnosis",
        "disability",
        "health",
        "race",
        "risk",
    }
