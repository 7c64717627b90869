"""What a spelling shows about points: credited, missed, not yet taught.

Each code says which of the word's needs an error counts against (``codes.tsv``). Everything else that the word
needs and that stands right is shown. Only main points are credited: single consonants only where nothing harder is
shown, short vowels only in bases of one syllable, and a division only where its first vowel is stressed, because
elsewhere a right letter is no evidence. A plausible spelling that was written earns its K-2 point.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol

from larkslate.assess.codes import Blame, codes
from larkslate.assess.slots import Kind, Slot
from larkslate.assess.sounds_near import VOWEL_LETTERS
from larkslate.assess.spot import Site, Spot
from larkslate.assess.target import Target
from larkslate.words.model import Need, Spans
from larkslate.words.sounds import bare, stress_of

CONSONANTS, SHORT, OPEN, KNOWN_WHOLE = "K2.cons", "K2.short", "K2.open", "K2.hfw"
TEAMS, SILENT_E, WITH_R, DIGRAPH = "K2.teams", "K2.vce", "K2.rcontrol", "K2.digraph"
_NO_EVIDENCE = ("type:", "concept:", "weak:open-", "weak:closed-", "weak:-a", "mark:", "print:")
_DOUBLED_AT_END = (
    "gp:ff=F",
    "gp:ll=L",
    "gp:ss=S",
    "gp:zz=Z",
)  # inside a base the double is a division
_BY_CHOICE = ("hom:", "cap:", "compound")
_SOUND_FAMILIES = frozenset({"P", "O"})


class Order(Protocol):
    """What evidence asks of a sequence."""

    @property
    def known_words(self) -> dict[str, str]:
        """Words known whole, and the point from which."""

    def index(self, point: str) -> int:
        """Place of a point."""

    def end_of(self, through: str | int) -> int:
        """Index of the last point taught."""


class Points(Protocol):
    """What evidence asks of a sequence put together with a lexicon: see sequence.reach.Reach."""

    @property
    def sequence(self) -> Order:
        """The sequence."""

    def point_of(self, need: Need, through: str | int | None = None) -> str | None:
        """The point that evidence on a need counts for."""


def _overlap(spans: Spans, others: Spans) -> bool:
    return any(a < d and c < b for a, b in spans for c, d in others)


def _vowels(slots: Sequence[Slot], base: int) -> int:
    return sum(1 for s in slots if s.vowel and not s.affix and s.base == base)


def _is_evidence(need: Need, point: str, target: Target) -> bool:
    """True if a right spelling of this need says something about its point."""
    skill = need.skill
    if skill == "weak:a":
        return False  # a weak a inside a word is not the point about a at the start
    if skill.startswith("odd:"):
        return skill == f"odd:{target.lower}"  # an inflected form shows its base only in passing
    if skill.startswith(_NO_EVIDENCE):
        return False
    learned_whole = bool(target.needs_of("plural:irregular"))
    if learned_whole and not point.startswith("K2.") and not skill.startswith(("plural:", "poss:")):
        return False  # an irregular plural is learned as a form: its weak syllables are not tested
    slots = [s for s in target.slots if _overlap(need.spans, (s.span,))]
    if skill in _DOUBLED_AT_END and slots:
        index = target.slots.index(slots[-1])
        after = target.slots[index + 1] if index + 1 < len(target.slots) else None
        return after is None or after.affix or after.base != slots[-1].base
    if skill.startswith("divide:"):
        start = min(a for a, _ in need.spans)
        before = [s for s in target.slots if s.vowel and s.span[0] < start]
        stresses = [stress_of(p) for p in before[-1].phonemes] if before else []
        if not any(s in (1, 2) for s in stresses):
            return False
        short_word = skill in ("divide:V|CV", "divide:VC|V", "divide:double")
        return not short_word or _vowels(target.slots, before[-1].base) == 2
    if point in (SHORT, OPEN):
        if not slots or slots[0].affix or _vowels(target.slots, slots[0].base) != 1:
            return False
        if target.needs_of("hom"):
            return False  # look-alikes are told apart by meaning; the short vowel was never in question
        index = target.slots.index(slots[-1])
        after = target.slots[index + 1] if index + 1 < len(target.slots) else None
        return after is None or after.phonemes != ("NG",)  # before /ng/ short vowels are raised
    return True


def _main(need: Need, point: str | None, target: Target) -> bool:
    """True for a need whose point is a main point of the word."""
    if point is None:
        return False
    return point not in (CONSONANTS, OPEN) and _is_evidence(need, point, target)


def _shown(need: Need, target: Target, scores: Mapping[int, int], sites: Sequence[Site]) -> bool:
    skill = need.skill
    found = {s.code for s in sites}
    if skill.startswith("compound"):
        return "M.CMPD" not in found
    if skill.startswith(_BY_CHOICE):
        return not found or (skill.startswith("hom:") and found <= {"K.CAP", "K.XCAP"})
    if skill.startswith("plural:") and found & {"M.IRR"}:
        return False
    if skill.startswith("divide:") and "P.OM" in found:
        return False  # a syllable is lost, so the division was not seen
    # Every consonant of a cluster has its letter, so the cluster was heard, whatever spelling was chosen.
    enough = 2 if skill.startswith("cluster:") else 3
    stop = target.lower.find("'") if skill.startswith("plural:") else -1
    for index, slot in enumerate(target.slots):
        if stop >= 0 and slot.span[0] >= stop:
            break
        if _overlap(need.spans, (slot.span,)) and scores.get(index, 3) < enough:
            return False
    return True


def _match(target: Target, rule: Blame, site: Site, points: Points) -> list[Need]:
    if rule.kind == "need":
        return list(target.needs_of(*rule.skills))
    if rule.kind == "site":
        near = [n for n in target.needs_of(*rule.skills) if _overlap(n.spans, site.spans)]
        taught = [n for n in near if points.point_of(n) is not None]
        return taught or near
    if rule.kind == "skill":
        return [Need(site.skill or rule.skills[0], site.spans)]
    if rule.kind == "written" and site.skill is not None:
        inside = [n for n in target.needs_of("divide:V") if _overlap(n.spans, site.spans)]
        return inside or [Need(site.skill, site.spans)]
    if rule.kind == "whole" and target.lower in points.sequence.known_words:
        return [Need(f"word:{target.lower}", site.spans)]
    return []


def blamed(target: Target, site: Site, points: Points) -> list[Need]:
    """The needs that an error counts against; none where the code or the site excuses it."""
    if site.excused:
        return []
    code = codes()[site.code]
    if code.family == "O" and (odd := target.needs_of("odd:")):
        if not any(
            n.skill.startswith("affix") and _overlap(n.spans, site.spans) for n in target.needs
        ):
            return list(odd)
    if site.code == "P.OM" and all(
        n.skill.startswith("weak:")
        for n in target.needs
        if _overlap(n.spans, site.spans) and n.skill.startswith(("gp:", "weak:", "long:"))
    ):
        return []  # a weak syllable lost tests no point
    every = False
    for rule in code.blame:
        every = every or rule.kind == "all"
        found = _match(target, rule, site, points)
        if found and every and len(code.blame) > 1:
            return [n for n in found if _main(n, points.point_of(n), target)]
        if found:
            return found[:1]
    return []


def _plausible(spot: Spot, score: int) -> str | None:
    """The K-2 point of a plausible spelling that was written instead of the word's own."""
    if score != 2 or spot.odd or not spot.slots or spot.slot.kind not in (Kind.SOUND, Kind.SEAM):
        return None
    wrote = spot.wrote
    if wrote.endswith("_e"):
        return SILENT_E
    if spot.slot.vowel:
        if bare(spot.slot.phonemes[-1]) in ("R", "ER") and "r" in wrote:
            return WITH_R
        letters = [c for c in wrote if c in VOWEL_LETTERS or c == "w"]
        return TEAMS if len(letters) > 1 and letters == list(wrote) else None
    return DIGRAPH if wrote in ("sh", "ch", "th", "wh", "ng", "ph") else None


