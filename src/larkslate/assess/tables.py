"""The small tables of the diagnosis: near words, letters alike in shape, letter names, places, silent letters."""

from __future__ import annotations

from functools import lru_cache

from larkslate.datafile import read_tsv
from larkslate.words.sounds import SYMBOLS

ROOM = "assess"


@lru_cache(maxsize=1)
def near_words() -> frozenset[frozenset[str]]:
    """Pairs of words that sound nearly alike."""
    found: set[frozenset[str]] = set()
    for row in read_tsv(ROOM, "near_words.tsv", ("one", "other")):
        pair = frozenset((row["one"], row["other"]))
        if len(pair) != 2 or pair in found:
            raise row.bad("a pair is two words and stands once, in either order.")
        found.add(pair)
    return frozenset(found)


@lru_cache(maxsize=2)
def letter_pairs(kind: str) -> frozenset[frozenset[str]]:
    """Pairs of letters taken for each other: kind "reversal" or "joined"."""
    found: set[frozenset[str]] = set()
    for row in read_tsv(ROOM, "letter_pairs.tsv", ("one", "other", "kind")):
        if row["kind"] not in ("reversal", "joined"):
            raise row.bad("kind must be reversal or joined.")
        if row["kind"] == kind:
            found.add(frozenset((row["one"], row["other"])))
    return frozenset(found)


def _sounds(text: str) -> tuple[str, ...]:
    sounds = tuple(text.split())
    unknown = set(sounds) - SYMBOLS
    if unknown or not sounds:
        raise ValueError(f"sounds must be ARPAbet without stress ({', '.join(sorted(unknown))}).")
    return sounds


@lru_cache(maxsize=1)
def letter_names() -> dict[str, tuple[str, ...]]:
    """The sounds in the name of each letter."""
    found: dict[str, tuple[str, ...]] = {}
    for row in read_tsv(ROOM, "letter_names.tsv", ("letter", "sounds")):
        try:
            found[row["letter"]] = _sounds(row["sounds"])
        except ValueError as error:
            raise row.bad(str(error)) from None
    return found


@lru_cache(maxsize=1)
def _positions() -> dict[tuple[str, tuple[str, ...]], str]:
    found: dict[tuple[str, tuple[str, ...]], str] = {}
    places = {f"{no}{p}" for no in ("", "not-") for p in ("initial", "medial", "final")}
    for row in read_tsv(ROOM, "positions.tsv", ("letters", "sounds", "where", "note")):
        try:
            key = (row["letters"], _sounds(row["sounds"]))
        except ValueError as error:
            raise row.bad(str(error)) from None
        if row["where"] not in places or key in found:
            raise row.bad("where is a place of a base, and a spelling stands once.")
        found[key] = row["where"]
    return found


def may_stand(letters: str, sounds: tuple[str, ...], place: str) -> bool:
    """Whether a spelling of these sounds stands at this place of a base: initial, medial or final."""
    where = _positions().get((letters, sounds))
    if where is None or where == place:
        return True
    return where.startswith("not-") and where != f"not-{place}"


@lru_cache(maxsize=1)
def silent_letters() -> dict[str, str]:
    """Spellings with a letter that is not heard, and what is left without it."""
    found: dict[str, str] = {}
    for row in read_tsv(ROOM, "silent_letters.tsv", ("letters", "heard")):
        if row["letters"] in found or len(row["heard"]) >= len(row["letters"]):
            raise row.bad("a spelling stands once, and less is heard than written.")
        found[row["letters"]] = row["heard"]
    return found
