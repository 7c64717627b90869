"""What a reading needs: each skill, at the letters concerned.

A word of one part needs its spellings, its clusters, its syllable types and divisions. A word of several
parts needs what its bases need, at their letters, and its affixes and joins: *hopping* needs all of *hop*,
``join:double`` and ``affix:-ing``, and no division of its own. The families are listed in
docs/architecture.md; which point teaches a skill is the business of the sequence room.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from larkslate.datafile import read_tsv
from larkslate.words.model import (
    Grapheme,
    JoinChange,
    Morpheme,
    MorphemeKind,
    Need,
    Reading,
    Span,
    Spans,
    Syllable,
    SyllableType,
    Word,
)
from larkslate.words.sounds import bare, is_vowel

LONG = frozenset({"EY", "IY", "AY", "OW", "UW", "Y.UW"})
ENDINGS_READ_WHOLE = (
    ("tion", ("SH", "AH", "N"), "ending:tion"),
    ("tion", ("CH", "AH", "N"), "ending:tion"),
    ("ssion", ("SH", "AH", "N"), "ending:sion"),
    ("sion", ("ZH", "AH", "N"), "ending:sion"),
    ("sion", ("SH", "AH", "N"), "ending:sion"),
    ("sion", ("CH", "AH", "N"), "ending:sion"),
    ("ture", ("CH", "ER"), "ending:ture"),
    ("able", ("AH", "B", "AH", "L"), "affix:-able"),
    ("ible", ("AH", "B", "AH", "L"), "affix:-ible"),
)
# Before these letters one vowel letter can be long in a closed syllable (wild, kind, cold, most, roll ...).
CLOSED_LONG_TAILS = ("ld", "nd", "st", "ll", "lt", "nge", "gn", "mb")
JOIN_SKILLS = {
    JoinChange.DROP_E: "join:drop-e",
    JoinChange.Y_TO_I: "join:y-to-i",
    JoinChange.IE_TO_Y: "join:ie-to-y",
    JoinChange.F_TO_V: "join:f-to-v",
    JoinChange.ADD_K: "join:add-k",
    JoinChange.DROP_LE: "join:drop-le",
    JoinChange.DROP_LETTER: "join:drop-letter",
}
# Affixes that leave the base its spelling and its sounds, so that a child can take them off. After others
# (-al, -ion, -ist, -or) a grade-3 child spells the letters as in any word, so such words are read as one part.
TRANSPARENT = frozenset(
    [
        "s",
        "es",
        "ed",
        "ing",
        "er",
        "est",
        "y",
        "ly",
        "ful",
        "less",
        "ness",
        "ment",
        "able",
        "ible",
        "'s",
        "un",
        "re",
        "dis",
        "mis",
        "in",
        "im",
        "il",
        "ir",
        "pre",
        "non",
        "over",
        "under",
        "out",
    ]
)


@dataclass(frozen=True, slots=True)
class OddWord:
    """An irregular word: the letters that no taught rule explains, the reason and a relative."""

    word: str
    odd: Spans
    reason: str
    relative: str


@lru_cache(maxsize=1)
def odd_words() -> dict[str, OddWord]:
    """The irregular words with their odd parts, from ``irregular.tsv`` (``s[ai]d``)."""
    found: dict[str, OddWord] = {}
    for row in read_tsv("words", "irregular.tsv", ("word", "odd", "reason", "relative")):
        word, marked = row["word"], row["odd"]
        spans: list[Span] = []
        letters = 0
        start = -1
        for character in marked:
            if character == "[":
                start = letters
            elif character == "]":
                if start < 0:
                    raise row.bad(f"{marked}: a closing bracket without an opening one.")
                spans.append((start, letters))
                start = -1
            else:
                letters += 1
        if marked.replace("[", "").replace("]", "") != word or start >= 0 or not spans:
            raise row.bad(f"{marked} must be {word} with the odd letters in brackets.")
        if word.lower() in found:
            raise row.bad(f"the word {word} stands twice.")
        found[word.lower()] = OddWord(word, tuple(spans), row["reason"], row["relative"])
    return found


@lru_cache(maxsize=1)
def choice_sets() -> dict[str, str]:
    """Word -> the set of same-sounding words it must be told from in writing, ``its/it's``."""
    return {
        word: row["set"]
        for row in read_tsv("words", "choices.tsv", ("set",))
        for word in row["set"].split("/")
    }


