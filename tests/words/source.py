"""The open dictionary and word frequencies, as the tests of word structure hand them in."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from wordfreq import top_n_list, zipf_frequency

from larkslate.datafile import Row, parse_tsv
from larkslate.words.parts import Parts, take_apart
from larkslate.words.pronounce import Dictionary, read_dictionary

HERE = Path(__file__).parent
TRUTH = HERE.parents[2] / "shared" / "truth"


@cache
def dictionary() -> Dictionary:
    return read_dictionary()


@cache
def known(word: str) -> bool:
    return word in dictionary()


@cache
def zipf(word: str) -> float:
    return float(zipf_frequency(word, "en"))


@cache
def pos(word: str) -> frozenset[str]:
    return frozenset(p for said in dictionary().pronunciations(word) for p in said.pos)


def marker(word: str) -> str | None:
    for said in dictionary().pronunciations(word):
        if said.parts:
            return "+" + "+".join(said.parts)
    return None


def apart(word: str) -> Parts:
    return take_apart(word, known=known, zipf=zipf, pos=pos, marker=marker(word))


def stress_last(word: str) -> bool | None:
    """Whether the last syllable has the primary stress in the first reading; None where not known."""
    for said in dictionary().pronunciations(word):
        stresses = [p[-1] for p in said.phonemes if p[-1].isdigit()]
        return bool(stresses) and stresses[-1] == "1"
    return None


def common_words(count: int) -> list[str]:
    """The commonest words that are plain letters and in the dictionary."""
    return [w for w in top_n_list("en", count) if w.isascii() and w.isalpha() and known(w)]


def rows(name: str, columns: tuple[str, ...]) -> list[Row]:
    path = HERE / "data" / name
    return list(parse_tsv(path.read_text(encoding="utf-8"), name, columns))
