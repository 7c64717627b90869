"""The target of a spelling taken apart into slots: the units a child's letters are held against.

A slot is one grapheme, one affix, one apostrophe, hyphen or space. A split vowel has two slots, the vowel and its
e. The last consonant of a base before an ending is a *seam*: a doubled letter belongs to it, and so does an e that
is kept before a suffix (hope+ful has the slots h, o, pe, ful).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from larkslate.words.graphemes import sounds_of
from larkslate.words.model import (
    Grapheme,
    Join,
    JoinChange,
    Morpheme,
    MorphemeKind,
    Reading,
    Span,
    Word,
)
from larkslate.words.sounds import is_vowel

MARKS = frozenset("'- ")
_LATIN_ENDS = frozenset({"tion", "sion", "ssion", "cian"})
_UNCHANGED_BEFORE = frozenset(
    {"s", "'s", "'", ""}
)  # endings before which e, y and doubling are no question


class Kind(StrEnum):
    """What a slot is."""

    SOUND = "sound"
    MARKER = "marker"  # the e of a split vowel
    SEAM = "seam"  # the end of a base where an ending joins
    PREFIX = "prefix"
    SUFFIX = "suffix"
    ENDING = "ending"
    MARK = "mark"  # apostrophe, hyphen, space


AFFIXES = frozenset({Kind.PREFIX, Kind.SUFFIX, Kind.ENDING})


@dataclass(frozen=True, slots=True)
class Slot:
    """One unit of the target. ``letters`` are lower case; ``span`` is where they stand.

    ``split`` marks the vowel half of a split vowel. A seam has the ``change`` of its join and the ``right``
    part. ``base`` counts the bases of the word from 0; an affix has the number of the base before it.
    """

    letters: str
    span: Span
    phonemes: tuple[str, ...]
    kind: Kind = Kind.SOUND
    split: bool = False
    change: JoinChange | None = None
    right: str = ""
    base: int = 0

    @property
    def vowel(self) -> bool:
        """True if the slot spells a vowel (or a vowel and r, or l)."""
        return any(is_vowel(p) for p in self.phonemes)

    @property
    def affix(self) -> bool:
        """True for a prefix, suffix or ending."""
        return self.kind in AFFIXES


def _letter_graphemes(word: str) -> list[Grapheme]:
    """One grapheme a letter with its likeliest sound, for a word whose sounds are not known."""
    found = []
    for at, letter in enumerate(word):
        if letter in MARKS:
            continue
        sounds = sounds_of(letter)
        found.append(Grapheme(letter, ((at, at + 1),), sounds[0][0] if sounds else ()))
    return found


def _split_up(graphemes: Sequence[Grapheme], word: str) -> list[Slot]:
    slots = []
    for g in graphemes:
        (a, b), *rest = g.spans
        slots.append(Slot(word[a:b], (a, b), g.phonemes, split=bool(rest)))
        slots += [Slot(word[c:d], (c, d), (), Kind.MARKER) for c, d in rest]
    covered = {i for s in slots for i in range(*s.span)}
    for at, letter in enumerate(word):
        if at not in covered:
            kind = Kind.MARK if letter in MARKS else Kind.SOUND
            slots.append(Slot(letter, (at, at + 1), (), kind))
    return sorted(slots, key=lambda s: s.span)


def _merged(parts: Sequence[Slot], word: str, **more: object) -> Slot:
    a, b = parts[0].span[0], parts[-1].span[1]
    phonemes = tuple(p for s in parts for p in s.phonemes)
    return replace(parts[0], letters=word[a:b], span=(a, b), phonemes=phonemes, **more)  # type: ignore[arg-type]


def _ie_apart(slots: list[Slot], at: int) -> list[Slot]:
    """The unit ie before the d of an ending taken apart: i and e."""
    out = []
    for slot in slots:
        if slot.span == (at - 1, at + 1):
            out.append(replace(slot, letters="i", span=(at - 1, at)))
            out.append(Slot("e", (at, at + 1), ()))
        else:
            out.append(slot)
    return out


def _ie_together(slots: list[Slot], at: int) -> list[Slot]:
    """The units i and es of flies written as babies has them: ie and s.

    Where the i belongs to a suffix (activ + ity + es), es stays whole: no letter may be lost.
    """
    if not any(s.span == (at - 1, at) for s in slots):
        return slots
    out = []
    for slot in slots:
        if slot.span == (at - 1, at):
            out.append(replace(slot, letters="ie", span=(at - 1, at + 1)))
        elif slot.span == (at, at + 2):
            out.append(replace(slot, letters="s", span=(at + 1, at + 2)))
        else:
            out.append(slot)
    return out


def _parted(slots: list[Slot], morphemes: Sequence[Morpheme]) -> list[Slot]:
    """A double letter whose halves belong to two parts (real+ly) taken apart at the seam."""
    seams = {m.span[0] for m in morphemes}
    out = []
    for slot in slots:
        a, b = slot.span
        if (
            slot.kind is Kind.SOUND
            and b - a == 2
            and a + 1 in seams
            and len(set(slot.letters)) == 1
        ):
            out.append(replace(slot, letters=slot.letters[0], span=(a, a + 1)))
            out.append(Slot(slot.letters[1], (a + 1, b), ()))
        else:
            out.append(slot)
    return out


def _whole_parts(slots: list[Slot], span: Span, kind: Kind, word: str) -> list[Slot]:
    """The slots inside a span made into one of this kind; an apostrophe stays a slot of its own."""
    inside = [s for s in slots if span[0] <= s.span[0] and s.span[1] <= span[1]]
    straddling = any(
        s.span[0] < span[0] < s.span[1] or s.span[0] < span[1] < s.span[1] for s in slots
    )
    letters = [s for s in inside if s.kind is not Kind.MARK]
    if straddling or not letters:
        return slots
    one = _merged(letters, word, kind=kind, split=False)
    kept = [s for s in slots if s not in letters]
    return sorted([*kept, one], key=lambda s: s.span)


def _weak_l(slots: list[Slot], word: str) -> list[Slot]:
    """A weak vowel and l at the end of a base are one unit (animal, camel, pencil)."""
    out: list[Slot] = []
    for i, slot in enumerate(slots):
        after = slots[i + 1] if i + 1 < len(slots) else None
        ends = after is None or after.affix or after.kind is Kind.MARK
        if (
            out
            and slot.kind in (Kind.SOUND, Kind.SEAM)
            and slot.letters in ("l", "ll")
            and slot.phonemes == ("L",)
            and ends
            and out[-1].kind is Kind.SOUND
            and out[-1].phonemes in (("AH0",), ("IH0",))
            and len(out) > 1
        ):
            out[-1] = _merged(
                [out[-1], slot], word, kind=slot.kind, change=slot.change, right=slot.right
            )
            out[-1] = replace(out[-1], phonemes=("AH0", "L"))
        else:
            out.append(slot)
    return out


def _kept_e(slots: list[Slot], join: Join, word: str) -> list[Slot]:
    """The last consonant of a base and the e kept before a suffix made one slot: pe in hopeful."""
    before = [s for s in slots if s.span[1] <= join.at]
    if len(before) < 2 or before[-1].letters != "e":
        return slots
    rest = slots[len(before) :]
    if before[-1].kind is not Kind.MARKER:
        return [*before[:-2], _merged(before[-2:], word), *rest]
    vowel = max(i for i, s in enumerate(before) if s.split)
    between = before[vowel + 1 : -1]
    if not between:
        return slots
    seam = _merged([between[-1], before[-1]], word)
    return [
        *before[:vowel],
        replace(before[vowel], split=False),
        *between[:-1],
        seam,
        *rest,
    ]


def _seams(slots: list[Slot], joins: Sequence[Join], word: str) -> list[Slot]:
    for join in joins:
        right_slot = next(
            (s for s in slots if s.span[0] >= join.at and s.kind is not Kind.MARK), None
        )
        if right_slot is None or right_slot.kind not in (Kind.SUFFIX, Kind.ENDING):
            continue
        plain = join.right in _UNCHANGED_BEFORE or right_slot.letters == "s"
        if plain and join.change is JoinChange.NONE and not join.left.endswith("y"):
            continue
        if join.left.endswith("e") and join.change is JoinChange.NONE and not plain:
            slots = _kept_e(slots, join, word)
        for i in range(len(slots) - 1, -1, -1):
            if slots[i].span[0] < join.at:
                changed = slots[i].kind is Kind.SUFFIX and join.change is JoinChange.Y_TO_I
                if slots[i].kind is Kind.SOUND or changed:
                    slots[i] = replace(
                        slots[i], kind=Kind.SEAM, change=join.change, right=join.right
                    )
                break
    return slots


def _numbered(slots: list[Slot], morphemes: Sequence[Morpheme]) -> list[Slot]:
    bases = [m.span for m in morphemes if m.kind is MorphemeKind.BASE]
    if len(bases) < 2:
        return slots
    return [
        replace(s, base=max((i for i, b in enumerate(bases) if b[0] <= s.span[0]), default=0))
        for s in slots
    ]


_KINDS = {
    MorphemeKind.PREFIX: Kind.PREFIX,
    MorphemeKind.SUFFIX: Kind.SUFFIX,
    MorphemeKind.ENDING: Kind.ENDING,
}


def slots_of(word: Word, reading: Reading | None) -> tuple[Slot, ...]:
    """The slots of a word in the order of its letters; every letter stands in exactly one.

    Without a reading each letter is a slot with its likeliest sound.
    """
    lower = word.word.lower()
    graphemes = reading.graphemes if reading and reading.graphemes else _letter_graphemes(lower)
    slots = _split_up(graphemes, lower)
    if reading is None:
        return tuple(slots)
    slots = _parted(slots, reading.morphemes)
    for part in reading.morphemes:
        if part.kind not in _KINDS:
            continue
        a, b = part.span
        if part.form == "s" and lower[a:b] == "es" and any(s.span == (a - 1, a + 1) for s in slots):
            a += 1  # babies: the letters ie are one unit, the ending is the s
        elif (
            part.form == "s" and lower[a - 1 : b] == "ies" and any(s.span == (a, b) for s in slots)
        ):
            slots = _ie_together(slots, a)  # flies is taken like babies
            a += 1
        elif part.form == "ed" and any(
            s.span == (a - 1, a + 1) and s.letters == "ie" for s in slots
        ):
            slots = _ie_apart(slots, a)  # carried: the i is the base's, the e is the ending's
        while any(s.span[0] < a < s.span[1] for s in slots) and lower[a - 1 : b] in _LATIN_ENDS:
            a -= 1  # act+ion: ti is one unit
        slots = _whole_parts(slots, (a, b), _KINDS[part.kind], lower)
    for need in reading.needs:
        if need.skill.startswith(("ending:", "affix:-able", "affix:-ible")):
            slots = _whole_parts(slots, need.spans[0], Kind.SUFFIX, lower)
    slots = _seams(slots, reading.joins, lower)
    slots = _weak_l(slots, lower)
    return tuple(_numbered(slots, reading.morphemes))
