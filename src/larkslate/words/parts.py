"""Taking a word apart: endings first, then suffixes, prefixes and compounds, each checked forward.

A split is trusted in this order: the tables of listed words (``whole_words.tsv``, ``split_words.tsv``,
``compounds.tsv``), the irregular forms, the rules. The rules ask that the base is a known word of the
right part of speech and not much rarer than the word itself. A false split is worse than a missed one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

from larkslate.errors import Malformed
from larkslate.words import bases
from larkslate.words.affixes import Affix
from larkslate.words.irregular import IrregularForm, has_no_regular, irregular_forms
from larkslate.words.joins import VOWELS, Joined, join, join_prefix, vowel_groups, word_class
from larkslate.words.listed_parts import Split, listed_splits, whole_words
from larkslate.words.model import Join, JoinChange, Morpheme, MorphemeKind

Known = Callable[[str], bool]
Zipf = Callable[[str], float]
PartsOfSpeech = Callable[[str], frozenset[str]]


class PartsKind(StrEnum):
    """How a word is built, by its outermost part."""

    WHOLE = "whole"
    INFLECTED = "inflected"
    DERIVED = "derived"  # suffix or prefix
    COMPOUND = "compound"
    IRREGULAR = "irregular"  # went, children


@dataclass(frozen=True, slots=True)
class Parts:
    """The meaningful parts of a word, left to right, and the joins in the order they were made.

    ``also`` holds other right readings (leaves = leaf + s or leave + s). ``evidence`` says what the
    split rests on: ``listed`` (a table), ``rules``, or ``whole`` (no split found).
    """

    word: str
    morphemes: tuple[Morpheme, ...]
    joins: tuple[Join, ...]
    kind: PartsKind
    irregular: IrregularForm | None = None
    also: tuple[Parts, ...] = ()
    evidence: str = "rules"

    @property
    def shown(self) -> str:
        """The forms of the parts with plus signs: ``hop + ing``, ``un + happy + ness``."""
        return " + ".join(m.form for m in self.morphemes)


@dataclass(frozen=True, slots=True)
class _Context:
    known: Known
    zipf: Zipf
    pos: PartsOfSpeech
    hints: dict[str, frozenset[str]]


@dataclass(frozen=True, slots=True)
class _Candidate:
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
    "s": frozenset({"noun", "verb"}),
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
ONLY_LISTED = frozenset(
    {
        "th",
        "teen",
        "ty",
        "let",
        "ling",
        "ess",
        "an",
        "ian",
        "ery",
        "wise",
        "like",
        "ial",
        "ure",
        "ern",
        "ism",
        "ary",
        "ative",
        "ify",
        "up",
        "en",
        "anti",
        "semi",
        "trans",
        "out",
        "de",
        "fore",
        "dom",
        "ant",
        "ent",
    }
)
"""Affixes split off only where a row of the tables says so: by the rules they are wrong too often."""


def take_apart(
    word: str,
    *,
    known: Known,
    zipf: Zipf,
    pos: PartsOfSpeech,
    marker: str | None = None,
) -> Parts:
    """Take a word apart into base, prefixes, suffixes and endings.

    ``known`` says whether a spelling is a word, ``zipf`` how common it is, ``pos`` gives its parts of
    speech (empty where not known). ``marker`` is a dictionary's own hint, parts with plus signs such as
    ``+hop+ing``; it adds to the evidence and never decides alone. Raises Malformed for an empty word.
    """
    word = word.replace("’", "'")
    if not word or not any(c.isalpha() for c in word):
        raise Malformed(f"{word!r} is not a word: write letters.")
    hints: dict[str, frozenset[str]] = {}
    if marker:
        hints[word] = frozenset(p for p in marker.split("+") if p)
    return _apart(word, _Context(known, zipf, pos, hints), alone=True)


def _whole(word: str, evidence: str = "whole") -> Parts:
    base = Morpheme(word, (0, len(word)), MorphemeKind.BASE, word)
    return Parts(word, (base,), (), PartsKind.WHOLE, evidence=evidence)


def _apart(word: str, context: _Context, *, alone: bool = False) -> Parts:
    """The analysis of a word: listed words, irregular forms, possessives, rules.

    ``alone`` is false for a part of a longer word: there, saw and ground are words of their own.
    """
    if word in whole_words():
        return _whole(word, "listed")
    split = listed_splits().get(word)
    if split is not None:
        return _from_split(word, split, context)
    possessive = _possessive(word, context)
    if possessive is not None:
        return possessive
    regular = _by_rule(word, context)
    form = irregular_forms().get(word)
    if form is not None and not form.same:
        if form.word_too and not alone:
            return regular or _whole(word)
        irregular = _irregular(word, form, context)
        if form.word_first and regular is None:
            return replace(_whole(word), also=(irregular,))
        compared = form.what in {"comparative", "superlative"}
        if regular is None or regular.kind is not PartsKind.INFLECTED or compared:
            return irregular
        return replace(regular, also=(irregular, *regular.also))
    if regular is not None:
        return regular
    compound = _irregular_compound(word, context)
    return compound or _whole(word)


def _possessive(word: str, context: _Context) -> Parts | None:
    for tail in ("'s", "'"):
        base = word.removesuffix(tail)
        if base != word and base.isalpha() and (tail == "'s" or base.endswith("s")):
            made = join(base, tail)
            return _attach(_apart(base, context), made, MorphemeKind.ENDING, "rules")
    return None


def _irregular(word: str, form: IrregularForm, context: _Context) -> Parts:
    """An irregular form: eaten splits, went is one part whose form alone is go."""
    if word == form.base + "en" or word == form.base + "n":
        en = join(form.base, "en", stress_last=False)
        if en.word == word:
            parts = _attach(_apart(form.base, context), en, MorphemeKind.ENDING, "listed")
            return replace(parts, kind=PartsKind.IRREGULAR, irregular=form)
    whole = _apart(form.base, context)
    first = whole.morphemes[0]
    if len(whole.morphemes) == 2 and word.startswith(first.letters):
        return _last_changes(word, whole, form)
    base = Morpheme(word, (0, len(word)), MorphemeKind.BASE, form.base)
    seam = Join(len(word), JoinChange.IRREGULAR, form.base, form.takes_place_of)
    return Parts(word, (base,), (seam,), PartsKind.IRREGULAR, form, evidence="listed")


def _last_changes(word: str, whole: Parts, form: IrregularForm) -> Parts:
    """A compound or prefixed word whose last part takes its irregular form: snowmen, undid."""
    last = whole.morphemes[-1]
    changed = Morpheme(word[last.span[0] :], (last.span[0], len(word)), last.kind, last.form)
    seam = Join(len(word), JoinChange.IRREGULAR, whole.word, form.takes_place_of)
    return Parts(
        word,
        (*whole.morphemes[:-1], changed),
        (*whole.joins, seam),
        PartsKind.IRREGULAR,
        form,
        evidence="listed",
    )


def _irregular_compound(word: str, context: _Context) -> Parts | None:
    """Listed compounds whose last part is irregular, not in the table themselves: snowmen, grandchildren."""
    for start in range(2, len(word) - 2):
        form = irregular_forms().get(word[start:])
        if form is None or form.same:
            continue
        whole = word[:start] + form.base
        split = listed_splits().get(whole)
        if split is None or split.kind not in {"compound", "prefix"} or split.right != form.base:
            continue
        return _last_changes(word, _from_split(whole, split, context), form)
    return None


def _from_split(word: str, split: Split, context: _Context) -> Parts:
    """A listed split, its parts taken apart in turn."""
    if split.kind == "compound":
        return _compound(word, split.left, split.right, context)
    if split.kind == "prefix":
        return _prefixed(
            _apart(split.right, context), join_prefix(split.left, split.right), "listed"
        )
    kind = MorphemeKind.ENDING if split.kind == "ending" else MorphemeKind.SUFFIX
    for made in bases.joins_back(word, split.right):
        if made.base == split.left:
            return _attach(_apart(made.base, context), made, kind, "listed")
    raise Malformed(
        f"words/data/split_words.tsv: {split.left} + {split.right} does not make {word} "
        "by the joining rules; add the exception to join_exceptions.tsv."
    )


def _attach(left: Parts, made: Joined, kind: MorphemeKind, evidence: str) -> Parts:
    """The parts of a base with an ending or suffix on them."""
    *before, last = left.morphemes
    word, at = made.word, made.at
    if last.span[0] >= at:
        return _whole(word)
    stem = Morpheme(word[last.span[0] : at], (last.span[0], at), last.kind, last.form)
    ending = Morpheme(made.written, (at, len(word)), kind, _ending_form(made))
    seam = Join(at, made.change, made.base, made.ending)
    joins = tuple(replace(j, at=min(j.at, at)) for j in left.joins)
    built = PartsKind.INFLECTED if kind is MorphemeKind.ENDING else PartsKind.DERIVED
    return Parts(word, (*before, stem, ending), (*joins, seam), built, left.irregular, (), evidence)


def _ending_form(made: Joined) -> str:
    """The ending written alone: ``es`` after a hissing sound, ``s`` where y or f changed."""
    if made.ending in {"s", "es"}:
        changed = made.change in {JoinChange.Y_TO_I, JoinChange.F_TO_V}
        return "s" if changed else made.written
    return made.ending


def _prefixed(right: Parts, made: Joined, evidence: str) -> Parts:
    """The parts of a base with a prefix before them."""
    shift = made.at
    prefix = Morpheme(made.ending, (0, shift), MorphemeKind.PREFIX, made.ending)
    moved = tuple(replace(m, span=(m.span[0] + shift, m.span[1] + shift)) for m in right.morphemes)
    inner = tuple(replace(j, at=j.at + shift) for j in right.joins)
    seam = Join(shift, JoinChange.NONE, made.ending, made.base)
    return Parts(
        made.word,
        (prefix, *moved),
        (*inner, seam),
        PartsKind.DERIVED,
        right.irregular,
        (),
        evidence,
    )


def _compound(word: str, left: str, right: str, context: _Context) -> Parts:
    """Two bases written as one word; an l or another letter may go at the seam (almost, pastime)."""
    first, second = _apart(left, context), _apart(right, context)
    at = len(word) - len(right)
    change = JoinChange.NONE if word == left + right else JoinChange.DROP_LETTER
    if (
        not word.endswith(right)
        or not left.startswith(word[:at])
        or first.morphemes[-1].span[0] >= at
    ):
        raise Malformed(f"words/data/compounds.tsv: {left} + {right} does not make {word}.")
    *head, last = first.morphemes
    last = Morpheme(word[last.span[0] : at], (last.span[0], at), last.kind, last.form)
    moved = tuple(replace(m, span=(m.span[0] + at, m.span[1] + at)) for m in second.morphemes)
    joins = (
        *first.joins,
        *(replace(j, at=j.at + at) for j in second.joins),
        Join(at, change, left, right),
    )
    return Parts(word, (*head, last, *moved), joins, PartsKind.COMPOUND, evidence="listed")


def _by_rule(word: str, context: _Context) -> Parts | None:
    """Inflection, then suffix, then prefix; None where no split can be trusted."""
    own = context.pos(word)
    if len(word) < 4 or not word.isalpha() or (own and own <= {"name"}):
        return None
    for kind in (MorphemeKind.ENDING, MorphemeKind.SUFFIX):
        found = _candidates(word, kind, own, context)
        if found:
            first, *others = found
            parts = _attach(_apart(first.made.base, context), first.made, kind, "rules")
            also = {
                c.made.base: _attach(_apart(c.made.base, context), c.made, kind, "rules")
                for c in others
                if c.score > first.score - 4.0 and c.made.base != first.made.base
            }
            return replace(parts, also=tuple(also.values()))
    return _by_prefix(word, own, context)


def _candidates(
    word: str, kind: MorphemeKind, own: frozenset[str], context: _Context
) -> list[_Candidate]:
    """Bases that could carry one of the endings of a kind, the likeliest first."""
    found: list[_Candidate] = []
    for affix in bases.endings_by_length(kind):
        if affix.letters in ONLY_LISTED:
            continue
        needed = OWN_POS.get(affix.letters, frozenset({affix.makes}))
        if affix.letters == "er" and kind is MorphemeKind.SUFFIX:
            needed = frozenset({affix.makes})
        if own and not own & needed:
            continue
        comparing = affix.name in {"comparative", "superlative"}
        for made in bases.joins_back(word, affix.letters):
            if comparing and not _compares(made.base):
                continue
            score = _score(word, affix, made, context)
            if score is not None:
                found.append(_Candidate(affix, made, score))
    return sorted(found, key=lambda c: (-c.score, -len(c.affix.letters)))


def _compares(base: str) -> bool:
    """True for a base that takes er and est: one syllable, or two with a light end (happy, simple, narrow)."""
    groups = vowel_groups(base.removesuffix("e")) if base.endswith("e") else vowel_groups(base)
    if groups <= 1:
        return True
    light = base.endswith(("y", "ow")) or (base.endswith("le") and base[-3] not in VOWELS)
    return light or base in word_class("compares")


def _score(word: str, affix: Affix, made: Joined, context: _Context) -> float | None:
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
    if has_no_regular(base, affix.letters):
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


def _by_prefix(word: str, own: frozenset[str], context: _Context) -> Parts | None:
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
    if best is None:
        return None
    return _prefixed(_apart(best[1].base, context), best[1], "rules")
