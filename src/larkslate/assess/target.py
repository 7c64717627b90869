"""The target of one item: the word, its slots, and what a spelling of it is held against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from larkslate.assess.score import normal
from larkslate.assess.slots import Kind, Slot, slots_of
from larkslate.words.contractions import contraction
from larkslate.words.homophones import partners
from larkslate.words.model import Contraction, Need, Reading, Spans, Status, Word
from larkslate.words.needs import choice_sets
from larkslate.words.possessives import split_possessive
from larkslate.words.sounds import SHORT_VOWELS, bare, is_vowel

MODALS = frozenset({"could", "should", "would", "might", "must", "may"})
KNOWN_FROM = 3.0
"""The zipf value from which a written form counts as a word that a child may have meant."""


class Lookup(Protocol):
    """What marking asks of the lexicon."""

    def lookup(self, word: str) -> Word:
        """All that is known about a word, derived where possible, UNKNOWN where nothing is."""

    def get(self, word: str) -> Word | None:
        """The word as it stands in the list; None where it does not."""


@dataclass(frozen=True, slots=True)
class Target:
    """A word to be spelled. ``text`` is as dictated with one kind of apostrophe, ``lower`` in small letters."""

    word: Word
    text: str
    lower: str
    reading: Reading | None
    slots: tuple[Slot, ...]
    needs: tuple[Need, ...]
    contraction: Contraction | None
    odd: Spans = ()

    def needs_of(self, *prefixes: str) -> tuple[Need, ...]:
        """The needs whose skill begins with one of the prefixes, in that order of the prefixes."""
        return tuple(n for p in prefixes for n in self.needs if n.skill.startswith(p))

    @property
    def owner(self) -> str | None:
        """Who owns, for a possessive: dogs for dogs', child for child's; None for all else."""
        if self.contraction is not None or "'" not in self.lower or not self.needs_of("poss"):
            return None
        return self.text.removesuffix("'s") if self.lower.endswith("'s") else self.text.rstrip("'")


def _pick(word: Word, phonemes: tuple[str, ...] | None) -> Reading | None:
    if phonemes is not None:
        for reading in word.readings:
            if reading.phonemes == phonemes:
                return reading
    return word.readings[0] if word.readings else None


def _contracted_slots(word: Word, reading: Reading, first: Reading | None) -> tuple[Slot, ...]:
    """A contraction takes the units of its first word from that word: they + 're has th, ey."""
    slots = slots_of(word, reading)
    if first is None or not first.graphemes:
        return slots
    shared = 0
    for g in sorted(first.graphemes, key=lambda g: g.start):
        if len(g.spans) > 1:
            break
        a, b = g.spans[0]
        written = "".join(first_letters(first)[a:b])
        if word.word.lower()[a:b] != written or "'" in word.word[a:b]:
            break
        shared = b
    boundary = [s for s in slots if s.span[0] >= shared]
    if any(s.span[0] < shared < s.span[1] for s in slots) or not shared:
        return slots
    kept = [
        Slot(g.letters, g.spans[0], g.phonemes)
        for g in first.graphemes
        if len(g.spans) == 1 and g.end <= shared
    ]
    return (*kept, *boundary)


def first_letters(reading: Reading) -> str:
    """The letters of a reading put together again from its graphemes; gaps are blanks."""
    end = max((s[1] for g in reading.graphemes for s in g.spans), default=0)
    letters = [" "] * end
    for g in reading.graphemes:
        for (a, b), part in zip(g.spans, g.letters.split("_"), strict=False):
            letters[a:b] = part
    return "".join(letters)


def _extra_needs(word: Word, slots: Sequence[Slot]) -> list[Need]:
    """What an irregular contraction shows besides: the n't of can't, the ck of o'clock."""
    found = []
    lower = word.word.lower()
    short = word.contraction
    if short is None or not short.irregular:
        return []
    if lower.endswith("n't"):
        found.append(Need("con:not", ((len(lower) - 2, len(lower)),)))
    found += [
        Need(f"gp:{s.letters}={'.'.join(bare(p) for p in s.phonemes)}", (s.span,))
        for s in slots
        if len(s.letters) > 1 and s.phonemes and s.kind is Kind.SOUND
    ]
    return found


def _odd_units(slots: tuple[Slot, ...], odd: Spans) -> tuple[Slot, ...]:
    """The odd part of an irregular word as one slot, whatever graphemes it was covered with (s|ai|d)."""
    for a, b in odd:
        inside = [s for s in slots if s.span[0] < b and a < s.span[1]]
        plain = all(s.kind in (Kind.SOUND, Kind.SEAM, Kind.ENDING) and not s.split for s in inside)
        if b - a < 2 or len(inside) < 2 or not plain or inside[0].span[0] < a:
            continue
        last = inside[-1]
        letters = "".join(s.letters for s in inside)[: b - a]
        rest = last.letters[b - last.span[0] :]
        spread = inside if not rest else inside[:-1]
        phonemes = tuple(p for s in spread for p in s.phonemes)
        vowels = tuple(p for p in phonemes if is_vowel(p))
        if len(vowels) > 1 and len(vowels) == len(phonemes):
            phonemes = vowels[:1]  # one vowel spelling, however the list of sounds has it
        made = [Slot(letters, (a, b), phonemes)]
        if rest:
            made.append(replace(last, letters=rest, span=(b, last.span[1]), kind=Kind.SOUND))
        at = slots.index(inside[0])
        slots = (*slots[:at], *made, *slots[at + len(inside) :])
    return slots


