"""The lexicon file: where it lies, what is in it, and which program wrote it.

One SQLite file: ``meta`` (stamp, sources), ``skill`` (bit and id), ``entry`` (what choosing and finding
ask, one row a word, the commonest first) and ``body`` (the whole word, MessagePack, deflated with a shared dictionary).
A new file is written under a temporary name and renamed, so a reader never sees half a lexicon.
"""

from __future__ import annotations

import os
import sqlite3
import zlib
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from larkslate.errors import Missing, OutOfDate
from larkslate.words.model import Status, Word

FILE_NAME = "lexicon.sqlite"
FORMAT = "1"
SCHEMA = """
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE skill (bit INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE);
CREATE TABLE entry (
    rank INTEGER PRIMARY KEY, word TEXT NOT NULL UNIQUE, written TEXT NOT NULL, status TEXT NOT NULL, zipf REAL NOT NULL,
    syllables INTEGER NOT NULL, types TEXT NOT NULL, pos TEXT NOT NULL, flags TEXT NOT NULL,
    mask BLOB NOT NULL, bases TEXT NOT NULL, rest BLOB NOT NULL, spelled TEXT NOT NULL
);
CREATE TABLE body (word TEXT PRIMARY KEY, value BLOB NOT NULL) WITHOUT ROWID;
"""


class Entry(NamedTuple):
    """A word reduced to what choosing, reach and finding ask.

    ``mask`` and ``rest`` hold a bit for each skill (see ``Lexicon.skills``): what the word needs, and what
    it needs beyond its free ``bases``. ``types`` are the syllable types of the first reading. A named tuple,
    because a lexicon makes some fifty thousand of them at a stroke.
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
    types: tuple[str, ...]
    graphemes: str  # of the first reading, as skill ids write them: "c=K a=AE tch=CH"

    @property
    def letters(self) -> int:
        """The number of letters."""
        return sum(1 for c in self.word if c.isalpha())

    @property
    def spelled(self) -> tuple[str, ...]:
        """The graphemes of the first reading: ("c=K", "a=AE", "tch=CH")."""
        return tuple(self.graphemes.split())

    @property
    def sounds(self) -> tuple[str, ...]:
        """The sounds of the first reading without stress digits (schwa ``AH0``)."""
        return tuple(p for item in self.spelled for p in item.partition("=")[2].split(".") if p)


def cache_folder() -> Path:
    """Where the lexicon lies: LARKSLATE_CACHE, or the user's cache folder."""
    if chosen := os.environ.get("LARKSLATE_CACHE"):
        return Path(chosen)
    from platformdirs import user_cache_path  # noqa: PLC0415 - slow to import, rarely needed

    return user_cache_path("larkslate", appauthor=False)


def lexicon_path() -> Path:
    """The path of the lexicon file."""
    return cache_folder() / FILE_NAME


@cache
def stamp() -> str:
    """The version of everything a lexicon is made by: checksums of this room's code and data."""
    # Two checksums of zlib, because importing a cryptographic hash would double the time to first answer.
    crc, adler = zlib.crc32(FORMAT.encode()), 1
    room = Path(__file__).parent
    for path in sorted((*room.glob("*.py"), *room.glob("data/*"))):
        content = path.name.encode() + b"\0" + path.read_bytes()
        crc, adler = zlib.crc32(content, crc), zlib.adler32(content, adler)
    return f"{crc:08x}{adler:08x}"


class Codec:
    """Whole words to bytes and back; ``shared`` is the text that makes the deflated bytes small."""

    def __init__(self, shared: bytes) -> None:
        self.shared = shared
        self._decoder = msgspec.msgpack.Decoder(Word)

    def pack(self, plain: bytes) -> bytes:
        """Deflated bytes of an encoded word."""
        squeezer = zlib.compressobj(6, zlib.DEFLATED, -15, zdict=self.shared)
        return squeezer.compress(plain) + squeezer.flush()

    def unpack(self, packed: bytes) -> Word:
        """The word from deflated bytes."""
        return self._decoder.decode(zlib.decompressobj(-15, zdict=self.shared).decompress(packed))


