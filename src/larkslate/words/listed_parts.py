"""The tables of word structure: words that do not split, words that split in one way, compounds.

They were made by reading what the rules propose for the commonest 50,000 words (and part of the next
50,000), once, on 2026-11-25, by the writer of the rules; no second reader has checked them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from larkslate.datafile import read_tsv

KINDS = frozenset({"ending", "suffix", "prefix", "compound"})


@dataclass(frozen=True, slots=True)
class Split:
    """The outermost split of a word: ``sun`` + ``flower``, ``wed`` + ``ing``."""

    left: str
    right: str
    kind: str  # ending, suffix, prefix, compound
    note: str = ""


@cache
def whole_words() -> dict[str, str]:
    """Words that look as if they had an ending or prefix and have none, with the reason.

    Raises Malformed for a word that stands twice or for a row without a reason.
    """
    table: dict[str, str] = {}
    for row in read_tsv("words", "whole_words.tsv", ("why", "words")):
        if not row["words"] or not row["why"]:
            raise row.bad("a row needs words and a reason.")
        for word in row["words"].split():
            if word in table:
                raise row.bad(f"{word} stands twice.")
            table[word] = row["why"]
    return table


@cache
def listed_splits() -> dict[str, Split]:
    """The outermost split of every listed word. Raises Malformed for a wrong or doubled row."""
    table: dict[str, Split] = {}
    for row in read_tsv("words", "split_words.tsv", ("word", "left", "right", "kind", "note")):
        word = row["word"]
        if word in table or word in whole_words():
            raise row.bad(f"{word} stands twice, here or in whole_words.tsv.")
        if row["kind"] not in KINDS:
            raise row.bad(f"kind must be one of {', '.join(sorted(KINDS))}.")
        if not row["left"] or not row["right"]:
            raise row.bad(f"{word} needs a left and a right part.")
        table[word] = Split(row["left"], row["right"], row["kind"], row["note"])
    for row in read_tsv("words", "compounds.tsv", ("left", "rights")):
        for right in row["rights"].split():
            word = row["left"] + right
            if word in table or word in whole_words():
                raise row.bad(f"{word} stands twice, here or in another table of word parts.")
            table[word] = Split(row["left"], right, "compound")
    return table
