"""Pronunciations, read at build time from the open ISLE dictionary; the only module that does so.

The dictionary (M. Hasegawa-Johnson, University of Illinois; MIT licence) is a text file inside the
package pysle, which is located but never imported. Each line is one variant::

    hopping(+hop+ing,nnp_surname_0.001,vbg) # h ˈɑ . p ɪ ŋ #

It is in IPA, mixes notations between its own sources and marks some readings by a stray final ``v``
or ``n`` (verb, noun). This module turns every variant into ARPAbet, drops damaged ones, and lets the
letters decide what the notation leaves open: a tapped t or d, schwa + r or ER, one syllable or two in
*fire* and *flower*. The reading shown first is the careful dictionary form (*family* with three
syllables, *button* with t).
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from importlib import metadata, util
from pathlib import Path

from larkslate.errors import Missing
from larkslate.words.graphemes import Table, table
from larkslate.words.reviewed import overrides
from larkslate.words.settle import settle, vowel_at
from larkslate.words.sounds import VOWELS, bare, is_vowel, syllable_count

Progress = Callable[[int, int, str], None]

_PACKAGE, _FILE = "pysle", "data/ISLEdict.txt"

_SYMBOLS = {
    "ɑ": "AA", "æ": "AE", "ʌ": "AH", "ə": "AH", "ɔ": "AO", "aʊ": "AW", "ɑɪ": "AY", "ɛ": "EH",
    "ɚ": "ER", "ɝ": "ER", "ei": "EY", "ɪ": "IH", "i": "IY", "oʊ": "OW", "ɔi": "OY", "ʊ": "UH",
    "u": "UW", "b": "B", "tʃ": "CH", "d": "D", "ð": "DH", "f": "F", "g": "G", "h": "HH", "dʒ": "JH",
    "k": "K", "l": "L", "m": "M", "n": "N", "ŋ": "NG", "p": "P", "ɹ": "R", "r": "R", "s": "S",
    "ʃ": "SH", "t": "T", "ɵ": "TH", "v": "V", "w": "W", "j": "Y", "z": "Z", "ʒ": "ZH",
    "ɾ": "T/D",
}  # fmt: skip
_SYLLABIC = {"l̩": "L", "n̩": "N"}

_POS = {
    "nn": ("noun",), "nns": ("noun", "plural"), "vb": ("verb",), "vbp": ("verb",), "vpb": ("verb",),
    "vbd": ("verb", "past"), "vbn": ("verb", "past"), "vbg": ("verb",), "vbz": ("verb",),
    "md": ("verb",), "jj": ("adjective",), "jjr": ("adjective",), "jjs": ("adjective",),
    "rb": ("adverb",), "rbr": ("adverb",), "rbs": ("adverb",), "wrb": ("adverb",),
    "prp": ("pronoun",), "wp": ("pronoun",), "ex": ("pronoun",), "in": ("preposition",),
    "rp": ("adverb",), "to": ("preposition",), "cc": ("conjunction",), "dt": ("determiner",),
    "wdt": ("determiner",), "pdt": ("determiner",), "cd": ("number",), "uh": ("interjection",),
}  # fmt: skip

_CORONAL = frozenset({"T", "D", "N", "S", "Z", "L", "TH"})


@dataclass(frozen=True, slots=True)
class Pronunciation:
    """One way to say a word, as the dictionary has it.

    ``pos`` in plain words (noun, verb, past, plural ...); ``parts`` the morphemes that the dictionary
    gives ("hop", "ing"), not to be trusted for division; ``name`` is True if it is only used as a name.
    """

    phonemes: tuple[str, ...]
    pos: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    name: bool = False
    abbreviation: bool = False


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of the dictionary: its tags and its IPA symbols."""

    tags: tuple[str, ...]
    symbols: tuple[str, ...]


def dictionary_file() -> Path:
    """Where the dictionary's data file lies. Raises Missing if the package is not installed."""
    spec = util.find_spec(_PACKAGE)
    for folder in (spec.submodule_search_locations or []) if spec else []:
        path = Path(folder) / _FILE
        if path.is_file():
            return path
    raise Missing(
        "The pronouncing dictionary (package pysle) is not installed: install Larkslate again with "
        "its build parts."
    )


def source_versions() -> dict[str, str]:
    """The packages that words are built from and their versions; a missing one is ``none``."""
    versions = {}
    for package in (_PACKAGE, "wordfreq"):
        try:
            versions[package] = metadata.version(package)
        except metadata.PackageNotFoundError:
            versions[package] = "none"
    return versions


