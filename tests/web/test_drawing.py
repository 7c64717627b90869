"""How a word is drawn: every letter once, every sound under its letters."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from larkslate.web import drawing
from larkslate.words.model import Grapheme, Reading

MAKE = Reading(
    phonemes=("M", "EY1", "K"),
    graphemes=(
        Grapheme("m", ((0, 1),), ("M",)),
        Grapheme("a_e", ((1, 2), (3, 4)), ("EY1",)),
        Grapheme("k", ((2, 3),), ("K",)),
    ),
)


def test_a_split_vowel_is_one_line_over_its_letters_with_its_sound_under_the_first() -> None:
    drawn = drawing.cells("make", MAKE)
    assert [(c.letters, c.sound, c.link) for c in drawn] == [
        ("m", "/m/", ""),
        ("a", "/long a/", "start"),
        ("k", "/k/", "through"),
        ("e", "", "end"),
    ]
    assert not any(c.silent for c in drawn)


def test_a_silent_letter_and_an_odd_part_are_marked() -> None:
    knee = Reading(
        phonemes=("N", "IY1"),
        graphemes=(
            Grapheme("k", ((0, 1),), ()),
            Grapheme("n", ((1, 2),), ("N",)),
            Grapheme("ee", ((2, 4),), ("IY1",)),
        ),
        odd=((0, 1),),
    )
    silent, n, ee = drawing.cells("knee", knee)
    assert (silent.silent, silent.sound, silent.odd) == (True, "", True)
    assert (n.sound, n.odd) == ("/n/", False)
    assert (ee.letters, ee.sound) == ("ee", "/long e/")


def test_an_apostrophe_stands_alone_without_a_sound() -> None:
    its = Reading(
        phonemes=("IH1", "T", "S"),
        graphemes=(
            Grapheme("i", ((0, 1),), ("IH1",)),
            Grapheme("t", ((1, 2),), ("T",)),
            Grapheme("s", ((3, 4),), ("S",)),
        ),
    )
    assert [(c.letters, c.sound) for c in drawing.cells("it's", its)][2] == ("'", "")


@st.composite
def cut_words(draw: st.DrawFn) -> tuple[str, Reading]:
    """A word cut into graphemes at random, some letters claimed by none."""
    word = draw(st.text("abcdefghijklmnopqrstuvwxyz'", min_size=1, max_size=14))
    graphemes, start = [], 0
    while start < len(word):
        end = min(len(word), start + draw(st.integers(1, 3)))
        if draw(st.booleans()):
            sounds = ("T",) if draw(st.booleans()) else ()
            graphemes.append(Grapheme(word[start:end], ((start, end),), sounds))
        start = end
    return word, Reading(phonemes=("T",), graphemes=tuple(graphemes))


@given(cut_words())
def test_every_letter_is_drawn_once_and_in_order(cut: tuple[str, Reading]) -> None:
    word, reading = cut
    drawn = drawing.cells(word, reading)
    assert "".join(c.letters for c in drawn) == word
    assert sum(bool(c.sound) for c in drawn) == sum(bool(g.phonemes) for g in reading.graphemes)


def test_longer_words_are_set_smaller() -> None:
    assert [drawing.size(w) for w in ("cat", "napkins", "unhappiness")] == [
        "large",
        "middle",
        "small",
    ]
