"""The lexicon: every word that Larkslate knows, from a file built once on the user's machine.

Opening and looking up import nothing heavy. A word that is not in the file may still be derived from one
that is (a possessive, a regular form): see ``larkslate.words.derived``.
"""

from __future__ import annotations

import sqlite3
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from larkslate.errors import Malformed, Missing
from larkslate.words.model import Reading, Status, SyllableType, Word
from larkslate.words.store import (
    ENTRY_COLUMNS,
    Codec,
    Entry,
    lexicon_path,
    open_database,
    read_entries,
)

__all__ = ["Entry", "Lexicon", "Query", "build", "straight"]

_APOSTROPHES = str.maketrans(dict.fromkeys("’‘`´ʼ", "'"))
POSITIONS = ("", "initial", "medial", "final")


def straight(word: str) -> str:
    """The word composed (NFC), without blanks around, every kind of apostrophe written as ``'``."""
    return unicodedata.normalize("NFC", word).translate(_APOSTROPHES).strip()


@dataclass(frozen=True, slots=True)
class Query:
    """What ``find`` looks for; all that is set must hold, for the first reading.

    ``needs`` are skill ids; a ``*`` at the end stands for any rest (``gp:ough=*``). ``spelling`` are the
    letters of one grapheme (``tch``, ``a_e``), ``sounds`` what it spells; ``sounds`` alone is a run of sounds
    anywhere. Sounds are ARPAbet without stress digits, schwa ``AH0``. ``position`` is initial, medial, final
    or blank. ``types`` are syllable types that must all occur, ``pos`` one part of speech. Words that are
    not for children are left out, and names unless ``names``.
    """

    needs: tuple[str, ...] = ()
    sounds: tuple[str, ...] = ()
    spelling: str = ""
    position: str = ""
    syllables: int | None = None
    types: tuple[str, ...] = ()
    zipf_min: float = 0.0
    pos: str = ""
    names: bool = False
    limit: int | None = None


