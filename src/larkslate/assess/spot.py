"""One place of a spelling under examination, and what the rules make of it: sites."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from larkslate.assess.align import OMISSIONS, Piece, Relation
from larkslate.assess.slots import Kind, Slot
from larkslate.assess.target import Case
from larkslate.words.model import Spans


@dataclass(frozen=True, slots=True)
class Site:
    """One error with its code: the letters concerned and the words its sentence needs.

    ``skill`` names the skill that the error counts against where the word itself does not need it
    (a letter doubled that is not to be doubled). ``case`` picks the sentence.
    """

    code: str
    part: str
    wrote: str
    spans: Spans
    case: str = ""
    skill: str | None = None
    base: str = ""
    ending: str = ""
    letter: str = ""
    sounds: tuple[str, ...] = ()
    excused: bool = False  # an accent or the shape of a letter explains it: counts against nothing


@dataclass(frozen=True, slots=True)
class Spot:
    """A piece of the explanation with its neighbors."""

    case: Case
    pieces: Sequence[Piece]
    at: int

    @property
    def piece(self) -> Piece:
        """The piece itself."""
        return self.pieces[self.at]

    @property
    def relation(self) -> Relation:
        """How the written letters stand to the slot."""
        return self.piece.relation

    @property
    def slots(self) -> tuple[Slot, ...]:
        """The slots of the piece; none for an addition."""
        return tuple(self.case.target.slots[i] for i in self.piece.slots)

    @property
    def slot(self) -> Slot:
        """The first slot. Raises IndexError for an addition."""
        return self.slots[0]

    @property
    def chunk(self) -> str:
        """The written letters."""
        return self.piece.written

    @property
    def place(self) -> int:
        """Index of the slot at which the piece stands; for an addition that of the slot after it."""
        if self.piece.slots:
            return self.piece.slots[0]
        for later in self.pieces[self.at :]:
            if later.slots:
                return later.slots[0]
        return len(self.case.target.slots)

    def _slot_at(self, index: int) -> Slot | None:
        slots = self.case.target.slots
        return slots[index] if 0 <= index < len(slots) else None

    @property
    def before(self) -> Slot | None:
        """The slot before, passing over apostrophes and the like."""
        index = self.place - 1
        while (found := self._slot_at(index)) is not None and found.kind is Kind.MARK:
            index -= 1
        return found

    @property
    def after(self) -> Slot | None:
        """The slot after the last slot of the piece, passing over apostrophes and the like."""
        index = self.place + len(self.piece.slots)
        while (found := self._slot_at(index)) is not None and found.kind is Kind.MARK:
            index += 1
        return found

    @property
    def next_letter(self) -> str:
        """The letter written right after; empty at the end."""
        end = self.piece.span[1]
        return self.case.lower[end : end + 1]

    @property
    def initial(self) -> bool:
        """True if the slot begins a base."""
        before = self.before
        return before is None or before.kind is Kind.PREFIX or before.base != self.slot.base

    @property
    def final(self) -> bool:
        """True if the slot ends a base (a silent e of a split vowel may follow)."""
        after = self.after
        if after is not None and after.kind is Kind.MARKER:
            return Spot(self.case, self.pieces, self.at + 1).final if self._marker_next else False
        return after is None or after.affix or after.base != self.slot.base

    @property
    def _marker_next(self) -> bool:
        return self.at + 1 < len(self.pieces) and bool(self.pieces[self.at + 1].slots)

    @property
    def position(self) -> str:
        """Initial, medial or final in the base."""
        if self.final and not self.initial:
            return "final"
        return "initial" if self.initial else "medial"

    @property
    def odd(self) -> bool:
        """True if the letters are in the odd part of an irregular word."""
        return any(
            a < d and c < b
            for s in self.slots
            for a, b in (s.span,)
            for c, d in self.case.target.odd
        )

    @property
    def spans(self) -> Spans:
        """The letters of the target concerned; for an addition those on both sides."""
        if self.slots:
            return tuple(s.span for s in self.slots)
        both = (self.before, self.after)
        return tuple(s.span for s in both if s is not None)

    @property
    def part(self) -> str:
        """The letters of the target as an element shows them."""
        if len(self.slots) == 1 and self.slot.split:
            return f"{self.slot.letters}_e"
        return "".join(s.letters for s in self.slots)

    @property
    def wrote(self) -> str:
        """What stands for it, as an element shows it: a_e where the child wrote a split vowel."""
        return self.chunk + ("_e" if self.takes_e else "")

    @property
    def takes_e(self) -> bool:
        """True for a vowel letter that an e further on marks: the a of rane, or of shape."""
        if not self.slots or not self.slot.vowel:
            return False
        for later in self.pieces[self.at + 1 :]:
            if later.relation is Relation.ADDED_E:
                return self.relation is Relation.UNMARKED and later.cost < 0.1
            slots = [self.case.target.slots[i] for i in later.slots]
            if self.relation is Relation.UNMARKED and later.written.endswith("e"):
                # chese: the e that belongs to the consonant of cheese is read as marking the vowel
                return later.relation is Relation.SAME and not slots[-1].vowel
            if any(s.kind is Kind.MARKER for s in slots):
                return self.slot.split and later.relation is Relation.SAME
            if any(s.vowel for s in slots):
                return False
        return False

    def base_form(self) -> str:
        """The base before the ending that follows, as it is written alone."""
        reading = self.case.target.reading
        if reading is None:
            return self.case.target.lower
        here = self.slot.span[1]
        near = [j for j in reading.joins if self.slot.span[0] < j.at <= here + 1]
        if near:
            return min(near, key=lambda j: abs(j.at - here)).left
        return next(
            (m.form for m in reading.morphemes if m.span[1] >= here), self.case.target.lower
        )

    def site(self, code: str, **more: object) -> Site:
        """A site with this code at this spot."""
        made = Site(
            code=code,
            part=self.part,
            wrote=self.wrote,
            spans=self.spans,
            sounds=tuple(p for s in self.slots for p in s.phonemes),
        )
        return replace(made, **more)  # type: ignore[arg-type]

    def omitted(self, slot: Slot) -> bool:
        """True if nothing stands for a slot of the target."""
        index = self.case.target.slots.index(slot)
        return any(p.slots == (index,) and p.relation in OMISSIONS for p in self.pieces)
