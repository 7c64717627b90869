"""The pipeline for one word: pronunciation, parts, graphemes, syllables, needs, reasons.

Order matters: the parts come first because they tell where a grapheme may not reach across (*mishap*)
and where a syllable ends (*fall·ing*).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from larkslate.errors import Malformed
from larkslate.words.contractions import contraction
from larkslate.words.explain import why
from larkslate.words.graphemes import align
from larkslate.words.model import (
    Contraction,
    Morpheme,
    MorphemeKind,
    Need,
    Reading,
    Span,
    Status,
    Word,
)
from larkslate.words.needs import capitals, choice_sets, needs, odd_words
from larkslate.words.parts import take_apart
from larkslate.words.possessives import irregular_plural, possessive, split_possessive
from larkslate.words.reviewed import overrides
from larkslate.words.syllables import divide

CONTRACTION_SKILLS = {
    "not": "con:not",
    "am": "con:be",
    "are": "con:be",
    "is": "con:be",
    "will": "con:will",
    "have": "con:have",
    "had-would": "con:had-would",
    "us": "con:irregular",
    "irregular": "con:irregular",
    "double": "con:double",
}
MODALS = frozenset({"could", "should", "would", "might", "must", "may"})


class Pronounced(Protocol):
    """What the pipeline asks of one pronunciation."""

    @property
    def phonemes(self) -> tuple[str, ...]:
        """ARPAbet with stress digits."""

    @property
    def pos(self) -> tuple[str, ...]:
        """Parts of speech."""

    @property
    def parts(self) -> tuple[str, ...]:
        """The dictionary's own hint at the parts, such as ("hop", "ing")."""


class Source(Protocol):
    """Where the pipeline looks things up."""

    def zipf(self, word: str) -> float:
        """log10 of occurrences per thousand million words; 0 where unknown."""

    def pronunciations(self, word: str) -> Sequence[Pronounced]:
        """Readings of a word, the default first; empty where unknown."""


@dataclass(slots=True)
class Context:
    """A source with a memory of the bases already analysed."""

    source: Source
    _bases: dict[str, tuple[Reading, ...]] = field(default_factory=dict)

    def known(self, word: str) -> bool:
        """True if the source has a pronunciation."""
        return bool(self.source.pronunciations(word))

    def pos(self, word: str) -> frozenset[str]:
        """All parts of speech of a word."""
        return frozenset(p for one in self.source.pronunciations(word) for p in one.pos)

    def base(self, form: str) -> tuple[Reading, ...]:
        """The readings of a base, analysed once."""
        if form not in self._bases:
            self._bases[form] = ()  # a word is never its own base, whatever the data say
            self._bases[form] = analyse(form, self.source.pronunciations(form), self).readings
        return self._bases[form]


def _irregular_plural(word: str) -> str | None:
    """Which kind of plural without -s: irregular (mice), zero (sheep), or None."""
    form = irregular_plural(word)
    return {"plural": "irregular", "same-plural": "zero"}.get(form.what) if form else None


def _reading(word: str, said: Pronounced, context: Context) -> tuple[Reading, bool]:
    """One reading, and whether every step fitted."""
    lower = word.lower()
    parts = take_apart(
        lower,
        known=context.known,
        zipf=context.source.zipf,
        pos=lambda w: frozenset(said.pos) if w == lower and said.pos else context.pos(w),
        marker="+" + "+".join(said.parts) if said.parts else None,
    )
    seams = [m.span[0] for m in parts.morphemes[1:]]
    aligned = align(lower, said.phonemes, seams)
    clean = not aligned.fallback
    reading = Reading(
        phonemes=said.phonemes,
        pos=said.pos,
        graphemes=aligned.graphemes,
        morphemes=parts.morphemes,
        joins=parts.joins,
    )
    try:
        settled = next((o.division for o in overrides().get(lower, ()) if o.division), "")
        division = divide(lower, aligned.graphemes, said.phonemes, parts.morphemes, settled)
    except Malformed:
        return reading, False
    reading = replace(reading, syllables=division.syllables, also=division.also)
    bases = {
        m.form: context.base(m.form)
        for m in parts.morphemes
        if m.kind is MorphemeKind.BASE and m.form != lower and context.known(m.form)
    }
    reading = replace(
        reading,
        needs=needs(word, reading, bases=bases, irregular_plural=_irregular_plural(lower)),
    )
    odd = odd_words().get(lower)
    reading = replace(reading, odd=odd.odd if odd else ())
    reading = replace(reading, why=(*why(lower, reading), *division.steps))
    return reading, clean and division.clean