def encode(word: Word) -> bytes:
    """A word as MessagePack."""
    return msgspec.msgpack.encode(word)


def mask_bytes(mask: int) -> bytes:
    """A bit mask as little-endian bytes."""
    return mask.to_bytes((mask.bit_length() + 7) // 8, "little")


def open_database(path: Path, *, check: bool = True) -> sqlite3.Connection:
    """The file, read-only. Raises Missing or OutOfDate, saying what to do."""
    if not path.is_file():
        raise Missing(f"The word list has not been built yet: there is no {path}.")
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True, check_same_thread=False
    )
    try:
        row = connection.execute("SELECT value FROM meta WHERE key = 'stamp'").fetchone()
    except sqlite3.DatabaseError:
        connection.close()
        raise OutOfDate(
            f"{path} is not a word list of Larkslate: it will be built again."
        ) from None
    if check and (row is None or row[0] != stamp()):
        connection.close()
        raise OutOfDate(
            f"The word list {path} was built by another version of Larkslate: it must be built again."
        )
    return connection


@contextmanager
def new_database(path: Path) -> Iterator[sqlite3.Connection]:
    """A new file that takes the place of the old one when all is written, and leaves it if not."""
    path.parent.mkdir(parents=True, exist_ok=True)
    temporary = path.parent / f".{path.stem}-{os.getpid()}{path.suffix}"
    temporary.unlink(missing_ok=True)
    try:
        connection = sqlite3.connect(temporary)
        try:
            connection.execute("PRAGMA journal_mode = OFF")
            connection.execute("PRAGMA synchronous = OFF")
            connection.executescript(SCHEMA)
            yield connection
            connection.commit()
        finally:
            connection.close()
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)


def shared_text(samples: Sequence[bytes]) -> bytes:
    """A deflate dictionary from encoded words: at most 32 kB, the likeliest last."""
    return b"".join(samples)[-32768:]


def write_words(
    connection: sqlite3.Connection,
    entries: Iterable[tuple[Entry, str]],
    bodies: Iterable[tuple[str, bytes]],
) -> None:
    """Write entries (each with its key), the commonest first, and packed bodies."""
    connection.executemany(
        "INSERT INTO entry VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            (
                rank, key, e.word, e.status, e.zipf, e.syllables, " ".join(e.types), " ".join(e.pos),
                " ".join(sorted(e.flags)), mask_bytes(e.mask), " ".join(e.bases), mask_bytes(e.rest),
                e.graphemes,
            )
            for rank, (e, key) in enumerate(sorted(entries, key=lambda i: (-i[0].zipf, i[1])))
        ),
    )  # fmt: skip
    connection.executemany("INSERT INTO body VALUES (?,?)", bodies)


ENTRY_COLUMNS = "written,zipf,syllables,pos,flags,status,mask,bases,rest,types,spelled"


def read_entries(rows: Iterable[tuple[Any, ...]]) -> Iterator[Entry]:
    """Entries from rows of ENTRY_COLUMNS; equal lists of words are made once and shared."""
    tuples: dict[str, tuple[str, ...]] = {}
    sets: dict[str, frozenset[str]] = {}
    statuses = {s.value: s for s in Status}

    def words(text: str) -> tuple[str, ...]:
        found = tuples.get(text)
        if found is None:
            found = tuples[text] = tuple(text.split())
        return found

    for written, zipf, syllables, pos, flags, status, mask, bases, rest, types, spelled in rows:
        if flags not in sets:
            sets[flags] = frozenset(flags.split())
        yield Entry(
            written, zipf, syllables, words(pos), sets[flags], statuses[status],
            int.from_bytes(mask, "little"), (bases,) if " " not in bases and bases else words(bases),
            int.from_bytes(rest, "little"), words(types), spelled,
        )  # fmt: skip