@lru_cache(maxsize=1)
def capitals() -> dict[str, str]:
    """Lower-case word -> ``name`` or ``adjective`` for words always written with a capital."""
    return {
        row["word"].lower(): row["kind"]
        for row in read_tsv("words", "capitals.tsv", ("word", "kind"))
    }


def sound_key(phonemes: Iterable[str]) -> str:
    """Sounds as a skill detail: no stress digits, but schwa keeps its 0; joined by dots."""
    return ".".join(p if p == "AH0" else bare(p) for p in phonemes)


def _overlaps(spans: Spans, others: Spans) -> bool:
    return any(a < d and c < b for a, b in spans for c, d in others)


def _is_vowel_grapheme(grapheme: Grapheme) -> bool:
    return any(is_vowel(p) for p in grapheme.phonemes)


def _syllable_index(syllables: Sequence[Syllable], position: int) -> int:
    for index, syllable in enumerate(syllables):
        if syllable.span[0] <= position < syllable.span[1]:
            return index
    return len(syllables) - 1


def _vowel_needs(
    word: str, grapheme: Grapheme, syllable: Syllable, *, first: bool, last: bool
) -> list[Need]:
    """Skills of one vowel grapheme, by stress and place."""
    letters, spans = grapheme.letters, grapheme.spans
    key = sound_key(grapheme.phonemes)
    vowel = next(p for p in grapheme.phonemes if is_vowel(p))
    single = len(letters) == 1
    tail = word[grapheme.end : syllable.span[1]]
    if letters == "le":
        return [Need("gp:le=AH0.L", spans)]
    if vowel == "ER0" and last and not first and letters in ("er", "or", "ar"):
        return [Need(f"weak:{letters}", spans)]
    if single and vowel[-1] == "0" and last and not first and tail in ("n", "l"):
        if bare(vowel) in ("AH", "IH", "EH"):
            return [Need(f"weak:{letters}{tail}", spans)]
    weak = single and (vowel == "AH0" or (vowel == "IH0" and letters not in "iy"))
    if weak:
        if first and letters == "a" and grapheme.start == 0:
            return [Need("weak:a-", spans)]
        if letters == "a" and grapheme.end == len(word):
            return [Need("weak:-a", spans)]
        if not tail:
            detail = "a" if letters == "a" else f"open-{'i' if letters == 'y' else letters}"
            return [Need(f"weak:{detail}", spans)]
        return [Need(f"weak:closed-{letters}", spans)]
    if single and key in LONG and tail:
        pattern = next((t for t in CLOSED_LONG_TAILS if word[grapheme.end :].startswith(t)), None)
        return [Need(f"long:{letters}{pattern or '-other'}", spans)]
    if letters == "o" and key == "AO" and word[grapheme.end :].startswith("r"):
        # In for-est and sto-ry the r begins the next syllable; the vowel is that of or all the same.
        return [Need("gp:or=AO.R", ((grapheme.start, grapheme.end + 1),))]
    if single and letters == "a" and bare(vowel) == "EH" and word[grapheme.end :].startswith("rr"):
        key = "AE"  # carry, marry: many speakers say the vowel of chair; the letter is short a
    if letters == "ei" and key == "IY" and word[grapheme.start - 1 : grapheme.start] != "c":
        return [Need("rare:ei=IY", spans)]  # seize, weird, protein: against the rule for ie and ei
    return [Need(f"gp:{letters}={key}", spans)]


