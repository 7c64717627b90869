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

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from larkslate.datafile import Row, parse_tsv, text
from larkslate.errors import Malformed
from larkslate.words.model import Grapheme
from larkslate.words.reviewed import reviewed_graphemes
from larkslate.words.sounds import SYMBOLS, VOWELS, unit

COLUMNS = ("letters", "phonemes", "where", "before", "after", "cost", "share", "example", "note")
PLACES = ("", "initial", "final", "medial", "not-initial", "not-final")
APOSTROPHES = "'’"
SKIPPED = frozenset(APOSTROPHES + "-. ")

COMMON_SHARE = 0.05
"""A spelling is called common if it is used in at least this share of the words with its sounds."""

_FALLBACK_PAIR = 30.0  # any letter for any sound: dearer than every row of the table
_FALLBACK_GAP = 25.0
_ACROSS_SEAM = 4.0  # stud|ies is i and es, cook|ie|s is ie and s; misspell has no other way than ss
_SPLIT_BONUS = (
    3.0  # a silent e that can mark the vowel is read so before it is left to the consonant
)


@dataclass(frozen=True, slots=True)
class Spelling:
    """One row of the table: ``phonemes`` without stress digits (schwa is ``AH0``).

    ``share`` is how often, of all spellings of these sounds, this one is used (0 to 1, by words).
    """

    letters: str
    phonemes: tuple[str, ...]
    where: str
    before: str
    after: str
    cost: float
    share: float
    example: str
    note: str

    @property
    def split(self) -> bool:
        """True for a split vowel such as ``a_e``."""
        return "_" in self.letters

    @property
    def key(self) -> str:
        """The spelling and its sounds as skill ids write them: ``tch=CH``, ``x=K.S``, ``h=``."""
        return f"{self.letters}={'.'.join(self.phonemes)}"


@dataclass(frozen=True, slots=True)
class Alignment:
    """A word covered by graphemes. ``fallback`` is True where the table did not fit."""

    graphemes: tuple[Grapheme, ...]
    cost: float
    fallback: bool


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
    cost: float


_VOWEL_LETTERS = "aeiouy"


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


def _read_spelling(row: Row) -> Spelling:
    """One checked row. Raises Malformed that names it."""
    letters, phonemes = row["letters"], tuple(row["phonemes"].split())
    if not re.fullmatch(r"[a-z]+(_e)?", letters):
        raise row.bad(f"{letters!r} is not letters (a split vowel is written a_e).")
    for p in phonemes:
        if p != "AH0" and p not in SYMBOLS:
            raise row.bad(f"{p!r} is not a sound (write it without stress digit; schwa is AH0).")
    if row["where"] not in PLACES:
        raise row.bad(f"{row['where']!r} is not a place ({', '.join(PLACES[1:])} or blank).")
    try:
        cost, share = float(row["cost"]), float(row["share"])
    except ValueError:
        raise row.bad("cost and share must be numbers.") from None
    if not (0 < cost < _FALLBACK_GAP and 0 <= share <= 1):
        raise row.bad(f"cost must lie between 0 and {_FALLBACK_GAP:g}, share between 0 and 1.")
    return Spelling(
        letters,
        phonemes,
        row["where"],
        row["before"],
        row["after"],
        cost,
        share,
        row["example"],
        row["note"],
    )


def read_table(content: str, file: str = "words/data/graphemes.tsv") -> tuple[Spelling, ...]:
    """The rows of a grapheme table, checked. Raises Malformed naming a bad or repeated row."""
    rows: list[Spelling] = []
    seen: dict[tuple[str, str, str], int] = {}
    for row in parse_tsv(content, file, COLUMNS):
        spelling = _read_spelling(row)
        key = (spelling.key, spelling.before, spelling.after)
        if key in seen:
            raise row.bad(f"{spelling.key} stands already in line {seen[key]}.")
        seen[key] = row.line
        rows.append(spelling)
    if not rows:
        raise Malformed(f"{file}: the table is empty.")
    return tuple(rows)


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


_Arc = tuple[
    int, int, float, tuple[tuple[_Rule | None, tuple[tuple[int, int], ...], int, int], ...]
]
"""Letters and sounds used, cost, and the graphemes: rule (None: fallback), spans, sounds from, to."""


