"""Elements of the target and their scores 0 to 3.

Scale (Masterson & Apel 2010, as described in a university talk): 3 right, 2 wrong but a possible spelling of that
sound or ending, 1 not possible there, 0 left out. Elements are graphemes; an affix is one; a split vowel is one;
units that the child wrote in each other's place are shown together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from larkslate.assess.align import ADDITIONS, OMISSIONS, Relation
from larkslate.assess.model import Element
from larkslate.assess.slots import Kind
from larkslate.assess.sounds_near import spells
from larkslate.assess.spot import Site, Spot
from larkslate.assess.target import Target

_POSSIBLE = frozenset({Relation.ALTERNATIVE, Relation.RARE, Relation.FORM, Relation.DOUBLE})
_IMPOSSIBLE_CODES = frozenset({"O.POS", "O.CG", "A.CON.LET", "M.PREF", "P.SUB.V", "O.LV"})


@dataclass(slots=True)
class _Part:
    """An element in the making."""

    slots: tuple[int, ...]
    target: str
    written: str
    score: int
    kind: Kind | None


def score(spot: Spot, sites: Sequence[Site]) -> int:
    """The score of a piece that has a slot."""
    relation = spot.relation
    codes = {s.code for s in sites}
    if relation is Relation.SAME:
        return 3
    if relation in OMISSIONS:
        return 0
    if codes & _IMPOSSIBLE_CODES:
        return 1
    if relation in _POSSIBLE:
        return 2
    if relation is Relation.UNMARKED:
        return 2  # marked by an e further on, or at the end of a syllable: the code is not O.LV
    if "O.CLE" in codes:
        return 2
    phonemes = tuple(p for s in spot.slots for p in s.phonemes)
    if relation is Relation.PART and spells(spot.chunk, phonemes):
        return 2
    return 1


def _apostrophe_side(parts: Sequence[_Part], target: Target) -> bool:
    """True if an added apostrophe belongs to the element after it (dog's), False to the one before (dogs')."""
    return not parts or len(parts[-1].slots) == 0 or parts[-1].slots[-1] + 1 < len(target.slots)


def elements_of(
    spots: Sequence[Spot], sites: Sequence[Sequence[Site]]
) -> tuple[tuple[Element, ...], dict[int, int]]:
    """The elements in order, and the score of every slot.

    ``spots`` are all pieces of the explanation, ``sites`` what was found at each.
    """
    target = spots[0].case.target
    parts: list[_Part] = []
    carried, carried_score = "", 3
    lowered = _lowered(sites, target)
    for spot, found in zip(spots, sites, strict=True):
        if spot.relation in ADDITIONS and not spot.slots:
            if spot.relation is Relation.ADDED_E and spot.piece.cost < 0.1:
                continue  # shown at the vowel it marks
            forward = spot.relation is Relation.MARK_ADDED and _apostrophe_side(parts, target)
            if forward or not parts:
                carried += spot.chunk
                carried_score = min(
                    carried_score, 2 if any(s.code == "M.CMPD" for s in found) else 1
                )
            else:
                parts[-1].written += spot.chunk
                parts[-1].score = min(parts[-1].score, 1)
            continue
        if spot.slot.kind is Kind.MARKER and spot.relation is not Relation.SWAPPED:
            _close_split(parts, spot)
            continue
        points = score(spot, found)
        for index in spot.piece.slots:
            points = min(points, lowered.get(index, 3))
        if carried:
            points = min(points, carried_score)
        parts.append(
            _Part(spot.piece.slots, spot.part, carried + spot.wrote, points, spot.slot.kind)
        )
        carried, carried_score = "", 3
    if carried and parts:
        parts[-1].written += carried
        parts[-1].score = min(parts[-1].score, carried_score)
    scores = {i: p.score for p in parts for i in p.slots}
    return tuple(Element(p.target, p.written, p.score) for p in parts), scores


def _lowered(sites: Sequence[Sequence[Site]], target: Target) -> dict[int, int]:
    """Slots that are written like the word and still wrong: the g of cag."""
    found = {}
    for group in sites:
        for site in group:
            if site.code in ("O.CG", "O.LV"):
                for index, slot in enumerate(target.slots):
                    if slot.span in site.spans and slot.kind is not Kind.MARKER:
                        found[index] = 1
    return found


def _close_split(parts: list[_Part], spot: Spot) -> None:
    """Give the e of a split vowel to its vowel."""
    slots = spot.case.target.slots
    vowel = next((p for p in reversed(parts) if p.slots and slots[p.slots[0]].split), None)
    if vowel is None:
        return
    vowel.slots = (*vowel.slots, *spot.piece.slots)
    if spot.relation is Relation.SAME and not vowel.written.endswith("_e"):
        vowel.written += "_e"
        if spot.piece.cost:  # an e after a vowel team
            vowel.score = min(vowel.score, 1)
    if spot.relation is Relation.OMITTED_E and spot.piece.cost:
        vowel.score = min(vowel.score, 1)


def whole(target: Target, written: str, points: int) -> tuple[Element, ...]:
    """One element for a word that was not taken apart."""
    return (Element(target.lower, written.lower(), points),)


def differing(
    target: Target, spots: Sequence[Spot], points: int, *, to_end: bool = False
) -> tuple[Element, ...]:
    """Elements with everything from the first to the last difference as one: h | are : air.

    ``to_end`` takes all that follows the first difference together, for look-alikes: th | ey're : eir.
    """
    same = [s.relation is Relation.SAME and bool(s.slots) for s in spots]
    if all(same):
        return tuple(Element(s.part, s.chunk, 3) for s in spots)
    first = same.index(False)
    last = len(same) - 1 if to_end else len(same) - 1 - same[::-1].index(False)
    out = [Element(s.part, s.chunk, 3) for s in spots[:first]]
    middle = spots[first : last + 1]
    letters = [target.slots[i].letters for s in middle for i in s.piece.slots]
    out.append(Element("".join(letters), "".join(s.chunk for s in middle), points))
    out += [Element(s.part, s.chunk, 3) for s in spots[last + 1 :]]
    return tuple(out)


def by_base(target: Target, written: str) -> tuple[Element, ...]:
    """Elements of a compound written apart: one for each base, the space with the base after it."""
    bases: dict[int, str] = {}
    for slot in target.slots:
        bases[slot.base] = bases.get(slot.base, "") + slot.letters
    out = []
    rest = written.lower()
    for number, letters in bases.items():
        gap = rest[: len(rest) - len(rest.lstrip(" -"))]
        if not rest.startswith(gap + letters):
            return ()
        out.append(Element(letters, gap + letters, 2 if number and gap else 3))
        rest = rest[len(gap) + len(letters) :]
    return tuple(out) if not rest else ()
