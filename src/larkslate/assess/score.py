"""Counting scores: letter sequences, and what counts as the same letter.

Letter sequences: letters include apostrophe, hyphen and space, capitals are ignored. Target and written word
are aligned in order as well as possible; a sequence counts when two neighbors of the target (the start and the
end of the word included) are aligned to two neighbors of the written word, so each written letter is used once.
The most possible is letters + 1. This is the trade's "correct letter sequences" with an exact alignment.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

APOSTROPHES = "'’‘`´ʼ′‛＇"
"""Marks read as an apostrophe; the typewriter one stands for all of them."""
_SAME = str.maketrans(
    {**dict.fromkeys(APOSTROPHES, "'"), **dict.fromkeys("‐‑‒–—−", "-"), "\u00a0": " "}
)


@lru_cache(maxsize=8192)
def normal(text: str) -> str:
    """NFC, one kind of apostrophe, hyphen and space, no space at the ends or doubled. Capitals stay."""
    return " ".join(unicodedata.normalize("NFC", text).translate(_SAME).split())


def letter_sequences(target: str, written: str) -> tuple[int, int]:
    """The letter sequences right, and how many there are: ``("stopped", "stoped")`` gives (6, 8).

    Both words are normalized and lower-cased first. An empty written word gives 0.
    """
    t, w = normal(target).lower(), normal(written).lower()
    of = len(t) + 1
    if not w:
        return 0, of
    # best[i][j]: most sequences up to target letter i (from 1; 0 is the start) aligned to written letter j.
    # reach[i][j]: the most of best over all i' <= i, j' <= j, because a gap keeps what was won before it.
    columns = len(w) + 1
    none = -1
    before_best = [0] + [none] * len(w)
    before_reach = [0] * columns
    for letter in t:
        best = [none] * columns
        reach = [0] * columns
        for j, mark in enumerate(w, start=1):
            if letter == mark:
                won = before_reach[j - 1]
                neighbor = before_best[j - 1]
                best[j] = max(won, neighbor + 1) if neighbor != none else won
            reach[j] = max(reach[j - 1], before_reach[j], best[j])
        before_best, before_reach = best, reach
    end = before_best[-1] + 1 if before_best[-1] != none else 0
    return max(before_reach[-1], end), of
