"""The built lexicon: an SQLite file in the user's cache, opened read-only and asked word by word.

The file is made by ``words.build`` and carries a stamp of the code and data it was made from. Opening
it imports nothing heavy: the first answer comes a few milliseconds after the file is opened.
"""

from __future__ import annotations

import os
import sqlite3
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from larkslate.errors import Malformed, Missing, OutOfDate
from larkslate.words.model import Status, Word

if TYPE_CHECKING:
    import msgspec

FILE_NAME = "lexicon.sqlite"
APOSTROPHES = str.maketrans(dict.fromkeys("’‘`´ʼ", "'"))
HOW_TO_BUILD = "Start Larkslate once with `python3 run.py`, or run `larkslate doctor --build`."


def cache_folder() -> Path:
    """Where built files live: LARKSLATE_CACHE, or the platform's place for caches."""
    chosen = os.environ.get("LARKSLATE_CACHE")
    if chosen:
        return Path(chosen)
    from platformdirs import user_cache_path

    return user_cache_path("larkslate", appauthor=False)


def default_path() -> Path:
    """The file that ``Lexicon.open`` opens and ``build`` makes."""
    return cache_folder() / FILE_NAME


def normal(word: str) -> str:
    """A word as the lexicon keys it before case: NFC, plain apostrophes, no blanks around."""
    return unicodedata.normalize("NFC", word).translate(APOSTROPHES).strip()


@dataclass(frozen=True, slots=True)
class Entry:
    """A word reduced to what choosing asks. ``mask`` and ``rest`` are bits over ``Lexicon.skills``.

    ``bases`` are its free bases (the word itself when simple) and ``rest`` what it needs beyond them.
    ``types`` are the syllable types in order, ``sounds`` the default reading in ARPAbet.
    """

    word: str
    zipf: float
    syllables: int
    pos: tuple[str, ...]
    flags: frozenset[str]
    status: Status
    mask: int
    bases: tuple[str, ...]
    rest: int
    sounds: tuple[str, ...]
    types: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Query:
    """What ``find`` looks for; all conditions must hold, an empty one holds always.

    ``needs`` are skill ids; a ``*`` at the end stands for any rest (``gp:ough=*``). ``spelling`` is letters
    that stand in the word, at ``position`` "initial", "medial", "final" or anywhere; ``sounds`` a run of
    ARPAbet symbols without stress.
    """

    needs: tuple[str, ...] = ()
    spelling: str = ""
    position: str = ""
    sounds: tuple[str, ...] = ()
    syllables: int | None = None
    types: tuple[str, ...] = ()
    pos: str = ""
    zipf_min: float = 0.0
    limit: int | None = None