def _division(
    word: str, left: Syllable, right: Syllable, between: Sequence[Grapheme]
) -> tuple[str, Span] | None:
    """The division skill where two syllables meet, with the letters concerned."""
    if right.type is SyllableType.CONSONANT_LE and not any(
        len(g.letters) == 2 and g.letters[0] == g.letters[1] for g in between
    ):
        return None
    if not between:
        at = right.span[0]
        return "divide:V|V", (at - 1, at + 1)
    span = (between[0].start, between[-1].end)
    letters = word[span[0] : span[1]]
    if len(letters) == 2 and letters[0] == letters[1]:
        stressed = left.stress > 0
        return ("divide:double" if stressed else "divide:double-weak"), span
    r_before = word[span[0] - 1 : span[0]] == "r"  # the r of ar, er, or stands in the vowel
    consonants = "r" + letters if r_before else letters
    count = len(between) + r_before
    if len(consonants) >= 3 and count >= 2:
        return "divide:VC|CCV", span
    if count == 1:
        if right.span[0] > between[0].start:
            return "divide:VC|V", span
        return ("divide:V|CV", span) if left.type is SyllableType.OPEN else None
    if right.type is SyllableType.VCE:
        return "divide:VC|CVCe", span
    if right.span[0] <= between[0].start and not r_before:
        return "divide:V|CV", span
    return "divide:VC|CV", span


def _read_whole(word: str, phonemes: Sequence[str], syllables: int) -> tuple[str, int] | None:
    """The skill and start of a Latin ending that is learned as one piece, if the word ends in one."""
    sounds = tuple(bare(p) for p in phonemes)
    for letters, tail, skill in ENDINGS_READ_WHOLE:
        fewest = 3 if skill.startswith("affix") else 2
        if word.endswith(letters) and sounds[-len(tail) :] == tail and syllables >= fewest:
            return skill, len(word) - len(letters)
    return None


def simple_needs(
    word: str,
    phonemes: Sequence[str],
    graphemes: Sequence[Grapheme],
    syllables: Sequence[Syllable],
) -> list[Need]:
    """Needs of a word, or of a stretch of letters, taken as one part."""
    found: list[Need] = []
    whole = _read_whole(word, phonemes, len(syllables))
    limit = whole[1] if whole else len(word)
    if whole:
        found.append(Need(whole[0], ((limit, len(word)),)))
    odd = odd_words().get(word)
    if odd:
        found.append(Need(f"odd:{word}", odd.odd))
    vowels = [i for i, g in enumerate(graphemes) if _is_vowel_grapheme(g)]
    for index, grapheme in enumerate(graphemes):
        if grapheme.start >= limit or (odd and _overlaps(grapheme.spans, odd.odd)):
            continue
        if index in vowels:
            place = _syllable_index(syllables, grapheme.start)
            found += _vowel_needs(
                word,
                grapheme,
                syllables[place],
                first=place == 0,
                last=place == len(syllables) - 1,
            )
        else:
            found.append(
                Need(f"gp:{grapheme.letters}={sound_key(grapheme.phonemes)}", grapheme.spans)
            )
    for syllable in syllables:
        start, end = syllable.span
        if start >= limit:
            continue
        inside = [g for g in graphemes if start <= g.start < end]
        centre = next((i for i, g in enumerate(inside) if _is_vowel_grapheme(g)), None)
        if centre is not None:
            for name, run in (("initial", inside[:centre]), ("final", inside[centre + 1 :])):
                sounded = [g for g in run if g.phonemes]
                if len(sounded) >= 2 and sounded[-1].end <= limit:
                    found.append(Need(f"cluster:{name}", ((sounded[0].start, sounded[-1].end),)))
        if syllable.type in (SyllableType.CLOSED, SyllableType.OPEN, SyllableType.CONSONANT_LE):
            kind = syllable.type.value
            if not any(
                n.skill.startswith("long:") and _overlaps(n.spans, (syllable.span,)) for n in found
            ):
                found.append(Need(f"type:{kind}", (syllable.span,)))
    for left, right in pairwise(vowels):
        if graphemes[right].start >= limit or len(syllables) < 2:
            continue
        one = _syllable_index(syllables, graphemes[left].start)
        two = _syllable_index(syllables, graphemes[right].start)
        if one == two or (syllables[one].letters == "a" and one == 0 and not syllables[one].stress):
            continue
        between = [g for g in graphemes[left + 1 : right] if g.phonemes]
        division = _division(word, syllables[one], syllables[two], between)
        if division:
            found.append(Need(division[0], (division[1],)))
    return found


