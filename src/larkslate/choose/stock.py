"""The stock: the words of a lexicon by the points they show, gathered once and remembered.

A word that is in reach only because it is known whole has a place of its own besides: it does not show a pattern
before its spellings are taught.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import islice
from typing import Protocol

from larkslate.choose.bank import words_in
from larkslate.choose.shows import Pattern, pattern, spans_showing
from larkslate.choose.supply import familiar, left_out, supplied
from larkslate.sequence.model import Sequence
from larkslate.sequence.reach import Reach
from larkslate.words.model import MorphemeKind, Need, Reading, Status, Word
from larkslate.words.needs import choice_sets
from larkslate.words.possessives import irregular_plural
from larkslate.words.sounds import bare, is_vowel

SUPPLIED = ("contraction", "owner", "choice")  # points whose words come from tables of their own
SOUND_ENOUGH = (Status.REVIEWED, Status.CHECKED, Status.AUTOMATIC)
ENDINGS_INHERITED = frozenset(
    {"affix:-s", "affix:-es", "affix:-ed", "affix:-ing", "affix:-er", "affix:-est",
     "join:double", "join:drop-e", "join:y-to-i"}
)  # fmt: skip
LEAST_ZIPF, DERIVED_ZIPF, UNLISTED_ZIPF = 1.5, 2.6, 3.3
"""The least frequency of a listed word, of a plain form of one, and of any other word that is looked at."""
SHORT_EXAMPLE = 5  # letters
COMMON_EXAMPLE = 4.0  # zipf
LONG_TAIL = 3  # letters at the end that words of one lesson should not share: Monday, Friday


class Listed(Protocol):
    """What the pool asks of a word of the list: see words.lexicon.Entry."""

    @property
    def word(self) -> str:
        """As written."""

    @property
    def zipf(self) -> float:
        """log10 of occurrences per thousand million words."""

    @property
    def pos(self) -> tuple[str, ...]:
        """Parts of speech, the likeliest first."""

    @property
    def flags(self) -> frozenset[str]:
        """name, unsuitable, heteronym ..."""

    @property
    def status(self) -> str:
        """How far the entry can be trusted."""

    @property
    def mask(self) -> int:
        """Skills needed, a bit each."""

    @property
    def bases(self) -> tuple[str, ...]:
        """The free bases."""

    @property
    def rest(self) -> int:
        """Skills needed beyond the bases."""


class Catalog(Protocol):
    """What the pool asks of the lexicon."""

    @property
    def skills(self) -> tuple[str, ...]:
        """Skill ids; the index is the bit of a mask."""

    def entries(self, min_zipf: float = 0.0) -> Iterable[Listed]:
        """Every word at least this common."""

    def get(self, word: str) -> Word | None:
        """A word of the file."""

    def lookup(self, word: str) -> Word:
        """A word, derived where the file has it not."""

    def __hash__(self) -> int:
        """A catalog is remembered by itself."""


@dataclass(frozen=True, slots=True)
class Item:
    """A word that shows a point, with what a choice needs to know of it."""

    word: str
    since: int | None  # from its own spellings; None: never
    whole: int | None  # where it is known whole
    zipf: float
    flags: frozenset[str]
    status: Status
    known: bool  # in the list of familiar words, or a plain form of one
    listed: bool
    family: str
    traits: frozenset[str]
    points: frozenset[str]


@dataclass(slots=True)
class Stock:
    """The words of a lexicon by the points they show, gathered once for a sequence.

    Asking for many points costs little more than asking for one.
    """

    reach: Reach
    lexicon: Catalog
    _since: list[int | None] = field(default_factory=list)
    _scanned: list[tuple[Listed, int | None, bool]] = field(default_factory=list)
    _items: dict[str, tuple[Item, ...]] = field(default_factory=dict)
    _best: dict[tuple[str, int, int], tuple[Item, ...]] = field(default_factory=dict)
    _quick: dict[str, tuple[int, int | None]] = field(default_factory=dict)  # mask, own place
    _whole: dict[str, int] = field(default_factory=dict)  # where a word is known whole
    _point_bits: dict[str, int] = field(default_factory=dict)
    _shown: dict[str, frozenset[str]] = field(default_factory=dict)
    _patterns: dict[str, Pattern] = field(default_factory=dict)
    _by_skill: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _examples: dict[str, tuple[tuple[str, int], ...]] = field(default_factory=dict)
    _reached: dict[str, int | None] = field(default_factory=dict)
    _texts: dict[str, tuple[frozenset[str], ...]] = field(default_factory=dict)

    @property
    def sequence(self) -> Sequence:
        """The sequence the words are held against."""
        return self.reach.sequence

    def rule(self, point: str) -> Pattern:
        """The pattern of a point."""
        if point not in self._patterns:
            self._patterns[point] = pattern(self.sequence, point)
        return self._patterns[point]

    def points_shown(self, word: str) -> frozenset[str]:
        """The taught (not assumed) points that a word shows, whatever has been taught."""
        if word not in self._shown:
            found = self.reach.word(word)
            skills = {n.skill for n in found.first.needs} if found.readings else set()
            near = {p for s in skills for p in self._points_carrying(s)}
            shown = {p for p in near if spans_showing(found, self.rule(p))}
            # It's needs the skills of a contraction; that it sounds like its is told by the list of choices.
            shown |= {p for p in self._choosing() if word in choice_sets()}
            self._shown[word] = frozenset(shown)
        return self._shown[word]

    def _choosing(self) -> tuple[str, ...]:
        return tuple(p.id for p in self.sequence.taught_points if self.rule(p.id).only == "choice")

    def _points_carrying(self, skill: str) -> tuple[str, ...]:
        if skill not in self._by_skill:
            self._by_skill[skill] = tuple(
                p.id for p in self.sequence.taught_points if self.rule(p.id).carries(skill)
            )
        return self._by_skill[skill]

    def own_since(self, word: Word) -> int | None:
        """Index of the point from which a word's own spellings are all taught; None: never."""
        if not word.readings:
            return None
        return self._latest(n.skill for n in word.first.needs)

    def _latest(self, skills: Iterable[str]) -> int | None:
        latest = 0
        for skill in skills:
            since = self.reach.since_skill(skill)
            if since is None:
                return None
            latest = max(latest, since)
        return latest

    def _scan(self) -> list[tuple[Listed, int | None, bool]]:
        """The words worth a look, each with its own place in the sequence and whether children know it."""
        if self._scanned:
            return self._scanned
        self._since = [self.reach.since_skill(s) for s in self.lexicon.skills]
        inherited = 0
        for bit, skill in enumerate(self.lexicon.skills):
            if skill in ENDINGS_INHERITED:
                inherited |= 1 << bit
        listed, skipped = familiar(), left_out()
        for entry in self.lexicon.entries(LEAST_ZIPF):
            known = entry.word in listed or (
                entry.word not in skipped
                and entry.zipf >= DERIVED_ZIPF
                and bool(entry.rest)
                and not entry.rest & ~inherited
                and len(entry.bases) == 1
                and entry.bases[0] in listed
            )
            if known or entry.zipf >= UNLISTED_ZIPF:
                since = self._since_mask(entry.mask)
                self._scanned.append((entry, since, known))
                self._quick[entry.word] = (entry.mask, since)
        index = self.sequence.index
        self._whole.update({w: index(p) for w, p in self.sequence.known_words.items()})
        return self._scanned

    def _since_mask(self, mask: int) -> int | None:
        latest = 0
        while mask:
            low = mask & -mask
            since = self._since[low.bit_length() - 1]
            if since is None:
                return None
            latest = max(latest, since)
            mask ^= low
        return latest

    def items(self, point: str) -> tuple[Item, ...]:
        """Every word that shows a point, wherever it is in reach."""
        if point not in self._items:
            rule = self.rule(point)
            if rule.only in SUPPLIED:
                self._items[point] = tuple(self._supplied(n, point) for n in supplied(rule))
            else:
                self._items[point] = tuple(self._from_list(rule, self._showing(rule)))
        return self._items[point]

    def best(self, point: str, end: int, most: int) -> tuple[Item, ...]:
        """The best known words that show a point and are in reach after a place, as many as asked.

        Listed words come before their plain forms, common ones before rare ones. Nothing else is looked at.
        """
        key = (point, end, most)
        if key not in self._best:
            rule = self.rule(point)
            if rule.only in SUPPLIED:
                return self.items(point)
            examples = self._examples_of(rule)
            known = [
                (entry, since, known)
                for entry, since, known in self._showing(rule)
                if (known and since is not None and since <= end) or entry.word in examples
            ]
            listed = familiar()
            known.sort(key=lambda e: (e[0].word not in listed, -e[0].zipf, e[0].word))
            self._best[key] = tuple(islice(self._from_list(rule, known), most))
        return self._best[key]

    def _examples_of(self, rule: Pattern) -> frozenset[str]:
        """The examples of a point that hold nothing taught later."""
        examples = self.sequence.point(rule.point).examples
        return frozenset(e.word for e in examples if not e.later)

    def _showing(self, rule: Pattern) -> list[tuple[Listed, int | None, bool]]:
        """The words whose skills carry a point; where the letters stand is not looked at yet."""
        bits = self._bits(rule)
        return [found for found in self._scan() if found[0].mask & bits]

    def _bits(self, rule: Pattern) -> int:
        return sum(1 << b for b, s in enumerate(self.lexicon.skills) if rule.carries(s))

    def shows(self, word: str, point: str) -> bool:
        """True if a word shows a point; a look at its skills settles most words without reading them."""
        rule = self.rule(point)
        mask = self._mask(word)
        if mask is not None and rule.only not in ("choice", "owner"):
            if point not in self._point_bits:
                self._point_bits[point] = self._bits(rule)
            if not mask & self._point_bits[point]:
                return False
        return point in self.points_shown(word)

    def _mask(self, word: str) -> int | None:
        """The skills of a word of the scan; None for another word."""
        self._scan()
        found = self._quick.get(word)
        return found[0] if found else None

    def since(self, word: str) -> int | None:
        """Index of the point from which a word is in reach, remembered; None: never."""
        if word not in self._reached:
            self._reached[word] = self.reach.since(word)
        return self._reached[word]

    def reaches(self, word: str, through: int) -> bool:
        """True if a word is in reach after a place in the sequence; most words need not be read for it."""
        self._scan()
        whole = self._whole.get(word)
        if whole is not None and whole <= through:
            return True
        quick = self._quick.get(word)
        if quick is not None and quick[1] is not None and quick[1] <= through:
            return True
        since = self.since(word)
        return since is not None and since <= through

    def shown_in(self, text: str) -> tuple[frozenset[str], ...]:
        """The points that each word of a text shows, word by word."""
        if text not in self._texts:
            self._texts[text] = tuple(self.points_shown(w) for w in words_in(text))
        return self._texts[text]

    def example(self, skill: str, through: int, without: Collection[str] = ()) -> str | None:
        """A short, common, well known word that needs a skill and nothing untaught; None where there is none."""
        if not self._examples:
            self._gather_examples()
        found = (w for w, at in self._examples.get(skill, ()) if at <= through)
        return next((w for w in found if w not in without), None)

    def _gather_examples(self) -> None:
        found: dict[str, list[tuple[bool, bool, float, str, int]]] = {}
        for entry, since, _ in self._scan():
            if (
                since is None
                or entry.word not in familiar()
                or entry.status not in SOUND_ENOUGH
                or "heteronym" in entry.flags
            ):
                continue
            plain = (
                3 <= len(entry.word) <= SHORT_EXAMPLE
                and "noun" in entry.pos[:1]
                and entry.zipf >= COMMON_EXAMPLE
            )
            rank = (not plain, len(entry.word) < 3, -entry.zipf, entry.word, since)
            mask = entry.mask
            while mask:
                low = mask & -mask
                found.setdefault(self.lexicon.skills[low.bit_length() - 1], []).append(rank)
                mask ^= low
        self._examples.update(
            {s: tuple((w, at) for *_, w, at in sorted(ranks)) for s, ranks in found.items()}
        )

    def _supplied(self, name: str, point: str) -> Item:
        """A word of a table. A regular owner is as far in reach as its noun, which need not be worked out."""
        owner = name.removesuffix("s").removesuffix("'") if "'s" in name else name.removesuffix("'")
        regular = self.rule(point).only == "owner" and irregular_plural(owner) is None
        looked_up = owner if regular else name
        word = self.reach.word(looked_up)
        at = self.since(looked_up)
        own = max(at, self.sequence.index(point)) if at is not None else None
        return Item(
            word=name, since=own, whole=None, zipf=word.zipf, flags=frozenset(),
            status=word.status if word.readings else Status.UNKNOWN, known=True, listed=True,
            family=name.split("'", maxsplit=1)[0].lower(), traits=traits(word), points=frozenset({point}),
        )  # fmt: skip

    def _from_list(
        self, rule: Pattern, found: Iterable[tuple[Listed, int | None, bool]]
    ) -> Iterator[Item]:
        examples = self._examples_of(rule)
        for entry, since, known in found:
            word = self.lexicon.get(entry.word)
            if word is None or not spans_showing(word, rule) or _by_heart(word, rule):
                continue
            whole = self._whole.get(entry.word)
            own = since
            if entry.word in examples and (
                since is None or since > self.sequence.index(rule.point)
            ):
                own = self.since(entry.word)  # an example that the sequence gives as known whole
            yield Item(
                word=entry.word, since=own, whole=whole, zipf=entry.zipf, flags=entry.flags,
                status=Status(entry.status), known=known or entry.word in examples,
                listed=entry.word in examples or entry.word in familiar(),
                family=family(word), traits=traits(word), points=self.points_shown(entry.word),
            )  # fmt: skip


