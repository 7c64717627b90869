"""The type of a written syllable: closed, open, VCe, vowel team, vowel-r, consonant-le, or odd.

The types are those of the Common Core State Standards, ELA, Appendix A, figure 12, tried in a fixed order.
Type and stress are separate: a weak syllable keeps the type of its letters. Details say what a type alone
does not (kind is closed with a long vowel; hop-ing keeps VCe with the e dropped).
"""

from __future__ import annotations

from collections.abc import Sequence

from larkslate.words.model import (
    Morpheme,
    MorphemeKind,
    Span,
    Syllable,
    SyllableDetail,
    SyllableType,
)
from larkslate.words.sounds import LONG_VOWELS, SHORT_VOWELS, bare
from larkslate.words.syllable_tables import stable_endings
from larkslate.words.syllable_units import VOWEL_LETTERS, Unit

_OWN_LONG = {"a": "EY", "e": "IY", "i": "AY", "o": "OW", "u": "UW", "y": "AY"}
"""The long sound that each vowel letter has in a VCe syllable; *move* and *machine* have another."""


def classify(
    word: str,
    span: Span,
    nucleus: Unit | None,
    units: Sequence[Unit],
    morphemes: Sequence[Morpheme],
) -> Syllable:
    """The syllable of ``word`` at ``span`` whose vowel is ``nucleus``, with type, detail and stress."""
    letters = word[span[0] : span[1]]
    if nucleus is None or nucleus.vowel is None:
        return Syllable(letters, span, SyllableType.ODD, None, 0)
    after = [
        u
        for u in units
        if nucleus.end <= u.start < span[1] and u.letters.strip("'’-")  # marks say nothing
    ]
    before = [u for u in units if span[0] <= u.start < nucleus.start]
    kind, detail = _type(word, span, nucleus, before, after, morphemes)
    return Syllable(letters, span, kind, detail, int(nucleus.vowel[-1]))


def _type(
    word: str,
    span: Span,
    nucleus: Unit,
    before: Sequence[Unit],
    after: Sequence[Unit],
    morphemes: Sequence[Morpheme],
) -> tuple[SyllableType, SyllableDetail | None]:
    letters = word[span[0] : span[1]].lower()
    if not any(c in VOWEL_LETTERS or c == "w" for c in nucleus.letters):
        return SyllableType.ODD, None  # n't
    sound = bare(nucleus.vowel or "")
    for ending, _ in stable_endings():
        if (
            letters.startswith(ending)
            and span[0] > 0
            and letters[len(ending) :] in {"", "s", "ed", "d"}
        ):
            return SyllableType.ODD, SyllableDetail.STABLE_ENDING
    if (
        nucleus.letters == "e"
        and nucleus.vowel == "AH0"
        and before
        and before[-1].letters == "l"
        and all(u.letters in {"s", "d"} for u in after)
    ):
        return SyllableType.CONSONANT_LE, None
    body = [u for u in after if not _is_final_e(u, after)]
    final_e = len(body) < len(after)
    hidden_e = any(len(u.letters) > 1 and u.letters.endswith("e") for u in after[-1:])
    if len(nucleus.letters) > 1:
        return (SyllableType.TEAM if _is_team(nucleus.letters) else SyllableType.ODD), None
    if (
        after
        and after[0].letters.startswith("e")
        and after[0].vowel is None
        and len(nucleus.letters)
    ):
        return (
            SyllableType.TEAM,
            None,
        )  # cries, goes: the e beside the vowel is part of its spelling
    if body and body[0].letters[0] == "r":
        return SyllableType.VOWEL_R, None
    if body and (final_e or hidden_e):
        return _with_e(nucleus, sound, body, split=final_e)
    if not body:
        return SyllableType.OPEN, None
    dropped = _e_dropped(word, span, nucleus, sound, body, morphemes)
    if dropped:
        # in hoped the e of -ed stands where the base had its own
        shown = word[span[1] - 2 : span[1]].lower() == "ed" and not after[-1].vowel
        return SyllableType.VCE, None if shown else SyllableDetail.E_DROPPED
    if _closed_long(nucleus, sound, body):
        return SyllableType.CLOSED, SyllableDetail.CLOSED_LONG
    return SyllableType.CLOSED, None


def _is_team(letters: str) -> bool:
    """True for vowel letters (with w, y) that stand together, with or without gh: *ai*, *ow*, *eigh*."""
    core = letters.removesuffix("gh") if letters != "gh" else letters
    return all(c in VOWEL_LETTERS or c == "w" for c in core) and len(letters) > 1


def _is_final_e(unit: Unit, after: Sequence[Unit]) -> bool:
    return unit.silent and unit.letters == "e" and unit in after


def _with_e(
    nucleus: Unit, sound: str, body: Sequence[Unit], *, split: bool
) -> tuple[SyllableType, SyllableDetail | None]:
    """A syllable with a silent e at its end: VCe, closed with an e that does something else, or odd."""
    consonants = [u for u in body if u.letters not in {"s", "d"} or u is body[0]]
    one = len(consonants) == 1
    if split and sound == _OWN_LONG.get(nucleus.letters):
        return SyllableType.VCE, None
    if nucleus.vowel is not None and nucleus.vowel[-1] == "0" and one:
        return SyllableType.ODD, SyllableDetail.WEAK_E
    if not one:
        detail = SyllableDetail.CLOSED_LONG if sound in LONG_VOWELS else None
        return SyllableType.CLOSED, detail
    if sound not in SHORT_VOWELS:
        return SyllableType.ODD, None
    first = consonants[0].letters
    if first.startswith("v") or len(first.rstrip("e")) > 1 or first in {"ce", "ge"}:
        return SyllableType.CLOSED, None
    return SyllableType.ODD, None


def _e_dropped(
    word: str,
    span: Span,
    nucleus: Unit,
    sound: str,
    body: Sequence[Unit],
    morphemes: Sequence[Morpheme],
) -> bool:
    """True for *hop* in hop-ing and for *hoped*: an ending has taken the place of the base's silent e."""
    if sound not in LONG_VOWELS:
        return False
    for m in morphemes:
        ends_here = m.span[1] == span[1] or (
            m.span[1] < span[1] and word[m.span[1] : span[1]].lower() == "ed"
        )
        moved = m.span[1] == span[1] + 1 and word[span[1]].lower() == "e"  # hous-es, iz-es
        if m.kind is not MorphemeKind.PREFIX and moved and m.span[0] <= nucleus.start:
            return len(body) == 1
        if m.kind is MorphemeKind.BASE and ends_here and m.span[0] <= nucleus.start < m.span[1]:
            consonants = [u for u in body if u.start < m.span[1]]
            form = m.form.lower()
            one = len(consonants) == 1 or [u.letters for u in consonants] == ["s", "t"]
            return one and form.endswith("e") and not m.letters.lower().endswith("e")
    return False


def _closed_long(nucleus: Unit, sound: str, body: Sequence[Unit]) -> bool:
    if sound in LONG_VOWELS:
        return True
    return nucleus.letters == "a" and sound in {"AO", "AA"} and body[0].letters[0] == "l"
