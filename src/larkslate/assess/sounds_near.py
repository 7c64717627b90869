"""How near two consonants lie for a child who writes one for the other, and what a letter may be heard as."""

from __future__ import annotations

from functools import lru_cache

from larkslate.datafile import read_tsv
from larkslate.words.graphemes import COMMON_SHARE, can_spell, sounds_of
from larkslate.words.sounds import (
    CONSONANTS,
    ConsonantFeatures,
    Manner,
    Place,
    bare,
    distance,
    features,
    is_vowel,
    unit,
)

ROOM = "assess"
VOWEL_LETTERS = frozenset("aeiouy")
SHORT_SOUND = {"a": "AE", "e": "EH", "i": "IH", "o": "AA", "u": "AH", "y": "IH"}
"""The sound that a single vowel letter is read with in a closed syllable."""
SHORT_LETTER = {"AE": "a", "EH": "e", "IH": "i", "AA": "o", "AO": "o", "AH": "u", "UH": "u"}
"""The letter that a short vowel is written with unless a word says otherwise."""
LONG_LETTER = {"EY": "a", "IY": "e", "AY": "i", "OW": "o", "UW": "u", "Y.UW": "u"}
"""The letter whose name a long vowel is."""

LETTER_SOUNDS = {
    "c": {"K", "S"}, "g": {"G", "JH"}, "s": {"S", "Z"}, "x": {"K.S", "G.Z"}, "y": {"Y"}, "q": {"K"},
    "j": {"JH"}, "k": {"K"}, "b": {"B"}, "d": {"D"}, "f": {"F"}, "h": {"HH"}, "l": {"L"}, "m": {"M"},
    "n": {"N", "NG"}, "p": {"P"}, "r": {"R"}, "t": {"T"}, "v": {"V"}, "w": {"W"}, "z": {"Z"},
}  # fmt: skip
"""What a child can mean by a single consonant letter. Other values (the t of nature) hang on the word."""

_PLACES = tuple(Place)
_MOUTH_STOPS = frozenset({Manner.STOP, Manner.AFFRICATE, Manner.FRICATIVE})


@lru_cache(maxsize=1)
def _pairs() -> dict[frozenset[str], str]:
    pairs: dict[frozenset[str], str] = {}
    for row in read_tsv(ROOM, "consonant_pairs.tsv", ("one", "other", "kind", "note")):
        pair = frozenset((row["one"], row["other"]))
        if len(pair) != 2 or not pair <= CONSONANTS:
            raise row.bad("one and other must be two consonants in ARPAbet.")
        if row["kind"] not in ("voice", "near"):
            raise row.bad("kind must be voice or near.")
        if pair in pairs:
            raise row.bad("this pair stands twice.")
        pairs[pair] = row["kind"]
    return pairs


@lru_cache(maxsize=4096)
def consonants_near(one: str, other: str) -> str | None:
    """Either "voice", "near" (place or manner) or None for two consonants that are not taken for each other."""
    if one == other:
        return None
    listed = _pairs().get(frozenset((one, other)))
    if listed:
        return listed
    a, b = features(one), features(other)
    if not (isinstance(a, ConsonantFeatures) and isinstance(b, ConsonantFeatures)):
        return None
    same_place, same_manner = a.place is b.place, a.manner is b.manner
    if same_place and same_manner:
        return "voice"
    if a.voiced is not b.voiced:
        return None
    if same_manner:
        return "near"
    beside = abs(_PLACES.index(a.place) - _PLACES.index(b.place)) <= 1
    if beside and {a.manner, b.manner} <= _MOUTH_STOPS:
        return "near"
    return "near" if same_place else None


@lru_cache(maxsize=4096)
def heard_as(letters: str) -> tuple[str, ...]:
    """The single sounds that letters commonly stand for, without stress; empty for no grapheme.

    A single vowel letter stands for its short sound, a letter group for all it commonly spells.
    """
    if letters in SHORT_SOUND:
        return (SHORT_SOUND[letters],)
    found = [p[0] for p, share in sounds_of(letters) if len(p) == 1 and share >= COMMON_SHARE] or [
        p[0] for p, _ in sounds_of(letters) if len(p) == 1
    ][:1]
    return tuple(dict.fromkeys("AH" if p == "AH0" else p for p in found))


@lru_cache(maxsize=16384)
def nearness(letters: str, phoneme: str) -> tuple[str, float] | None:
    """How letters that do not spell a sound relate to it: ("voice" | "near" | "vowel" | "far", distance).

    None where the letters are no grapheme, or a vowel stands against a consonant.
    """
    heard = heard_as(letters)
    target = bare(phoneme)
    if is_vowel(target):
        vowels = [distance(h, target) for h in heard if is_vowel(h)]
        return ("vowel", min(vowels)) if vowels else None
    kinds = [(consonants_near(h, target), distance(h, target)) for h in heard if not is_vowel(h)]
    if not kinds:
        return None
    order = {"voice": 0, "near": 1, None: 2}
    kind, apart = min(kinds, key=lambda k: (order[k[0]], k[1]))
    return (kind or "far", apart)


def is_weak(phoneme: str) -> bool:
    """True for an unstressed vowel whose letter cannot be heard."""
    return phoneme in ("AH0", "IH0", "ER0", "UH0", "EH0")


@lru_cache(maxsize=65536)
def spells(letters: str, phonemes: tuple[str, ...]) -> str | None:
    """Either "common", "rare" or None: whether one grapheme, or a row of them, spells exactly these sounds.

    Weak vowels may be written with any vowel letter. A row of graphemes is as rare as its rarest.
    """
    if not letters or not phonemes:
        return None
    direct = can_spell(letters, phonemes)
    if len(phonemes) == 1 and is_weak(phonemes[0]):
        weak_er = phonemes == ("ER0",)
        if letters in (("er", "ar", "or", "ur", "ir", "re") if weak_er else VOWEL_LETTERS):
            direct = "common"
    if direct == "common" or len(phonemes) == 1:
        return direct
    best = direct
    for cut in range(1, len(letters)):
        for part in range(1, len(phonemes)):
            one = spells(letters[:cut], phonemes[:part])
            other = spells(letters[cut:], phonemes[part:]) if one else None
            if one and other:
                if one == other == "common":
                    return "common"
                best = "rare"
    return best


def sound_key(phonemes: tuple[str, ...]) -> str:
    """Sounds as skill ids write them."""
    return ".".join(unit(p) for p in phonemes)