def analyse(word: str, pronunciations: Sequence[Pronounced], context: Context) -> Word:
    """Everything known about a word from its pronunciations.

    The status is AUTOMATIC, or FALLBACK where a step did not fit; the lexicon raises it to REVIEWED or
    CHECKED where the override table has the word. A word without pronunciations is UNKNOWN.
    """
    shortened = contraction(word)
    if shortened is not None:
        return _contracted(word, shortened, pronunciations, context)
    owner = split_possessive(word)
    if owner is not None:
        return _owning(word, owner, pronunciations, context)
    readings: list[Reading] = []
    clean = True
    for said in pronunciations:
        reading, fitted = _reading(word, said, context)
        if reading not in readings:
            readings.append(reading)
            clean = clean and (fitted or len(readings) > 1)
    if not readings:
        return Word(word, Status.UNKNOWN, context.source.zipf(word), ())
    capital = capitals().get(word.lower())
    return Word(
        word=word[0].upper() + word[1:] if capital else word,
        status=Status.AUTOMATIC if clean else Status.FALLBACK,
        zipf=context.source.zipf(word),
        readings=tuple(readings),
    )


def _owning(
    word: str, owner: tuple[str, str], pronunciations: Sequence[Pronounced], context: Context
) -> Word:
    """A possessive needs its noun and the mark; its last syllable takes the letters after the noun."""
    noun, kind = owner
    readings = []
    mark: Span = (len(noun), len(word))
    # Sheep's may be one owner or many: only a sentence tells.
    skill = "poss:zero" if _irregular_plural(noun.lower()) == "zero" else f"poss:{kind}"
    steps = possessive(noun, "one" if kind == "singular" else "many").steps
    for said in pronunciations:
        base = next(iter(context.base(noun.lower())), None)
        if base is None or not base.syllables:
            continue
        *before, last = base.syllables
        syllables = (
            *before,
            replace(last, letters=last.letters + word[mark[0] :], span=(last.span[0], mark[1])),
        )
        aligned = align(word.lower(), said.phonemes, (mark[0],))
        ending = Morpheme(word[mark[0] :], mark, MorphemeKind.ENDING, word[mark[0] :])
        readings.append(
            Reading(
                phonemes=said.phonemes,
                pos=said.pos,
                graphemes=aligned.graphemes,
                syllables=syllables,
                morphemes=(*base.morphemes, ending),
                joins=base.joins,
                needs=(*base.needs, Need(skill, (mark,))),
                odd=base.odd,
                why=steps,
            )
        )
    if not readings:
        return Word(word, Status.UNKNOWN, 0.0, ())
    return Word(word, Status.AUTOMATIC, context.source.zipf(word), tuple(readings))


def contraction_skill(shortened: Contraction) -> str:
    """The skill a contraction needs; ``con:modal-have`` for could've and its kin."""
    full = shortened.forms[0].full
    if shortened.irregular:
        return "con:irregular"
    if shortened.group == "have" and full is not None and full[0] in MODALS:
        return "con:modal-have"
    return CONTRACTION_SKILLS[shortened.group]


def _contracted(
    word: str, shortened: Contraction, pronunciations: Sequence[Pronounced], context: Context
) -> Word:
    """A contraction needs its family, at the letters after its first word, and its first word."""
    skill = contraction_skill(shortened)
    form = shortened.forms[0]
    first = form.full[0] if form.full else ""
    mark = form.apostrophes[0]
    start = mark - 1 if shortened.group in ("not", "double") and mark > 0 else mark
    span: Span = (0, len(word)) if shortened.irregular else (start, len(word))
    found = [Need(skill, (span,))]
    if not shortened.irregular and first and word.lower().startswith(first.lower()):
        base = context.base(first)
        if base:
            found += [n for n in base[0].needs if all(b <= span[0] for _, b in n.spans)]
    choice = choice_sets().get(word.lower())
    if choice:
        found.append(Need(f"hom:{choice}", ((0, len(word)),)))
    phonemes = pronunciations[0].phonemes if pronunciations else ()
    graphemes = align(word.lower(), phonemes).graphemes if phonemes else ()
    reading = Reading(
        phonemes=phonemes,
        pos=("contraction",),
        graphemes=graphemes,
        needs=tuple(sorted(found, key=lambda n: (n.spans, n.skill))),
        why=form.steps,
    )
    return Word(
        word=shortened.written,
        status=Status.AUTOMATIC,
        zipf=context.source.zipf(word),
        readings=(reading,),
        contraction=shortened,
    )
