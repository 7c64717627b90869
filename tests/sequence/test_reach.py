"""Reach: since when a word or a text is within what has been taught."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon


@pytest.mark.parametrize(
    ("word", "since"),
    [
        ("cat", "K2"),
        ("said", "K2"),
        ("friend", "G3.04b"),
        ("friends", "G3.04b"),
        ("catch", "G3.01c"),
        ("make", "K2"),
        ("stone", "G3.02a"),
        ("napkin", "G3.09e"),
        ("hopping", "G3.04c"),
        ("isn't", "K2"),
        ("couldn't", "G3.03d"),
        ("could've", "G3.07d"),
        ("dogs'", "G3.11b"),
        ("station", "G3.13a"),
        ("American", "G3.14e"),
    ],
)
def test_in_reach_from(reach: Reach, word: str, since: str) -> None:
    assert reach.in_reach_from(word) == since


@pytest.mark.parametrize("word", ["xqzt", "choir", "bureau"])
def test_what_the_sequence_never_reaches(reach: Reach, word: str) -> None:
    assert reach.in_reach_from(word) is None


def test_missing_names_the_skill_and_the_letters(reach: Reach) -> None:
    missing = reach.missing("catch", "K2")
    assert [(n.skill, n.spans) for n in missing] == [("gp:tch=CH", ((2, 5),))]
    assert reach.missing("catch", "G3.01c") == ()


def test_the_mask_says_what_the_needs_say(reach: Reach, lexicon: Lexicon) -> None:
    """One comparison of bits and the walk over the needs agree on the 3,000 commonest words."""
    entries = [e for e in lexicon.entries(3.0) if e.word in e.bases or e.rest][:3000]
    for through in ("K2", "G3.03c", "G3.09e"):
        taught = reach.taught(through)
        differ = [e.word for e in entries if taught.reaches(e) != reach.in_reach(e.word, through)]
        whole = [w for w in differ if w not in reach.sequence.known_words]
        assert not whole


def test_text_names_each_word_out_of_reach(reach: Reach) -> None:
    report = reach.text("The station’s bridge can’t catch us.", "G3.01d")
    assert [w.word for w in report.out_of_reach] == ["station's"]
    assert report.by_skill
    assert 0 < report.share < 1


def test_text_takes_names_and_refuses_figures(reach: Reach) -> None:
    report = reach.text("Anouk has 12 cats.", "K2", names=["Anouk"])
    assert [w.word for w in report.out_of_reach] == ["12"]


def test_could_have_waits_for_its_point(reach: Reach) -> None:
    before = reach.text("We could have run.", "G3.05d").out_of_reach
    assert [n.skill for w in before for n in w.missing] == ["con:modal-have"]
    assert not reach.text("We could have run.", "G3.07d").out_of_reach


def test_evidence_counts_for_the_latest_point_met(reach: Reach) -> None:
    assert "G3.04b" in reach.points_of("jumped")
    assert "G3.04b" not in reach.points_of("jumped", "K2")
    assert "K2.infl" in reach.points_of("jumped", "K2")


@given(st.text(max_size=60))
def test_any_text_is_read_without_a_fault(reach: Reach, text: str) -> None:
    report = reach.text(text, "K2")
    for word in report.words:
        a, b = word.span
        assert 0 <= a < b <= len(text)
