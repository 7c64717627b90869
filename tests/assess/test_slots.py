from __future__ import annotations

import pytest

from larkslate.assess.slots import Kind
from larkslate.assess.target import target_of
from larkslate.words.lexicon import Lexicon


@pytest.mark.parametrize(
    ("word", "slots"),
    [
        ("catch", "c a tch"),
        ("shape", "sh a p e"),  # the e of the split vowel has a slot of its own
        ("hopping", "h o pp ing"),  # a doubled letter belongs to the base
        ("making", "m a k ing"),
        ("hopeful", "h o pe ful"),  # so does an e that is kept
        ("cried", "c r i ed"),
        ("babies", "b a b ie s"),
        ("meanness", "m ea n ness"),
        ("doesn't", "d oe s n ' t"),
        ("dog's", "d o g ' s"),
        ("dogs'", "d o g s '"),
        ("children's", "ch i l d r e n ' s"),
        ("animal", "a n i m al"),
        ("station", "s t a tion"),
        ("they're", "th ey ' re"),
        ("zzyx", "z z y x"),  # an unknown word is taken letter by letter
    ],
)
def test_slots(word: str, slots: str, lexicon: Lexicon) -> None:
    assert " ".join(s.letters for s in target_of(word, lexicon).slots) == slots


def test_every_letter_is_in_one_slot(lexicon: Lexicon) -> None:
    for entry in lexicon.entries(min_zipf=4.6):
        slots = target_of(entry.word, lexicon).slots
        assert "".join(s.letters for s in slots) == entry.word.lower()
        assert [s.span for s in slots] == sorted(s.span for s in slots)


def test_kinds(lexicon: Lexicon) -> None:
    kinds = {s.letters: s.kind for s in target_of("unhappily", lexicon).slots}
    assert kinds["un"] is Kind.PREFIX
    assert kinds["ly"] is Kind.SUFFIX
    assert kinds["i"] is Kind.SEAM


def test_owner(lexicon: Lexicon) -> None:
    assert target_of("dogs'", lexicon).owner == "dogs"
    assert target_of("child's", lexicon).owner == "child"
    assert target_of("isn't", lexicon).owner is None