def seams_of(word: str, parts: Sequence[str]) -> tuple[int, ...]:
    """Letter indices where the dictionary's morphemes begin, where its base stands at the front."""
    if len(parts) < 2:
        return ()
    base, rest = parts[0], "".join(parts[1:])
    if rest == "s" and word == base + "es":
        rest = "es"
    if (
        base.endswith("y")
        and word.startswith(base[:-1] + "ie")
        and word[len(base) + 1 :] in ("s", "d", "r", "st", "rs")
    ):
        return (len(base),)
    for stem in (base, base.removesuffix("e"), base + base[-1:]):
        if word == stem + rest:
            seams = [len(stem)]
            for part in parts[1:-1]:
                seams.append(seams[-1] + len(part))
            return tuple(seams)
    return ()


class Dictionary:
    """The ISLE dictionary in memory; readings are worked out word by word."""

    def __init__(self, lines: dict[str, list[_Line]], graphemes: Table | None = None) -> None:
        self._lines = lines
        self._table = graphemes or table()
        self._cache: dict[str, tuple[Pronunciation, ...]] = {}

    def __contains__(self, word: str) -> bool:
        return word in self._lines

    def __len__(self) -> int:
        return len(self._lines)

    @property
    def words(self) -> Iterable[str]:
        """Every word of the dictionary, lower case."""
        return self._lines.keys()

    def is_name(self, word: str) -> bool:
        """True if the dictionary knows the word only as a name."""
        lines = self._lines.get(word, [])
        return bool(lines) and all(_is_name(line.tags) for line in lines)

    def pronunciations(self, word: str) -> tuple[Pronunciation, ...]:
        """The readings of a word, the default first; empty for a word that is not there."""
        if word not in self._cache:
            self._cache[word] = ()  # a word is never its own base, whatever the data say
            lines = self._lines.get(word, [])
            self._cache[word] = _readings(
                word, lines, self._table, self._base_readings(word, lines)
            )
        return self._cache[word]

    def _base_readings(self, word: str, lines: Sequence[_Line]) -> tuple[tuple[str, ...], ...]:
        """How the base of a word is said, so that *months* is said as *month* is."""
        parts = max((_parts(line.tags) for line in lines), key=len, default=())
        base = max(parts, key=len, default="")
        if len(base) < 3 or base == word or base not in self._lines:
            return ()
        reviewed = tuple(o.phonemes for o in overrides().get(base, ()) if o.phonemes)
        return reviewed or tuple(p.phonemes for p in self.pronunciations(base))


def read_dictionary(progress: Progress | None = None, path: Path | None = None) -> Dictionary:
    """Read the dictionary. ``progress`` gets (done, total, what). Raises Missing without the file."""
    source = path or dictionary_file()
    lines: dict[str, list[_Line]] = defaultdict(list)
    if progress:
        progress(0, 1, "Reading the pronouncing dictionary")
    with source.open(encoding="utf-8") as stream:
        for raw in stream:
            head, _, ipa = raw.partition(" ")
            word, _, tags = head.partition("(")
            if "_" in word:
                continue
            symbols = tuple(s for s in ipa.split() if s not in {"#", "."})
            lines[word].append(_Line(tuple(t for t in tags.rstrip(")").split(",") if t), symbols))
    if progress:
        progress(1, 1, "Reading the pronouncing dictionary")
    return Dictionary(dict(lines))


def _is_name(tags: Sequence[str]) -> bool:
    """True if every tag is that of a name, or there is none (most such lines are names)."""
    return all(t.startswith(("nnp", "_country", "+")) for t in tags) and not any(
        t.startswith("+") and not t.startswith("+abbr") and len(tags) == 1 for t in tags
    )


def _plain_pos(tags: Sequence[str]) -> tuple[str, ...]:
    """The tags as plain words, in order, each once."""
    found: dict[str, None] = {}
    for tag in tags:
        for word in _POS.get(tag, ()):
            found[word] = None
    if not found or _is_name(tags):
        found["name"] = (
            None  # nearly every word is somebody's surname: that alone is no use to know
        )
    return tuple(found)


def _parts(tags: Sequence[str]) -> tuple[str, ...]:
    """The dictionary's morphemes from a tag such as ``+hop+ing``."""
    for tag in tags:
        if tag.startswith("+") and tag != "+abbreviation":
            return tuple(p for p in tag.split("+") if p)
    return ()