def _shifted(needs: Iterable[Need], offset: int, end: int) -> list[Need]:
    """Needs of a base moved to where the base stands; letters that the join took away drop out."""
    moved = []
    for need in needs:
        spans = tuple((a + offset, min(b + offset, end)) for a, b in need.spans if a + offset < end)
        moved.append(Need(need.skill, spans or ((max(end - 1, 0), end),)))
    return moved


def _contains(sounds: Sequence[str], part: Sequence[str]) -> bool:
    def plain(p: str) -> str:
        name = bare(p)
        return "AH" if name in ("AH", "IH") and p[-1] == "0" else name

    whole, inner = [plain(p) for p in sounds], [plain(p) for p in part]
    return any(whole[i : i + len(inner)] == inner for i in range(len(whole) - len(inner) + 1))


def _affix_skill(morpheme: Morpheme) -> str:
    if morpheme.kind is MorphemeKind.PREFIX:
        return f"affix:{morpheme.form}-"
    if morpheme.kind is MorphemeKind.SUFFIX and morpheme.form == "er":
        return "affix:-er-doer"
    return f"affix:-{morpheme.form.lstrip('-')}"


def _join_needs(reading: Reading, base_start: int) -> list[Need]:
    found = []
    for join in reading.joins:
        span = ((max(join.at - 1, 0), join.at),)
        if join.change is JoinChange.DOUBLE:
            # The doubled letter itself begins a syllable, so only what starts before it is base.
            heads = [s for s in reading.syllables if base_start <= s.span[0] < join.at - 1]
            found.append(Need("join:double-stressed" if len(heads) > 1 else "join:double", span))
        elif join.change in JOIN_SKILLS:
            found.append(Need(JOIN_SKILLS[join.change], span))
        elif join.right in ("able", "ous") and join.left.endswith(("ce", "ge")):
            found.append(Need("join:keep-e", span))
    return found


def _oe_before_s(word: str, reading: Reading) -> list[Need]:
    """Goes and heroes show oe for long o: the e of the ending is seen with the o of the base."""
    if word.endswith("oes") and reading.morphemes[-1].form == "es":
        at = len(word) - 3
        return [Need("gp:oe=OW", ((at, at + 2),))]
    return []


