"""Sittings and their items."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.errors import Malformed, Missing
from larkslate.plan.model import (
    Audit,
    Block,
    BlockKind,
    ChoosePair,
    Dictation,
    Lesson,
    LessonKind,
    Passage,
    PlaceName,
    Role,
    TextItem,
    UnitPlan,
    WordItem,
)
from larkslate.school import sittings
from larkslate.school.model import Classroom, Item, ItemKind, Sitting, SittingKind
from larkslate.school.sittings import items_from, items_json, items_of
from larkslate.school.store import School
from larkslate.sequence.load import shipped
from tests.school.conftest import words


def word(text: str, role: Role = Role.FRESH) -> WordItem:
    return WordItem(text, role, ("G3.01c",), "why", sentence=f"A {text} is here.")


PASSAGE = Passage(
    title="At the pond",
    text="We walk to the pond. A patch of moss is wet! Do you see it?",
    gaps=(WordItem("patch", Role.FRESH, ("G3.01c",), "why"),),
    write=(TextItem("We catch the ball.", ("G3.01c",)),),
)
FULL = Dictation(
    form="A",
    words=(word("batch"),),
    passage=PASSAGE,
    places=(PlaceName("Titch", ("T", "IH1", "CH"), "titch", ("Titch", "Tich"), ("G3.01c",)),),
    pairs=(ChoosePair("They fed", ("there", "their"), "dog.", "their", "owning", ("G3.14c",)),),
)
SHORT = Dictation(form="B", words=(word("batch"),), sentences=(TextItem("A catch.", ()),))


def plan() -> UnitPlan:
    practice = Block(BlockKind.ALONE, 6, "alone", items=(word("Catch", Role.ALONE), word("pitch")))
    given_ = Block(BlockKind.DICTATION, 20, "dictation", items=(FULL, SHORT))
    lessons = tuple(
        Lesson(f"1.{n}", 1, n, "title", kind, ("G3.01c",), None, None, (block,))
        for n, kind, block in (
            (1, LessonKind.NEW, practice),
            (2, LessonKind.DICTATION, given_),
        )
    )
    return UnitPlan(1, "title", "goal", ("G3.01c",), (), 0, lessons, Audit(0, (), (), {}, {}))


def test_everything_that_children_write_is_an_item() -> None:
    found = items_of(FULL, practiced=frozenset({"catch", "batch"}))
    assert [(i.number, i.kind.value, i.target) for i in found] == [
        (1, "word", "batch"),
        (2, "word", "patch"),
        (3, "sentence", "We catch the ball."),
        (4, "place", "Titch"),
        (5, "choice", "their"),
    ]
    assert found[0].practiced
    assert found[1].sentence == "A patch of moss is wet!"
    assert found[2].known == ("catch",)
    assert found[3].legal == ("Titch", "Tich")
    assert found[4].sentence == "They fed their dog."
    assert found[4].choices == ("there", "their")


def test_a_planned_dictation_becomes_a_sitting(school: School, room: Classroom) -> None:
    made = sittings.add_from_plan(
        school, room.id, plan(), 2, course=shipped(), day=date(2026, 3, 3)
    )
    assert made.kind is SittingKind.DICTATION
    assert (made.unit, made.lesson, made.form) == (1, 2, "A")
    assert made.through == "G3.01b"  # what the shipped unit 1 has taught by its second lesson
    assert sittings.sitting(school, made.id) == made
    other = sittings.add_from_plan(school, room.id, plan(), 2, course=shipped(), form="B")
    assert other.kind is SittingKind.CHECKPOINT
    assert other.day == date(2026, 3, 4)
    assert [s.id for s in sittings.sittings(school, room.id)] == [made.id, other.id]


def test_practiced_are_the_words_of_the_lessons_before() -> None:
    assert sittings.practiced_words(plan(), 2) == {"catch"}
    assert sittings.practiced_words(plan(), 1) == frozenset()


@pytest.mark.parametrize(("lesson", "form"), [(1, "A"), (7, "A"), (2, "C")])
def test_a_lesson_without_that_dictation_names_those_that_have_one(lesson: int, form: str) -> None:
    with pytest.raises(Missing, match=rf"Lesson 1\.{lesson} has no dictation {form}.*1\.2"):
        sittings.dictation_of(plan(), lesson, form)


def test_a_sitting_needs_items_with_numbers_of_their_own(school: School, room: Classroom) -> None:
    with pytest.raises(Malformed, match="at least one item"):
        sittings.add(school, room.id, SittingKind.CHECK, (), through="K2")
    with pytest.raises(Malformed, match="one number"):
        sittings.add(school, room.id, SittingKind.CHECK, (*words("a"), *words("b")), through="K2")


def test_the_day_is_put_right_and_a_sitting_deleted(school: School, sitting: Sitting) -> None:
    sittings.change_day(school, sitting.id, date(2026, 2, 27))
    assert sittings.sitting(school, sitting.id).day == date(2026, 2, 27)
    sittings.remove(school, sitting.id)
    with pytest.raises(Missing, match="may have been deleted"):
        sittings.sitting(school, sitting.id)
    with pytest.raises(Missing):
        sittings.remove(school, sitting.id)


TEXT = st.text(min_size=1, max_size=20)
TEXTS = st.lists(TEXT, max_size=3).map(tuple)


@given(
    st.lists(
        st.builds(
            Item,
            number=st.integers(1, 99),
            kind=st.sampled_from(ItemKind),
            target=TEXT,
            sentence=st.none() | TEXT,
            points=TEXTS,
            practiced=st.booleans(),
            known=TEXTS,
            legal=TEXTS,
            phonemes=TEXTS,
            choices=TEXTS,
        ),
        max_size=4,
    )
)
def test_items_come_back_from_their_stored_form(items: list[Item]) -> None:
    assert items_from(items_json(items)) == tuple(items)