def _with_choice(needs: tuple[Need, ...], lower: str) -> tuple[Need, ...]:
    """The needs, with the look-alike set of the word where it is not among them."""
    choice = choice_sets().get(lower)
    if choice is None or any(n.skill.startswith("hom:") for n in needs):
        return needs
    return (*needs, Need(f"hom:{choice}", ((0, len(lower)),)))


def _possessive(dictated: str, lexicon: Lookup) -> Target | None:
    """The target for dog's, dogs', children's: the owner with its needs, and the mark."""
    parts = split_possessive(dictated)
    if parts is None:
        return None
    owner, kind = parts
    word = lexicon.lookup(owner)
    lower = dictated.lower()
    if not word.readings or word.word.lower() != owner.lower():
        return None
    reading = word.readings[0]
    size = len(owner)
    slots = [*slots_of(word, reading), Slot("'", (size, size + 1), (), Kind.MARK)]
    if lower.endswith("'s"):
        slots.append(Slot("s", (size + 1, size + 2), ("Z",), Kind.ENDING))
    needs = (*reading.needs, Need(f"poss:{kind}", ((size, len(lower)),)))
    if kind == "plural":
        needs = (*reading.needs, Need("poss:plural", ((size - 1, len(lower)),)))
    whole = replace(word, word=word.word + lower[size:])
    return Target(whole, dictated, lower, reading, tuple(slots), needs, None, reading.odd)


def _phrase(dictated: str, lexicon: Lookup) -> Target:
    """The target for several words: ice cream, could have, the dog. Each word keeps its units and needs."""
    slots: list[Slot] = []
    needs: list[Need] = []
    at = 0
    words = dictated.split(" ")
    for number, text in enumerate(words):
        one = target_of(text, lexicon)
        if number:
            slots.append(Slot(" ", (at, at + 1), (), Kind.MARK, base=number))
            at += 1
        slots += [replace(s, span=(s.span[0] + at, s.span[1] + at), base=number) for s in one.slots]
        needs += [
            Need(n.skill, tuple((a + at, b + at) for a, b in n.spans))
            for n in one.needs
            if not n.skill.startswith("hom:")
        ]
        at += len(text)
    lower = dictated.lower()
    if len(words) == 2 and words[1].lower() == "have" and words[0].lower() in MODALS:
        needs.append(Need("con:modal-have", ((0, at),)))
    return Target(
        Word(dictated, Status.UNKNOWN, 0.0, ()),
        dictated,
        lower,
        None,
        tuple(slots),
        tuple(needs),
        None,
    )


def target_of(text: str, lexicon: Lookup, phonemes: tuple[str, ...] | None = None) -> Target:
    """The target for a dictated word. ``phonemes`` pick a reading where the word has several."""
    dictated = normal(text)
    if "'" in dictated and (owned := _possessive(dictated, lexicon)) is not None:
        return owned
    word = lexicon.lookup(dictated)
    if " " in dictated and not word.readings:
        return _phrase(dictated, lexicon)
    reading = _pick(word, phonemes)
    lower = dictated.lower()
    if reading is None or word.word.lower() != lower:
        plain = word if word.word.lower() == lower else Word(dictated, Status.UNKNOWN, 0.0, ())
        return Target(plain, dictated, lower, None, slots_of(plain, None), (), contraction(lower))
    short = word.contraction or contraction(lower)
    slots = slots_of(word, reading)
    if short is not None and not short.irregular and short.forms[0].full:
        base = lexicon.lookup(short.forms[0].full[0])
        slots = _contracted_slots(word, reading, base.readings[0] if base.readings else None)
    odd = reading.odd
    if not odd:
        odd = tuple(s for n in reading.needs if n.skill.startswith("odd:") for s in n.spans)
    slots = _odd_units(slots, odd)
    needs = _with_choice((*reading.needs, *_extra_needs(word, slots)), lower)
    return Target(word, dictated, lower, reading, slots, needs, short, odd)


@dataclass(slots=True)
class Case:
    """One spelling under examination: everything a recognizer may ask."""

    target: Target
    written: str  # normalized, capitals as they are
    sentence: str | None
    lexicon: Lookup
    accents: frozenset[str] = frozenset()
    lower: str = field(init=False)

    def __post_init__(self) -> None:
        """Lower the written word once."""
        self.lower = self.written.lower()

    def known(self, word: str) -> bool:
        """True if the letters are a word that a child may have meant."""
        if not word or not word.replace("'", "").isalpha():
            return False
        found = self.lexicon.get(word) if len(word) > 1 else None
        if found is None or "name" in found.flags:
            return False
        return bool(found.readings) and found.zipf >= KNOWN_FROM

    @property
    def homophones(self) -> frozenset[str]:
        """Words that sound like the target, lower case, whatever the accent."""
        own = self.target.lower
        given = {h.lower() for h in self.target.word.homophones}
        # travelling is travel(l)ing spelled in another country's way, no other word
        variants = {g for g in given if _once(g) == _once(own) and g.endswith(("ing", "ed", "er"))}
        return frozenset((given - variants) | {p.lower() for p in partners(own)})

    @property
    def choice_set(self) -> str | None:
        """The set of look-alikes the target belongs to: its/it's."""
        return choice_sets().get(self.target.lower)


def _once(word: str) -> str:
    """The word with every doubled letter written once."""
    return "".join(c for i, c in enumerate(word) if i == 0 or word[i - 1] != c)


def is_short(phonemes: tuple[str, ...]) -> bool:
    """True for one short vowel."""
    return len(phonemes) == 1 and bare(phonemes[0]) in SHORT_VOWELS
