"""The items of a lesson: words with the letters to be seen, sounds for the warm-up, letters for the hand."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache

from larkslate.choose.pool import Stock
from larkslate.choose.shows import spans_showing
from larkslate.choose.solve import noise
from larkslate.choose.supply import familiar, sentences_of
from larkslate.datafile import read_tsv
from larkslate.handwriting.order import words_for
from larkslate.plan.model import LetterItem, Role, Shown, SoundItem, WordItem
from larkslate.plan.wording import line
from larkslate.sequence.model import Theme
from larkslate.words.graphemes import spellings_of
from larkslate.words.model import MorphemeKind, Need, Reading, Word
from larkslate.words.needs import odd_words
from larkslate.words.possessives import split_possessive
from larkslate.words.sounds import is_vowel, respell, syllable_count

PLACES = ("first", "second", "third", "fourth", "fifth")
DIVIDING = ("divide:", "type:", "weak:", "ending:")
JOINING = ("affix:", "join:", "poss:", "plural:")
LONG_ENOUGH = 3
HAND_POOL = 12  # words looked at when no letter is new
OWN_SOUNDS = 3  # sounds of the unit in a warm-up; the others bring back older ones


@dataclass(slots=True)
class Maker:
    """Makes the items of one unit; ``sentences`` gives each word its sentences in turn."""

    stock: Stock
    theme: Theme
    seed: int
    names: tuple[str, ...] = ()
    _turn: dict[str, int] = field(default_factory=dict)
    _hand: list[str] = field(default_factory=list)

    def label(self, point: str) -> str:
        """What a word has that shows a point: "ck", "a soft c"."""
        return self.stock.rule(point).label or self.stock.sequence.point(point).name

    def form(self, point: str) -> str:
        """What the point is about: sounds, syllables, parts, short (contractions), owner, choice or capital."""
        rule = self.stock.rule(point)
        if rule.only == "contraction":
            return "short"
        if rule.only in ("choice", "capital", "owner"):
            return rule.only
        first = rule.skills[0]
        if first.startswith(JOINING):
            return "parts"
        if first.startswith(DIVIDING) or first == "gp:le=AH0.L":
            return "syllables"
        return "sounds"

    def sentence(self, word: str) -> str | None:
        """The next sentence for a word; None where nobody has written one."""
        found = sentences_of().get(word, ())
        if not found:
            return None
        turn = self._turn.get(word, int(noise(self.seed, word) * len(found)))
        self._turn[word] = turn + 1
        return found[turn % len(found)]

    def shown(self, text: str, point: str) -> Shown | None:
        """How the word is shown so that the point can be seen; None where nothing is to be marked."""
        word = self.stock.reach.word(text)
        if not word.readings:
            return None
        reading = word.first
        rule = self.stock.rule(point)
        marks = spans_showing(word, rule)
        form = self.form(point)
        full: tuple[str, ...] = ()
        parts: tuple[str, ...] = ()
        division: str | None = None
        if word.contraction is not None and form == "short":
            full = word.contraction.forms[0].full or ()
            marks = ()
        elif form == "parts":
            parts = parts_of(reading)
        elif form == "owner":
            parts = owner_parts(text)
        elif form == "syllables" and len(reading.syllables) > 1 and text.isalpha():
            division = _cased(reading.division, text)
            marks = marks if not rule.skills[0].startswith(("divide:", "type:")) else ()
        if not (marks or parts or division or full):
            return None
        return Shown(marks, parts, division, full)

    def word(
        self,
        text: str,
        role: Role,
        points: Iterable[str],
        why: str,
        *,
        show: str | None = None,
        said: bool = False,
        note: str | None = None,
    ) -> WordItem:
        """A word item; ``show`` is the point to be seen in it, ``said`` that it is dictated with a sentence."""
        return WordItem(
            word=text,
            role=role,
            points=tuple(points),
            why=why,
            sentence=self.sentence(text) if said else None,
            note=note,
            shown=self.shown(text, show) if show else None,
        )

    def heard(self, text: str, point: str) -> WordItem:
        """A word for hearing: how many sounds or syllables, its base or its full form stands in the note."""
        word = self.stock.reach.word(text)
        return WordItem(
            text, Role.MODEL, (point,), line("why", "model", label=self.label(point)),
            note=self._heard(word, self.form(point)),
        )  # fmt: skip

    def _heard(self, word: Word, form: str) -> str | None:
        if not word.readings or not word.first.phonemes:
            return None
        reading = word.first
        if form == "short":
            found = word.contraction
            full = " ".join(found.forms[0].full or ()) if found else ""
            return line("note", "full", full=full) if full else None
        if form == "owner":
            owner = owner_parts(word.word)
            return line("note", "owner", owner=owner[0]) if owner else None
        if form == "parts":
            base = next((m.form for m in reading.morphemes if m.kind is MorphemeKind.BASE), "")
            return line("note", "base", base=base) if base and base != word.word else None
        if form == "syllables":
            return self._strongest(reading)
        if form == "sounds":
            units = sound_units(reading)
            key = "sound" if len(units) == 1 else "sounds"
            return f"{line('note', key, count=len(units))}: {' '.join(units)}"
        return None

    def _strongest(self, reading: Reading) -> str:
        count = syllable_count(reading.phonemes)
        if count == 1:
            return line("note", "syllables-one")
        at = next((n for n, s in enumerate(reading.stress) if s == 1), 0)
        return line("note", "syllables", count=count, place=PLACES[min(at, len(PLACES) - 1)])

    def irregular(self, text: str) -> WordItem:
        """An irregular word with its odd letters and the reason."""
        odd = odd_words().get(text)
        return WordItem(
            word=text,
            role=Role.IRREGULAR,
            points=(),
            why=line("why", "irregular"),
            sentence=self.sentence(text),
            note=odd.reason if odd else None,
            shown=Shown(odd.odd) if odd else None,
        )

    def sounds(
        self, points: Iterable[str], through: int, count: int, turn: int = 0
    ) -> tuple[SoundItem, ...]:
        """Sounds for a warm-up: some of the points given, then others, each with at least two taught spellings."""
        wanted: list[tuple[str, ...]] = []
        for point in points:
            for skill in self.stock.rule(point).skills:
                sound = _sound_of(skill)
                if sound and sound not in wanted:
                    wanted.append(sound)
        table = self._spellings(through)
        rest = sorted(
            (s for s, found in table.items() if len(found) >= 2 and s not in wanted),
            key=lambda s: (noise(self.seed + turn, f"{self.theme.number}/{s}"), s),
        )
        own = [s for s in wanted if s in table]
        items = []
        for sound in [*own[:OWN_SOUNDS], *rest, *own[OWN_SOUNDS:]]:
            item = self._sound(sound, table[sound], through)
            if item is not None:
                items.append(item)
            if len(items) == count:
                break
        return tuple(items)

    def _spellings(self, through: int) -> Mapping[tuple[str, ...], list[tuple[int, str]]]:
        """For every sound its spellings taught by then, in the order taught, then the commonest first."""
        table: dict[tuple[str, ...], list[tuple[int, str]]] = {}
        for skill in self.stock.sequence.teaches:
            sound = _sound_of(skill)
            since = self.stock.reach.since_skill(skill)
            if sound and since is not None and since <= through:
                letters = skill.removeprefix("gp:").partition("=")[0]
                table.setdefault(sound, []).append((since, letters))
        for sound, found in table.items():
            share = dict(spellings_of(sound))
            found.sort(key=lambda f: (f[0], -share.get(f[1], 0.0), f[1]))
        return table

    def _sound(
        self, sound: tuple[str, ...], spelled: list[tuple[int, str]], through: int
    ) -> SoundItem | None:
        """The item of a sound; spellings without an example in reach are left out."""
        kept: list[str] = []
        examples: list[str] = []
        for _, letters in spelled:
            example = self.stock.example(f"gp:{letters}={'.'.join(sound)}", through, examples)
            if example is not None:
                kept.append(letters)
                examples.append(example)
        if not kept:
            return None
        skill = f"gp:{kept[-1]}={'.'.join(sound)}"
        point = self.stock.reach.point_of(Need(skill, ())) or ""
        stressed = tuple(p + "1" if is_vowel(p) and not p[-1].isdigit() else p for p in sound)
        said = respell(stressed).replace("/ /", " + ").strip("/")
        return SoundItem(said, sound, tuple(kept), tuple(examples), point)

    def letters(self, lesson: int, through: int) -> LetterItem:
        """What the hand practices in the n-th lesson (from 0) with a handwriting block; words in reach by then."""
        met = {c for t in self.stock.sequence.themes if t.number < self.theme.number
               for c in t.letters if len(c) == 1}  # fmt: skip
        before = [c for t in self.stock.sequence.themes if t.number < self.theme.number
                  for c in t.letters]  # fmt: skip
        own = self.theme.letters
        singles = [c for c in own if len(c) == 1]
        top = any(joins_of(c) for c in (*before, *own))
        tail = "g" in met or "g" in own
        joins = {"base"} | ({"tail"} if tail else set()) | ({"top"} if top else set())
        if not singles:
            pairs = [p for c in own for p in joins_of(c)]
            if not pairs:
                return LetterItem((), (), "; ".join(own).capitalize() + ".")
            two = (pairs * 2)[(lesson * 2) % len(pairs) :][:2]
            words = [w for w in self._short_words(through, met) if any(p in w for p in two)]
            return LetterItem(
                tuple(two),
                words_for(met, words, joins_met=joins, new=two, limit=4),
                own[0].capitalize() + ".",
            )
        each = min(len(singles), lesson + 1)
        met |= set(singles[:each])
        new = (singles[lesson],) if lesson < len(singles) else ()
        if new and new[0].isupper():
            return LetterItem(new, self._capital_words(new[0], met, joins, through), "")
        pool = self._short_words(through, met)
        if new:
            pool = [w for w in pool if new[0] in w]
        elif pool:  # nothing new: other words each time
            start = (4 * lesson) % len(pool)
            pool = (pool[start:] + pool[:start])[:HAND_POOL]
        return LetterItem(new, words_for(met, pool, joins_met=joins, new=new, limit=4), "")

    def _short_words(self, through: int, met: set[str]) -> list[str]:
        """Short familiar words in reach that need no letter not met, mixed by the seed."""
        if not self._hand:
            short = [w for w in familiar() if 2 <= len(w) <= 6 and w.isalpha() and w.islower()]
            short.sort(key=lambda w: (len(w) < LONG_ENOUGH, noise(self.seed, f"hand/{w}"), w))
            self._hand += short
        return [w for w in self._hand if met.issuperset(w) and self.stock.reaches(w, through)]

    def _capital_words(
        self, capital: str, met: set[str], joins: set[str], through: int
    ) -> tuple[str, ...]:
        places = [w for w in _capital_words() if self.stock.reaches(w, through)]
        names = [n for n in (*self.names, *places) if n.startswith(capital)]
        names.sort(key=lambda n: (noise(self.seed, f"hand/{n}"), n))
        return words_for(met, names, joins_met=joins, new=(capital,), limit=3)


@cache
def _capital_words() -> tuple[str, ...]:
    """Words of the table of capitals, as they are written."""
    return tuple(row["word"] for row in read_tsv("words", "capitals.tsv", ("word", "kind")))


@cache
def joins_of(text: str) -> tuple[str, ...]:
    """The pairs of letters that a theme's line on joins means; empty for a single letter."""
    for row in read_tsv("plan", "joins.tsv", ("text", "pairs")):
        if row["text"] == text:
            return tuple(row["pairs"].split())
    return ()


