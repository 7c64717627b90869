"""The pool: every word that may stand in a lesson on a point, and for every other word the reason why not.

A word of the pool shows the point, needs nothing untaught, and is known to children of eight. A word that is in
reach only because it is known whole (*small* before a in *all* is taught) does not show a pattern and is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from larkslate.choose.shows import Pattern, pattern
from larkslate.choose.solve import Candidate
from larkslate.choose.stock import SOUND_ENOUGH, UNLISTED_ZIPF, Catalog, Item, Stock, stock
from larkslate.choose.supply import sentences_of
from larkslate.sequence.model import Sequence
from larkslate.sequence.reach import Reach
from larkslate.words.homophones import sets_of
from larkslate.words.model import Status
from larkslate.words.suitable import unsuitable

__all__ = [
    "SHIPPED", "Catalog", "Item", "Pool", "Reason", "Rejected", "Settings", "Stock",
    "candidates", "pool", "stock", "value_of", "why_not",
]  # fmt: skip


class Reason(StrEnum):
    """Why a word is left out."""

    OUT_OF_REACH = "out of reach"
    KNOWN_WHOLE = "known whole"
    UNSUITABLE = "unsuitable"
    NAME = "name"
    RARE = "rare"
    UNFAMILIAR = "unfamiliar"
    HOMOPHONE = "homophone"
    ACCENT = "accent"
    TWO_READINGS = "two readings"
    NOT_SURE = "not sure"
    USED = "used"


@dataclass(frozen=True, slots=True)
class Rejected:
    """A word that shows the point and is left out. ``says`` is one sentence for a teacher."""

    word: str
    reason: Reason
    says: str


@dataclass(frozen=True, slots=True)
class Settings:
    """What a pool asks for.

    Unfamiliar words are taken only where fewer than ``enough`` familiar ones are left; a choice looks at the
    ``most`` best words of a point.
    """

    enough: int = 14
    most: int = 120


SHIPPED = Settings()


@dataclass(frozen=True, slots=True)
class Pool:
    """The candidates of a point after a place in the sequence, best first, and what was left out."""

    point: str
    through: str
    candidates: tuple[Candidate, ...]
    rejected: tuple[Rejected, ...]


def _plainer_is_better(item: Item, rule: Pattern) -> float:
    """A word with an ending is second best where the point is not about endings: *plunge* before *plunges*."""
    about_parts = rule.skills[0].startswith(("affix:", "join:", "poss:", "plural:"))
    return 0.3 if not about_parts and any(t.startswith("ending:") for t in item.traits) else 0.0


def _shown_by(item: Item, rule: Pattern) -> frozenset[str]:
    """Which of several spellings of a point a word shows, so that a lesson has them all."""
    if len(rule.skills) < 2:
        return frozenset()
    return frozenset(
        f"shows:{t.removeprefix('spelling:')}"
        for t in item.traits
        if t.startswith("spelling:") and rule.carries(t.removeprefix("spelling:"))
    )


def _partners(word: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Words that sound the same everywhere, and words that do so in some accents."""
    same: list[str] = []
    some: list[str] = []
    for one in sets_of(word):
        own = next(m.word for m in one.members if m.word.lower() == word.lower())
        for member in one.members:
            if member.word != own:
                (same if one.accent(own, member.word) is None else some).append(member.word)
    return tuple(same), tuple(some)


def why_not(
    item: Item,
    through: int,
    sequence: Sequence,
    *,
    point: str = "",
    used: frozenset[str] = frozenset(),
    settled: Mapping[str, object] | None = None,
) -> Rejected | None:
    """The first reason that keeps a word out after a place in the sequence; None for a word of the pool."""

    def no(reason: Reason, says: str) -> Rejected:
        return Rejected(item.word, reason, says)

    if item.since is None or item.since > through:
        if item.whole is not None and item.whole <= through:
            return no(
                Reason.KNOWN_WHOLE, "The class knows it whole; it has letters not taught yet."
            )
        if item.since is None:
            return no(Reason.OUT_OF_REACH, "It needs a spelling that this sequence does not teach.")
        return no(Reason.OUT_OF_REACH, f"It is in reach from {sequence.points[item.since].name}.")
    if item.status not in SOUND_ENOUGH:
        return no(Reason.NOT_SURE, "Its letters and sounds could not be matched for certain.")
    reason = unsuitable(item.word)
    if reason is not None or "unsuitable" in item.flags:
        return no(Reason.UNSUITABLE, f"Not for children: {reason or 'listed'}.")
    if "abbreviation" in item.flags:
        return no(Reason.NAME, "It is short for something.")
    if "name" in item.flags and not item.listed and not item.word[0].isupper():
        return no(Reason.NAME, "It is mostly a name.")
    if not item.known and item.zipf < UNLISTED_ZIPF:
        return no(Reason.RARE, "It is rare.")
    sentences = sentences_of() if settled is None else settled
    if item.word not in sentences:
        same, some = _partners(item.word)
        closed = bool(point) and pattern(sequence, point).only in ("contraction", "owner")
        if same and not closed:
            return no(Reason.HOMOPHONE, f"It sounds like {', '.join(same)}: give it a sentence.")
        if some and not closed:
            return no(Reason.ACCENT, f"In some accents it sounds like {', '.join(some)}.")
        if "heteronym" in item.flags:
            return no(Reason.TWO_READINGS, "It can be said in two ways: give it a sentence.")
    if item.word in used:
        return no(Reason.USED, "It was used lately.")
    return None


