from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.errors import Malformed, NotAllowed
from larkslate.materials.cards import deck, references, strips
from larkslate.materials.look import Look
from larkslate.materials.paper import dictations, paper, places_part, spots
from larkslate.materials.runs import plain
from larkslate.materials.sheet import form_of, parts_of, student_sheet, wrap
from larkslate.plan.model import Lesson, Role, Shown, SortItem, WordItem
from tests.materials.sample import (
    FORM_A,
    LESSON_1,
    LESSON_2,
    LESSON_3,
    LESSON_4,
    LESSON_5,
    LESSON_6,
    LESSON_7,
    LESSON_9,
    UNIT,
)


def titles(own: Lesson) -> list[str]:
    return [part.title for part in parts_of(own, Look())]


def test_a_lesson_of_a_new_point() -> None:
    assert titles(LESSON_1) == ["Warm-up", "Look closely", "Write together", "On your own", "Handwriting"]  # fmt: skip
    box = parts_of(LESSON_1, Look())[1]
    assert [plain(example) for example in box.examples] == ["back", "stick", "clock"]
    assert all(("ck", "mark") in example for example in box.examples)
    assert [plain(entry.remark) for entry in box.entries] == [
        "a consonant comes before /k/",
        "two vowel letters come before /k/",
    ]
    assert plain(box.exception) == "Watch out: Longer words can end in c: music, picnic."


def test_contractions_are_made_from_their_two_words() -> None:
    part = parts_of(LESSON_4, Look())[2]
    assert "Cross out the letters that leave" in plain(part.do)
    assert [(plain(row.before), plain(row.lines[0])) for row in part.rows[:2]] == [
        ("are not", "aren’t"),
        ("was not", "wasn’t"),
    ]
    assert ("o", "leave") in part.rows[0].before_key
    assert all(style == "" for _, style in part.rows[0].before)


def test_parts_are_joined_and_syllables_divided() -> None:
    joined = parts_of(LESSON_6, Look())[2]
    assert plain(joined.rows[0].before) == "stop + ed"
    assert plain(joined.rows[0].lines[0]) == "stopped"
    divided = parts_of(LESSON_7, Look())[2]
    assert plain(divided.rows[0].lines[0]) == "mag|net"
    assert "straight line" in plain(divided.do)


def test_a_block_of_mixed_words_is_dictated_plainly() -> None:
    made = WordItem("don't", Role.TOGETHER, (), "", shown=Shown(full=("do", "not")))
    plain_word = WordItem("its", Role.NEAR_MISS, (), "")
    assert form_of((made, made)) == "full"
    assert form_of((made, plain_word)) == ""
    assert form_of(()) == ""


def test_a_sort_has_each_word_once_under_its_heading() -> None:
    part = next(part for part in parts_of(LESSON_3, Look()) if part.kind == "sort")
    placed = [plain(word) for column in part.answers for word in column]
    assert sorted(placed) == sorted(plain(word) for word in part.words)
    assert [plain(w) for w in part.answers[0]] == ["patch", "switch", "fetch"]


def test_a_sort_whose_answers_do_not_fit_is_refused() -> None:
    block = LESSON_3.blocks[1]
    for answers in ((0,), (0, 5)):
        bad = replace(block, items=(SortItem(("a", "b"), ("x", "y"), answers),))
        with pytest.raises(Malformed, match="one column number"):
            parts_of(replace(LESSON_3, blocks=(bad,)), Look())


def test_a_dictation_is_not_on_the_sheet_but_on_its_paper() -> None:
    assert titles(LESSON_5) == ["Warm-up", "Check and mend", "Handwriting"]
    assert student_sheet(UNIT.title, LESSON_9, Look()) is None
    sheet = paper(UNIT.title, LESSON_9, FORM_A, Look())
    assert [part.kind for part in sheet.parts] == ["passage", "places", "pairs"]