def convert(symbols: Sequence[str]) -> tuple[str, ...] | None:
    """ARPAbet of IPA symbols, with ``T/D`` where a tap leaves it open; None for damaged input."""
    out: list[str] = []
    for symbol in symbols:
        stress = {"ˈ": "1", "ˌ": "2"}.get(symbol[0], "0")
        plain = symbol.lstrip("ˈˌ")
        if plain in _SYLLABIC:
            if stress == "1":
                out += ["UH1" if _SYLLABIC[plain] == "L" else "AH1", _SYLLABIC[plain]]
            else:
                out += ["AH0", _SYLLABIC[plain]]
            continue
        arpabet = _SYMBOLS.get(plain)
        if arpabet is None:
            return None
        if arpabet == "T/D" or arpabet not in _VOWEL_SYMBOLS:
            out.append(arpabet)
        elif plain == "ə":
            out.append("AH0")
        else:
            out.append(arpabet + stress)
    return _tidy(out)


_VOWEL_SYMBOLS = frozenset(
    {"AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"}
)


_BEFORE_R = {"OW": "AO", "EY": "EH", "UW": "UH", "IY": "IH"}


def _tidy(sounds: list[str]) -> tuple[str, ...]:
    """One notation for what the dictionary writes in several ways."""
    out: list[str] = []
    for i, p in enumerate(sounds):
        following = sounds[i + 1] if i + 1 < len(sounds) else ""
        previous = out[-1] if out else ""
        if p == "HH" and following == "W":  # which as witch
            continue
        if p == "R" and previous.startswith("ER"):  # b ɚ ɹ d
            continue
        if p == "L" and previous == "L":  # finally
            continue
        if p == "AH0" and following == "R" and not vowel_at(sounds, i + 2):
            out.append("ER0")
        elif p[:2] == "AH" and p[-1] in "12" and following == "R":
            out.append("ER" + p[-1])
        elif p[:-1] in _BEFORE_R and following == "R":
            out.append(_BEFORE_R[p[:-1]] + p[-1])
        elif p == "IY0" and following == "NG":
            out.append("IH0")
        else:
            out.append(p)
    return tuple(out)


def _stressed(sounds: Sequence[str]) -> tuple[tuple[str, ...], bool]:
    """The sounds with exactly one primary stress, and whether it was there from the start."""
    out = list(sounds)
    primary = [i for i, p in enumerate(out) if p[-1] == "1"]
    if len(primary) == 1:
        return tuple(out), True
    if len(primary) > 1:  # the last one carries the word's stress; the others are secondary
        for i in primary[:-1]:
            out[i] = out[i][:-1] + "2"
        return tuple(out), False
    vowels = [i for i, p in enumerate(out) if p[-1].isdigit()]
    if vowels:
        secondary = [i for i in vowels if out[i][-1] == "2"]
        full = [i for i in vowels if out[i] not in {"AH0", "ER0", "IH0"}]
        pick = (secondary or full or vowels)[0]
        out[pick] = out[pick][:-1] + "1"
    return tuple(out), False


def _skeleton(sounds: Sequence[str]) -> tuple[str, ...]:
    """What two notations of one reading share: weak vowels, the open o's, and the stress are one."""
    out: list[str] = []
    for p in sounds:
        symbol = bare(p)
        if symbol == "ER":
            out += ["@", "R"]
        elif symbol == "R" and out[-2:] == ["@", "R"]:
            continue
        elif p == "AH0" or (symbol in {"IH", "EH", "UH"} and p[-1] != "1"):
            out.append("@")
        elif symbol in {"AO", "AA"}:
            out.append("O")
        else:
            out.append("T" if p == "T/D" else symbol)
    return tuple(out)


