"""Words that do not come from the lexicon: contractions, owners, words that sound the same, capitals, known words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from larkslate.choose.shows import Pattern
from larkslate.datafile import read_tsv
from larkslate.words.contractions import contractions
from larkslate.words.irregular import irregular_forms
from larkslate.words.needs import choice_sets
from larkslate.words.possessives import MANY, ONE, possessive


@dataclass(frozen=True, slots=True)
class Owner:
    """A noun that owns things, its plural, and a sentence for each number of owners."""

    noun: str
    plural: str
    one: str
    many: str


@lru_cache(maxsize=1)
def familiar() -> frozenset[str]:
    """Words that a child of eight is likely to know from speech; see the head of ``familiar.tsv``.

    Raises Malformed naming the row of a word that stands twice.
    """
    found: set[str] = set()
    for row in read_tsv("choose", "familiar.tsv", ("group", "words")):
        for word in row["words"].split():
            if word in found:
                raise row.bad(f"the word {word} stands twice: remove one.")
            found.add(word)
    return frozenset(found)


@lru_cache(maxsize=1)
def left_out() -> frozenset[str]:
    """Plain forms of familiar words that are not chosen; see ``left_out.tsv``."""
    rows = read_tsv("choose", "left_out.tsv", ("why", "words"))
    return frozenset(word for row in rows for word in row["words"].split())


@lru_cache(maxsize=1)
def owners() -> tuple[Owner, ...]:
    """The owners of ``owners.tsv``. Raises Malformed naming a row whose sentence lacks the form."""
    found = []
    for row in read_tsv("choose", "owners.tsv", ("noun", "plural", "one", "many")):
        owner = Owner(row["noun"], row["plural"], row["one"], row["many"])
        for form, sentence in (
            (possessive(owner.noun, ONE).written, owner.one),
            (possessive(owner.plural, MANY).written, owner.many),
        ):
            if form.lower() not in sentence.lower():
                raise row.bad(f"the sentence {sentence!r} does not have the word {form}.")
        found.append(owner)
    return tuple(found)


@lru_cache(maxsize=1)
def sentences_of() -> dict[str, tuple[str, ...]]:
    """Sentences by the word they are for, from ``word_sentences.tsv`` and ``owners.tsv``.

    Raises Malformed naming a row whose sentence lacks its word.
    """
    found: dict[str, tuple[str, ...]] = {}
    for row in read_tsv("choose", "word_sentences.tsv", ("word", "sentence")):
        word, sentence = row["word"], row["sentence"]
        if not has_word(sentence, word):
            raise row.bad(f"the sentence {sentence!r} does not have the word {word}.")
        if sentence[-1:] not in ".?!":
            raise row.bad("a sentence ends with a period, a question mark or an exclamation mark.")
        found[word] = (*found.get(word, ()), sentence)
    for owner in owners():
        for form, sentence in (
            (possessive(owner.noun, ONE).written, owner.one),
            (possessive(owner.plural, MANY).written, owner.many),
        ):
            found[form] = (*found.get(form, ()), sentence)
    return found


def has_word(sentence: str, word: str) -> bool:
    """True if a sentence has the word, whatever its capitals."""
    bare = [w.strip('.,?!;:“”"').replace("’", "'").lower() for w in sentence.split()]
    plain = word.replace("’", "'").lower()
    return plain in bare or f" {plain} " in f" {' '.join(bare)} "


def supplied(rule: Pattern) -> tuple[str, ...]:
    """The words of a point that does not choose from the lexicon; empty where it does."""
    if rule.only == "contraction":
        return tuple(
            c.written
            for c in contractions().values()
            if rule.carries(c.skill) and c.level == "write" and c.register == "standard"
        )
    if rule.only == "choice":
        return tuple(choice_sets())
    if rule.only == "owner":
        return tuple(_owner_forms(rule))
    return ()


def _owner_forms(rule: Pattern) -> list[str]:
    forms: list[str] = []
    for owner in owners():
        irregular = irregular_forms().get(owner.plural)
        if irregular is not None and irregular.same:
            continue  # sheep's is written alike for one owner and for many, so it shows neither
        one, many = possessive(owner.noun, ONE), possessive(owner.plural, MANY)
        forms += [made.written for made in (one, many) if rule.carries(made.skill)]
    return forms