def test_the_map_has_room_for_its_places_only() -> None:
    name = FORM_A.places[0]
    assert len(places_part((name,) * len(spots())).places) == len(spots())
    with pytest.raises(NotAllowed, match=f"has {len(spots())} places to name, not 5"):
        places_part((name,) * 5)


def test_other_right_spellings_stand_in_the_key() -> None:
    part = places_part(FORM_A.places)
    assert [plain(label.accepted) for label in part.places] == ["", "Creff", ""]


def test_an_answer_that_is_no_choice_is_refused() -> None:
    pair = replace(FORM_A.pairs[0], answer="hop")
    with pytest.raises(Malformed, match="hopping or hoping"):
        paper(UNIT.title, LESSON_9, replace(FORM_A, pairs=(pair,)), Look())


def test_all_gaps_of_a_passage_are_of_one_width() -> None:
    part = paper(UNIT.title, LESSON_9, FORM_A, Look()).parts[0]
    assert 30 <= part.gap <= 62


@given(st.lists(st.text("abcdefg", min_size=1, max_size=45), min_size=1, max_size=12), st.integers(1, 40))  # fmt: skip
def test_wrapped_lines_are_the_sentence(words: list[str], width: int) -> None:
    lines = [plain(line) for line in wrap(" ".join(words), width)]
    assert " ".join(lines) == " ".join(words)
    assert all(len(line) <= width or " " not in line for line in lines)


def test_a_long_word_gets_a_whole_line() -> None:
    block = LESSON_1.blocks[3]
    long = WordItem("refrigerator", Role.TOGETHER, (), "")
    longer = WordItem("counterrevolutionary", Role.TOGETHER, (), "")
    own = replace(LESSON_1, blocks=(replace(block, items=(long, longer)),))
    assert [row.wide for row in parts_of(own, Look())[0].rows] == [False, True]
    assert [row.wide for row in parts_of(own, Look(size=24))[0].rows] == [True, True]


def test_a_reference_page_for_each_new_point_only() -> None:
    pages = [references(UNIT.title, one, Look()) for one in UNIT.lessons]
    assert [len(page) for page in pages] == [1, 1, 0, 1, 0, 1, 1, 0, 0, 0]
    assert pages[0][0].box == parts_of(LESSON_1, Look())[1]


def test_a_strip_has_the_answers_in_the_order_and_letters_of_the_sheet() -> None:
    (strip,) = strips(UNIT.title, LESSON_4, Look())
    assert [check.letter for check in strip.checks] == ["C", "D"]
    assert [plain(a) for a in strip.checks[1].answers] == [
        "hasn’t",
        "weren’t",
        "We didn’t see the duck again.",
    ]
    assert strips(UNIT.title, LESSON_9, Look()) == []
    assert strips(UNIT.title, LESSON_5, Look()) == []  # nothing of a dictation is given away


def test_cards_have_parts_in_front_and_the_word_behind() -> None:
    (own,) = deck(UNIT.title, LESSON_6)
    faces = {plain(card.front): plain(card.back) for card in own.cards}
    assert faces["hop + ed"] == "hop + ed → hopped"
    assert faces["ck"] == "/k/\u2003duck"
    assert faces["clapped"] == "clapped"
    assert len(faces) == len(own.cards)
    (divided,) = deck(UNIT.title, LESSON_7)
    assert {plain(c.front): plain(c.back) for c in divided.cards}["napkin"] == "nap·kin"


def test_no_card_gives_away_a_dictated_word() -> None:
    (own,) = deck(UNIT.title, LESSON_5)
    dictated = {w.word for d in dictations(LESSON_5) for w in d.words}
    assert not dictated & {plain(card.front) for card in own.cards}


def test_a_word_that_comes_twice_has_the_card_that_says_more() -> None:
    (own,) = deck(UNIT.title, LESSON_2)
    catch = next(card for card in own.cards if plain(card.front) == "catch")
    assert ("tch", "mark") in catch.back
