from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate import datafile
from larkslate.errors import Malformed, Missing
from larkslate.handwriting.letters import Exit, Hand, letters
from larkslate.handwriting.order import (
    COLUMNS,
    joins_in,
    met,
    order,
    read_order,
    words_for,
    writable,
)

SMALL = "abcdefghijklmnopqrstuvwxyz"


def rows(text: str) -> list[datafile.Row]:
    return list(datafile.parse_tsv(text, "order.tsv", COLUMNS))


def test_the_order_teaches_every_letter_once() -> None:
    taught = [c for step in order() for c in step.letters]
    assert sorted(taught) == sorted(c for c in letters(Hand.JOINED) if c.isalpha())


def test_small_letters_come_before_capitals_and_every_join_is_taught() -> None:
    small, joins = met(8)
    assert small == set(SMALL)
    assert joins == {Exit.BASE, Exit.TAIL, Exit.TOP}


def test_no_step_teaches_a_letter_whose_join_is_not_yet_met_without_saying_so() -> None:
    # Letters of the top join may be shown before their join; all others join from their first day.
    table = letters(Hand.JOINED)
    for step in order():
        _, joins = met(step.number)
        for char in step.letters:
            way = table[char].exit
            assert way in joins or way in (Exit.TOP, Exit.NONE), char


def test_met_grows_step_by_step() -> None:
    assert met(0) == (frozenset(), frozenset())
    for n in range(1, len(order()) + 1):
        assert met(n - 1)[0] <= met(n)[0]
    with pytest.raises(Missing, match="choose 0 to"):
        met(99)


@pytest.mark.parametrize(
    ("word", "pairs"),
    [
        ("it", [("it", "base")]),
        ("own", [("ow", "top"), ("wn", "top")]),
        ("don't", [("do", "base"), ("on", "top")]),
        ("gym", [("gy", "tail"), ("ym", "tail")]),
        ("Al", [("Al", "base")]),
        ("Bo", []),
        ("a", []),
    ],
)
def test_the_joins_of_a_word(word: str, pairs: list[tuple[str, str]]) -> None:
    assert list(joins_in(word)) == pairs


def test_a_word_waits_for_its_joins() -> None:
    assert writable("wit", "wit", ["base", "top"])
    assert not writable("wit", "wit", ["base"])
    assert writable("tow", "tow", ["base", "top"])
    assert not writable("tow", "tow", {"base"})
    assert writable("to", "to", {"base"})  # o ends the word: nothing joins from it


def test_marks_need_no_lesson_and_strange_characters_cannot_be_written() -> None:
    assert writable("it's", "its")
    assert writable("it’s", "its")
    assert not writable("été", "te")
    assert not writable("It", "it")


def test_words_with_new_letters_come_first_and_once() -> None:
    words = ["tell", "add", "ice", "tell", "cad", "zoo", ""]
    letters_met, joins = met(4)
    assert words_for(letters_met, words, joins_met=joins, new="cadg") == (
        "cad",
        "add",
        "ice",
        "tell",
    )
    assert words_for(letters_met, words, joins_met=joins, new="cadg", limit=2) == ("cad", "add")


@given(st.text(alphabet=SMALL, max_size=8), st.sets(st.sampled_from(SMALL)))
def test_more_letters_never_make_a_word_unwritable(word: str, known: set[str]) -> None:
    if writable(word, known):
        assert writable(word, known | {"q"})
    assert writable(word, SMALL)


@pytest.mark.parametrize(
    ("table", "named"),
    [
        ("1\ta\t\tm\tr\n3\tb\t\tm\tr", "line 3: step 3 should be 2"),
        ("1\ta é\t\tm\tr", "line 2: the joined hand has no letter “é”"),
        ("1\ta\t\tm\tr\n2\ta\t\tm\tr", "line 3: “a” stands in an earlier step"),
        ("1\ta\tside\tm\tr", "line 2: .*side"),
        ("1\ta\tbase\tm\t", "line 2: the reason is missing"),
        ("1\ta\tbase\tm\tr", "no step teaches"),
    ],
)
def test_a_wrong_row_is_named(table: str, named: str) -> None:
    with pytest.raises(Malformed, match=named):
        read_order(rows("step\tletters\tjoins\tmovement\treason\n" + table))
