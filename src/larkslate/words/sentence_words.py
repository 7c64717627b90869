"""The words of a sentence with their places, apostrophes kept, and what a word can be where it stands."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from larkslate.words.contractions import APOSTROPHES, contraction, straight
from larkslate.words.irregular import irregular_forms, is_past_participle
from larkslate.words.model import Span

PartsOfSpeech = Callable[[str], frozenset[str]]

_MARK = f"[{re.escape(APOSTROPHES)}]"
_WORD = re.compile(rf"{_MARK}?[A-Za-z0-9]+(?:{_MARK}[A-Za-z]+|-[A-Za-z]+)*{_MARK}?")

DETERMINERS = frozenset({
    "a", "an", "the", "this", "that", "these", "those", "my", "your", "his", "her", "its", "our",
    "their", "no", "some", "any", "every", "each", "another",
})  # fmt: skip
SUBJECTS = frozenset({"i", "you", "he", "she", "it", "we", "they"})
PRONOUNS = SUBJECTS | {"me", "him", "us", "them", "everyone", "someone", "nobody", "anybody"}
PREPOSITIONS = frozenset({
    "in", "on", "of", "with", "to", "from", "at", "by", "into", "onto", "under", "over", "inside",
    "behind", "near", "for", "through", "around", "between", "beside", "without", "after", "before",
})  # fmt: skip
CONJUNCTIONS = frozenset({"and", "but", "or", "so", "because", "when", "if", "while", "than", "as"})
MIDDLE_ADVERBS = frozenset({
    "never", "always", "already", "just", "not", "also", "ever", "only", "still", "probably",
    "really", "often", "all", "both", "almost", "finally", "even", "soon", "once", "recently",
})  # fmt: skip
HELPERS = frozenset({
    "is", "are", "was", "were", "am", "be", "been", "do", "does", "did", "has", "have", "had",
    "will", "would", "can", "could", "shall", "should", "may", "might", "must",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Token:
    """A word of a sentence: as written with straight apostrophes, its lower-case form, its span."""

    text: str
    low: str
    span: Span


def tokens(sentence: str) -> tuple[Token, ...]:
    """The words in order; quotation marks at the edge of a word are left off, apostrophes kept.

    A mark at the front stays only on a contraction of the table (’tis), one at the end only after s
    where no single quotation mark is open.
    """
    found: list[Token] = []
    open_quote = False
    for match in _WORD.finditer(sentence):
        start, end = match.span()
        text = straight(match.group())
        if text.startswith("'") and contraction(text.rstrip("'")) is None:
            open_quote, start, text = True, start + 1, text[1:]
        if text.endswith("'") and contraction(text) is None:
            if open_quote or not text[:-1].lower().endswith(("s", "z", "x")):
                open_quote, end, text = False, end - 1, text[:-1]
        if text:
            found.append(Token(text, text.lower(), (start, end)))
    return tuple(found)


def is_participle(word: str, pos: PartsOfSpeech) -> bool:
    """True for a past participle: gone, seen, walked."""
    if is_past_participle(word):
        return True
    return word.endswith("ed") and len(word) > 3 and bool(pos(word) & {"verb", "past"})


def is_plain_verb(word: str, pos: PartsOfSpeech) -> bool:
    """True for a verb in its plain form: go, see, walk, cut, be."""
    form = irregular_forms().get(word)
    if form is not None and not form.same and not form.word_too:
        return False
    if word in HELPERS - {"be", "do", "have"}:
        return False
    return "verb" in pos(word) and not word.endswith(("ed", "ing"))


def is_ing(word: str, pos: PartsOfSpeech) -> bool:
    """True for an -ing form of a verb."""
    return word.endswith("ing") and len(word) > 4 and "verb" in pos(word)


def is_noun(word: str, pos: PartsOfSpeech) -> bool:
    """True for a word that can be a noun and is no pronoun, helper or preposition here."""
    grammar = DETERMINERS | PRONOUNS | HELPERS | PREPOSITIONS | CONJUNCTIONS
    return "noun" in pos(word) and word not in grammar


def is_only(word: str, kind: str, pos: PartsOfSpeech) -> bool:
    """True where ``kind`` is a part of speech of the word and noun is not."""
    found = pos(word)
    return kind in found and "noun" not in found
