"""The bank's formats, and that the shipped bank has no fault."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.choose.bank import (
    Bank,
    Line,
    cut,
    parse_line,
    parse_passage,
    parse_sentences,
    shipped_bank,
    words_in,
)
from larkslate.choose.checks import faults, settled_sets
from larkslate.choose.pool import stock
from larkslate.errors import Malformed
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.homophones import sets
from larkslate.words.lexicon import Lexicon

WORDS = st.lists(
    st.sampled_from(["the", "cat", "sat", "on", "a", "mat", "and", "in", "it", "ran"]), min_size=1
)


def test_the_shipped_bank_has_no_fault(lexicon: Lexicon, reach: Reach) -> None:
    found = faults(shipped_bank(), stock(reach, lexicon))
    assert [f"{f.where}: {f.says}" for f in found] == []


def test_every_unit_has_sentences_passages_names_and_pairs() -> None:
    bank = shipped_bank()
    for theme in shipped().themes:
        assert sum(x.is_sentence for x in bank.of_unit(theme.number)) >= 8
        for form in "AB":
            assert sum(p.unit == theme.number and p.form == form for p in bank.passages) >= 1
            assert sum(p.unit == theme.number and p.form == form for p in bank.places) == 3
            assert sum(p.unit == theme.number and p.form == form for p in bank.pairs) == 2


def test_settled_sets_are_sets_of_the_table() -> None:
    assert settled_sets() <= {s.name for s in sets()}


@given(WORDS)
def test_cutting_keeps_every_word(words: list[str]) -> None:
    text = " ".join(words)
    chunks = cut(text)
    assert " ".join(chunks) == text
    assert all(len(c.split()) >= 2 for c in chunks) or len(words) < 2


def test_a_line_cut_by_hand_and_one_cut_by_rule() -> None:
    by_hand = parse_line("The black duck | sat on a rock.", 1, "here, line 1")
    assert by_hand.chunks == ("The black duck", "sat on a rock.")
    assert by_hand.text == "The black duck sat on a rock."
    by_rule = parse_line("The horse ran home before the storm.", 9, "here, line 2")
    assert by_rule.chunks == ("The horse ran home", "before the storm.")
    assert not parse_line("a black dress", 1, "here").is_sentence


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("The cat sat | | on a mat.", "line 1: there is nothing between two cuts"),
        ("# first\nA  cat sat.", "line 2: write words with one blank"),
        ("A cat sat.\nA cat sat.", "line 2: this line stands twice"),
    ],
)
def test_a_bad_line_is_named(content: str, says: str) -> None:
    with pytest.raises(Malformed, match=says):
        parse_sentences(content, 1, "sentences/01-x.txt")


def test_a_passage_with_gaps_a_sentence_to_write_and_phrases() -> None:
    entry = {
        "unit": 1,
        "form": "A",
        "title": "Dot",
        "text": "My dog | will [fetch] it. {She ran | up the hill.} Then she [sat], | and I [did] too.",
    }
    found = parse_passage(entry, "here")
    assert found.text == "My dog will fetch it. She ran up the hill. Then she sat, and I did too."
    assert found.gaps == ("fetch", "sat", "did")
    assert [s.text for s in found.write] == ["She ran up the hill."]
    assert found.write[0].chunks == ("She ran", "up the hill.")
    assert " ".join(found.phrases) == found.text
    assert found.phrases[-1] == "and I did too."


@pytest.mark.parametrize(
    "entry",
    [
        {"unit": "1", "form": "A", "title": "T", "text": "[a]"},
        {"unit": 1, "form": "C", "title": "T", "text": "[a]"},
        {"unit": 1, "form": "A", "title": "", "text": "[a]"},
        {"unit": 1, "form": "A", "title": "T", "text": "no gap here."},
        {"unit": 1, "form": "A", "title": "T", "text": "A [gap that does not close."},
    ],
)
def test_a_bad_passage_says_where(entry: dict[str, object]) -> None:
    with pytest.raises(Malformed, match="here"):
        parse_passage(entry, "here")


def test_the_words_of_a_text() -> None:
    text = "I can’t see Sam’s dog. The girls' team won! It’s late."
    assert words_in(text) == (
        "I", "can't", "see", "Sam's", "dog", "the", "girls'", "team", "won", "it's", "late",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("The boat is on the lake.", "boat is not in reach by the end of unit 1"),
        ("We sat by 3 big rocks.", "3"),
        ("The hens and the chicks ran up the hill and back to the shed again.", "15 words"),
        ("He fell, he ran off.", "a comma stands only in a list"),
        ("Mom had a cold beer with us.", "beer is not for children"),
        ("we sat on the big rock.", "begins with a capital"),
    ],
)
def test_faults_of_a_sentence(text: str, says: str, lexicon: Lexicon, reach: Reach) -> None:
    line = Line(1, text, cut(text), "sentences/01-x.txt, line 7")
    found = faults(Bank(lines=(line,)), stock(reach, lexicon), [1])
    mine = [f.says for f in found if f.where == "sentences/01-x.txt, line 7"]
    assert any(says in s for s in mine), mine
