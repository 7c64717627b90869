"""The search for the cheapest cover of a word's letters by rows of the grapheme table.

Viterbi over (letters used, sounds used). What may stand at a letter does not depend on the sounds, so it
is worked out once for a word and kept while its variants are tried.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from larkslate.words.model import Span
from larkslate.words.sounds import VOWELS
from larkslate.words.spellings import DEAREST, Spelling

SKIPPED = frozenset("'’-. ")
"""Characters that stand outside all graphemes."""

_FALLBACK_GAP = DEAREST  # a letter without sound, where the table does not fit
_FALLBACK_PAIR = DEAREST + 5.0  # any letter for any sound
# studi|es is i and es, cookie|s is ie and s; a doubled letter (mis|spell, final|ly) may lie across.
_ACROSS_SEAM = 8.0
# A silent e that can mark the vowel is read so before it is left to the consonant.
_SPLIT_BONUS = 3.0
_VOWEL_LETTERS = "aeiouy"
_LONGEST = 5  # letters of the longest row


@dataclass(frozen=True, slots=True)
class _Rule:
    """A row made ready for matching."""

    row: Spelling
    first: str  # letters of the first span
    units: tuple[str, ...]
    initial: bool | None  # must (True) or must not (False) stand first
    final: bool | None
    before: re.Pattern[str] | None  # one of these must follow
    before_not: re.Pattern[str] | None  # none of these may follow
    after: re.Pattern[str] | None  # one of these must stand before
    after_not: re.Pattern[str] | None
    closes: bool  # may stand before a seam, the end or a consonant letter
    consonant: bool  # spells consonants and nothing else
    cost: float


def _pattern(tokens: Iterable[str], *, backwards: bool = False) -> re.Pattern[str] | None:
    """The regular expression of condition tokens; None if there are none.

    ``#`` is an end of the word, ``V`` a vowel letter, ``C`` a consonant letter, the rest letters.
    """
    edge = r"\A" if backwards else r"\Z"
    marks = {"#": edge, "V": f"[{_VOWEL_LETTERS}]", "C": f"[^{_VOWEL_LETTERS}'’]"}
    parts = ["".join(marks.get(c, re.escape(c)) for c in token) for token in tokens]
    if not parts:
        return None
    return re.compile(f"(?:{'|'.join(parts)})" + (r"\Z" if backwards else ""))


def _rule(row: Spelling) -> _Rule:
    """Make a row ready for matching."""
    before, after = row.before.split(), row.after.split()
    return _Rule(
        row=row,
        first=row.letters.partition("_")[0],
        units=row.phonemes,
        initial={"initial": True, "medial": False, "not-initial": False}.get(row.where),
        final={"final": True, "medial": False, "not-final": False}.get(row.where),
        before=_pattern(t for t in before if t[0] not in "!+"),
        before_not=_pattern(t[1:] for t in before if t[0] == "!"),
        after=_pattern((t for t in after if t[0] != "!"), backwards=True),
        after_not=_pattern((t[1:] for t in after if t[0] == "!"), backwards=True),
        closes="+" in before,
        consonant=bool(row.phonemes) and not any(u in VOWELS or u == "AH0" for u in row.phonemes),
        cost=row.cost,
    )


def _before_fits(rule: _Rule, word: str, end: int, seams: frozenset[int]) -> bool:
    """True if what follows the grapheme is what its row asks for."""
    if rule.before_not is not None and rule.before_not.match(word, end):
        return False
    if rule.closes and (end in seams or end >= len(word) or word[end] not in _VOWEL_LETTERS):
        return True
    if rule.before is None:
        return not rule.closes
    return rule.before.match(word, end) is not None


def _fits(rule: _Rule, word: str, start: int, end: int, seams: frozenset[int]) -> bool:
    """True if the row may stand at these letters."""
    if rule.initial is not None and (start == 0) is not rule.initial:
        return False
    if rule.final is not None and (end == len(word)) is not rule.final:
        return False
    if not _before_fits(rule, word, end, seams):
        return False
    if rule.after_not is not None and rule.after_not.search(word[:start]):
        return False
    return rule.after is None or rule.after.search(word[:start]) is not None


def _e_may_mark(word: str, e: int, seams: frozenset[int]) -> bool:
    """True if the letter at ``e`` is an e that can belong to a split vowel.

    It stands at the end of its morpheme or before a consonant letter (*makes*, *safety*); before a vowel
    letter only at a seam (*make|up*), so that *research* keeps its ``ear``.
    """
    if word[e : e + 1] != "e" or e in seams:
        return False
    rest = word[e + 1 :]
    if rest and rest[0] in _VOWEL_LETTERS:
        return e + 1 in seams
    return rest not in ("d", "r", "n", "st")


@dataclass(frozen=True, slots=True)
class _Fit:
    """A row that may stand at a letter: where it ends and what it costs there."""

    rule: _Rule
    end: int
    cost: float


Piece = tuple[Spelling | None, tuple[Span, ...], int, int]
"""A row (None: a guess), the spans of its letters, its first sound and the one after its last."""
_Arc = tuple[int, int, float, tuple[Piece, ...]]
"""Letters and sounds used, cost, pieces."""


class _Letters:
    """What may stand at each letter of one word."""

    def __init__(
        self,
        word: str,
        seams: frozenset[int],
        whole: dict[str, list[_Rule]],
        split: dict[str, list[_Rule]],
    ) -> None:
        self.word = word
        self.seams = seams
        self.whole: list[dict[str, list[_Fit]]] = []
        self.split: list[list[_Fit]] = []
        for i, letter in enumerate(word):
            here: dict[str, list[_Fit]] = defaultdict(list)
            for end in range(i + 1, min(len(word), i + _LONGEST) + 1):
                across = 0.0
                if any(i < seam < end for seam in seams) and word[i:end] != letter + letter:
                    across = _ACROSS_SEAM
                for rule in whole.get(word[i:end], ()):
                    if _fits(rule, word, i, end, seams):
                        key = rule.units[0] if rule.units else ""
                        here[key].append(_Fit(rule, end, rule.cost + across))
            self.whole.append(here)
            self.split.append(
                [
                    _Fit(rule, i + 1, rule.cost)
                    for rule in split.get(letter, ())
                    if i + 1 < len(word)
                    and word[i + 1] not in _VOWEL_LETTERS
                    and _fits(rule, word, i, i + 1, seams)
                ]
            )

    def matches(self, units: tuple[str, ...], i: int, j: int) -> Iterator[_Fit]:
        """The whole (not split) rows that fit at letter i and sound j."""
        here = self.whole[i]
        yield from here.get("", ())
        if j < len(units):
            for fit in here.get(units[j], ()):
                wanted = fit.rule.units
                if len(wanted) == 1 or units[j : j + len(wanted)] == wanted:
                    yield fit


class Aligner:
    """Rows of a grapheme table, ready to cover words."""

    def __init__(self, rows: Sequence[Spelling]) -> None:
        self._whole: dict[str, list[_Rule]] = defaultdict(list)
        self._split: dict[str, list[_Rule]] = defaultdict(list)
        for row in rows:
            rule = _rule(row)
            (self._split if row.split else self._whole)[rule.first].append(rule)
        self._t = [r for r in self._whole["t"] if r.row.key == "t=T"]
        self._last = _Letters("", frozenset(), {}, {})

    def search(
        self, word: str, units: tuple[str, ...], seams: frozenset[int], *, guess: bool
    ) -> tuple[float, list[Piece]] | None:
        """The cheapest cover: its cost and pieces; None where the rows do not fit and no guess may be made."""
        if self._last.word != word or self._last.seams != seams:
            self._last = _Letters(word, seams, self._whole, self._split)
        letters = self._last
        n, m = len(word), len(units)
        best: list[dict[int, tuple[float, int, int, tuple[Piece, ...]]]] = [
            {} for _ in range(n + 1)
        ]
        best[0][0] = (0.0, -1, -1, ())
        for i in range(n):
            for j, (base, _, _, _) in best[i].items():
                for k, q, cost, pieces in self._arcs(letters, units, i, j, guess=guess):
                    total = base + cost
                    old = best[k].get(q)
                    if old is None or total < old[0]:
                        best[k][q] = (total, i, j, pieces)
        if n == 0 or m not in best[n]:
            return None
        found: list[Piece] = []
        i, j = n, m
        while (i, j) != (0, 0):
            _, previous_i, previous_j, pieces = best[i][j]
            found.extend(reversed(pieces))
            i, j = previous_i, previous_j
        return best[n][m][0], found[::-1]

    def _arcs(
        self, letters: _Letters, units: tuple[str, ...], i: int, j: int, *, guess: bool
    ) -> Iterator[_Arc]:
        """Every step from letter i and sound j."""
        if letters.word[i] in SKIPPED:
            yield i + 1, j, 0.0, ()
            return
        for fit in letters.matches(units, i, j):
            q = j + len(fit.rule.units)
            yield fit.end, q, fit.cost, ((fit.rule.row, ((i, fit.end),), j, q),)
        for fit in letters.split[i]:
            wanted = fit.rule.units
            if units[j : j + len(wanted)] == wanted:
                yield from self._split_arcs(letters, fit, units, i, j)
        if guess:
            yield i + 1, j, _FALLBACK_GAP, ((None, ((i, i + 1),), j, j),)
            for width in (1, 2):
                if j + width <= len(units):
                    piece = (None, ((i, i + 1),), j, j + width)
                    yield i + 1, j + width, _FALLBACK_PAIR * width, (piece,)

    def _split_arcs(
        self, letters: _Letters, vowel: _Fit, units: tuple[str, ...], i: int, j: int
    ) -> Iterator[_Arc]:
        """A split vowel: its letter, one consonant grapheme (or s and t), its e."""
        word, q = letters.word, j + len(vowel.rule.units)
        for middle in letters.matches(units, i + 1, q):
            if not middle.rule.consonant:
                continue
            e, r = middle.end, q + len(middle.rule.units)
            pieces: list[Piece] = [(middle.rule.row, ((i + 1, e),), q, r)]
            cost = vowel.cost + middle.cost
            if (
                middle.rule.row.key == "s=S"
                and word[e : e + 1] == "t"
                and units[r : r + 1] == ("T",)
            ):
                for plain in self._t:
                    pieces.append((plain.row, ((e, e + 1),), r, r + 1))
                    cost += plain.cost
                    e, r = e + 1, r + 1
            if _e_may_mark(word, e, letters.seams):
                first: Piece = (vowel.rule.row, ((i, i + 1), (e, e + 1)), j, q)
                yield e + 1, r, max(0.1, cost - _SPLIT_BONUS), (first, *pieces)