def _same_reading(one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """True if two skeletons differ by no more than a consonant or weak vowel that one leaves out."""
    if one == other:
        return True
    if abs(len(one) - len(other)) != 1:
        return False
    short, long = sorted((one, other), key=len)
    return any(
        long[:i] + long[i + 1 :] == short and (p == "@" or p not in VOWELS)
        for i, p in enumerate(long)
    )


@dataclass(slots=True)
class _Candidate:
    """A settled variant, its cost and the tags of its line."""

    phonemes: tuple[str, ...]
    cost: float
    tags: tuple[str, ...]
    order: int


def _variants(word: str, lines: Sequence[_Line], graphemes: Table) -> list[_Candidate]:
    """Every usable variant, settled."""
    raw: list[tuple[int, _Line, tuple[str, ...]]] = []
    for order, line in enumerate(lines):
        sounds = convert(line.symbols)
        if sounds and word.startswith("wh") and is_vowel(sounds[0]):
            sounds = ("W", *sounds)  # the dictionary leaves it out in many words with wh
        if sounds and any(is_vowel(p) for p in sounds if p != "T/D"):
            raw.append((order, line, sounds))
    bodies = {_skeleton(s) for _, _, s in raw}
    out = []
    for order, line, sounds in raw:
        marked = sounds[-1] in {"V", "N"} and _skeleton(sounds[:-1]) in bodies
        tags = line.tags
        if marked:  # a stray final v or n marks the reading as that of the verb or the noun
            tags = (*(t for t in tags if t[0] == "+"), "vb" if sounds[-1] == "V" else "nn")
        stressed, as_given = _stressed(sounds[:-1] if marked else sounds)
        seams = seams_of(word, _parts(tags))
        cost, phonemes, alignment = settle(word, stressed, seams, graphemes)
        phonemes = _weak_endings(word, phonemes)
        cost -= 3.0 * len(phonemes)  # costs add up by grapheme: the fuller form must not lose by it
        if alignment.fallback:
            cost += 40.0
        if not as_given:
            cost += 4.0 if syllable_count(sounds) > 1 else 2.0
        for a, b in itertools.pairwise(phonemes):
            if a in _CORONAL and b == "Y":
                cost += 9.0  # tyoo for two: US speech has no y there
            if a[:2] == "IH" and b == "W":
                cost += 5.0
        out.append(_Candidate(phonemes, cost, tags, order))
    return out


def _weak_endings(word: str, phonemes: tuple[str, ...]) -> tuple[str, ...]:
    """The vowels of -ed, -es (IH0) and -ment (AH0) written one way."""
    for ending, sounds in (
        ("ment", ("M", "EH0", "N", "T")),
        ("ments", ("M", "EH0", "N", "T", "S")),
    ):
        if word.endswith(ending) and phonemes[-len(sounds) :] == sounds:
            return (*phonemes[: -len(sounds)], "M", "AH0", *sounds[2:])
    if len(phonemes) > 2 and phonemes[-2] == "AH0":
        if word.endswith("ed") and phonemes[-1] == "D" and phonemes[-3] in {"T", "D"}:
            return (*phonemes[:-2], "IH0", "D")
        if word.endswith("es") and phonemes[-1] == "Z":
            return (*phonemes[:-2], "IH0", "Z")
    return phonemes


def _like_base(phonemes: tuple[str, ...], bases: Sequence[tuple[str, ...]]) -> float:
    """What a reading gains by beginning or ending as its base is said."""
    gain = 0.0
    for base in bases:
        size = len(base)
        if base in (phonemes[:size], phonemes[-size:]):
            return 10.0
        skeleton, whole = _skeleton(base), _skeleton(phonemes)
        if skeleton in (whole[: len(skeleton)], whole[-len(skeleton) :]):
            gain = 6.0
    return gain


def _readings(
    word: str, lines: Sequence[_Line], graphemes: Table, bases: Sequence[tuple[str, ...]]
) -> tuple[Pronunciation, ...]:
    """The readings of a word: variants of one notation merged, one reading for each use."""
    candidates = _variants(word, lines, graphemes)
    for c in candidates:
        c.cost -= _like_base(c.phonemes, bases)
    if not candidates:
        return ()
    common = [c for c in candidates if not _is_name(c.tags)]
    chosen = common or candidates
    groups: dict[tuple[str, ...], list[_Candidate]] = defaultdict(list)
    for c in chosen:
        groups[_plain_pos(c.tags)].append(c)
    readings: list[tuple[_Candidate, tuple[str, ...]]] = []
    for pos, members in groups.items():
        members.sort(key=lambda c: (c.cost, c.order))
        readings.append((members[0], pos))
    readings.sort(key=lambda r: r[0].order)
    out: dict[tuple[str, ...], Pronunciation] = {}
    for candidate, pos in readings:
        key = _skeleton(candidate.phonemes)
        key = next((k for k in out if _same_reading(k, key)), key)
        if key in out:
            merged = tuple(dict.fromkeys((*out[key].pos, *pos)))
            old = out[key]
            out[key] = Pronunciation(old.phonemes, merged, old.parts, old.name, old.abbreviation)
            continue
        out[key] = Pronunciation(
            candidate.phonemes,
            pos,
            _parts(candidate.tags),
            name=not common,
            abbreviation="+abbreviation" in candidate.tags,
        )
    return tuple(out.values())
