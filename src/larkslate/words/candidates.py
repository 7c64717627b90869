"""Which split of a word the rules would trust: bases of the right kind, common enough, checked forward.

The rules ask that the base is a known word of a part of speech the affix goes on, and not much rarer than
the word itself. What they still get wrong is held back by the tables in ``listed_parts``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from larkslate.words import bases
from larkslate.words.affixes import Affix
from larkslate.words.irregular import has_no_regular, irregular_forms
from larkslate.words.joins import VOWELS, Joined, vowel_groups, word_class
from larkslate.words.model import JoinChange, MorphemeKind

Known = Callable[[str], bool]
Zipf = Callable[[str], float]
PartsOfSpeech = Callable[[str], frozenset[str]]


@dataclass(frozen=True, slots=True)
class Context:
    """What the caller knows about words, and a dictionary's own hints at the parts of the one asked for."""

    known: Known
    zipf: Zipf
    pos: PartsOfSpeech
    hints: dict[str, frozenset[str]]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way back over a join, with how well its base fits (higher is likelier)."""

    affix: Affix
    made: Joined
    score: float


LOWEST_BASE = 2.0
"""Zipf below which a base is too rare to be trusted (about once in ten million words)."""
INFLECTED_GAP = 2.3
"""How much commoner than its base an inflected word may be (united is far commoner than unite)."""
NOUN_LOWEST = 3.2
"""Zipf below which a base known only as a noun takes no ed or ing by the rules (talented, gaming)."""
DERIVED_LOWEST = 2.8
DERIVED_GAP = 1.6
OWN_POS: dict[str, frozenset[str]] = {
    "plural": frozenset({"noun"}),
    "third-person": frozenset({"verb"}),
    "ed": frozenset({"verb", "adjective"}),
    "ing": frozenset({"verb", "noun", "adjective"}),
    "en": frozenset({"verb", "adjective"}),
    "er": frozenset({"adjective", "adverb"}),
    "est": frozenset({"adjective", "adverb"}),
    "ful": frozenset({"adjective", "noun"}),
    "ic": frozenset({"adjective", "noun"}),
    "ive": frozenset({"adjective", "noun"}),
    "al": frozenset({"adjective", "noun"}),
}
"""Parts of speech the whole word must have one of, where its own are known; for other affixes: what they make."""
ONLY_LISTED = frozenset({
    "th", "teen", "ty", "let", "ling", "ess", "an", "ian", "ery", "wise", "like", "ial", "ure",
    "ern", "ism", "ary", "ative", "ify", "up", "en", "anti", "semi", "trans", "out", "de",
    "fore", "dom", "ant", "ent",
})  # fmt: skip
"""Affixes split off only where a row of the tables says so: by the rules they are wrong too often."""


def candidates(
    word: str, kind: MorphemeKind, own: frozenset[str], context: Context
) -> list[Candidate]:
    """Bases that could carry one of the endings of a kind, the likeliest first."""
    found: list[Candidate] = []
    for affix in bases.endings_by_length(kind):
        if affix.letters in ONLY_LISTED:
            continue
        needed = frozenset({affix.makes})
        if kind is MorphemeKind.ENDING or affix.letters != "er":
            needed = OWN_POS.get(affix.name) or OWN_POS.get(affix.letters) or needed
        if own and not own & needed:
            continue
        comparing = affix.name in {"comparative", "superlative"}
        kind_of_s = affix.name if affix.letters == "s" else None
        for made in bases.joins_back(word, affix.letters, kind_of_s):
            if comparing and not _compares(made.base):
                continue
            score = _score(word, affix, made, context)
            if score is not None:
                found.append(Candidate(affix, made, score))
    return sorted(found, key=lambda c: (-c.score, -len(c.affix.letters)))


def _compares(base: str) -> bool:
    """True for a base that takes er and est: one syllable, or two with a light end (happy, simple, narrow)."""
    groups = vowel_groups(base.removesuffix("e")) if base.endswith("e") else vowel_groups(base)
    if groups <= 1:
        return True
    light = base.endswith(("y", "ow")) or (base.endswith("le") and base[-3] not in VOWELS)
    return light or base in word_class("compares")


def _score(word: str, affix: Affix, made: Joined, context: Context) -> float | None:
    """How well a base fits, or None where it does not."""
    base = made.base
    form = irregular_forms().get(base)
    if len(base) < 3 or not context.known(base) or (form and not form.same and not form.word_too):
        return None
    hinted = base in context.hints.get(word, frozenset())
    base_pos = context.pos(base)
    if base_pos and not base_pos & affix.base:
        # A dictionary may know gaming and talented and not the verbs game and talent.
        from_noun = affix.letters in {"ed", "ing"} and "noun" in base_pos
        if not (from_noun and context.zipf(base) >= NOUN_LOWEST) and not hinted:
            return None
    if affix.name != "third-person" and has_no_regular(base, affix.letters):
        return None
    if made.written == "ally" and context.known(base + "al"):
        return None  # tactically is tactical + ly; basically, without basical, is basic + ally
    inflected = affix.kind is MorphemeKind.ENDING
    common, own = context.zipf(base), context.zipf(word)
    if common < (LOWEST_BASE if inflected else DERIVED_LOWEST):
        return None
    if own - common > (INFLECTED_GAP if inflected else DERIVED_GAP):
        return None
    listed = made.change is JoinChange.F_TO_V
    educates = affix.letters == "ion" and base.endswith("ate")
    return common + (1.5 if hinted else 0.0) + (3.0 if listed else 0.0) + (2.0 if educates else 0.0)


def prefix_candidate(word: str, own: frozenset[str], context: Context) -> Joined | None:
    """The likeliest prefix before a known base; None where none can be trusted."""
    best: tuple[float, Joined] | None = None
    for prefix, made in bases.prefix_splits(word):
        if prefix.letters in ONLY_LISTED or not context.known(made.base):
            continue
        base_pos = context.pos(made.base)
        if base_pos and not base_pos & prefix.base:
            continue
        participle = made.base.endswith(("ed", "ing", "en")) and "adjective" in own
        if own and base_pos and not own & base_pos and not participle:
            continue
        common = context.zipf(made.base)
        if common < DERIVED_LOWEST or context.zipf(word) - common > DERIVED_GAP / 2:
            continue
        score = common + len(prefix.letters)
        if best is None or score > best[0]:
            best = (score, made)
    return best[1] if best else None
