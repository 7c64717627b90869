"""The override table: words read one by one, whose pronunciation or graphemes the rules do not decide.

``data/reviewed.tsv`` has one row for each reading, the default first. A blank cell means: as the rules
have it. Graphemes are written ``tch=CH``, sounds joined by a dot (``x=K.S``), a silent letter with nothing
after the sign (``h=``), a split vowel where its first letter stands (``m=M a_e=EY k=K``). Sounds here carry
no stress digit, except schwa, ``AH0``. Morphemes are written as they stand alone, joined by plus signs
(``hop+ing``). ``status`` is *reviewed* (read one by one by the person or role in ``by``) or *checked*.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from larkslate.datafile import Row, parse_tsv, text
from larkslate.errors import LarkslateError, Malformed
from larkslate.words.model import Grapheme, Span, Status
from larkslate.words.sounds import parse, unit

COLUMNS = (
    "word", "pos", "phonemes", "graphemes", "division", "morphemes", "note", "status", "by", "date",
)  # fmt: skip
FILE = "words/data/reviewed.tsv"
OUTSIDE = frozenset("'’-")


@dataclass(frozen=True, slots=True)
class Override:
    """One row: what a reviewer settled about one reading of a word. Empty: as the rules have it."""

    word: str
    pos: tuple[str, ...]
    phonemes: tuple[str, ...]
    graphemes: tuple[Grapheme, ...]
    division: str
    morphemes: tuple[str, ...]
    note: str
    status: Status
    by: str
    date: str


def parse_graphemes(word: str, notation: str, phonemes: Sequence[str]) -> tuple[Grapheme, ...]:
    """Graphemes from the notation; letters must make up the word and sounds the phonemes.

    Raises Malformed saying what does not fit.
    """
    lower = word.lower()
    at, said = 0, 0
    open_e: list[int] = []  # graphemes that still wait for their e
    found: list[tuple[list[Span], tuple[str, ...]]] = []

    def close_e() -> bool:
        nonlocal at
        if open_e and lower.startswith("e", at):
            found[open_e.pop()][0].append((at, at + 1))
            at += 1
            return True
        return False

    for item in notation.split():
        letters, sign, sounds = item.partition("=")
        if not sign or not re.fullmatch(r"[a-z]+(_e)?", letters):
            raise Malformed(f"{item!r} is not written letters=SOUNDS.")
        wanted = tuple(s for s in sounds.split(".") if s)
        here = tuple(phonemes[said : said + len(wanted)])
        if tuple(unit(p) for p in here) != wanted:
            raise Malformed(f"{item!r} does not fit the sounds {' '.join(phonemes)}.")
        said += len(wanted)
        while at < len(lower) and lower[at] in OUTSIDE:
            at += 1
        first, _, e = letters.partition("_")
        if not lower.startswith(first, at) and not (
            close_e() and lower.startswith(first, _skip(lower, at))
        ):
            raise Malformed(f"{item!r} does not fit the letters of {word!r}.")
        at = _skip(lower, at)
        if e:
            open_e.append(len(found))
        found.append(([(at, at + len(first))], here))
        at += len(first)
    close_e()
    if _skip(lower, at) != len(lower) or said != len(phonemes) or open_e:
        raise Malformed(f"{notation!r} leaves letters or sounds of {word!r} over.")
    return tuple(
        Grapheme("_".join(lower[a:b] for a, b in spans), tuple(spans), here)
        for spans, here in found
    )


def _skip(word: str, at: int) -> int:
    """The next index that is not an apostrophe or hyphen."""
    while at < len(word) and word[at] in OUTSIDE:
        at += 1
    return at


def format_graphemes(graphemes: Iterable[Grapheme]) -> str:
    """The notation of graphemes: the inverse of ``parse_graphemes``."""
    return " ".join(f"{g.letters}={'.'.join(unit(p) for p in g.phonemes)}" for g in graphemes)


def _read(row: Row) -> Override:
    """One checked row. Raises Malformed that names it."""
    word = row["word"]
    if not re.fullmatch(r"'?[a-z]+(['-][a-z]+)*'?", word):
        raise row.bad(f"{word!r} is not a word in lower case.")
    try:
        phonemes = parse(row["phonemes"])
        if row["graphemes"] and not phonemes:
            raise Malformed("graphemes need phonemes.")
        graphemes = parse_graphemes(word, row["graphemes"], phonemes) if row["graphemes"] else ()
    except LarkslateError as error:
        raise row.bad(str(error)) from None
    if row["division"] and row["division"].replace("-", "") != word.replace("-", ""):
        raise row.bad(f"the division {row['division']!r} has not the letters of {word!r}.")
    if row["status"] not in (Status.REVIEWED, Status.CHECKED):
        raise row.bad("status must be reviewed or checked.")
    if not row["by"] or not re.fullmatch(r"\d{4}-\d{2}-\d{2}", row["date"]):
        raise row.bad("a row needs who read it (initials or role) and a date like 2026-11-25.")
    return Override(
        word,
        tuple(row["pos"].split()),
        phonemes,
        graphemes,
        row["division"],
        tuple(p for p in row["morphemes"].split("+") if p),
        row["note"],
        Status(row["status"]),
        row["by"],
        row["date"],
    )


def read_overrides(content: str, file: str = FILE) -> dict[str, tuple[Override, ...]]:
    """The table by word. Raises Malformed naming a bad row; a reading may stand only once."""
    table: dict[str, list[Override]] = {}
    for row in parse_tsv(content, file, COLUMNS):
        override = _read(row)
        rows = table.setdefault(override.word, [])
        if any(o.phonemes == override.phonemes for o in rows):
            raise row.bad(f"this reading of {override.word!r} stands twice.")
        rows.append(override)
    return {word: tuple(rows) for word, rows in table.items()}


@cache
def overrides() -> dict[str, tuple[Override, ...]]:
    """The shipped table, read once."""
    return read_overrides(text("words", "reviewed.tsv"))


def _settled(word: str, units: tuple[str, ...]) -> Override | None:
    """The row of a reading whose graphemes are settled."""
    for override in overrides().get(word, ()):
        if override.graphemes and tuple(unit(p) for p in override.phonemes) == units:
            return override
    return None


_ENDINGS: tuple[tuple[str, tuple[str, ...], tuple[tuple[int, int], ...]], ...] = (
    # letters, sounds, and the letters and sounds of each grapheme
    ("s", ("S",), ((1, 1),)),
    ("s", ("Z",), ((1, 1),)),
    ("'s", ("S",), ((2, 1),)),
    ("'s", ("Z",), ((2, 1),)),
    ("es", ("IH", "Z"), ((1, 1), (1, 1))),
    ("ed", ("T",), ((2, 1),)),
    ("ed", ("D",), ((2, 1),)),
    ("ed", ("IH", "D"), ((1, 1), (1, 1))),
    ("ing", ("IH", "NG"), ((1, 1), (2, 1))),
    ("ly", ("L", "IY"), ((1, 1), (1, 1))),
)


def reviewed_graphemes(word: str, phonemes: Sequence[str]) -> tuple[Grapheme, ...] | None:
    """The settled graphemes of a reading, with its own stress digits; None where none are settled.

    A regular form whose base keeps all its letters has the graphemes of its base (*walk*, *walked*).
    """
    units = tuple(unit(p) for p in phonemes)
    whole = _settled(word, units)
    if whole is not None:
        said = iter(phonemes)
        return tuple(
            Grapheme(g.letters, g.spans, tuple(next(said) for _ in g.phonemes))
            for g in whole.graphemes
        )
    for letters, sounds, pieces in _ENDINGS:
        size = len(units) - len(sounds)
        if not word.endswith(letters) or units[size:] != sounds:
            continue
        stem = word[: -len(letters)]
        base = _settled(stem, units[:size])
        if base is None or (stem[-1] == "e" and letters[0] in "ei"):
            continue
        said = iter(phonemes)
        found = [
            Grapheme(g.letters, g.spans, tuple(next(said) for _ in g.phonemes))
            for g in base.graphemes
        ]
        at = len(stem)
        for count, heard in pieces:
            start = _skip(word, at)
            end = at + count
            sound = tuple(next(said) for _ in range(heard))
            found.append(Grapheme(word[start:end], ((start, end),), sound))
            at = end
        return tuple(found)
    return None