def needs(
    word: str,
    reading: Reading,
    *,
    bases: dict[str, tuple[Reading, ...]],
    irregular_plural: str | None = None,
) -> tuple[Need, ...]:
    """All skills that one reading of ``word`` needs, in the order of its letters.

    ``bases`` holds the readings of the free bases of the word, by written form. ``irregular_plural`` is
    "irregular" for mice and "zero" for sheep.
    """
    found: list[Need] = []
    lower = word.lower()
    parts = [m for m in reading.morphemes if m.kind is MorphemeKind.BASE]
    affixes = [m for m in reading.morphemes if m.kind is not MorphemeKind.BASE]
    complex_word = (bool(affixes) or len(parts) > 1) and all(
        a.form.strip("-") in TRANSPARENT for a in affixes
    )
    if lower in odd_words() or not complex_word or not parts:
        found += simple_needs(lower, reading.phonemes, reading.graphemes, reading.syllables)
    else:
        for part in parts:
            base_readings = bases.get(part.form, ())
            base = next((b for b in base_readings if _contains(reading.phonemes, b.phonemes)), None)
            if base is None and base_readings and _only_ending_changed(reading, part):
                base = base_readings[0]
            start, end = part.span
            if base is not None:
                found += _shifted(base.needs, start, end)
            else:
                found += [
                    n
                    for n in simple_needs(
                        lower, reading.phonemes, reading.graphemes, reading.syllables
                    )
                    if _overlaps(n.spans, (part.span,)) and not n.skill.startswith("divide")
                ]
        # Truly and argument drop a letter against the rule, so they say nothing on the suffix.
        against = {j.at for j in reading.joins if j.change is JoinChange.DROP_LETTER}
        found += [Need(_affix_skill(m), (m.span,)) for m in affixes if m.span[0] not in against]
        found += _join_needs(reading, parts[0].span[0])
        found += _oe_before_s(lower, reading)
        if len(parts) > 1:
            found.append(Need("compound", tuple(p.span for p in parts)))
        found += _closed_then_final_e(reading)
    if irregular_plural:
        found.append(Need(f"plural:{irregular_plural}", ((0, len(word)),)))
    if lower in choice_sets():
        found.append(Need(f"hom:{choice_sets()[lower]}", ((0, len(word)),)))
    if lower in capitals():
        found.append(Need(f"cap:{capitals()[lower]}", ((0, 1),)))
    return _ordered(found)


def _only_ending_changed(reading: Reading, part: Morpheme) -> bool:
    """True where the base is followed only by inflections, so its letters keep their sounds."""
    return part.span[0] == 0 and all(
        m.kind is MorphemeKind.ENDING for m in reading.morphemes if m is not part
    )


def _closed_then_final_e(reading: Reading) -> list[Need]:
    """Sunshine and mistake show a closed syllable followed by one with a final e."""
    if len(reading.syllables) != 2:
        return []
    left, right = reading.syllables
    if left.type is SyllableType.CLOSED and right.type is SyllableType.VCE:
        return [Need("divide:VC|CVCe", ((left.span[1] - 1, right.span[0] + 1),))]
    return []


def _ordered(found: Iterable[Need]) -> tuple[Need, ...]:
    unique: dict[tuple[str, Spans], Need] = {}
    for need in found:
        unique.setdefault((need.skill, need.spans), need)
    return tuple(
        sorted(unique.values(), key=lambda n: (n.spans[0] if n.spans else (0, 0), n.skill))
    )


BEYOND_BASE = ("affix:", "join:", "con:", "poss:", "plural:", "cap:", "compound")


def beyond_bases(word: Word) -> tuple[tuple[str, ...], tuple[Need, ...]]:
    """The free bases of a word, and what it needs beyond them.

    A class that knows *friend* whole can read *friends* once it has the ending -s, whatever the
    spellings inside *friend*: bases ("friend",), rest affix:-s. A simple word is its own base with no rest.
    """
    if word.contraction is not None and not word.contraction.irregular:
        full = word.contraction.forms[0].full
        if full:
            reading = word.first
            return (full[0],), tuple(n for n in reading.needs if n.skill.startswith("con:"))
    if not word.readings:
        return (), ()
    reading = word.first
    rest = tuple(n for n in reading.needs if n.skill.startswith(BEYOND_BASE))
    learned = next((n for n in rest if n.skill == "plural:irregular"), None)
    owned = tuple(n for n in rest if n.skill.startswith("poss:"))
    if learned is not None and owned:
        # Children is known whole as a form of its own, so children's asks only for the mark.
        return (word.word[: owned[0].spans[0][0]],), owned
    parts = tuple(m.form for m in reading.morphemes if m.kind is MorphemeKind.BASE)
    if len(reading.morphemes) <= 1 or not parts:
        return (word.word,), ()
    return parts, rest