@lru_cache(maxsize=2)
def stock(reach: Reach, lexicon: Catalog) -> Stock:
    """The stock of a reach and a lexicon, remembered."""
    return Stock(reach, lexicon)


def family(word: Word) -> str:
    """The base that related words share: *hop* for *hopped* and *hopping*."""
    bases = [m.form for m in word.first.morphemes if m.kind is MorphemeKind.BASE]
    return bases[0].lower() if len(bases) == 1 else word.word.lower()


def traits(word: Word) -> frozenset[str]:
    """What a choice keeps mixed: the stressed vowel, the part of speech, the ending, the first letter."""
    if not word.readings:
        return frozenset()
    reading = word.first
    found = {f"first:{word.word[0].lower()}"}
    if len(word.word) >= LONG_TAIL + 2:
        found.add(f"tail:{word.word[-LONG_TAIL:].lower()}")
    vowel = _stressed(reading)
    if vowel:
        found.add(f"vowel:{vowel}")
    if reading.pos:
        found.add(f"part:{reading.pos[0]}")
    last = reading.morphemes[-1] if reading.morphemes else None
    if last is not None and last.kind is MorphemeKind.ENDING:
        found.add(f"ending:{last.form.strip('-')}")
    found |= {f"spelling:{n.skill}" for n in reading.needs if _worth_mixing(n)}
    return frozenset(found)


def _by_heart(word: Word, rule: Pattern) -> bool:
    """True for a word learned by heart (people), which does not show a pattern of sounds or syllables."""
    about_sounds = rule.skills[0].startswith(
        ("gp:", "weak:", "divide:", "type:", "ending:", "long:")
    )
    return about_sounds and any(n.skill.startswith("odd:") for n in word.first.needs)


def _worth_mixing(need: Need) -> bool:
    return need.skill.startswith(("gp:", "weak:", "affix:", "long:", "con:", "cap:"))


def _stressed(reading: Reading) -> str:
    vowels = [p for p in reading.phonemes if is_vowel(p)]
    main = next((p for p in vowels if p.endswith("1")), vowels[0] if vowels else "")
    return bare(main) if main else ""
