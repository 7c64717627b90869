"""The tables that division reads: onsets, endings, old prefixes, stable endings, single words, wording.

Each is a file in ``words/data`` that a teacher may correct; a bad row is named.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from larkslate.datafile import read_tsv


@dataclass(frozen=True, slots=True)
class Boundary:
    """How a word is divided before an ending in a vowel letter: ``whole`` keeps the base as it stands.

    ``turned_after`` are base endings for which the other policy holds; ``turned_long`` the same, for bases of
    two syllables and more.
    """

    whole: bool
    turned_after: tuple[str, ...] = ()
    turned_long: tuple[str, ...] = ()


@cache
def onsets() -> dict[str, str]:
    """Letters that begin a syllable together, with their kind. Raises Malformed naming a bad row."""
    table: dict[str, str] = {}
    for row in read_tsv("words", "onsets.tsv", ("onset", "kind")):
        if row["kind"] not in {"liquid", "glide", "s"} or row["onset"] in table:
            raise row.bad("kind must be liquid, glide or s, and each onset may stand once.")
        table[row["onset"]] = row["kind"]
    return table


@cache
def boundaries() -> dict[str, Boundary]:
    """Per ending, how dictionaries divide before it. Raises Malformed naming a bad row."""
    table: dict[str, Boundary] = {}
    for row in read_tsv(
        "words", "boundaries.tsv", ("suffix", "policy", "except_after", "except_long", "example")
    ):
        if row["policy"] not in {"whole", "letters"} or row["suffix"] in table:
            raise row.bad("policy must be whole or letters, and each suffix may stand once.")
        table[row["suffix"]] = Boundary(
            row["policy"] == "whole",
            tuple(row["except_after"].split()),
            tuple(row["except_long"].split()),
        )
    return table


@cache
def openings() -> dict[str, str]:
    """First parts that fix a division: closed, always, open, or piece. Raises Malformed."""
    table: dict[str, str] = {}
    for row in read_tsv("words", "openings.tsv", ("opening", "policy", "example")):
        if row["policy"] not in {"closed", "always", "open", "piece"} or row["opening"] in table:
            raise row.bad("policy must be closed, always, open or piece; each opening stands once.")
        table[row["opening"]] = row["policy"]
    return table


@cache
def worded() -> dict[str, tuple[str, str]]:
    """Words divided by the table: word to (division, why). Raises Malformed naming a bad row."""
    table: dict[str, tuple[str, str]] = {}
    for row in read_tsv("words", "divisions.tsv", ("word", "division", "why")):
        if row["division"].replace("-", "") != row["word"] or row["word"] in table:
            raise row.bad("the division must spell the word, and each word may stand once.")
        table[row["word"]] = (row["division"], row["why"])
    return table


@cache
def stable_endings() -> tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]:
    """Final pieces learned whole with their sounds, longest first. Raises Malformed naming a bad row."""
    found: dict[str, tuple[tuple[str, ...], ...]] = {}
    for row in read_tsv("words", "stable_endings.tsv", ("ending", "sounds")):
        if row["ending"] in found or not row["sounds"]:
            raise row.bad("each ending stands once and has sounds.")
        found[row["ending"]] = tuple(tuple(s.split()) for s in row["sounds"].split("|"))
    return tuple(sorted(found.items(), key=lambda item: -len(item[0])))


@cache
def wording() -> dict[str, tuple[str, str]]:
    """Per pattern, what a step says to a teacher and to a child. Raises Malformed naming a bad row."""
    table: dict[str, tuple[str, str]] = {}
    for row in read_tsv("words", "division_wording.tsv", ("pattern", "teacher", "child")):
        if row["pattern"] in table or not row["child"]:
            raise row.bad("each pattern stands once, with both sentences.")
        table[row["pattern"]] = row["teacher"], row["child"]
    return table
