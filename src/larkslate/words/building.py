"""Building the lexicon file: read the sources, analyse every word on all cores, write one file.

Run as a program it builds the user's lexicon: ``python -m larkslate.words.building [PATH]``.
"""

from __future__ import annotations

import math
import multiprocessing
import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from importlib import import_module
from pathlib import Path

import msgspec

from larkslate.errors import LarkslateError, Missing
from larkslate.words.analyse import Context, analyse
from larkslate.words.contractions import contraction, contractions
from larkslate.words.derived import contracted_sounds, ed_sounds, s_sounds
from larkslate.words.homophones import same_sound_sets, sets
from larkslate.words.model import Reading, Status, Word
from larkslate.words.names import names, with_capital
from larkslate.words.needs import beyond_bases
from larkslate.words.pronounce import (
    Dictionary,
    Pronunciation,
    read_dictionary,
    source_versions,
)
from larkslate.words.reviewed import Override, overrides
from larkslate.words.sounds import syllable_count, unit
from larkslate.words.store import (
    Codec,
    Entry,
    encode,
    lexicon_path,
    new_database,
    shared_text,
    stamp,
    write_words,
)
from larkslate.words.suitable import unsuitable

Progress = Callable[[int, int, str], None]

WORD_ZIPF = 1.5
"""Words rarer than this are left out: about 3 in 100 million words of text."""
NAME_ZIPF = 2.5
"""Names rarer than this are left out."""
CHUNK = 400
ONE_LETTER = frozenset({"a", "i"})
_TOKENS = 10**9


class Sources:
    """Everything the pipeline reads while building; the override table wins over the dictionary."""

    def __init__(self, dictionary: Dictionary, zipf: dict[str, float]) -> None:
        self.dictionary = dictionary
        self._zipf = zipf
        self._memory: dict[str, tuple[Pronunciation, ...]] = {}

    def zipf(self, word: str) -> float:
        """log10 of occurrences per thousand million words; 0 where unknown."""
        return self._zipf.get(word.lower(), 0.0)

    def pronunciations(self, word: str) -> tuple[Pronunciation, ...]:
        """The readings of a word, the default first."""
        lower = word.lower()
        if lower not in self._memory:
            self._memory[lower] = self._settled(lower)
        return self._memory[lower]

    def _settled(self, word: str) -> tuple[Pronunciation, ...]:
        found = self.dictionary.pronunciations(word)
        rows = [o for o in overrides().get(word, ()) if o.phonemes]
        if rows:
            return tuple(_from_override(o, found) for o in rows)
        if contraction(word) is not None:
            return self._contracted(word) or found
        return _forms_of_reviewed(found) or found

    def _contracted(self, word: str) -> tuple[Pronunciation, ...]:
        """A regular contraction, said as its first word is and what is left of the second."""
        first = word[:-3] if word.endswith("n't") else word.rpartition("'")[0]
        said = self.pronunciations(first) if first and word.rpartition("'")[2] else ()
        sounds = contracted_sounds(word, said[0].phonemes) if said else None
        return (Pronunciation(sounds, ("contraction",)),) if sounds else ()

    def words(self) -> list[str]:
        """Every word that goes into the lexicon, in alphabetical order."""
        chosen: set[str] = set(overrides())
        chosen.update(w.lower() for w in contractions())
        chosen.update(
            m.word.lower() for s in sets() for m in s.members if m.word.lower() in self.dictionary
        )
        for word in self.dictionary.words:
            zipf = self._zipf.get(word, 0.0)
            if not word.isalpha() or not word.isascii() or zipf < WORD_ZIPF:
                continue
            if len(word) == 1 and word not in ONE_LETTER:
                continue
            if zipf >= NAME_ZIPF or not (self.dictionary.is_name(word) or word in names()):
                chosen.add(word)
        return sorted(chosen)


def _from_override(override: Override, found: Sequence[Pronunciation]) -> Pronunciation:
    """The dictionary's pronunciation with a reviewer's phonemes and parts of speech."""
    first = found[0] if found else Pronunciation(())
    return Pronunciation(
        override.phonemes,
        override.pos or first.pos,
        override.morphemes or first.parts,
        name=False,
    )


_FORMS: dict[str, tuple[Callable[[Sequence[str]], tuple[str, ...]], tuple[str, ...]]] = {
    "s": (s_sounds, ("noun", "verb")),
    "ed": (ed_sounds, ("verb",)),
    "ing": (lambda _base: ("IH0", "NG"), ("verb",)),
}
"""Endings whose sounds follow from the base, and the parts of speech that take them."""


