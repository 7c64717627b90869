"""The sounds of US English: symbols, features, and three ways to write them.

Symbols are the 39 of ARPAbet; a vowel carries a stress digit (0 none, 1 primary, 2 secondary).
The vowels before r are written with two symbols (AA R, AO R, EH R, IH R, UH R), except ER.

Notations:

* ``parse`` / ``spell_out``: the ARPAbet text ``"K AE1 CH"``;
* ``to_ipa``: broad IPA as US dictionaries of the International Phonetic Association's alphabet print it;
* ``respell``: the teacher's notation, plain English between slashes. It is our own: a consonant is
  written with the letter or letters that most often spell it (/k/, /sh/, /ng/), the voiced sound of
  *then* is /th voiced/ and the voiceless one of *thin* /th/; the five short and five long vowels are
  named (/short a/, /long e/); the rest are written as they are most often spelled (/aw/ saw,
  /ow/ cow, /oy/ boy, /oo/ moon, /oo short/ book, /ar/ car, /or/ for, /air/ fair, /eer/ deer,
  /er/ her), and the weak vowel of *about* is /uh/. /long u/ is the two sounds Y UW of *music*.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from larkslate.errors import Malformed

Phonemes = tuple[str, ...]


class Place(StrEnum):
    """Where in the mouth a consonant is made."""

    LIPS = "lips"
    LIP_TEETH = "lip and teeth"
    TEETH = "teeth"
    RIDGE = "ridge behind the teeth"
    BEHIND_RIDGE = "behind the ridge"
    PALATE = "palate"
    SOFT_PALATE = "soft palate"
    THROAT = "throat"


class Manner(StrEnum):
    """How a consonant is made."""

    STOP = "stop"
    AFFRICATE = "affricate"
    FRICATIVE = "fricative"
    NASAL = "nasal"
    LIQUID = "liquid"
    GLIDE = "glide"


@dataclass(frozen=True, slots=True)
class ConsonantFeatures:
    """Place, manner and voice of a consonant."""

    place: Place
    manner: Manner
    voiced: bool


@dataclass(frozen=True, slots=True)
class VowelFeatures:
    """Where a vowel lies: ``height`` 0 (low) to 4 (high), ``backness`` 0 (front) to 2 (back).

    For a gliding vowel these are of its beginning, and ``glide`` says where it moves: "front" or "back".
    """

    height: int
    backness: int
    rounded: bool
    long: bool  # as English phonology counts: tense vowels and gliding vowels
    glide: str | None
    r_coloured: bool


Features = ConsonantFeatures | VowelFeatures

_P, _M = Place, Manner
_CONSONANT_TABLE: dict[str, tuple[Place, Manner, bool, str, str]] = {
    # symbol: place, manner, voiced, IPA, teacher's notation
    "P": (_P.LIPS, _M.STOP, False, "p", "p"),
    "B": (_P.LIPS, _M.STOP, True, "b", "b"),
    "T": (_P.RIDGE, _M.STOP, False, "t", "t"),
    "D": (_P.RIDGE, _M.STOP, True, "d", "d"),
    "K": (_P.SOFT_PALATE, _M.STOP, False, "k", "k"),
    "G": (_P.SOFT_PALATE, _M.STOP, True, "ɡ", "g"),
    "CH": (_P.BEHIND_RIDGE, _M.AFFRICATE, False, "tʃ", "ch"),
    "JH": (_P.BEHIND_RIDGE, _M.AFFRICATE, True, "dʒ", "j"),
    "F": (_P.LIP_TEETH, _M.FRICATIVE, False, "f", "f"),
    "V": (_P.LIP_TEETH, _M.FRICATIVE, True, "v", "v"),
    "TH": (_P.TEETH, _M.FRICATIVE, False, "θ", "th"),
    "DH": (_P.TEETH, _M.FRICATIVE, True, "ð", "th voiced"),
    "S": (_P.RIDGE, _M.FRICATIVE, False, "s", "s"),
    "Z": (_P.RIDGE, _M.FRICATIVE, True, "z", "z"),
    "SH": (_P.BEHIND_RIDGE, _M.FRICATIVE, False, "ʃ", "sh"),
    "ZH": (_P.BEHIND_RIDGE, _M.FRICATIVE, True, "ʒ", "zh"),
    "HH": (_P.THROAT, _M.FRICATIVE, False, "h", "h"),
    "M": (_P.LIPS, _M.NASAL, True, "m", "m"),
    "N": (_P.RIDGE, _M.NASAL, True, "n", "n"),
    "NG": (_P.SOFT_PALATE, _M.NASAL, True, "ŋ", "ng"),
    "L": (_P.RIDGE, _M.LIQUID, True, "l", "l"),
    "R": (_P.BEHIND_RIDGE, _M.LIQUID, True, "ɹ", "r"),
    "W": (_P.LIPS, _M.GLIDE, True, "w", "w"),
    "Y": (_P.PALATE, _M.GLIDE, True, "j", "y"),
}
_VOWEL_TABLE: dict[str, tuple[int, int, bool, bool, str | None, bool, str, str]] = {
    # symbol: height, backness, rounded, long, glide, r-coloured, IPA, teacher's notation
    "IY": (4, 0, False, True, None, False, "i", "long e"),
    "IH": (3, 0, False, False, None, False, "ɪ", "short i"),
    "EY": (2, 0, False, True, "front", False, "eɪ", "long a"),
    "EH": (1, 0, False, False, None, False, "ɛ", "short e"),
    "AE": (0, 0, False, False, None, False, "æ", "short a"),
    "AA": (0, 2, False, False, None, False, "ɑ", "short o"),
    "AO": (1, 2, True, False, None, False, "ɔ", "aw"),
    "OW": (2, 2, True, True, "back", False, "oʊ", "long o"),
    "UH": (3, 2, True, False, None, False, "ʊ", "oo short"),
    "UW": (4, 2, True, True, None, False, "u", "oo"),
    "AH": (1, 1, False, False, None, False, "ʌ", "short u"),
    "ER": (2, 1, False, True, None, True, "ɝ", "er"),
    "AY": (0, 1, False, True, "front", False, "aɪ", "long i"),
    "AW": (0, 1, False, True, "back", False, "aʊ", "ow"),
    "OY": (1, 2, True, True, "front", False, "ɔɪ", "oy"),
}

CONSONANTS: frozenset[str] = frozenset(_CONSONANT_TABLE)
"""The 24 consonants."""
VOWELS: frozenset[str] = frozenset(_VOWEL_TABLE)
"""The 15 vowels, without stress digit."""
SYMBOLS: frozenset[str] = CONSONANTS | VOWELS
"""All 39 symbols, without stress digit."""
LONG_VOWELS: frozenset[str] = frozenset({"EY", "IY", "AY", "OW", "UW"})
"""The vowels that are called long in school."""
SHORT_VOWELS: frozenset[str] = frozenset({"AE", "EH", "IH", "AA", "AO", "AH", "UH"})
"""The vowels that are called short in school (AO as in *dog*, UH as in *put*)."""

_FEATURES: dict[str, Features] = {
    **{s: ConsonantFeatures(p, m, v) for s, (p, m, v, _, _) in _CONSONANT_TABLE.items()},
    **{
        s: VowelFeatures(h, b, r, long, g, rc)
        for s, (h, b, r, long, g, rc, _, _) in _VOWEL_TABLE.items()
    },
}
_IPA = {s: row[-2] for s, row in (_CONSONANT_TABLE | _VOWEL_TABLE).items()}
_PLAIN = {s: str(row[-1]) for s, row in (_CONSONANT_TABLE | _VOWEL_TABLE).items()}
_PLAIN_PAIRS: dict[tuple[str, str], str] = {
    ("AA", "R"): "ar",
    ("AO", "R"): "or",
    ("EH", "R"): "air",
    ("IH", "R"): "eer",
    ("Y", "UW"): "long u",
}
_PLACES = tuple(Place)

_SYMBOL_ORDER = {s: i for i, s in enumerate((*_VOWEL_TABLE, *_CONSONANT_TABLE))}

# What may begin an English syllable, for the place of the IPA stress mark only.
_ONSET_TEXT = """
P L,P R,P Y,B L,B R,B Y,T R,T W,D R,D W,K L,K R,K W,K Y,G L,G R,G W,F L,F R,F Y,TH R,TH W,SH R,S P,S T,S K,
S M,S N,S L,S W,S F,M Y,HH Y,V Y,HH W,S P L,S P R,S P Y,S T R,S K R,S K W,S K Y,S K L
"""
_ONSETS = frozenset(tuple(onset.split()) for onset in _ONSET_TEXT.split(","))


def bare(phoneme: str) -> str:
    """The symbol without its stress digit: ``AE1`` gives ``AE``."""
    return phoneme[:-1] if phoneme[-1].isdigit() else phoneme


def is_vowel(phoneme: str) -> bool:
    """True for a vowel, with or without stress digit."""
    return bare(phoneme) in VOWELS


def stress_of(phoneme: str) -> int | None:
    """The stress digit of a vowel; None for a consonant or a vowel without digit."""
    return int(phoneme[-1]) if phoneme[-1].isdigit() else None


def unit(phoneme: str) -> str:
    """The sound as skill ids and the grapheme table write it: no digit, but schwa keeps its 0 (``AH0``)."""
    return phoneme if phoneme == "AH0" else bare(phoneme)


def features(phoneme: str) -> Features:
    """The features of one sound. Raises Malformed for an unknown symbol."""
    try:
        return _FEATURES[bare(phoneme)]
    except (KeyError, IndexError):
        raise Malformed(f"{phoneme!r} is not an ARPAbet symbol.") from None


@lru_cache(maxsize=4096)
def distance(one: str, other: str) -> float:
    """How far two sounds lie apart: 0 the same, 1 a vowel against a consonant.

    A difference of voice alone is 0.15 (P, B), of place alone at most 0.5, of manner alone 0.4.
    Stress digits do not count, except that schwa is near every vowel (0.25). The weights are ours.
    """
    if one == other:
        return 0.0
    a, b = features(one), features(other)
    if isinstance(a, ConsonantFeatures) and isinstance(b, ConsonantFeatures):
        gap = abs(_PLACES.index(a.place) - _PLACES.index(b.place))
        return min(
            0.95,
            (0.15 if a.voiced != b.voiced else 0.0)
            + (0.15 + 0.05 * gap if gap else 0.0)
            + (0.4 if a.manner is not b.manner else 0.0),
        )
    if isinstance(a, VowelFeatures) and isinstance(b, VowelFeatures):
        if bare(one) == bare(other):
            return 0.05
        if "AH0" in (one, other):
            return 0.25
        return min(
            0.95,
            0.12 * abs(a.height - b.height)
            + 0.12 * abs(a.backness - b.backness)
            + (0.05 if a.rounded != b.rounded else 0.0)
            + (0.1 if a.long != b.long else 0.0)
            + (0.15 if a.glide != b.glide else 0.0)
            + (0.2 if a.r_coloured != b.r_coloured else 0.0),
        )
    return 1.0


def parse(text: str) -> Phonemes:
    """Phonemes from ARPAbet text such as ``"K AE1 CH"``; vowels must carry a digit.

    Raises Malformed naming the symbol and its place.
    """
    phonemes = tuple(text.split())
    for place, phoneme in enumerate(phonemes, start=1):
        symbol = bare(phoneme)
        if symbol not in SYMBOLS:
            raise Malformed(f"Sound {place} of {text!r}, {phoneme!r}, is not an ARPAbet symbol.")
        if (symbol in VOWELS) != (phoneme[-1] in "012"):
            raise Malformed(
                f"Sound {place} of {text!r}, {phoneme!r}: a vowel takes a stress digit 0, 1 or 2, "
                "a consonant none."
            )
    return phonemes


def spell_out(phonemes: Iterable[str]) -> str:
    """The ARPAbet text of phonemes: the inverse of ``parse``."""
    return " ".join(phonemes)


def syllable_count(phonemes: Iterable[str]) -> int:
    """The number of spoken syllables: one for each vowel."""
    return sum(1 for p in phonemes if is_vowel(p))


def _onset_start(phonemes: Sequence[str], vowel: int) -> int:
    """Index where the syllable of the vowel begins: as many consonants as may begin a syllable."""
    start = vowel
    while start > 0 and not is_vowel(phonemes[start - 1]):
        cluster = tuple(phonemes[start - 1 : vowel])
        if not (len(cluster) == 1 and cluster[0] != "NG") and cluster not in _ONSETS:
            break
        start -= 1
    return start


def to_ipa(phonemes: Sequence[str]) -> str:
    """Broad IPA with stress marks before the stressed syllables (none in words of one syllable)."""
    marks: dict[int, str] = {}
    if syllable_count(phonemes) > 1:
        for i, p in enumerate(phonemes):
            if p[-1] in "12":
                marks[_onset_start(phonemes, i)] = "ˈ" if p[-1] == "1" else "ˌ"
    out = []
    for i, p in enumerate(phonemes):
        out.append(marks.get(i, ""))
        if p == "AH0":
            out.append("ə")
        elif p == "ER0":
            out.append("ɚ")
        else:
            out.append(_IPA[bare(p)])
    return "".join(out)


def respell(phonemes: Sequence[str]) -> str:
    """The teacher's notation: ``("K", "AE1", "CH")`` gives ``/k/ /short a/ /ch/``.

    Two consonants alone (the sounds of one grapheme) share one pair of slashes: ``("K", "S")`` is /ks/,
    and so does the weak ending ("AH0", "L"): /ul/.
    """
    if not phonemes:
        return "(no sound)"
    if tuple(phonemes) == ("AH0", "L"):
        return "/ul/"
    if len(phonemes) > 1 and not any(is_vowel(p) for p in phonemes):
        return f"/{''.join(_PLAIN[p] for p in phonemes)}/"
    out: list[str] = []
    i = 0
    while i < len(phonemes):
        pair = tuple(bare(p) for p in phonemes[i : i + 2])
        if len(pair) == 2 and (pair[0], pair[1]) in _PLAIN_PAIRS:
            out.append(_PLAIN_PAIRS[pair[0], pair[1]])
            i += 2
            continue
        out.append("uh" if phonemes[i] == "AH0" else _PLAIN[pair[0]])
        i += 1
    return " ".join(f"/{name}/" for name in out)


def sort_key(phonemes: Sequence[str]) -> tuple[int, ...]:
    """Order for lists of sounds: vowels first, then consonants, as in the tables above."""
    return tuple(_SYMBOL_ORDER[bare(p)] for p in phonemes)
