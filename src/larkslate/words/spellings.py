"""The rows of the grapheme table: letters, the sounds they spell, where they may stand, what they cost.

Columns ``before`` and ``after`` hold conditions, separated by blanks: letters that must follow or come
before (one of them), ``!`` before letters that must not, ``#`` for the end or start of the word, ``V`` any
vowel letter (a e i o u y), ``C`` any consonant letter, ``+`` (in ``before``) a seam, the end or a consonant.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from larkslate.datafile import Row, parse_tsv
from larkslate.errors import Malformed
from larkslate.words.sounds import SYMBOLS

COLUMNS = ("letters", "phonemes", "where", "before", "after", "cost", "share", "example", "note")
PLACES = ("", "initial", "final", "medial", "not-initial", "not-final")
DEAREST = 25.0
"""Every cost lies below this, so that the table always wins over a guess."""


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
    if not (0 < cost < DEAREST and 0 <= share <= 1):
        raise row.bad(f"cost must lie between 0 and {DEAREST:g}, share between 0 and 1.")
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