def value_of(item: Item, settled: Mapping[str, object]) -> float:
    """How good a word is: known to children, common, plain, well checked (0 to about 2)."""
    worth = 1.0 if item.listed else 0.6 if item.known else 0.0
    worth += 0.3 * min(max((item.zipf - 3.0) / 2.0, 0.0), 1.0)
    worth += 0.2 * (item.status in (Status.REVIEWED, Status.CHECKED))
    worth += 0.15 * (item.word in settled)
    worth -= 0.05 * max(0, len(item.word) - 8)
    return worth


def pool(
    reach: Reach,
    lexicon: Catalog,
    point: str,
    through: str | int,
    *,
    used: Iterable[str] = (),
    settled: Mapping[str, object] | None = None,
    settings: Settings = SHIPPED,
) -> Pool:
    """The words for a point once the class has been taught through a place: "K2", a point, or a unit.

    ``used`` are words used lately; ``settled`` the words for which a sentence is at hand (as a rule those of
    ``word_sentences.tsv``). Raises Missing for an unknown point.
    """
    here = stock(reach, lexicon)
    end = reach.sequence.end_of(through)
    ready: Mapping[str, object] = sentences_of() if settled is None else settled
    kept, rejected = _sift(here, point, end, frozenset(used), ready, here.items(point))
    if sum(i.known for i in kept) >= settings.enough:
        for item in kept:
            if not item.known:
                says = "Few children of eight know it, and there are better words."
                rejected.append(Rejected(item.word, Reason.UNFAMILIAR, says))
        kept = [i for i in kept if i.known]
    return Pool(
        point, str(through), _candidates(kept, here.rule(point), end, ready), tuple(rejected)
    )


def candidates(
    here: Stock,
    point: str,
    end: int,
    *,
    used: frozenset[str] = frozenset(),
    settled: Mapping[str, object] | None = None,
    settings: Settings = SHIPPED,
) -> tuple[Candidate, ...]:
    """The best of the candidates that ``pool`` gives, without looking at words that children do not know.

    ``end`` is an index of the sequence. Unfamiliar words are looked at only where the others are too few.
    """
    ready: Mapping[str, object] = sentences_of() if settled is None else settled
    kept, _ = _sift(here, point, end, used, ready, here.best(point, end, settings.most))
    if len(kept) < settings.enough:
        kept, _ = _sift(here, point, end, used, ready, here.items(point))
    return _candidates(kept, here.rule(point), end, ready)


def _sift(
    here: Stock,
    point: str,
    end: int,
    used: frozenset[str],
    ready: Mapping[str, object],
    items: Iterable[Item],
) -> tuple[list[Item], list[Rejected]]:
    kept: list[Item] = []
    rejected: list[Rejected] = []
    for item in items:
        no = why_not(item, end, here.sequence, point=point, used=used, settled=ready)
        if no is None:
            kept.append(item)
        else:
            rejected.append(no)
    return kept, rejected


def _candidates(
    kept: Iterable[Item], rule: Pattern, end: int, ready: Mapping[str, object]
) -> tuple[Candidate, ...]:
    point = rule.point
    found = [
        Candidate(
            word=i.word,
            index=i.since if i.since is not None else end,
            points=i.points | {point},
            value=value_of(i, ready) - _plainer_is_better(i, rule),
            traits=i.traits | _shown_by(i, rule),
            family=i.family,
            settled=i.word in ready,
        )
        for i in kept
    ]
    found.sort(key=lambda c: (-c.value, c.word))
    return tuple(found)
