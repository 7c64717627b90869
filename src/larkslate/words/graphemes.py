"""The table of graphemes and the alignment of a word's letters with its sounds.

A grapheme is a teaching unit: the letters that spell one sound (``tch``), rarely two (``x``) or none
(the ``h`` of *honest*). The table ``data/graphemes.tsv`` lists every unit that may be used, where it may
stand, and what it costs; ``align`` finds the cheapest way to cover a word, so a correction is a change to
one row. The costs are natural logarithms fitted by ``benchmarks/fit_graphemes.py`` (expectation
maximization over the commonest words).

Policy of the units (a seam is the place where two morphemes meet):

* a split vowel (``a_e`` in *make*) is one unit with two spans and encloses one consonant grapheme
  (or s + t in *taste*); the e is used where it marks the vowel of the table;
* any other silent e belongs to the letters before it: ``ve``, ``ce``, ``ge``, ``se``, ``le``;
* the past ending without a vowel is one unit (*jumped*: ``ed`` = T); *wanted* has ``e`` and ``d``;
  ``es`` without a vowel is one unit after o and after y changed to i (*goes*, *cries*);
* a vowel and r before a consonant, a seam or the end are one unit (*car*, *star+ing*); before a vowel
  they are two, because the syllable may be divided there (*story*, *very*), except for ER.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from larkslate.datafile import text
from larkslate.words.aligning import Aligner
from larkslate.words.model import Grapheme
from larkslate.words.reviewed import reviewed_graphemes
from larkslate.words.sounds import unit
from larkslate.words.spellings import Spelling, read_table

COMMON_SHARE = 0.05
"""A spelling is called common if it is used in at least this share of the words with its sounds."""


@dataclass(frozen=True, slots=True)
class Alignment:
    """A word covered by graphemes. ``fallback`` is True where the table did not fit."""

    graphemes: tuple[Grapheme, ...]
    cost: float
    fallback: bool


class Table:
    """The rows of a grapheme table, and the look-ups derived from them."""

    def __init__(self, rows: Sequence[Spelling]) -> None:
        self.rows = tuple(rows)
        self._aligner = Aligner(self.rows)
        self._by_sound: dict[tuple[str, ...], list[Spelling]] = defaultdict(list)
        self._by_letters: dict[str, list[Spelling]] = defaultdict(list)
        for row in self.rows:
            self._by_sound[row.phonemes].append(row)
            self._by_letters[row.letters].append(row)

    def spellings_of(self, phonemes: Sequence[str]) -> tuple[Spelling, ...]:
        """The rows that spell exactly these sounds, the commonest first."""
        found = self._by_sound.get(tuple(unit(p) for p in phonemes), [])
        return tuple(sorted(found, key=lambda r: -r.share))

    def sounds_of(self, letters: str) -> tuple[Spelling, ...]:
        """The rows with exactly these letters, the cheapest first."""
        return tuple(sorted(self._by_letters.get(letters, []), key=lambda r: r.cost))

    def align(self, word: str, phonemes: Sequence[str], seams: Iterable[int] = ()) -> Alignment:
        """The cheapest cover of a word by the table; see the module's ``align``."""
        return self.explain(word, phonemes, seams)[0]

    def explain(
        self, word: str, phonemes: Sequence[str], seams: Iterable[int] = ()
    ) -> tuple[Alignment, tuple[Spelling, ...]]:
        """The alignment, and the rows of the table that it uses."""
        letters = word.lower()
        units = tuple(unit(p) for p in phonemes)
        at_seams = frozenset(seams)
        found = self._aligner.search(letters, units, at_seams, guess=False)
        fallback = found is None
        if found is None:
            found = self._aligner.search(letters, units, at_seams, guess=True)
        if found is None:  # only an empty word or no sounds
            return Alignment((), 0.0, fallback=True), ()
        cost, pieces = found
        graphemes = [
            Grapheme("_".join(letters[a:b] for a, b in spans), tuple(spans), tuple(phonemes[p:q]))
            for _, spans, p, q in pieces
        ]
        graphemes.sort(key=lambda g: g.start)
        rows = tuple(row for row, _, _, _ in pieces if row is not None)
        return Alignment(tuple(graphemes), cost, fallback), rows


@lru_cache(maxsize=1)
def table() -> Table:
    """The shipped table, read once."""
    return Table(read_table(text("words", "graphemes.tsv")))


def align(word: str, phonemes: Sequence[str], seams: Iterable[int] = ()) -> Alignment:
    """Cover a word's letters with graphemes that spell its sounds.

    ``phonemes`` carry stress digits; ``seams`` are letter indices where a morpheme begins, where they
    are known (*boring*: 3). Apostrophes and hyphens stand outside all graphemes. Where the table does
    not fit, the result is marked ``fallback`` and pairs letters with sounds one by one. A reading whose
    graphemes are settled in the override table is taken from there.
    """
    settled = reviewed_graphemes(word.lower(), phonemes)
    if settled is not None:
        return Alignment(settled, 0.0, fallback=False)
    return table().align(word, phonemes, seams)


def spellings_of(phonemes: str | Sequence[str]) -> list[tuple[str, float]]:
    """The spellings of one sound (or the sounds of one grapheme), the commonest first.

    Each with its share of all words with these sounds, 0 to 1: ``spellings_of("F")`` begins with
    ``("f", ...)``. Stress digits are ignored, except that ``AH0`` is the weak vowel.
    """
    sounds = (phonemes,) if isinstance(phonemes, str) else tuple(phonemes)
    shares: dict[str, float] = defaultdict(float)
    for row in table().spellings_of(sounds):
        shares[row.letters] += row.share
    return sorted(shares.items(), key=lambda item: (-item[1], item[0]))


def sounds_of(letters: str) -> list[tuple[tuple[str, ...], float]]:
    """What the letters of one grapheme can spell, likeliest first, each with the share of its sound."""
    shares: dict[tuple[str, ...], float] = {}
    for row in table().sounds_of(letters):
        shares[row.phonemes] = shares.get(row.phonemes, 0.0) + row.share
    return list(shares.items())


def can_spell(letters: str, phonemes: Sequence[str], position: str = "") -> str | None:
    """Whether the letters of one grapheme spell the sounds in English words at a position.

    ``position`` is ``initial``, ``medial``, ``final`` or blank for any. Returns ``common`` (at least
    1 in 20 words with these sounds), ``rare``, or None. Split vowels are written ``a_e``.
    """
    sounds = tuple(unit(p) for p in phonemes)
    share, found = 0.0, False
    for row in table().sounds_of(letters):
        if row.phonemes == sounds and _place_allows(row.where, position):
            found, share = True, share + row.share
    if not found:
        return None
    return "common" if share >= COMMON_SHARE else "rare"


def _place_allows(where: str, position: str) -> bool:
    """True if a row's place takes in the position asked for."""
    if not where or not position or where == position:
        return True
    return where.startswith("not-") and where != f"not-{position}"
