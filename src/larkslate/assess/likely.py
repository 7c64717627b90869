"""The wrong spellings a word is likely to get: the table of the diagnosis run forward.

Every slot of the word is written in the other ways that the table of costs allows, one slot at a time; each form is
then diagnosed like a child's spelling, so a form always comes with the code it would get. Used to offer a teacher
the common wrong forms to pick from, and for practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from larkslate.assess.align import Relation, affix_forms, explain
from larkslate.assess.diagnose import first_code
from larkslate.assess.slots import Kind, Slot
from larkslate.assess.sounds_near import (
    LONG_LETTER,
    SHORT_LETTER,
    VOWEL_LETTERS,
    heard_as,
    is_weak,
    sound_key,
)
from larkslate.assess.tables import may_stand, near_words
from larkslate.assess.target import Case, Lookup, Target, target_of
from larkslate.assess.whole import regular_forms
from larkslate.words.graphemes import can_spell, table
from larkslate.words.model import JoinChange
from larkslate.words.sounds import bare
from larkslate.words.suitable import rude_sound, too_near, unsuitable

LEAST_SHARE = 0.03
"""A spelling of a sound is offered if at least this share of the words with the sound use it."""
MOST, SAME_CODE = 8, 3
_NEIGHBORS = {"a": "e", "e": "ia", "i": "e", "o": "u", "u": "o"}
_CODES_OFFERED = ("O.", "M.", "A.", "P.", "S.")
_SWAPS = ("ir", "er", "ur", "ie", "ei", "le", "igh", "ea", "oa")


def _spellings(slot: Slot) -> Iterator[str]:
    """Other ways to write one slot of the base."""
    letters, phonemes = slot.letters, slot.phonemes
    if len(letters) == 2 and letters[0] == letters[1]:
        yield letters[0]
    if slot.kind is Kind.SEAM:
        yield from _seam_spellings(slot)
    if not phonemes:
        return
    key = sound_key(phonemes)
    if len(letters) > 1 and key in LONG_LETTER:
        yield LONG_LETTER[key]
    if letters in _SWAPS:
        yield letters[1] + letters[0] + letters[2:]
    if slot.vowel and len(phonemes) == 1 and is_weak(phonemes[0]) and phonemes != ("ER0",):
        yield from (v for v in "eiaou" if v != letters)
        return
    if letters == SHORT_LETTER.get(bare(phonemes[0])):
        yield from _NEIGHBORS.get(letters, "")
        return
    for row in table().spellings_of(phonemes):
        plain = (row.before.startswith("!") or row.before in ("", "+")) and not row.after
        if plain and row.share >= LEAST_SHARE and row.letters != letters:
            yield row.letters


def _seam_spellings(slot: Slot) -> Iterator[str]:
    letters = slot.letters
    if slot.change is JoinChange.DROP_E:
        yield letters + "e"
    if letters in ("i", "ie"):
        yield "y"
    if letters[-1] == "y" and len(letters) > 1:
        yield letters[:-1] + "i"
    if letters[-1] == "e" and len(letters) > 1:
        yield letters[:-1]
    if len(letters) == 1 and letters not in VOWEL_LETTERS and slot.right[:1] in VOWEL_LETTERS:
        yield letters * 2


def _may_be_lost(slots: tuple[Slot, ...], at: int) -> bool:
    """True for a nasal before a consonant, a liquid after one, and a weak vowel inside a word."""
    slot = slots[at]
    after = slots[at + 1] if at + 1 < len(slots) else None
    before = slots[at - 1] if at else None
    if slot.kind is not Kind.SOUND or not slot.phonemes:
        return False
    sound = bare(slot.phonemes[-1])
    consonant_after = after is not None and bool(after.phonemes) and not after.vowel
    consonant_before = before is not None and bool(before.phonemes) and not before.vowel
    if sound in ("M", "N", "NG"):
        return consonant_after and not consonant_before
    if sound in ("L", "R"):
        return consonant_before and after is not None and after.vowel
    return slot.phonemes == ("AH0",) and before is not None and after is not None and at > 1


def _stands(spelling: str, slots: tuple[Slot, ...], at: int) -> bool:
    """True where a child would put this spelling: no double letter at the start, no ci for /sh/ before a vowel."""
    slot = slots[at]
    first = at == 0 or slots[at - 1].base != slot.base or slots[at - 1].kind is Kind.PREFIX
    after = slots[at + 1] if at + 1 < len(slots) else None
    last = after is None or after.affix or after.base != slot.base
    if slot.kind is Kind.SEAM:
        return True
    place = "initial" if first else "final" if last else "medial"
    letters = spelling.partition("_")[0]
    if not slot.vowel:
        if letters[-1] in VOWEL_LETTERS and not last:
            return False
        double = len(letters) == 2 and letters[0] == letters[1]
        after_vowel = at > 0 and slots[at - 1].vowel
        if double and not (
            after_vowel and (letters[0] in "flsz" if last else after and after.vowel)
        ):
            return False
    sounds = tuple(bare(p) for p in slot.phonemes)
    fits = len(letters) == 1 or spelling != letters or can_spell(letters, slot.phonemes, place)
    return bool(fits) and may_stand(letters, sounds, place)


def _forms(target: Target) -> Iterator[str]:
    """Wrong forms of a word, each wrong at one place; may repeat."""
    slots = target.slots
    for at, slot in enumerate(slots):
        left, right = target.lower[: slot.span[0]], target.lower[slot.span[1] :]
        if slot.kind is Kind.MARK:
            yield left + right
            if slot.letters == "'" and len(left) > 1 and len(right) == 1:
                yield left[:-1] + "'" + left[-1] + right
            if slot.letters == "'" and right == "s":
                yield left + "s'"
            continue
        if slot.kind is Kind.MARKER:
            yield left + right
            continue
        if slot.affix:
            yield left + right
            yield from (left + f + right for f in affix_forms().get(slot.letters, ())[:3])
            continue
        if _may_be_lost(slots, at):
            yield left + right
        for spelling in _spellings(slot):
            swapped = sorted(spelling) == sorted(slot.letters)
            if not swapped and not _stands(spelling, slots, at):
                continue
            vowel, _, e = spelling.partition("_")
            if slot.split and not e and len(vowel) > 1:
                yield left + vowel + right.replace("e", "", 1)
            elif not e:
                yield left + vowel + right
            elif not slot.split and at + 1 < len(slots) and not slots[at + 1].vowel:
                end = slots[at + 1].span[1]
                yield left + vowel + target.lower[slot.span[1] : end] + "e" + target.lower[end:]
    joined = [s.base for s in slots]
    for at in range(1, len(slots)):
        if joined[at] != joined[at - 1]:
            cut = slots[at].span[0]
            yield f"{target.lower[:cut]} {target.lower[cut:]}"
    if target.word.readings and target.lower.endswith("s") and "'" not in target.lower:
        yield target.lower[:-1] + "'s"


def _read_aloud(target: Target, written: str) -> list[str]:
    """The sounds a wrong form would be read with, so that a rude one is left out."""
    sounds: list[str] = []
    for piece in explain(target.slots, written).pieces:
        own = [p for i in piece.slots for p in target.slots[i].phonemes]
        changed = piece.relation in (
            Relation.VOWEL,
            Relation.UNMARKED,
            Relation.VOICE,
            Relation.NEAR,
        )
        heard = heard_as(piece.written) if changed and len(own) == 1 else ()
        sounds += heard[:1] or own
    return sounds


def _rude(target: Target, written: str) -> bool:
    """True if a form is, sounds like, or is one letter more than a word that is not shown to children."""
    shorter = (written[:i] + written[i + 1 :] for i in range(len(written)))
    return (
        too_near(written) is not None
        or any(unsuitable(s) is not None for s in shorter)
        or rude_sound(_read_aloud(target, written))
    )


def likely_forms(word: str, lexicon: Lookup, *, most: int = MOST) -> tuple[tuple[str, str], ...]:
    """The wrong spellings that ``word`` is likely to get, the likeliest first, each with its primary code.

    Words that sound the same come first, then forms by the cost of what they change. Nothing unsuitable for
    children is offered.
    """
    target = target_of(word, lexicon)
    case = Case(target, target.lower, None, lexicon)
    found: dict[str, tuple[float, str]] = {}
    others = case.homophones | {w for p in near_words() if target.lower in p for w in p}
    offered = [*sorted(others), *sorted(regular_forms(case)), *_forms(target)]
    for written in offered:
        if written == target.lower or written in found or not written.strip("' -"):
            continue
        if _rude(target, written):
            continue
        code = first_code(target, written, lexicon)
        if code is None or not code.startswith(_CODES_OFFERED):
            continue
        cost = 0.5 if code.startswith("S.") else explain(target.slots, written).cost
        found[written] = (cost, code)
    ordered = sorted(found.items(), key=lambda item: item[1][0])  # of equal cost, as they were made
    out: list[tuple[str, str]] = []
    for written, (_, code) in ordered:
        if sum(c == code for _, c in out) < SAME_CODE:
            out.append((written, code))
    return tuple(out[:most])
