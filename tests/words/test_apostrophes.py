"""Reading the apostrophes of sentences, each with the reading that the next words settle."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.words.apostrophes import MarkKind, read_apostrophe
from larkslate.words.sentence_words import tokens
from tests.words.source import pos

K = MarkKind

# sentence, the word as written, kind, first reading (empty for owners), suggestion
CASES = [
    ("I don't know.", "don't", K.CONTRACTION, "do not", None),
    ("It's raining.", "It's", K.CONTRACTION, "it is", None),
    ("It's been a long day.", "It's", K.CONTRACTION, "it has", None),
    ("Mia's got a frog.", "Mia's", K.CONTRACTION, "Mia has", None),
    ("My mom's gone home.", "mom's", K.CONTRACTION, "mom has", None),
    ("It's time for lunch.", "It's", K.CONTRACTION, "it is", None),
    ("I think it's fun.", "it's", K.CONTRACTION, "it is", None),
    ("She's finished.", "She's", K.AMBIGUOUS, "she is", None),
    ("What's he want?", "What's", K.CONTRACTION, "what does", None),
    ("What's she doing?", "What's", K.CONTRACTION, "what is", None),
    ("What's your name?", "What's", K.CONTRACTION, "what is", None),
    ("She'd seen the lake.", "She'd", K.CONTRACTION, "she had", None),
    ("She'd already gone home.", "She'd", K.CONTRACTION, "she had", None),
    ("He'd better hurry.", "He'd", K.CONTRACTION, "he had", None),
    ("She'd go if she could.", "She'd", K.CONTRACTION, "she would", None),
    ("I'd like a sandwich.", "I'd", K.CONTRACTION, "I would", None),
    ("I'd never say that.", "I'd", K.CONTRACTION, "I would", None),
    ("We'd put it away.", "We'd", K.AMBIGUOUS, "we had", None),
    ("Where'd he go?", "Where'd", K.AMBIGUOUS, "where did", None),
    ("He's lost his hat.", "He's", K.CONTRACTION, "he has", None),
    ("Someone's left a hat here.", "Someone's", K.CONTRACTION, "Someone has", None),
    ("What's it called?", "What's", K.AMBIGUOUS, "what is", None),
    ("The book's are on the shelf.", "book's", K.NEEDLESS, "", "books"),
    ("The Kelly's are here.", "Kelly's", K.NEEDLESS, "", "Kellys"),
    ("We have two puppy's.", "puppy's", K.NEEDLESS, "", "puppies"),
    ("We'll see.", "We'll", K.CONTRACTION, "we will", None),
    ("These are the children's.", "children's", K.POSSESSIVE, "", None),
    ("Let's go.", "Let's", K.CONTRACTION, "let us", None),
    ("’Tis late, he said.", "'Tis", K.CONTRACTION, "it is", None),
    ("Someone's at the door.", "Someone's", K.CONTRACTION, "Someone is", None),
    ("The dog's asleep.", "dog's", K.CONTRACTION, "dog is", None),
    ("The dog's in the yard.", "dog's", K.CONTRACTION, "dog is", None),
    ("The dog's barking.", "dog's", K.CONTRACTION, "dog is", None),
    ("The dog's barking is loud.", "dog's", K.POSSESSIVE, "", None),
    ("The dog's bowl is empty.", "dog's", K.POSSESSIVE, "", None),
    ("The dog’s big bowl is empty.", "dog's", K.POSSESSIVE, "", None),
    ("Someone's coat is here.", "Someone's", K.POSSESSIVE, "", None),
    ("The book is Sam's.", "Sam's", K.POSSESSIVE, "", None),
    ("The dogs' bowls are empty.", "dogs'", K.POSSESSIVE, "", None),
    ("The children's coats are wet.", "children's", K.POSSESSIVE, "", None),
    ("James's hat is red.", "James's", K.POSSESSIVE, "", None),
    ("The dogs' ran home.", "dogs'", K.NEEDLESS, "", "dogs"),
    ("I saw two dog's in the yard.", "dog's", K.NEEDLESS, "", "dogs"),
    ("She run's fast.", "run's", K.NEEDLESS, "", "runs"),
    ("The hat is her's.", "her's", K.NEEDLESS, "", "hers"),
    ("In the 1990's we moved.", "1990's", K.NEEDLESS, "", "1990s"),
    ("The dog wagged it's tail.", "it's", K.NEEDLESS, "", "its"),
    ("The cat is in it's box.", "it's", K.NEEDLESS, "", "its"),
    ("It's tail is long.", "It's", K.NEEDLESS, "", "Its"),
    ("Who's coat is this?", "Who's", K.NEEDLESS, "", "Whose"),
    ("The childrens' coats are wet.", "childrens'", K.MISPLACED, "", "children's"),
    ("Jame's hat is red.", "Jame's", K.MISPLACED, "", "James's"),
    ("The ladie's hats are here.", "ladie's", K.MISPLACED, "", "lady's"),
    ("He does'nt care.", "does'nt", K.MISPLACED, "", "doesn't"),
    ("We dont know.", "dont", K.MISSING, "do not", "don't"),
    ("Im glad.", "Im", K.MISSING, "I am", "I'm"),
    ("He cant swim.", "cant", K.MISSING, "cannot", "can't"),
    ("Its a big dog.", "Its", K.MISSING, "it is", "It's"),
    ("Its raining.", "Its", K.MISSING, "it is", "It's"),
    ("Lets go!", "Lets", K.MISSING, "let us", "Let's"),
    ("I could of gone.", "of", K.COULD_OF, "could have", "have"),
    ("You should not of done that.", "of", K.COULD_OF, "should have", "have"),
    ("You shouldn't of done that.", "of", K.COULD_OF, "shouldn't have", "have"),
]  # fmt: skip


@pytest.mark.parametrize(("sentence", "written", "kind", "reading", "suggestion"), CASES)
def test_sentences(
    sentence: str, written: str, kind: MarkKind, reading: str, suggestion: str | None
) -> None:
    found = {m.written: m for m in read_apostrophe(sentence, pos=pos)}
    mark = found[written]
    assert mark.kind is kind
    assert (mark.readings[0] if mark.readings else "") == reading
    assert mark.suggestion == suggestion
    assert mark.why
    start, end = mark.span
    assert sentence[start:end].replace("’", "'") == written


@pytest.mark.parametrize(
    "sentence",
    [
        "She lets me in.",
        "Do not sound it out by its spelling.",
        "Its meaning is clear.",
        "Its tail is long.",
        "The dogs ran home.",
        "I could of course go.",
        "A cup of tea is kind of nice.",
        "We were well and she was ill.",
        "He said 'the dogs' and left.",
        "The cats sleep in their beds.",
        "",
    ],
)
def test_nothing_is_found_where_nothing_is_wrong(sentence: str) -> None:
    assert read_apostrophe(sentence, pos=pos) == ()


def test_several_marks_in_order() -> None:
    marks = read_apostrophe("He'd been there and he'd help again.", pos=pos)
    assert [m.readings[0] for m in marks] == ["he had", "he would"]
    assert marks[0].span[1] < marks[1].span[0]


def test_words_and_quotation_marks() -> None:
    assert [t.text for t in tokens("‘We’re here,’ said Mia’s dad.")] == [
        "We're", "here", "said", "Mia's", "dad",
    ]  # fmt: skip


WORDS = st.sampled_from(
    ["it's", "its", "dogs'", "dog's", "of", "could", "he'd", "'", "the", "gone", "what's", "James'",
     "dont", "ies's", "s'", "'s", "a", "1990's", "’tis", "they", "two", "."]
)  # fmt: skip


@given(st.lists(WORDS, max_size=8))
def test_any_row_of_words_is_read_without_a_crash(words: list[str]) -> None:
    sentence = " ".join(words)
    for mark in read_apostrophe(sentence, pos=pos):
        start, end = mark.span
        assert sentence[start:end].replace("’", "'") == mark.written
        assert mark.why
        assert mark.suggestion != mark.written