def _sound_of(skill: str) -> tuple[str, ...]:
    """The sound of a spelling skill; () for another skill or a spelling of two sounds at once."""
    if not skill.startswith("gp:"):
        return ()
    sound = skill.partition("=")[2]
    return tuple(sound.split(".")) if sound and sound not in ("AH0.L",) else ()


def sound_units(reading: Reading) -> list[str]:
    """The sounds of a word as counters are laid for them; a vowel and r, and long u, are one."""
    units: list[str] = []
    for grapheme in reading.graphemes:
        if not grapheme.phonemes:
            continue
        if any(is_vowel(p) for p in grapheme.phonemes) and grapheme.phonemes[-1] != "L":
            units.append(respell(grapheme.phonemes))
        else:
            units += [respell((p,)) for p in grapheme.phonemes]
    return units


def parts_of(reading: Reading) -> tuple[str, ...]:
    """The parts written alone: ("hop", "ed"); empty for a word of one part."""
    if len(reading.morphemes) < 2:
        return ()
    return tuple(re.sub(r"^-|-$", "", m.form) for m in reading.morphemes)


def _cased(division: str, text: str) -> str:
    """A division with the capitals of the word: *Ju-ly*."""
    letters = iter(text)
    return "".join(c if c == "-" else next(letters) for c in division)


def owner_parts(text: str) -> tuple[str, ...]:
    """The owner and what is added: ("dogs", "'"), ("geese", "'s"); empty for a word that shows no owner."""
    found = split_possessive(text)
    return (found[0], text[len(found[0]) :]) if found else ()
