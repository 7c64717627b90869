from __future__ import annotations

from functools import partial

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from larkslate.assess.sentences import SentenceMarks, end_mark, mark_sentence, words_of
from larkslate.errors import Malformed
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon


@pytest.fixture(scope="session")
def look(lexicon: Lexicon, reach: Reach) -> partial[SentenceMarks]:
    return partial(mark_sentence, lexicon=lexicon, reach=reach)


def test_words_capital_end_and_apostrophes_are_apart(look: partial[SentenceMarks]) -> None:
    found = look("The dog's bowl isn't full.", "the dogs bowl isn't full")
    assert found.right == (4, 5)
    assert found.written == (5, 5)
    assert found.capital is False
    assert found.end is False
    assert found.apostrophes == (1, 2)


def test_a_word_left_out_does_not_spoil_the_rest(look: partial[SentenceMarks]) -> None:
    found = look("We went to the park after lunch.", "We went the park after lunch.")
    assert found.right == (6, 7)
    assert [(w.target, w.written) for w in found.words if w.written is None] == [("to", None)]
    assert found.capital
    assert found.end


def test_an_added_word_is_told(look: partial[SentenceMarks]) -> None:
    found = look("The dog ran.", "The big dog ran.")
    assert found.right == (3, 3)
    assert [w.written for w in found.words if w.target is None] == ["big"]


def test_one_word_for_two_and_two_for_one(look: partial[SentenceMarks]) -> None:
    found = look("I have a lot of snow in my bedroom.", "I have alot of snow in my bed room.")
    wrong = {(w.target, w.written) for w in found.words if w.diagnosis and not w.diagnosis.right}
    assert wrong == {("a lot", "alot"), ("bedroom", "bed room")}
    assert found.written == (9, 9)


def test_nothing_written(look: partial[SentenceMarks]) -> None:
    found = look("The dog ran.", "")
    assert (found.right, found.written) == ((0, 3), (0, 3))
    assert found.capital is found.end is None


def test_the_first_capital_never_counts_in_the_word(look: partial[SentenceMarks]) -> None:
    found = look("Then we ate.", "Then we ate.")
    assert all(w.diagnosis is not None and not w.diagnosis.findings for w in found.words)


@pytest.mark.parametrize(
    ("text", "mark"),
    [("Stop!", "!"), ("Is it?", "?"), ("It is.”", "."), ("No mark", ""), ("Wow!!", "!"), ("", "")],
)
def test_end_mark(text: str, mark: str) -> None:
    assert end_mark(text) == mark


def test_words_keep_their_apostrophes() -> None:
    assert words_of("The dogs’ bowls—and Sam's—weren't 'full'.") == [
        "The", "dogs'", "bowls", "and", "Sam's", "weren't", "full",
    ]  # fmt: skip


def test_a_sentence_without_a_word_is_refused(look: partial[SentenceMarks]) -> None:
    with pytest.raises(Malformed, match="no word"):
        look("...", "cat")


@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(written=st.text("Thedogsran .'!-", max_size=30))
def test_every_word_has_one_place(written: str, look: partial[SentenceMarks]) -> None:
    found = look("The dogs ran.", written)
    assert " ".join(w.target for w in found.words if w.target) == "The dogs ran"
    assert " ".join(w.written for w in found.words if w.written) == " ".join(words_of(written))
    assert 0 <= found.right[0] <= found.written[0] <= found.written[1] == 3
