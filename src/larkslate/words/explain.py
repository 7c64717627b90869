"""Why a word is written as it is: plain sentences a teacher can say aloud, for one analysed reading.

The sentences come in the order of teaching: the parts and what they mean, what changes where they meet,
then the letters from left to right, then the letters no rule explains. The rules are rows of
``data/why.tsv``; each grapheme takes the first row that fits. A grapheme of the odd part takes none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from larkslate.datafile import read_tsv
from larkslate.errors import LarkslateError
from larkslate.words.affixes import endings, prefixes, suffixes
from larkslate.words.joins import Joined, join_prefix, spellings
from larkslate.words.model import (
    Grapheme,
    Join,
    JoinChange,
    Morpheme,
    MorphemeKind,
    Reading,
    Span,
    Step,
)
from larkslate.words.needs import odd_words
from larkslate.words.sounds import SHORT_VOWELS, bare, is_vowel

COLUMNS = ("rule", "letters", "sounds", "place", "before", "after", "size", "teacher", "child")
PLACES = frozenset({"any", "base-end", "inside", "word-start", "first"})
_GROUPS = frozenset({"short", "aw", "long", "weak", "split", "other-split", "team", "cons"})
_OWN_LONG = {"a": "EY", "e": "IY", "i": "AY", "o": "OW", "u": "UW", "y": "AY"}


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the table; see its head for what the cells mean."""

    name: str
    letters: frozenset[str]
    sounds: tuple[tuple[str, ...], ...]
    place: str
    before: str
    after: tuple[str, ...]
    not_after: bool
    size: str
    teacher: str
    child: str


@dataclass(frozen=True, slots=True)
class _Base:
    """A base in its word: its span, whether its letters stand as written alone, and its syllables."""

    span: Span
    form: str
    whole: bool
    size: int


@cache
def rules() -> tuple[Rule, ...]:
    """The rules in their order. Raises Malformed naming a bad row."""
    found = []
    for row in read_tsv("words", "why.tsv", COLUMNS):
        if row["place"] not in PLACES:
            raise row.bad(f"{row['place']} is not a place ({', '.join(sorted(PLACES))}).")
        if row["size"] not in {"", "1", "2+"}:
            raise row.bad("size is 1, 2+ or blank.")
        for cell in ("letters", "teacher", "child"):
            if not row[cell]:
                raise row.bad(f"the cell {cell} is empty.")
        after = row["after"]
        found.append(
            Rule(
                row["rule"],
                frozenset(row["letters"].split()),
                tuple(tuple(s.split()) for s in row["sounds"].split("|")),
                row["place"],
                row["before"],
                tuple(after.removeprefix("-").split()),
                after.startswith("-"),
                row["size"],
                row["teacher"],
                row["child"],
            )
        )
    return tuple(found)


@cache
def _ending_sounds() -> dict[tuple[str, str], tuple[str, str]]:
    table: dict[tuple[str, str], tuple[str, str]] = {}
    for row in read_tsv("words", "why_endings.tsv", ("ending", "sound", "teacher", "child")):
        if (row["ending"], row["sound"]) in table or not row["child"]:
            raise row.bad("each ending and sound stands once, with both sentences.")
        table[row["ending"], row["sound"]] = row["teacher"], row["child"]
    return table


def why(word: str, reading: Reading) -> tuple[Step, ...]:
    """Why ``word`` is written as it is, for a reading whose graphemes and morphemes are known.

    Kinds of step: ``part``, ``join-look``, ``join-write``, ``spell:`` with the name of the rule, ``ending``,
    ``weak`` and ``odd``. Spans are in the word.
    """
    lower = word.lower()
    return (
        *_parts(reading.morphemes),
        *_joins(lower, reading.joins),
        *_letters(lower, reading),
        *_ending(reading),
        *_weak(lower, reading),
        *_odd(lower),
    )


# -- parts and joins -----------------------------------------------------------------------------------