def _forms_of_reviewed(found: Sequence[Pronunciation]) -> tuple[Pronunciation, ...]:
    """The readings of a regular form, said as its reviewed base is (*records* as *record*)."""
    parts = found[0].parts if found else ()
    if len(parts) != 2 or parts[1] not in _FORMS or parts[0] not in overrides():
        return ()
    sounds_of, takers = _FORMS[parts[1]]
    made: dict[tuple[str, ...], Pronunciation] = {}
    for row in overrides()[parts[0]]:
        pos = [p for p in takers if p in row.pos]
        if not row.phonemes or not pos or "past" in row.pos:
            continue
        base = row.phonemes
        if parts[1] == "ing" and parts[0].endswith("le") and base[-2:] == ("AH0", "L"):
            base = (*base[:-2], "L")  # dou-bling
        phonemes = (*base, *sounds_of(base))
        if parts[1] == "s" and "noun" in pos:
            pos.append("plural")
        if parts[1] == "ed":
            pos.append("past")
        made.setdefault(phonemes, Pronunciation(phonemes, tuple(pos), parts))
    return tuple(made.values())


def read_sources(progress: Progress | None = None) -> Sources:
    """Read the dictionary and the word frequencies. Raises Missing if a package is not there."""
    dictionary = read_dictionary(progress)
    try:
        wordfreq = import_module("wordfreq")
    except ImportError:
        raise Missing(
            "The word frequencies (package wordfreq) are not installed: install Larkslate again with "
            "its build parts."
        ) from None
    if progress:
        progress(0, 1, "Reading word frequencies")
    frequencies: dict[str, float] = wordfreq.get_frequency_dict("en", wordlist="best")
    zipf = {
        w: round(math.log10(share * _TOKENS), 2)
        for w, share in frequencies.items()
        if w in dictionary or "'" in w
    }
    return Sources(dictionary, zipf)


@dataclass(frozen=True, slots=True)
class _Made:
    """What a worker hands back for one word."""

    key: str
    body: bytes
    phonemes: tuple[tuple[str, ...], ...]
    needs: tuple[str, ...]
    bases: tuple[str, ...]
    rest: tuple[str, ...]
    entry: Entry


def make_word(key: str, sources: Sources, context: Context) -> Word:
    """One word of the lexicon with its status and flags."""
    said = sources.pronunciations(key)
    made = analyse(key, said, context)
    flags = set(made.flags)
    if key in names() or (said and all(p.name for p in said)):
        flags.add("name")
        made = replace(
            made,
            word=with_capital(made.word),
            readings=tuple(replace(r, pos=("name",)) for r in made.readings),
        )
    if any(p.abbreviation for p in said) or (
        made.status is Status.FALLBACK and not _has_vowel(key)
    ):
        flags.add("abbreviation")
    if len(made.readings) > 1:
        flags.add("heteronym")
        if all({"rare", "name"} & set(r.pos) for r in made.readings[1:]):
            flags.add("rare-reading")  # a child meets the first one only
    if unsuitable(key):
        flags.add("unsuitable")
    status = made.status
    rows = overrides().get(key, ())
    if rows and status is not Status.UNKNOWN:
        fits = all(_agrees(row, reading) for row, reading in zip(rows, made.readings, strict=False))
        # A reviewed row that the analysis contradicts is no review: show it for what it is.
        status = min((r.status for r in rows), key=list(Status).index) if fits else Status.FALLBACK
    return replace(made, status=status, flags=frozenset(flags))


def _has_vowel(word: str) -> bool:
    return any(c in "aeiouy" for c in word)


def _agrees(row: Override, reading: Reading) -> bool:
    """True if a reading has what a reviewer settled."""
    return (
        (not row.phonemes or reading.phonemes == row.phonemes)
        and (not row.graphemes or reading.graphemes == row.graphemes)
        and (not row.division or reading.division == row.division)
        and (not row.morphemes or tuple(m.form for m in reading.morphemes) == row.morphemes)
    )


def _made(key: str, word: Word) -> _Made:
    """A word taken to pieces for the file."""
    first = word.readings[0] if word.readings else Reading(())
    bases, rest = beyond_bases(word)
    entry = Entry(
        word=word.word,
        zipf=word.zipf,
        syllables=len(first.syllables) or syllable_count(first.phonemes),
        pos=tuple(dict.fromkeys(p for r in word.readings for p in r.pos)),
        flags=word.flags,
        status=word.status,
        mask=0,
        bases=bases,
        rest=0,
        types=tuple(s.type.value for s in first.syllables),
        graphemes=" ".join(
            f"{g.letters}={'.'.join(unit(p) for p in g.phonemes)}" for g in first.graphemes
        ),
    )
    return _Made(
        key,
        encode(word),
        tuple(r.phonemes for r in word.readings),
        tuple(dict.fromkeys(n.skill for n in first.needs)),
        bases,
        tuple(dict.fromkeys(n.skill for n in rest)),
        entry,
    )