class Table:
    """The rows of a grapheme table, and the look-ups derived from them."""

    def __init__(self, rows: Sequence[Spelling]) -> None:
        self.rows = tuple(rows)
        self._whole: dict[str, list[_Rule]] = defaultdict(list)
        self._split: dict[str, list[_Rule]] = defaultdict(list)
        for row in self.rows:
            rule = _rule(row)
            (self._split if row.split else self._whole)[rule.first[0]].append(rule)
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
        found = self._search(letters, units, at_seams, fallback=False)
        fallback = found is None
        if found is None:
            found = self._search(letters, units, at_seams, fallback=True)
        if found is None:  # only an empty word or no sounds
            return Alignment((), 0.0, fallback=True), ()
        cost, pieces = found
        graphemes = [
            Grapheme("_".join(letters[a:b] for a, b in spans), tuple(spans), tuple(phonemes[p:q]))
            for _, spans, p, q in pieces
        ]
        graphemes.sort(key=lambda g: g.start)
        rows = tuple(rule.row for rule, _, _, _ in pieces if rule is not None)
        return Alignment(tuple(graphemes), cost, fallback), rows

    def _search(
        self, word: str, units: tuple[str, ...], seams: frozenset[int], *, fallback: bool
    ) -> tuple[float, list[tuple[_Rule | None, tuple[tuple[int, int], ...], int, int]]] | None:
        """Viterbi over (letters used, sounds used)."""
        n, m = len(word), len(units)
        best: list[dict[int, tuple[float, int, int, _Arc | None]]] = [{} for _ in range(n + 1)]
        best[0][0] = (0.0, -1, -1, None)
        for i in range(n):
            here = best[i]
            if not here:
                continue
            for j in sorted(here):
                base = here[j][0]
                for arc in self._arcs(word, units, i, j, seams, fallback=fallback):
                    k, q, cost, _ = arc
                    total = base + cost
                    old = best[k].get(q)
                    if old is None or total < old[0]:
                        best[k][q] = (total, i, j, arc)
        if m not in best[n] or n == 0:
            return None
        pieces: list[tuple[_Rule | None, tuple[tuple[int, int], ...], int, int]] = []
        i, j = n, m
        while (i, j) != (0, 0):
            _, pi, pj, arc_used = best[i][j]
            if arc_used is not None:
                pieces.extend(reversed(arc_used[3]))
            i, j = pi, pj
        return best[n][m][0], pieces[::-1]

    def _matches(
        self, word: str, units: tuple[str, ...], i: int, j: int, seams: frozenset[int]
    ) -> Iterator[_Rule]:
        """The whole (not split) rows that fit at letter i and sound j."""
        for rule in self._whole.get(word[i], ()):
            width = len(rule.units)
            if (
                units[j : j + width] == rule.units
                and word.startswith(rule.first, i)
                and _fits(rule, word, i, i + len(rule.first), seams)
            ):
                yield rule

    def _arcs(
        self,
        word: str,
        units: tuple[str, ...],
        i: int,
        j: int,
        seams: frozenset[int],
        *,
        fallback: bool,
    ) -> Iterator[_Arc]:
        """Every step from letter i and sound j."""
        if word[i] in SKIPPED:
            yield i + 1, j, 0.0, ()
            return
        for rule in self._matches(word, units, i, j, seams):
            end, q = i + len(rule.first), j + len(rule.units)
            crossing = any(i < seam < end for seam in seams)
            cost = rule.cost + (_ACROSS_SEAM if crossing else 0.0)
            yield end, q, cost, ((rule, ((i, end),), j, q),)
        for rule in self._split.get(word[i], ()):
            width = len(rule.units)
            if units[j : j + width] == rule.units and word.startswith(rule.first, i):
                yield from self._split_arcs(rule, word, units, i, j, seams)
        if fallback:
            yield i + 1, j, _FALLBACK_GAP, ((None, ((i, i + 1),), j, j),)
            for width in (1, 2):
                if j + width <= len(units):
                    cost = _FALLBACK_PAIR * width
                    yield i + 1, j + width, cost, ((None, ((i, i + 1),), j, j + width),)

    def _split_arcs(
        self,
        rule: _Rule,
        word: str,
        units: tuple[str, ...],
        i: int,
        j: int,
        seams: frozenset[int],
    ) -> Iterator[_Arc]:
        """A split vowel: its letter, one consonant grapheme (or s and t), its e."""
        start, q = i + len(rule.first), j + len(rule.units)
        if start >= len(word) or word[start] in _VOWEL_LETTERS:
            return
        if not _fits(rule, word, i, start, seams):
            return
        for middle in self._matches(word, units, start, q, seams):
            if not middle.units or any(u in VOWELS or u == "AH0" for u in middle.units):
                continue
            pieces = [(middle, ((start, start + len(middle.first)),), q, q + len(middle.units))]
            e, r = start + len(middle.first), q + len(middle.units)
            cost = rule.cost + middle.cost
            if middle.row.key == "s=S" and word.startswith("t", e) and units[r : r + 1] == ("T",):
                pieces.append((self._plain_t, ((e, e + 1),), r, r + 1))
                cost += self._plain_t.cost
                e, r = e + 1, r + 1
            if _e_may_mark(word, e, seams):
                first = (rule, ((i, start), (e, e + 1)), j, q)
                yield e + 1, r, max(0.1, cost - _SPLIT_BONUS), (first, *pieces)

    @property
    def _plain_t(self) -> _Rule:
        return next(r for r in self._whole["t"] if r.row.key == "t=T")


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