def _parts(morphemes: Sequence[Morpheme]) -> Iterator[Step]:
    bases = [m for m in morphemes if m.kind is MorphemeKind.BASE]
    if len(bases) > 1:
        forms = " + ".join(m.form for m in bases)
        yield Step(
            "part",
            f"{forms}: two bases make a compound, and both keep all their letters.",
            f"Two words in one: {forms}.",
            tuple(m.span for m in bases),
        )
    elif len(morphemes) > 1 and bases:
        yield Step(
            "part",
            f"The base is {bases[0].form}.",
            f"The base is {bases[0].form}.",
            (bases[0].span,),
        )
    for m in morphemes:
        table = {
            MorphemeKind.PREFIX: prefixes(),
            MorphemeKind.SUFFIX: suffixes(),
            MorphemeKind.ENDING: endings(),
        }.get(m.kind, ())
        meant = [a for a in table if a.letters == m.form]
        if len({a.means for a in meant}) == 1:
            name = {"prefix": "prefix", "suffix": "suffix", "ending": "ending"}[m.kind.value]
            yield Step(
                "part",
                f"The {name} {meant[0].shown} means: {meant[0].means}.",
                f"{meant[0].shown} means: {meant[0].child}.",
                (m.span,),
            )


def _joined(word: str, join: Join) -> Joined | None:
    """The derivation of a join, if its letters are those of the word."""
    try:
        if any(p.letters == join.left for p in prefixes()):
            made: tuple[Joined, ...] = (join_prefix(join.left, join.right),)
        else:
            made = spellings(join.left, join.right)
    except LarkslateError:
        return None
    return next((j for j in made if j.word in word and j.change is join.change), None)


def _joins(word: str, joins: Sequence[Join]) -> Iterator[Step]:
    for one in joins:
        made = _joined(word, one)
        if made is None:
            if one.change is JoinChange.IRREGULAR:
                yield Step(
                    "join-write",
                    f"{one.left} has a form of its own here: {word}. No joining rule makes it, so learn it.",
                    f"Learn this one: {word}.",
                    ((0, len(word)),),
                )
            continue
        end = one.at + len(made.word) - made.at
        for step in made.steps:
            if step.kind == "join-look" and made.rule != "plain":
                yield Step(step.kind, step.teacher, step.child, ((max(0, one.at - 2), one.at),))
            elif step.kind == "join-write":
                yield Step(step.kind, step.teacher, step.child, ((one.at, min(end, len(word))),))


# -- letters -------------------------------------------------------------------------------------------


def _bases(word: str, reading: Reading) -> list[_Base]:
    found = [m for m in reading.morphemes if m.kind is MorphemeKind.BASE]
    if not found:
        found = [Morpheme(word, (0, len(word)), MorphemeKind.BASE, word)]
    bases = []
    for m in found:
        inside = [g for g in reading.graphemes if m.span[0] <= g.start < m.span[1]]
        size = sum(is_vowel(p) for g in inside for p in g.phonemes)
        bases.append(_Base(m.span, m.form, m.letters.lower() == m.form.lower(), size))
    return bases


def _letters(word: str, reading: Reading) -> Iterator[Step]:
    """The sentences about single graphemes, from left to right."""
    ordered = sorted(reading.graphemes, key=lambda g: g.start)
    starts = {s.span[0] for s in reading.syllables}
    for base in _bases(word, reading):
        inside = [g for g in ordered if base.span[0] <= g.start < base.span[1]]
        for k, g in enumerate(inside):
            if any(a < z and b < y for a, y in g.spans for b, z in reading.odd):
                continue
            before = inside[k - 1] if k else None
            last = k == len(inside) - 1
            for rule in rules():
                if _fits(rule, word, g, before, base, last=last, first=g.start in starts):
                    fill = {"word": word, "base": base.form, "letters": g.letters}
                    yield Step(
                        f"spell:{rule.name}",
                        rule.teacher.format(**fill),
                        rule.child.format(**fill),
                        g.spans,
                    )
                    break


def _fits(
    rule: Rule,
    word: str,
    g: Grapheme,
    before: Grapheme | None,
    base: _Base,
    *,
    last: bool,
    first: bool,
) -> bool:
    if g.letters not in rule.letters or not _sounds_fit(rule, g):
        return False
    if rule.size and rule.size != ("1" if base.size == 1 else "2+"):
        return False
    ends = last and base.whole
    if rule.place == "base-end" and not ends:
        return False
    if rule.place == "inside" and last:
        return False
    if rule.place == "word-start" and g.start != 0:
        return False
    if rule.place == "first" and not first:
        return False
    if rule.before and not _before_fits(rule.before, before):
        return False
    if rule.after:
        # a base that an ending has changed is read as it is written alone: control in controlled
        following = word[g.end :] if base.whole else base.form[g.end - base.span[0] :].lower()
        return following.startswith(rule.after) != rule.not_after
    return True


