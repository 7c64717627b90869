from __future__ import annotations

import pytest

from larkslate.errors import Malformed
from larkslate.materials.passage import letters_written, phrases, pieces
from larkslate.plan.model import Dictation, Passage, Role, TextItem, WordItem
from tests.materials.sample import FORM_A, FORM_B


def gap(word: str) -> WordItem:
    return WordItem(word, Role.FRESH, (), "")


def passage(text: str, gaps: tuple[str, ...], write: tuple[str, ...] = (), cut: tuple[str, ...] = ()) -> Passage:  # fmt: skip
    return Passage("P", text, tuple(map(gap, gaps)), tuple(TextItem(t, ()) for t in write), cut)


@pytest.mark.parametrize("form", [FORM_A, FORM_B])
def test_pieces_are_the_text_with_every_gap_and_sentence(form: Dictation) -> None:
    own = form.passage
    assert own is not None
    cut = pieces(own)
    assert "".join(piece.text for piece in cut) == own.text.replace("'", "’")
    gaps = [piece.text for piece in cut if piece.number and not piece.whole]
    assert gaps == [item.word.replace("'", "’") for item in own.gaps]
    assert [p.number for p in cut if p.number and not p.whole] == list(range(1, len(gaps) + 1))
    assert [p.text for p in cut if p.whole] == [t.text for t in own.write]


def test_a_gap_is_a_whole_word_outside_the_written_sentence() -> None:
    own = passage("The cat's cat sat. A cat ran. One cat hid.", ("cat", "cat"), ("A cat ran.",))
    found = [piece.span for piece in pieces(own) if piece.number and not piece.whole]
    assert found == [(10, 13), (34, 37)]


def test_gaps_match_whichever_apostrophe_is_typed() -> None:
    assert pieces(passage("It isn’t.", ("isn't",)))[1].text == "isn’t"
    assert pieces(passage("It isn't.", ("isn’t",)))[1].text == "isn’t"


def test_what_is_not_in_the_text_is_named() -> None:
    with pytest.raises(Malformed, match="“dog” is not in the passage “P”"):
        pieces(passage("The cat sat.", ("dog",)))
    with pytest.raises(Malformed, match="put the gaps in order"):
        pieces(passage("The cat sat.", ("sat", "cat")))
    with pytest.raises(Malformed, match=r"“A dog ran\.” is not in the passage"):
        pieces(passage("The cat sat.", (), ("A dog ran.",)))


def test_phrases_are_the_given_ones_or_the_sentences() -> None:
    text = 'The cat sat. "Did it?" asked Dad. Yes!'
    own = passage(text, ())
    shown = text.replace('"D', "“D").replace('?"', "?”")
    assert [shown[a:b] for a, b in phrases(own)] == ["The cat sat.", "“Did it?”", "asked Dad.", "Yes!"]  # fmt: skip
    cut = passage("The cat sat on it.", (), (), ("The cat", "sat on it."))
    assert phrases(cut) == ((0, 7), (8, 18))


@pytest.mark.parametrize("cut", [("The cat", "on it."), ("The cat",), ("A cat", "sat on it.")])
def test_phrases_that_are_not_the_text_are_refused(cut: tuple[str, ...]) -> None:
    with pytest.raises(Malformed, match="“P”"):
        phrases(passage("The cat sat on it.", (), (), cut))


def test_letters_written_within_a_phrase() -> None:
    own = passage("We took the path. The cat sat. It ran.", ("path",), ("The cat sat.",))
    cut = pieces(own)
    assert letters_written((0, 17), cut) == 4
    assert letters_written((18, 25), cut) == 6  # "The cat"
    assert letters_written((26, 30), cut) == 3  # "sat."
    assert letters_written((31, 38), cut) == 0