class Lexicon:
    """An open lexicon file. Reading from several threads is safe."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self.path = path
        meta = dict(connection.execute("SELECT key, value FROM meta"))
        self.sources: dict[str, str] = {
            k.removeprefix("source-"): v for k, v in meta.items() if k.startswith("source-")
        }
        self.failed: tuple[str, ...] = tuple(meta["failed"].splitlines())
        """Words that broke the build, each with the error; left out of the file."""
        self._codec = Codec(bytes.fromhex(meta["shared"]))
        self._memory: dict[str, Word | None] = {}

    @classmethod
    def open(cls, path: Path | None = None, *, check: bool = True) -> Lexicon:
        """Open the file read-only. Raises Missing if it was never built, OutOfDate if by another version.

        ``check=False`` takes a file of another version as it is (for work on the program itself).
        """
        place = path or lexicon_path()
        return cls(open_database(place, check=check), place)

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def __len__(self) -> int:
        return int(self._connection.execute("SELECT count(*) FROM entry").fetchone()[0])

    def __contains__(self, word: str) -> bool:
        return self.get(word) is not None

    @cached_property
    def skills(self) -> tuple[str, ...]:
        """Skill ids; the index is the bit of a mask."""
        return tuple(
            str(row[0]) for row in self._connection.execute("SELECT id FROM skill ORDER BY bit")
        )

    @cached_property
    def bit(self) -> dict[str, int]:
        """The bit of each skill."""
        return {skill: bit for bit, skill in enumerate(self.skills)}

    def bits(self, pattern: str) -> int:
        """The mask of a skill, or of all skills that fit a pattern ending in ``*``. Raises Missing."""
        if pattern.endswith("*"):
            found = [b for skill, b in self.bit.items() if skill.startswith(pattern[:-1])]
        else:
            found = [self.bit[pattern]] if pattern in self.bit else []
        if not found:
            raise Missing(f"No word of the list needs the skill {pattern}: see `larkslate skills`.")
        return sum(1 << b for b in found)

    def get(self, word: str) -> Word | None:
        """The word as it stands in the file: exactly, then in lower case; None if it is not there."""
        plain = straight(word)
        if plain not in self._memory:
            found = self._read(plain)
            if found is None and plain.lower() != plain:
                found = self._read(plain.lower())
            if len(self._memory) > 20_000:  # a long session must not grow without bound
                self._memory.clear()
            self._memory[plain] = found
        return self._memory[plain]

    def _read(self, key: str) -> Word | None:
        row = self._connection.execute("SELECT value FROM body WHERE word = ?", (key,)).fetchone()
        return None if row is None else self._codec.unpack(row[0])

    def lookup(self, word: str) -> Word:
        """All that is known about a word, derived where the file does not have it.

        A contraction or possessive of known words is worked out by rule (automatic), any other regular
        form too (fallback). What is left is UNKNOWN, without readings.
        """
        found = self.get(word)
        if found is not None:
            return found
        plain = straight(word)
        if not any(c.isalpha() for c in plain) or len(plain) > 60:
            return Word(word, Status.UNKNOWN, 0.0, ())
        from larkslate.words.derived import derive  # noqa: PLC0415 - the word parts are slow to load

        return derive(plain, self)

    # What the pipeline asks of a source, so that it can run on words that are not in the file.

    def zipf(self, word: str) -> float:
        """log10 of occurrences per thousand million words; 0 where unknown."""
        found = self.get(word)
        return found.zipf if found else 0.0

    def readings(self, word: str) -> tuple[Reading, ...]:
        """The readings of a word in the file; empty where unknown."""
        found = self.get(word)
        return found.readings if found else ()

    @cached_property
    def _all(self) -> tuple[Entry, ...]:
        rows = self._connection.execute(
            f"SELECT {ENTRY_COLUMNS} FROM entry ORDER BY rank"  # noqa: S608 - a constant
        )
        return tuple(read_entries(rows))

    def entries(self, min_zipf: float = 0.0) -> list[Entry]:
        """Every word at least this common, the commonest first; read once and kept."""
        return [e for e in self._all if e.zipf >= min_zipf]

    def entry(self, word: str) -> Entry | None:
        """The entry of one word, without reading all; None if it is not there."""
        plain = straight(word)
        for key in dict.fromkeys((plain, plain.lower())):
            row = self._connection.execute(
                f"SELECT {ENTRY_COLUMNS} FROM entry WHERE word = ?",  # noqa: S608 - a constant
                (key,),
            ).fetchone()
            if row is not None:
                return next(read_entries([row]))
        return None

    def find(self, query: Query) -> list[Entry]:
        """The words that fit a query, the commonest first. Raises Malformed or Missing for a wrong query."""
        if query.position not in POSITIONS:
            raise Malformed(
                f"{query.position!r} is not a position: write initial, medial or final."
            )
        unknown = set(query.types) - {t.value for t in SyllableType}
        if unknown:
            raise Malformed(
                f"{', '.join(sorted(unknown))}: no such syllable type; there are "
                f"{', '.join(t.value for t in SyllableType)}."
            )
        wanted = [self.bits(need) for need in query.needs]
        out: list[Entry] = []
        for entry in self._all:
            full = query.limit is not None and len(out) >= query.limit
            if full or entry.zipf < query.zipf_min:
                break
            if "unsuitable" in entry.flags or ("name" in entry.flags and not query.names):
                continue
            if not all(entry.mask & mask for mask in wanted):
                continue
            if query.syllables is not None and entry.syllables != query.syllables:
                continue
            if query.pos and query.pos not in entry.pos:
                continue
            if all(t in entry.types for t in query.types) and _sounds_right(entry, query):
                out.append(entry)
        return out


def _sounds_right(entry: Entry, query: Query) -> bool:
    """True if the spelling and sounds asked for stand at the position asked for."""
    if query.spelling:
        last = len(entry.spelled) - 1
        said = ".".join(query.sounds)
        for place, item in enumerate(entry.spelled):
            letters, _, sounds = item.partition("=")
            if letters == query.spelling and (not said or sounds == said):
                if _at(place, last, query.position):
                    return True
        return False
    if query.sounds:
        size = len(query.sounds)
        last = len(entry.sounds) - size
        return any(
            entry.sounds[i : i + size] == query.sounds and _at(i, last, query.position)
            for i in range(last + 1)
        )
    return True


def _at(place: int, last: int, position: str) -> bool:
    """True if a place of 0 to ``last`` is at the position."""
    if not position:
        return True
    if position == "initial":
        return place == 0
    if position == "final":
        return place == last
    return 0 < place < last


def build(
    path: Path | None = None,
    progress: Callable[[int, int, str], None] | None = None,
    workers: int | None = None,
) -> Path:
    """Build the lexicon file and return its path; ``progress`` gets (done, total, what).

    Reads the pronouncing dictionary and the word frequencies from their packages, uses every core unless
    ``workers`` says otherwise. Raises Missing if a package is not there.
    """
    from larkslate.words.building import build_file  # noqa: PLC0415 - build-time packages

    return build_file(path or lexicon_path(), progress, workers)
