"""Words that are not in the lexicon file but follow from words that are: possessives and regular forms.

The sounds of a form are those of its parts, by the rules of English phonology for -s, -ed and the rest;
the pipeline then works as for any word. A form made so is marked: a possessive as automatic, all else as
fallback, never shown as fact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from larkslate.words.analyse import Context, analyse
from larkslate.words.contractions import contraction
from larkslate.words.model import JoinChange, Morpheme, MorphemeKind, Status, Word
from larkslate.words.parts import Parts, PartsKind, take_apart
from larkslate.words.possessives import split_possessive
from larkslate.words.sounds import is_vowel
from larkslate.words.suitable import unsuitable

if TYPE_CHECKING:
    from larkslate.words.lexicon import Lexicon

_HISS = frozenset({"S", "Z", "SH", "ZH", "CH", "JH"})
_VOICELESS = frozenset({"P", "T", "K", "F", "TH", "S", "SH", "CH", "HH"})

_ENDINGS: dict[str, tuple[str, ...]] = {
    "ing": ("IH0", "NG"), "er": ("ER0",), "est": ("IH0", "S", "T"), "ly": ("L", "IY0"),
    "ness": ("N", "AH0", "S"), "less": ("L", "AH0", "S"), "ful": ("F", "AH0", "L"), "y": ("IY0",),
    "ment": ("M", "AH0", "N", "T"), "able": ("AH0", "B", "AH0", "L"), "ish": ("IH0", "SH"),
    "or": ("ER0",),
}  # fmt: skip
_PREFIXES: dict[str, tuple[str, ...]] = {
    "un": ("AH0", "N"), "re": ("R", "IY0"), "dis": ("D", "IH0", "S"), "mis": ("M", "IH0", "S"),
    "pre": ("P", "R", "IY0"), "non": ("N", "AA0", "N"), "over": ("OW2", "V", "ER0"),
    "under": ("AH2", "N", "D", "ER0"), "out": ("AW2", "T"), "sub": ("S", "AH2", "B"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Said:
    """A pronunciation as the pipeline asks for it."""

    phonemes: tuple[str, ...]
    pos: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Shelf:
    """The lexicon as a source of the pipeline, with one more word on it."""

    lexicon: Lexicon
    word: str = ""
    said: tuple[Said, ...] = ()

    def zipf(self, word: str) -> float:
        return self.lexicon.zipf(word)

    def pronunciations(self, word: str) -> tuple[Said, ...]:
        if word == self.word:
            return self.said
        return tuple(Said(r.phonemes, r.pos) for r in self.lexicon.readings(word))


def s_sounds(base: Sequence[str]) -> tuple[str, ...]:
    """The sounds of -s, -es or 's after a base: S, Z or IH0 Z."""
    if base[-1] in _HISS:
        return ("IH0", "Z")
    return ("S",) if base[-1] in _VOICELESS else ("Z",)


def ed_sounds(base: Sequence[str]) -> tuple[str, ...]:
    """The sounds of -ed after a base: T, D or IH0 D."""
    if base[-1] in {"T", "D"}:
        return ("IH0", "D")
    return ("T",) if base[-1] in _VOICELESS else ("D",)


def contracted_sounds(word: str, first: Sequence[str]) -> tuple[str, ...] | None:
    """The sounds of a regular contraction, from those of the word it begins with; None for others.

    *it'll* has a weak vowel before the l, *he'll* has none; *there'd* has none before the d, *it'd* has one.
    """
    open_end = is_vowel(first[-1])
    if word.endswith("n't"):
        return (*first, "AH0", "N", "T")
    ending = word.rpartition("'")[2]
    if ending == "s":
        return (*first, *s_sounds(first))
    if ending == "re":
        return (*first, "ER0")
    weak = () if open_end or (ending == "d" and first[-1] == "R") else ("AH0",)
    last = {"ll": "L", "ve": "V", "d": "D"}.get(ending)
    return (*first, *weak, last) if last else None


def derive(word: str, lexicon: Lexicon) -> Word:
    """A word that is not in the file, worked out from those that are; UNKNOWN where nothing fits."""
    unknown = Word(word, Status.UNKNOWN, 0.0, ())
    lower = word.lower()
    if contraction(word) is not None:
        return analyse(word, (), Context(_Shelf(lexicon)))
    owner = split_possessive(word)
    if owner is not None:
        base = lexicon.lookup(owner[0])
        if not base.readings or not base.first.phonemes:
            return unknown
        sounds = base.first.phonemes
        if lower.endswith("'s"):
            sounds = (*sounds, *s_sounds(sounds))
        made = _analysed(word, Said(sounds, ("noun", "possessive")), lexicon)
        if made.status is Status.AUTOMATIC and base.status is Status.FALLBACK:
            return replace(made, status=Status.FALLBACK)
        return made
    if not lower.replace("-", "").isalpha():
        return unknown
    parts = take_apart(
        lower,
        known=lambda w: w in lexicon,
        zipf=lexicon.zipf,
        pos=lambda w: frozenset(p for r in lexicon.readings(w) for p in r.pos),
    )
    found = _said(parts, lexicon)
    if found is None:
        return unknown
    made = _analysed(word, Said(found), lexicon)
    return replace(made, status=Status.FALLBACK) if made.readings else unknown


def _analysed(word: str, said: Said, lexicon: Lexicon) -> Word:
    """The pipeline on one derived word."""
    made = analyse(word, (said,), Context(_Shelf(lexicon, word.lower(), (said,))))
    return replace(made, flags=made.flags | {"unsuitable"}) if unsuitable(word) else made


def _said(parts: Parts, lexicon: Lexicon) -> tuple[str, ...] | None:
    """The sounds of a word from its parts; None where a part has no settled sound."""
    if parts.kind in {PartsKind.WHOLE, PartsKind.IRREGULAR}:
        return None
    sounds: tuple[str, ...] = ()
    for morpheme in parts.morphemes:
        if morpheme.kind is MorphemeKind.PREFIX:
            if morpheme.form.strip("-") not in _PREFIXES:
                return None
            sounds = (*sounds, *_PREFIXES[morpheme.form.strip("-")])
        elif morpheme.kind is MorphemeKind.BASE:
            readings = lexicon.readings(morpheme.form)
            if not readings or not readings[0].phonemes:
                return None
            own = readings[0].phonemes
            if any(p[-1] == "1" for p in sounds):  # the second base of a compound
                own = tuple(p[:-1] + "2" if p[-1] == "1" else p for p in own)
            sounds = (*sounds, *own)
        else:
            ended = _ended(sounds, morpheme, parts)
            if ended is None:
                return None
            sounds = ended
    return sounds if any(map(is_vowel, sounds)) else None


def _ended(sounds: tuple[str, ...], morpheme: Morpheme, parts: Parts) -> tuple[str, ...] | None:
    """The sounds with those of an ending or suffix."""
    form = morpheme.form.strip("-")
    if form in {"s", "es"}:
        return (*sounds, *s_sounds(sounds))
    if form in {"ed", "d"}:
        return (*sounds, *ed_sounds(sounds))
    if form not in _ENDINGS:
        return None
    drops_le = any(j.change is JoinChange.DROP_LE and j.at == morpheme.span[0] for j in parts.joins)
    if drops_le and sounds[-2:] == ("AH0", "L"):
        sounds = sounds[:-2]
    return (*sounds, *_ENDINGS[form])
