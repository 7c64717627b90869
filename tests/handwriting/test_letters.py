from __future__ import annotations

import string
from typing import Any

import pytest

from larkslate.errors import Malformed, Missing
from larkslate.handwriting.curves import bounds
from larkslate.handwriting.letters import Entry, Exit, Hand, letter, letters, read

A: dict[str, Any] = {
    "char": "a",
    "strokes": ["0,500 - 0,0"],
    "reach": [0, 500],
    "group": "straight down",
    "say": ["Go down."],
    "source": "common practice",
}


@pytest.mark.parametrize("hand", list(Hand))
def test_a_hand_holds_every_letter_digit_and_mark(hand: Hand) -> None:
    table = letters(hand)
    for char in string.ascii_letters + string.digits + ".,?!'-\"“”":
        assert char in table
        assert table[char].hand is hand


@pytest.mark.parametrize("hand", list(Hand))
def test_small_letters_keep_their_heights(hand: Hand) -> None:
    # Which letters are tall and which hang is common to every school alphabet.
    for char in string.ascii_lowercase:
        a = letter(char, hand)
        _, low, _, high = bounds(c for p in (*a.paths, *a.delayed_paths) for c in p)
        hangs = char in ("gjpqy" if hand is Hand.PRINT else "fgjpqyz")
        assert (low < -400) == hangs, char
        assert (high > 900) == (char in "bdfhkl"), char


def test_round_letters_start_alike() -> None:
    for hand in Hand:
        tops = {letter(c, hand).strokes[0][0].point for c in "adgq"}
        assert len(tops) == 1


def test_print_letters_do_not_join() -> None:
    for a in letters(Hand.PRINT).values():
        assert (a.entry, a.exit) == (Entry.NONE, Exit.NONE)


def test_letters_that_end_at_the_top() -> None:
    table = letters(Hand.JOINED)
    assert {c for c in string.ascii_lowercase if table[c].exit is Exit.TOP} == set("bovw")


def test_a_missing_letter_is_named() -> None:
    with pytest.raises(Missing, match="print hand has no letter for “é”"):
        letter("é", "print")


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"char": "ab"}, "single character"),
        ({"colour": "red"}, "unknown field colour"),
        ({"strokes": ["0,500 - "]}, "letter “a”.*ends in a link"),
        ({"exit": "sideways"}, "letter “a”.*sideways"),
        ({"reach": [0]}, "letter “a”"),
    ],
)
def test_a_broken_letter_names_itself(change: dict[str, Any], named: str) -> None:
    with pytest.raises(Malformed, match=named):
        read({"letter": [{**A, **change}]}, Hand.PRINT, "file")


@pytest.mark.parametrize("field", sorted(set(A) - {"char"}))
def test_a_missing_field_is_named(field: str) -> None:
    row = {k: v for k, v in A.items() if k != field}
    with pytest.raises(Malformed, match=f"letter “a”: the field {field} is missing"):
        read({"letter": [row]}, Hand.PRINT, "file")
