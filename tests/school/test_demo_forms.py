"""The wrong answers of the demo class, made from the marking's own tables."""

from __future__ import annotations

import pytest

from larkslate.school.demo_forms import _forms, _rows
from larkslate.school.ledger import Ledger
from larkslate.school.model import Answer, Item, ItemKind


@pytest.mark.parametrize("word", ["catch", "bridge", "napkin", "hopping"])
def test_a_wrong_form_is_wrong_and_says_what_it_counts_against(word: str, ledger: Ledger) -> None:
    item = Item(1, ItemKind.WORD, word)
    found = list(_forms(item, "G3.04c", ledger))
    assert found
    for written, points in found:
        marked = ledger.diagnosis(item, Answer("", "", 1, written), through="G3.04c")
        assert not marked.right
        assert set(points) == {*marked.missed, *marked.not_yet_taught}


def test_a_sentence_is_wrong_in_one_word_or_in_its_marks(ledger: Ledger) -> None:
    item = Item(1, ItemKind.SENTENCE, "We catch the ball.", points=("G3.01c",))
    found = dict(_forms(item, "G3.01c", ledger))
    assert found["we catch the ball."] == ()
    assert found["We catch the ball"] == ()
    assert any("G3.01c" in points for points in found.values())


def test_a_choice_has_the_other_word_and_a_place_name_none(ledger: Ledger) -> None:
    choice = Item(1, ItemKind.CHOICE, "their", points=("G3.14c",), choices=("there", "their"))
    assert list(_forms(choice, "G3.14c", ledger)) == [("there", ("G3.14c",))]
    place = Item(1, ItemKind.PLACE, "Blick", points=("G3.01b",), legal=("Blick",))
    assert list(_forms(place, "G3.01b", ledger)) == []


def test_a_row_can_be_read_back(ledger: Ledger) -> None:
    item = Item(1, ItemKind.WORD, "catch", "Catch it.", ("G3.01c",), practiced=True)
    (row,) = _rows("1.5", "checkpoint", 1, 5, "G3.01c", [item], ledger)
    cells = row.split("\t")
    assert cells[:11] == [
        "1.5", "checkpoint", "1", "5", "G3.01c", "word", "catch", "Catch it.", "G3.01c", "yes", "",
    ]  # fmt: skip
    assert " > G3.01c" in cells[11]
