"""Taking a word apart: endings first, then suffixes, prefixes and compounds, each checked forward.

A split is trusted in this order: the tables of listed words (``whole_words.tsv``, ``split_words.tsv``,
``compounds.tsv``), the irregular forms, the rules. The rules ask that the base is a known word of the
right part of speech and not much rarer than the word itself. A false split is worse than a missed one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from larkslate.errors import Malformed
from larkslate.words import bases
from larkslate.words.candidates import (
    Context,
    Known,
    PartsOfSpeech,
    Zipf,
    candidates,
    prefix_candidate,
)
from larkslate.words.irregular import IrregularForm, irregular_forms
from larkslate.words.joins import Joined, join, join_prefix
from larkslate.words.listed_parts import Split, listed_splits, whole_words
from larkslate.words.model import Join, JoinChange, Morpheme, MorphemeKind
from larkslate.words.possessives import split_possessive


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
    return _apart(word, Context(known, zipf, pos, hints), alone=True)


def _whole(word: str, evidence: str = "whole") -> Parts:
    base = Morpheme(word, (0, len(word)), MorphemeKind.BASE, word)
    return Parts(word, (base,), (), PartsKind.WHOLE, evidence=evidence)


def _apart(word: str, context: Context, *, alone: bool = False) -> Parts:
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
        own = context.pos(word)
        no_verb = "past" in form.what and own and not own & {"verb", "past"}
        if regular is None and (form.word_first or (form.word_too and no_verb)):
            return replace(_whole(word), also=(irregular,))
        compared = form.what in {"comparative", "superlative"}
        if regular is None or regular.kind is not PartsKind.INFLECTED or compared:
            return irregular
        return replace(regular, also=(irregular, *regular.also))
    if regular is not None:
        return regular
    compound = _irregular_compound(word, context)
    return compound or _whole(word)


def _possessive(word: str, context: Context) -> Parts | None:
    """An owner's form; contractions such as it's and pronouns are no owners."""
    split = split_possessive(word) if "'" in word else None
    if split is None:
        return None
    made = join(split[0], word[len(split[0]) :])
    return _attach(_apart(split[0], context), made, MorphemeKind.ENDING, "rules")


def _irregular(word: str, form: IrregularForm, context: Context) -> Parts:
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


def _irregular_compound(word: str, context: Context) -> Parts | None:
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


def _from_split(word: str, split: Split, context: Context) -> Parts:
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


def _compound(word: str, left: str, right: str, context: Context) -> Parts:
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


def _by_rule(word: str, context: Context) -> Parts | None:
    """Inflection, then suffix, then prefix; None where no split can be trusted."""
    own = context.pos(word)
    if len(word) < 4 or not word.isalpha() or (own and own <= {"name"}):
        return None
    for kind in (MorphemeKind.ENDING, MorphemeKind.SUFFIX):
        found = candidates(word, kind, own, context)
        if found:
            first, *others = found
            others = [c for c in others if c.score > first.score - 4.0]
            if first.affix.name == "comparative" and "noun" in own:
                others += candidates(word, MorphemeKind.SUFFIX, own, context)  # a cleaner, cleaner
            built: dict[tuple[str, MorphemeKind], Parts] = {}
            for c in (first, *others):
                if (c.made.base, c.affix.kind) not in built:
                    left = _apart(c.made.base, context)
                    built[c.made.base, c.affix.kind] = _attach(left, c.made, c.affix.kind, "rules")
            parts, *also = built.values()
            return replace(parts, also=tuple(also))
    made = prefix_candidate(word, own, context)
    return _prefixed(_apart(made.base, context), made, "rules") if made else None