def _mask_bytes(mask: int) -> bytes:
    return mask.to_bytes((mask.bit_length() + 7) // 8 or 1, "little")


def _mask(blob: bytes) -> int:
    return int.from_bytes(blob, "little")


class Lexicon:
    """The words, read-only. Use ``Lexicon.open()``."""

    def __init__(self, connection: sqlite3.Connection, skills: tuple[str, ...]) -> None:
        self._connection = connection
        self.skills = skills
        self._entries: list[Entry] | None = None

    @classmethod
    def open(cls, path: Path | None = None, *, stamp: str | None = None) -> Lexicon:
        """Open the built file.

        Raises Missing where there is none and OutOfDate where it was made by another version: both say
        what to do. ``stamp`` is the expected stamp, by default this program's own.
        """
        from larkslate.words.stamp import current_stamp

        source = path or default_path()
        if not source.is_file():
            raise Missing(f"The word list is not built yet ({source}). {HOW_TO_BUILD}")
        try:
            connection = sqlite3.connect(
                f"{source.resolve().as_uri()}?mode=ro&immutable=1", uri=True, check_same_thread=False
            )
            found = connection.execute("SELECT value FROM meta WHERE key = 'stamp'").fetchone()
            skills = tuple(
                r[0] for r in connection.execute("SELECT skill FROM skill ORDER BY bit")
            )
        except sqlite3.DatabaseError:
            raise Malformed(f"The word list {source} is damaged: delete it. {HOW_TO_BUILD}") from None
        if found is None or found[0] != (stamp or current_stamp()):
            connection.close()
            raise OutOfDate(f"The word list was built by another version. {HOW_TO_BUILD}")
        return cls(connection, skills)

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    @cached_property
    def _decoder(self) -> msgspec.msgpack.Decoder[Word]:
        import msgspec

        return msgspec.msgpack.Decoder(Word)

    def __len__(self) -> int:
        return int(self._connection.execute("SELECT count(*) FROM entry").fetchone()[0])

    def get(self, word: str) -> Word | None:
        """The entry of a word as written, or else in lower case; None where there is none."""
        asked = normal(word)
        for key in dict.fromkeys((asked, asked.lower())):
            row = self._connection.execute("SELECT blob FROM entry WHERE key = ?", (key,)).fetchone()
            if row:
                return self._decoder.decode(row[0])
        return None

    def lookup(self, word: str) -> Word:
        """The entry, or what can be derived from the entries: a possessive, a regular form.

        A derived word has the status FALLBACK, a possessive that of its noun. A word that cannot be derived
        has the status UNKNOWN and no readings.
        """
        found = self.get(word)
        if found is not None:
            return found
        from larkslate.words.derive import derive

        return derive(normal(word), self)

    def entries(self, min_zipf: float = 0.0) -> list[Entry]:
        """Every entry at least this frequent, the commonest first; read once and kept."""
        if self._entries is None:
            rows = self._connection.execute(
                "SELECT word, zipf, syllables, pos, flags, status, mask, bases, rest, sounds, types"
                " FROM entry ORDER BY zipf DESC, key"
            )
            self._entries = [
                Entry(
                    word=r[0],
                    zipf=r[1],
                    syllables=r[2],
                    pos=tuple(r[3].split()),
                    flags=frozenset(r[4].split()),
                    status=Status(r[5]),
                    mask=_mask(r[6]),
                    bases=tuple(r[7].split()),
                    rest=_mask(r[8]),
                    sounds=tuple(r[9].split()),
                    types=tuple(r[10].split()),
                )
                for r in rows
            ]
        if min_zipf <= 0:
            return list(self._entries)
        return [e for e in self._entries if e.zipf >= min_zipf]

    def bits(self, pattern: str) -> int:
        """The bits of a skill, or of all skills that fit a pattern ending in ``*``. Raises Missing."""
        if pattern.endswith("*"):
            bits = [i for i, s in enumerate(self.skills) if s.startswith(pattern[:-1])]
        else:
            bits = [i for i, s in enumerate(self.skills) if s == pattern]
        if not bits:
            raise Missing(f"No word needs the skill {pattern!r}: `larkslate skills` lists them.")
        return sum(1 << b for b in bits)

    def find(self, query: Query) -> list[Entry]:
        """The entries that fit a query, the commonest first."""
        wanted = [self.bits(n) for n in query.needs]
        found: list[Entry] = []
        for entry in self.entries(query.zipf_min):
            if any(not entry.mask & w for w in wanted):
                continue
            if query.syllables is not None and entry.syllables != query.syllables:
                continue
            if query.pos and query.pos not in entry.pos:
                continue
            if query.types and entry.types != query.types:
                continue
            if query.spelling and not _stands(entry.word.lower(), query.spelling, query.position):
                continue
            if query.sounds and not _sounds(entry.sounds, query.sounds, query.position):
                continue
            found.append(entry)
            if query.limit is not None and len(found) >= query.limit:
                break
        return found


def _stands(word: str, letters: str, position: str) -> bool:
    if position == "initial":
        return word.startswith(letters)
    if position == "final":
        return word.endswith(letters)
    if position == "medial":
        return letters in word[1:-1]
    return letters in word


def _sounds(said: Sequence[str], wanted: Sequence[str], position: str) -> bool:
    bare = [p.rstrip("012") for p in said]
    size = len(wanted)
    places = [i for i in range(len(bare) - size + 1) if bare[i : i + size] == list(wanted)]
    if position == "initial":
        return 0 in places
    if position == "final":
        return len(bare) - size in places
    if position == "medial":
        return any(0 < i < len(bare) - size for i in places)
    return bool(places)
