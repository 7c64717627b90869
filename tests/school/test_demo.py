"""The demo class: invented, marked so, kept apart, removed in one step."""

from __future__ import annotations

from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from larkslate.assess.model import Mark
from larkslate.errors import NotAllowed
from larkslate.school import daybook, demo, responses, roster, sittings
from larkslate.school.ledger import Ledger
from larkslate.school.review import review_due
from larkslate.school.store import School
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from tests.school.conftest import Opener


def test_twenty_four_invented_students_and_a_term_of_answers(school: School) -> None:
    made = demo.load(school)
    assert made.invented
    assert "demo" in made.name.lower()
    people = roster.students(school, made.id)
    assert len(people) == 24
    assert [s.seat for s in people] == list(range(1, 25))
    assert all(len(s.label.split()[-1].rstrip(".")) == 1 for s in people)  # first name and initial
    given = sittings.sittings(school, made.id)
    assert Counter(s.kind.value for s in given) == {"baseline": 2, "checkpoint": 4, "dictation": 3}
    assert max(s.day for s in given) < date(2026, 3, 4)
    assert all(s.day.weekday() < 5 for s in given)
    assert all(d.done for d in daybook.lesson_days(school, made.id))
    grid = responses.grid(school, given[-1].id)
    assert grid.missing == 0
    assert demo.load(school) == made  # a second time changes nothing
    assert len(roster.classes(school)) == 1


def test_the_same_day_gives_the_same_answers(opener: Opener, tmp_path: Path) -> None:
    def told(name: str) -> list[tuple[str, int, str, str]]:
        one = opener(tmp_path / name)
        made = demo.load(one)
        label = {s.id: s.label for s in roster.students(one, made.id, everyone=True)}
        found = responses.answers_of_class(one, made.id)
        return sorted((label[a.student_id], a.item, a.written, a.status.value) for a in found)

    assert told("a") == told("b")


def test_a_real_class_is_never_mixed_with_it(school: School) -> None:
    roster.add_class(school, "Room 12")
    with pytest.raises(NotAllowed, match="empty data folder only"):
        demo.load(school)
    assert not demo.remove(school)


def test_it_goes_in_one_step(school: School) -> None:
    demo.load(school)
    assert demo.remove(school)
    assert roster.classes(school) == ()
    assert demo.there(school) is None
    assert b"Ada R." not in school.path.read_bytes()
    demo.load(school)
    assert len(roster.classes(school)) == 1


def test_the_late_start_has_no_answers_from_before(school: School) -> None:
    made = demo.load(school)
    (late,) = (s for s in roster.students(school, made.id) if s.joined)
    days = {s.id: s.day for s in sittings.sittings(school, made.id)}
    mine = [a for a in responses.answers_of_class(school, made.id) if a.student_id == late.id]
    assert mine
    assert late.joined is not None
    assert min(days[a.sitting_id] for a in mine) >= late.joined


def test_what_stays_hard_is_found_by_the_marking(school: School, ledger: Ledger) -> None:
    made = demo.load(school)
    view = ledger.view(school, made.id)
    marks = {s.student.label: s.standings for s in view.students}
    found = {True: Counter[bool](), False: Counter[bool]()}
    for one in demo.learners():
        for point, standing in marks[one.row.label].items():
            if point.startswith("G3.") and standing.chances >= 3:
                found[point in one.weak][standing.mark is Mark.RETEACH] += 1
    weak, other = found[True], found[False]
    # The points that were made hard are taught again far more often than the others.
    assert weak[True] / weak.total() > 4 * other[True] / other.total()
    assert review_due(view)
    assert view.groups
    assert any(s.mark is Mark.SECURE for row in marks.values() for s in row.values())


def test_every_word_of_the_demo_is_in_reach_when_it_is_dictated(reach: Reach) -> None:
    course = shipped()
    for given in demo.term():
        course.end_of(given.through)
        for asked in given.asked:
            assert asked.item.target not in [f.written for f in asked.forms]
            if asked.item.kind == "word":
                assert reach.in_reach(asked.item.target, given.through), asked.item.target
