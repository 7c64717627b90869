from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.assess.score import APOSTROPHES, letter_sequences, normal


@pytest.mark.parametrize(
    ("target", "written", "right", "of"),
    [
        (
            "stopped",
            "stoped",
            6,
            8,
        ),  # the worked example of the rule: each written letter is used once
        ("cat", "cat", 4, 4),
        ("cat", "", 0, 4),
        ("cat", "dog", 0, 4),
        ("cat", "cats", 3, 4),  # the end no longer touches t
        ("Cat", "cAT", 4, 4),  # capitals are ignored
        ("isn't", "isn’t", 6, 6),  # one kind of apostrophe
        ("isn't", "isnt", 4, 6),
        ("ice cream", "icecream", 8, 10),  # a space is a letter of the target
        ("bookcase", "book case", 8, 9),
        (
            "on",
            "no",
            0,
            3,
        ),  # only one of the two letters can be aligned, and it touches neither end
    ],
)
def test_letter_sequences(target: str, written: str, right: int, of: int) -> None:
    assert letter_sequences(target, written) == (right, of)


def by_trying_all(t: str, w: str) -> int:
    best = 0
    for size in range(min(len(t), len(w)) + 1):
        for places in combinations(range(len(t)), size):
            for others in combinations(range(len(w)), size):
                if any(t[i] != w[j] for i, j in zip(places, others, strict=True)):
                    continue
                pairs = [(-1, -1), *zip(places, others, strict=True), (len(t), len(w))]
                won = sum(1 for (i, j), (k, m) in pairwise(pairs) if k == i + 1 and m == j + 1)
                best = max(best, won)
    return best


@given(st.text("ab'", min_size=1, max_size=5), st.text("ab'", min_size=1, max_size=5))
def test_no_alignment_is_better(target: str, written: str) -> None:
    assert letter_sequences(target, written) == (by_trying_all(target, written), len(target) + 1)


@given(st.text("abcde", min_size=1, max_size=9), st.text("abcde", max_size=9))
def test_only_the_right_word_gets_all(target: str, written: str) -> None:
    right, of = letter_sequences(target, written)
    assert 0 <= right <= of
    assert (right == of) == (written == target)


@given(st.text(), st.text())
def test_any_text_can_be_scored(target: str, written: str) -> None:
    right, of = letter_sequences(target, written)
    assert 0 <= right <= of


@pytest.mark.parametrize("mark", APOSTROPHES)
def test_every_apostrophe_is_the_same(mark: str) -> None:
    assert normal(f"don{mark}t") == "don't"


@given(st.text())
def test_normal_is_settled(text: str) -> None:
    assert normal(normal(text)) == normal(text)
