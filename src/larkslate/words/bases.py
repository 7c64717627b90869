"""Which bases could stand behind a word: every way back over a join, each checked forward again."""

from __future__ import annotations

import re
from functools import cache

from larkslate.words.affixes import Affix, endings, prefixes, suffixes
from larkslate.words.joins import Joined, join_prefix, listed_joins, negative_prefix, spellings
from larkslate.words.model import MorphemeKind

VOWEL_START = re.compile(r"^[aeiouy]")
HAS_VOWEL = re.compile(r"[aeiouy]")


@cache
def _listed_back() -> dict[str, tuple[tuple[str, str], ...]]:
    """Base and ending of the listed exceptions, by the word they make."""
    back: dict[str, tuple[tuple[str, str], ...]] = {}
    for base, ending, words in listed_joins():
        for word in words:
            back[word] = (*back.get(word, ()), (base, ending))
    return back


def _plural_bases(word: str) -> list[str]:
    bases = [word[:-1]]
    if word.endswith("es"):
        bases.append(word[:-2])
    if word.endswith("ies"):
        bases.append(word[:-3] + "y")
    if word.endswith("ves"):
        bases += [word[:-3] + "f", word[:-3] + "fe"]
    return bases


def _vowel_bases(stem: str, ending: str) -> list[str]:
    bases = [stem, stem + "e"]
    if len(stem) > 2 and stem[-1] == stem[-2]:
        bases.append(stem[:-1])
    if stem.endswith("i"):
        bases.append(stem[:-1] + "y")
    if stem.endswith("y") and ending == "ing":
        bases.append(stem[:-1] + "ie")
    if stem.endswith("ck"):
        bases.append(stem[:-1])
    if ending in {"an", "ian"}:
        bases.append(stem + "a")
    return bases


def _consonant_bases(word: str, stem: str, ending: str) -> list[str]:
    bases = [stem]
    if stem.endswith("i"):
        bases.append(stem[:-1] + "y")
    if ending == "ly":
        bases += [stem + "le", stem + "l"]
        if stem.endswith("al"):
            bases.append(word[: -len("ally")])
    return bases


def bases_before(word: str, ending: str) -> tuple[str, ...]:
    """Every base that could stand before an ending or suffix in a word, whether it is a word or not.

    A base is listed when joining the ending to it gives the word back as first or accepted spelling.
    """
    return tuple(j.base for j in joins_back(word, ending))


def joins_back(word: str, ending: str, kind: str | None = None) -> tuple[Joined, ...]:
    """The joins of any base with ``ending`` that give ``word``."""
    guesses = [base for base, listed in _listed_back().get(word, ()) if listed == ending]
    if ending == "s":
        if word.endswith("s") and not word.endswith("ss"):
            guesses += _plural_bases(word)
    elif word.endswith(ending):
        stem = word[: -len(ending)]
        if VOWEL_START.match(ending):
            guesses += _vowel_bases(stem, ending)
        else:
            guesses += _consonant_bases(word, stem, ending)
    found: dict[str, Joined] = {}
    for base in guesses:
        if len(base) < 2 or base in found or not HAS_VOWEL.search(base):
            continue
        for made in spellings(base, ending, kind=kind):
            if made.word == word:
                found[base] = made
            elif word in made.also:
                found[base] = as_written(made, word)
    return tuple(found.values())


def as_written(made: Joined, word: str) -> Joined:
    """The same join for one of its accepted spellings: worshipped for worshiped."""
    at = len(word) - len(made.written)
    if word[at:] != made.written:
        at = len(word) - len(made.ending)
    others = (made.word, *(a for a in made.also if a != word))
    change = made.change
    stem = word[:at]
    if stem == made.base:
        change = change.NONE
    elif stem == made.base + made.base[-1]:
        change = change.DOUBLE
    elif stem + "e" == made.base:
        change = change.DROP_E
    elif stem == made.base[:-1] + "i":
        change = change.Y_TO_I
    return Joined(word, change, at, others, made.rule, made.base, made.ending, made.note)


def prefix_splits(word: str) -> tuple[tuple[Affix, Joined], ...]:
    """Every prefix of the table that begins the word, with what stands after it."""
    found: list[tuple[Affix, Joined]] = []
    for prefix in prefixes():
        base = word.removeprefix(prefix.letters)
        if base == word or len(base) < 3 or not HAS_VOWEL.search(base):
            continue
        if prefix.letters in {"in", "im", "il", "ir"} and negative_prefix(base) != prefix.letters:
            continue
        found.append((prefix, join_prefix(prefix.letters, base)))
    return tuple(found)


@cache
def endings_by_length(kind: MorphemeKind) -> tuple[Affix, ...]:
    """Endings or suffixes, the longest first; es is reached through s, possessives are read apart."""
    table = endings() if kind is MorphemeKind.ENDING else suffixes()
    usable = [a for a in table if a.letters != "es" and "'" not in a.letters]
    return tuple(sorted(usable, key=lambda a: -len(a.letters)))