def _sounds_fit(rule: Rule, g: Grapheme) -> bool:
    """True for one of the rule's sounds; a sound with a digit asks for that stress."""
    return any(
        len(choice) == len(g.phonemes)
        and all(
            p == want or bare(p) == want or (want == f"{bare(want)}1" and p == f"{bare(want)}2")
            for p, want in zip(g.phonemes, choice, strict=True)
        )
        for choice in rule.sounds
    )


def _group(before: Grapheme | None) -> str:
    """What stands before, as the table names it; nothing counts as a consonant."""
    vowel = next((p for p in before.phonemes if is_vowel(p)), None) if before else None
    if before is None or vowel is None:
        return "cons"
    if "_" in before.letters:
        own = bare(vowel) == _OWN_LONG.get(before.letters[0])
        return "split" if own else "other-split"
    if len(before.letters) > 1:
        return "team"
    if vowel[-1] == "0":
        return "weak"
    if before.letters == "a" and bare(vowel) in {"AO", "AA"}:
        return "aw"
    return "short" if bare(vowel) in SHORT_VOWELS else "long"


def _before_fits(wanted: str, before: Grapheme | None) -> bool:
    group = _group(before)
    return any(
        group == want if want in _GROUPS else before is not None and before.letters == want
        for want in wanted.split()
    )


# -- endings, weak vowels, odd letters -------------------------------------------------------------------


def _ending(reading: Reading) -> Iterator[Step]:
    """What -ed or -s says here."""
    if not reading.morphemes or reading.morphemes[-1].kind is not MorphemeKind.ENDING:
        return
    last = reading.morphemes[-1]
    sounds = [bare(p) for p in reading.phonemes[-2:]]
    if len(sounds) < 2 or last.form not in {"ed", "s", "es"}:
        return
    inside = [g for g in reading.graphemes if g.start >= last.span[0]]
    vowel = any(is_vowel(p) for g in inside for p in g.phonemes)
    hiss = last.form == "s" and sounds[0] in {"IH", "AH"} and _ends_in_hiss(reading)
    sound = f"I{sounds[1]}" if vowel or hiss else sounds[1]
    said = _ending_sounds().get((last.form, sound))
    if said is not None:
        yield Step("ending", said[0], said[1], (last.span,))


def _ends_in_hiss(reading: Reading) -> bool:
    return (
        bare(reading.phonemes[-3]) in {"S", "Z", "SH", "ZH", "CH", "JH"}
        if len(reading.phonemes) > 2
        else False
    )


def _weak(word: str, reading: Reading) -> Iterator[Step]:
    """The first vowel of a base that cannot be heard as it is spelled, and what to do."""
    if len(reading.syllables) < 2:
        return
    for base in _bases(word, reading):
        for g in sorted(reading.graphemes, key=lambda g: g.start):
            if (
                base.span[0] <= g.start < base.span[1]
                and (base.whole or g.end < base.span[1])
                and g.phonemes == ("AH0",)
                and len(g.letters) == 1
                and not any(a < z and b < y for a, y in g.spans for b, z in reading.odd)
            ):
                spelled = "·".join(s.letters for s in reading.syllables)
                yield Step(
                    "weak",
                    f"The {g.letters} is weak and cannot be heard as it is spelled: "
                    f"to remember it, say the word part by part as it is written, {spelled}.",
                    f"You cannot hear the {g.letters} well. Say it as it is written: {spelled}.",
                    g.spans,
                )
                return


def _odd(word: str) -> Iterator[Step]:
    odd = odd_words().get(word)
    if odd is None:
        return
    letters = " and ".join(word[a:b] for a, b in odd.odd)
    relative = f" It belongs with {odd.relative}." if odd.relative else ""
    yield Step(
        "odd",
        f"The odd part of {word} is {letters}: {odd.reason}.{relative} The other letters are as expected.",
        f"Learn {letters} by heart in {word}.",
        odd.odd,
    )