def evidence(
    target: Target,
    sites: Sequence[Site],
    scores: Mapping[int, int],
    spots: Iterable[Spot],
    points: Points,
    *,
    through: str | int | None = None,
    unread: bool = False,
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Points credited, missed, and wrong but not yet taught, in the order of the sequence.

    ``scores`` are those of the slots (absent: right); ``unread`` is true where the word was not taken apart, so
    nothing in it is shown.
    """
    end = None if through is None else points.sequence.end_of(through)
    missed: dict[str, None] = {}
    untaught: dict[str, None] = {}
    for site in sites:
        for need in blamed(target, site, points):
            point = points.point_of(need)
            if point is None:
                continue
            if end is not None and points.sequence.index(point) > end:
                untaught[point] = None
                point = points.point_of(need, through)
                if point is None or points.sequence.index(point) > end:
                    continue
            missed[point] = None
    credited: dict[str, None] = {}
    if not unread:
        for need in target.needs:
            point = points.point_of(need, through)
            if point is None or not _is_evidence(need, point, target):
                continue
            if end is not None and points.sequence.index(point) > end:
                continue
            if _shown(need, target, scores, sites):
                credited[point] = None
        for spot in spots:
            score = min((scores.get(i, 3) for i in spot.piece.slots), default=3)
            plausible = _plausible(spot, score)
            if plausible:
                credited[plausible] = None
    credited = {p: None for p in credited if p not in missed and p not in untaught}
    families = {codes()[s.code].family for s in sites}
    if len(credited) > 1 or (sites and not families <= {*_SOUND_FAMILIES, "DIALECT", "S"}):
        credited.pop(CONSONANTS, None)
    order = points.sequence.index

    def ordered(found: Iterable[str]) -> tuple[str, ...]:
        return tuple(sorted(found, key=order))

    return ordered(credited), ordered(missed), ordered(untaught)