class _Worker:
    """The sources and the context of one worker process."""

    sources: Sources
    context: Context


def _start_worker() -> None:
    """Read the sources once in each worker."""
    _Worker.sources = read_sources()
    _Worker.context = Context(_Worker.sources)


def _work(keys: Sequence[str]) -> tuple[list[_Made], list[str]]:
    """Analyse a chunk of words; a word that breaks the pipeline is named and left out.

    One bad word must not keep a teacher from opening the program. A test asks that there is none.
    """
    made: list[_Made] = []
    failed: list[str] = []
    for key in keys:
        try:
            made.append(_made(key, make_word(key, _Worker.sources, _Worker.context)))
        except Exception as error:  # noqa: BLE001 - reported in the file's failed list
            failed.append(f"{key} ({type(error).__name__}: {error})")
    return made, failed


def _analysed(
    words: Sequence[str], sources: Sources, workers: int
) -> Iterator[tuple[list[_Made], list[str]]]:
    """The words analysed, chunk by chunk in order."""
    chunks = [words[i : i + CHUNK] for i in range(0, len(words), CHUNK)]
    if workers <= 1:
        _Worker.sources, _Worker.context = sources, Context(sources)
        yield from map(_work, chunks)
        return
    with ProcessPoolExecutor(
        workers, mp_context=multiprocessing.get_context("spawn"), initializer=_start_worker
    ) as pool:
        yield from pool.map(_work, chunks)


def _with_masks(made: Iterable[_Made], bit: dict[str, int]) -> Iterator[tuple[Entry, str]]:
    for m in made:
        mask = sum(1 << bit[s] for s in m.needs)
        rest = sum(1 << bit[s] for s in m.rest)
        yield m.entry._replace(mask=mask, rest=rest), m.key


def build_file(
    path: Path,
    progress: Progress | None = None,
    workers: int | None = None,
    words: Sequence[str] | None = None,
) -> Path:
    """Build the lexicon at a path; ``words`` limits it to some words (for tests). See lexicon.build."""
    tell = progress or (lambda _done, _total, _what: None)
    sources = read_sources(tell)
    chosen = list(words) if words is not None else sources.words()
    count = min(workers or os.cpu_count() or 1, max(1, len(chosen) // (4 * CHUNK)))
    all_made: list[_Made] = []
    failed: list[str] = []
    for made, broken in _analysed(chosen, sources, count):
        all_made += made
        failed += broken
        tell(len(all_made) + len(failed), len(chosen), "Working out words")
    all_made = [m for m in all_made if m.entry.status is not Status.UNKNOWN]
    tell(0, 1, "Writing the word list")
    same = same_sound_sets(
        (m.entry.word, phonemes, m.entry.zipf)
        for m in all_made
        for phonemes in m.phonemes
        if phonemes and not m.entry.flags & {"name", "abbreviation", "unsuitable"}
    )
    skills = sorted({s for m in all_made for s in (*m.needs, *m.rest)})
    bit = {skill: n for n, skill in enumerate(skills)}
    decoder = msgspec.msgpack.Decoder(Word)
    for n, m in enumerate(all_made):
        if others := same.get(m.entry.word):
            word = replace(decoder.decode(m.body), homophones=others)
            all_made[n] = replace(m, body=encode(word))
    common = sorted(all_made, key=lambda m: m.entry.zipf)
    step = max(1, len(common) // 60)
    codec = Codec(shared_text([m.body for m in common[::step]]))
    with new_database(path) as connection:
        meta = {"stamp": stamp(), "shared": codec.shared.hex(), "failed": "\n".join(failed)}
        meta |= {f"source-{k}": v for k, v in source_versions().items()}
        connection.executemany("INSERT INTO meta VALUES (?,?)", meta.items())
        connection.executemany("INSERT INTO skill VALUES (?,?)", enumerate(skills))
        write_words(
            connection, _with_masks(all_made, bit), ((m.key, codec.pack(m.body)) for m in all_made)
        )
    tell(1, 1, "Writing the word list")
    return path


def main() -> int:
    """Build the lexicon from a shell; progress goes to standard error."""
    last = [0.0]

    def show(done: int, total: int, what: str) -> None:
        if done in {0, total} or time.monotonic() - last[0] > 1:
            last[0] = time.monotonic()
            sys.stderr.write(f"{what}: {done} of {total}\n")

    try:
        path = build_file(Path(sys.argv[1]) if len(sys.argv) > 1 else lexicon_path(), show)
    except LarkslateError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    sys.stderr.write(f"{path}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
