"""Marking a dictated sentence: its words, its first capital, its end mark and its apostrophes, each apart.

The words written are aligned with the words dictated, so that one word left out does not make all that follow
wrong. Two written words may stand for one (bed room) and one for two (alot).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from larkslate.assess.diagnose import diagnose
from larkslate.assess.evidence import Points
from larkslate.assess.model import Diagnosis
from larkslate.assess.score import letter_sequences, normal
from larkslate.assess.target import Lookup, target_of
from larkslate.errors import Malformed

_WORD = re.compile(r"[^\W_]+(?:['-][^\W_]+)*'?")
_END = re.compile(r"[.!?]+(?=[\"”»)\s]*$)")
_DASHES = str.maketrans("–—", "  ")  # a dash parts words, a hyphen joins them
_LEFT_OUT = 1.0
_ADDED = 0.8
_TOO_FAR = 0.75
_ONE_FOR_TWO = 0.25


@dataclass(frozen=True, slots=True)
class SentenceWord:
    """One place of the sentence: what was dictated, what was written, the diagnosis.

    ``target`` is None for a word that was added, ``written`` None for one left out.
    """

    target: str | None
    written: str | None
    diagnosis: Diagnosis | None


@dataclass(frozen=True, slots=True)
class SentenceMarks:
    """A marked sentence. Pairs are (right, of).

    ``capital`` says whether the first word written has its capital, ``end`` whether the end mark is the one
    dictated; None where nothing was written. ``written`` counts the dictated words that are there at all.
    """

    words: tuple[SentenceWord, ...]
    right: tuple[int, int]
    written: tuple[int, int]
    capital: bool | None
    end: bool | None
    apostrophes: tuple[int, int]


def words_of(text: str) -> list[str]:
    """The words of a sentence without its punctuation; an apostrophe belongs to its word."""
    found = []
    for match in _WORD.finditer(normal(text.translate(_DASHES))):
        word = match.group()
        if word.endswith("'") and not word.lower().endswith("s'"):
            word = word[:-1]
        found.append(word)
    return found


def end_mark(text: str) -> str:
    """The mark at the end of a sentence, one sign; empty where there is none."""
    found = _END.search(text.strip())
    return found.group()[-1] if found else ""


def _apart(target: str, written: str) -> float:
    """0 for the same letters, towards 1 for words with nothing in common."""
    right, of = letter_sequences(target, written)
    back, most = letter_sequences(written, target)
    return 1.0 - (right + back) / (of + most)


def _aligned(targets: list[str], written: list[str]) -> list[tuple[str | None, str | None]]:
    """Pairs of dictated and written words with the least total distance."""
    best: list[list[tuple[float, tuple[int, int] | None]]] = [
        [(float("inf"), None)] * (len(written) + 1) for _ in range(len(targets) + 1)
    ]
    best[0][0] = (0.0, None)

    def offer(i: int, j: int, cost: float, back: tuple[int, int]) -> None:
        if i <= len(targets) and j <= len(written) and cost < best[i][j][0]:
            best[i][j] = (cost, back)

    for i in range(len(targets) + 1):
        for j in range(len(written) + 1):
            so_far = best[i][j][0]
            if i < len(targets):
                offer(i + 1, j, so_far + _LEFT_OUT, (i, j))
            if j < len(written):
                offer(i, j + 1, so_far + _ADDED, (i, j))
            if i < len(targets) and j < len(written):
                near = _apart(targets[i], written[j])
                extra = near if near < _TOO_FAR else 1.4
                offer(i + 1, j + 1, so_far + extra, (i, j))
            if i < len(targets) and j + 1 < len(written):
                near = _apart(targets[i], written[j] + written[j + 1])
                if near < _ONE_FOR_TWO:
                    offer(i + 1, j + 2, so_far + near + 0.5, (i, j))
            if i + 1 < len(targets) and j < len(written):
                near = _apart(targets[i] + targets[i + 1], written[j])
                if near < _ONE_FOR_TWO:
                    offer(i + 2, j + 1, so_far + near + 0.5, (i, j))
    pairs: list[tuple[str | None, str | None]] = []
    at: tuple[int, int] | None = (len(targets), len(written))
    while at and (back := best[at[0]][at[1]][1]) is not None:
        given, wrote = targets[back[0] : at[0]], written[back[1] : at[1]]
        pairs.append((" ".join(given) or None, " ".join(wrote) or None))
        at = back
    return pairs[::-1]


def mark_sentence(
    target: str,
    written: str,
    *,
    lexicon: Lookup,
    reach: Points,
    through: str | int | None = None,
    accents: Iterable[str] = (),
) -> SentenceMarks:
    """Mark one dictated sentence.

    Each pair of words is diagnosed within the sentence. The capital of the first word is marked apart, so it
    never counts in the word. Raises Malformed for a target without a word.
    """
    targets, wrote = words_of(target), words_of(written)
    if not targets:
        raise Malformed(
            f"The sentence {target!r} has no word in it: give the sentence that was dictated."
        )
    settings = frozenset(accents)
    words = []
    first = True
    for given, made in _aligned(targets, wrote):
        if given is None or made is None:
            words.append(SentenceWord(given, made, None))
        else:
            aimed = target_of(given, lexicon)
            shown = made
            if first and not aimed.word.word[:1].isupper():
                shown = made[:1].lower() + made[1:]
            found = diagnose(
                aimed,
                shown,
                sentence=target,
                lexicon=lexicon,
                points=reach,
                through=through,
                accents=settings,
            )
            words.append(SentenceWord(given, made, found))
        first = first and given is None
    there = sum(len(w.target.split()) for w in words if w.target and w.written)
    right = sum(
        len(w.target.split()) for w in words if w.target and w.diagnosis and w.diagnosis.right
    )
    marks = [w for w in words if w.target and "'" in w.target]
    return SentenceMarks(
        words=tuple(words),
        right=(right, len(targets)),
        written=(there, len(targets)),
        capital=wrote[0][:1].isupper() if wrote else None,
        end=end_mark(written) == end_mark(target) if wrote else None,
        apostrophes=(sum(_mark_right(w) for w in marks), len(marks)),
    )


def _mark_right(word: SentenceWord) -> bool:
    """True if the apostrophe stands where it belongs, whatever the other letters are."""
    if word.diagnosis is None:
        return False
    return not any(c.startswith(("A.", "S.HOMC")) for c in word.diagnosis.codes)
