"""Where a written word is divided, and of what type each syllable is.

The policy is named ``POLICY``: morphemes first, then sounds, then letters. A prefix, the parts of a
compound and most endings are a division; elsewhere the sound of the vowel before the consonants decides;
where sound leaves a choice, the letters that may begin a syllable do. Graphemes are not split, except that
a doubled consonant letter is divided in the middle, and a vowel letter and r are parted when a vowel follows
(nat-u-ral). There are as many written syllables as vowel sounds, except that *fire* and *hour* count as one
and a syllabic m without a vowel letter (rhythm) adds none.

The figures for division are US dictionaries' practice; the types are those of the Common Core State
Standards, ELA, Appendix A, figure 12.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from larkslate.errors import Malformed
from larkslate.words.model import (
    Grapheme,
    Morpheme,
    MorphemeKind,
    Step,
    Syllable,
)
from larkslate.words.sounds import bare
from larkslate.words.syllable_tables import (
    Boundary,
    boundaries,
    onsets,
    openings,
    stable_endings,
    worded,
    wording,
)
from larkslate.words.syllable_types import classify
from larkslate.words.syllable_units import (
    DOUBLES,
    SPLIT_SILENT,
    VOWEL_LETTERS,
    Unit,
    is_long,
    is_short,
    is_stressed,
    pieces_of,
    units_of,
)

POLICY = "morphemes first, then sounds, then letters"

_KEEP_STRESS = frozenset({"ing", "ed", "er", "est", "en", "y", "ish", "es"})
_INFLECTIONS = frozenset({"ing", "ed", "er", "est", "es", "s"})
_NEVER_SPLIT_AFTER = frozenset(
    ["x", "ck", "tch", "dg", "dge", "ng", "lk", "lf", "lm", "mb", "mn", "gh"]
)
_LONG_O_BEFORE = frozenset({"ia", "io", "iu", "ie", "ea", "eo", "eu", "al", "ax"})
_ONLY_FIRST = frozenset({"wh", "wr", "kn", "rh"})


@dataclass(frozen=True, slots=True)
class Division:
    """The written syllables of a word, other accepted divisions, and the steps that led there.

    ``clean`` is False where the letters and the sounds did not fit the rules, so that the result is a guess.
    """

    syllables: tuple[Syllable, ...]
    also: tuple[str, ...]
    steps: tuple[Step, ...]
    clean: bool

    @property
    def text(self) -> str:
        """The division with hyphens: ``nap-kin``."""
        return "-".join(s.letters for s in self.syllables)


@dataclass(frozen=True, slots=True)
class _Break:
    """A division: its place, the pattern (a skill id's detail) and the other places dictionaries may choose."""

    at: int
    pattern: str
    others: tuple[int, ...] = ()


class _Divider:
    """One word on its way to a division."""

    def __init__(
        self, word: str, units: list[Unit], phonemes: Sequence[str], morphemes: Sequence[Morpheme]
    ) -> None:
        self.word = word
        self.units = units
        self.phonemes = tuple(phonemes)
        self.morphemes = tuple(morphemes)
        self._soft: list[int] = []  # seams that the policy passes over but other dictionaries keep
        self.nuclei = [i for i, u in enumerate(units) if u.vowel is not None]

    def breaks(self) -> list[_Break]:
        """One break between every two neighbouring vowels."""
        seams = self._seams()
        out = []
        for order, (i, j) in enumerate(pairwise(self.nuclei)):
            left, right = self.units[i], self.units[j]
            between = self.units[i + 1 : j]
            # of two seams with no vowel between them the last counts: states-man, mar-riag-es
            seam = next((s for s in reversed(seams) if left.end <= s.at <= right.start), None)
            by_rule = self._between(order, left, between, right)
            if seam is None or by_rule.pattern.endswith("stable"):
                soft = tuple(at for at in self._soft if left.end <= at <= right.start)
                others = tuple(dict.fromkeys((*by_rule.others, *soft)))
                out.append(replace(by_rule, others=tuple(o for o in others if o != by_rule.at)))
            elif by_rule.at == seam.at:
                keeps = seam.pattern in {"part", "ending"}
                out.append(replace(seam, others=() if keeps else by_rule.others))
            else:
                others = () if seam.pattern in {"part", "ending"} else (by_rule.at,)
                out.append(replace(seam, others=others))
        return out

    # -- morphemes -------------------------------------------------------------------------------

    def _seams(self) -> list[_Break]:
        """The divisions that the parts of the word ask for, in order of place."""
        seams: list[_Break] = []
        for left, right in pairwise(self.morphemes):
            at = right.span[0]
            if right.kind in {MorphemeKind.BASE, MorphemeKind.PREFIX}:
                if left.kind is not MorphemeKind.PREFIX or self._prefix_stands(left):
                    seams.append(_Break(at, "part"))
                continue
            if right.kind in {MorphemeKind.SUFFIX, MorphemeKind.ENDING}:
                seam = self._ending_seam(left, right)
                if seam is not None:
                    seams.append(seam)
        if len(self.morphemes) < 2:
            seams += self._inferred()
        return [s for s in seams if self._may_break(s.at)]

    def _inferred(self) -> Iterator[_Break]:
        """The seam before -ed (after t or d) and -ing in a word that nobody took apart (tal-ent-ed)."""
        lower = self.word.lower()
        if lower.endswith(("ted", "ded")) and lower[-4:-3] not in ("", lower[-3]):
            yield _Break(len(lower) - 2, "suffix")
        if lower.endswith("ing") and lower[-5:-4] != lower[-4:-3] and lower[-4:-3] not in ("", "l"):
            yield _Break(len(lower) - 3, "suffix")

    def _prefix_stands(self, prefix: Morpheme) -> bool:
        """False where a prefix in a vowel letter has a stressed short vowel (pres-ent)."""
        if prefix.letters[-1].lower() not in VOWEL_LETTERS:
            return True
        last = [u for u in self.units if u.vowel and u.start < prefix.span[1]]
        return not (last and is_short(last[-1]))

    def _ending_seam(self, left: Morpheme, right: Morpheme) -> _Break | None:
        at = right.span[0]
        form = right.form.lower()
        if form in {"s", "'s"} and any(
            u.vowel and u.letters == "e" and u.start == at - 1 and u.sounds[-1:] != ("L",)
            for u in self.units
        ):
            return _Break(at - 1, "ending")  # releas-es: the e of the base is heard again
        if not any(u.vowel and at <= u.start < right.span[1] for u in self.units):
            return None  # s, d: no syllable of its own
        if form == "ly" and left.form.endswith("le") and not left.letters.lower().endswith("le"):
            return _Break(at if self.word[:at].lower().endswith("ck") else at - 1, "base-le")
        if form[:1] not in VOWEL_LETTERS:
            return _Break(at, "suffix")
        name = "ending" if form in _INFLECTIONS else "suffix"
        policy = boundaries().get(form, Boundary(whole=True))
        whole = policy.whole
        stem = self.word[:at].lower()
        base = left.form.lower()
        long_base = sum(1 for u in self.units if u.vowel and u.start < at) > 1
        if stem.endswith(policy.turned_after) or (long_base and stem.endswith(policy.turned_long)):
            whole = not whole
            if not whole:
                self._soft.append(at)
        if not whole or not _stands(left):
            return None
        if self._silent_t(at):
            return None  # has-ten: the t has gone silent and goes right
        if len(stem) > 1 and stem[-1] == stem[-2] and stem[-1] not in VOWEL_LETTERS:
            doubled_by_join = not base.endswith(stem[-2:])
            return _Break(at - 1, "double") if doubled_by_join else _Break(at, name)
        if (
            len(base) > 2
            and base.endswith("le")
            and not stem.endswith("le")
            and base[-3] not in VOWEL_LETTERS
        ):
            return _Break(at - 1 if stem.endswith("ckl") else at - 2, "base-le")
        if stem.endswith("g") and not base.endswith("e") and self._sound_before(at) == "JH":
            return None  # the letters of the base are said another way, so it does not stand out
        if (
            form not in _KEEP_STRESS
            and base.endswith("e")
            and not base.endswith("ure")
            and not stem.endswith("e")
            and self._weak_before(at)
        ):
            return None  # ad-mi-ra-ble: the base has lost its stress
        return _Break(at, name)

    def _weak_before(self, at: int) -> bool:
        before = [u for u in self.units if u.vowel and u.start < at]
        return bool(before) and before[-1].vowel in {"AH0", "ER0", "IH0"} and len(before) > 1

    def _sound_before(self, at: int) -> str | None:
        sounds = [u.sounds for u in self.units if u.end <= at and u.sounds]
        return bare(sounds[-1][-1]) if sounds else None

    def _silent_t(self, at: int) -> bool:
        return any(u.end == at and u.letters in {"st", "ft"} for u in self.units)

    def _may_break(self, at: int) -> bool:
        """True where no grapheme is split, doubled consonants and silent pairs aside."""
        for u in self.units:
            if u.start < at < u.end:
                return u.letters in DOUBLES or SPLIT_SILENT.get(u.letters) == at - u.start
        return 0 < at < len(self.word)

    # -- sounds and letters ----------------------------------------------------------------------

    def _between(self, order: int, left: Unit, units: Sequence[Unit], right: Unit) -> _Break:
        for u in units:
            if u.letters in {"-", " "}:
                return _Break(u.end, "hyphen")
        if not units:
            return _Break(right.start, "V|V")
        stable = self._stable(units, right)
        if stable is not None:
            return stable
        if self._is_le(units, right):
            return self._before_le(units)
        silent = [k for k, u in enumerate(units) if u.silent and u.letters == "e"]
        if silent:
            k = silent[-1]
            if k == len(units) - 1 or k > 0 or units[k].end == right.start:
                return _Break(units[k].end, "VCe|")
            units = units[k + 1 :]
            if not units:
                return _Break(right.start, "V|V")
        for u in units[:-1]:
            if len(u.letters) > 1 and u.letters.endswith("e") and u.sounds:
                return _Break(u.end, "VCe|")
        last = units[-1]
        if len(last.letters) > 1 and last.letters[-1] == "e" and last.sounds:
            return _Break(last.end, "VC|V")
        closed = self._closed_opening(order, left, right)
        if closed is not None:
            return closed
        pieces = pieces_of(units)
        if len(pieces) == 1:
            return self._one(order, left, pieces[0], right)
        return self._several(order, left, pieces)

    def _closed_opening(self, order: int, left: Unit, right: Unit) -> _Break | None:
        """The division after *in-*, *dis-*, *trans-* with a weak vowel (tran-scend keeps its s)."""
        lower = self.word.lower()
        for opening, policy in openings().items():
            at = len(opening)
            if policy == "piece":
                at = lower.find(opening, left.end)
                if left.end <= at <= right.start and self._may_break(at):
                    return _Break(at, "opening")
            elif order or not lower.startswith(opening) or not left.end < at <= right.start:
                continue
            elif self._may_break(at) and (
                policy == "always"
                or (opening == "trans" and lower[at] not in VOWEL_LETTERS | {"c"})
                or (
                    policy == "closed"
                    and opening != "trans"
                    and not is_stressed(left)
                    and not is_long(left)
                    and lower[at] in VOWEL_LETTERS
                )
            ):
                return _Break(at, "opening")
        return None

    def _stable(self, units: Sequence[Unit], right: Unit) -> _Break | None:
        for k, u in enumerate(units):
            if u.sounds and bare(u.sounds[-1]) in {"SH", "ZH", "CH", "JH"}:
                start = u.start
                rest = self.word[start:].lower()
                if u.letters.startswith("ss") or (u.letters.startswith("sc") and k == 0):
                    start, rest = start + 1, rest[1:]
                for ending, _ in stable_endings():
                    if rest.startswith(ending) and right.start < start + len(ending):
                        if ending == "xion" or u.letters.startswith("x"):
                            return _Break(u.start + 1, "VC|V")
                        if start == units[0].start and k == 0:
                            return _Break(start, "V|stable")
                        return _Break(start, "VC|stable")
        return None

    def _is_le(self, units: Sequence[Unit], right: Unit) -> bool:
        last = units[-1]
        if last.letters != "l" or right.letters != "e" or len(units) < 2:
            return False
        if right.vowel != "AH0":
            return False
        return right.sounds[-1:] == ("L",) or self.word[right.end :].lower() in {"s", "d"}

    def _before_le(self, units: Sequence[Unit]) -> _Break:
        pieces = pieces_of(units[:-1])
        last = pieces[-1]
        if last.letters in {"ck", "x"}:
            return _Break(last.end, "ck|le")
        return _Break(last.start, "|Cle")

    def _one(self, order: int, left: Unit, c: Unit, right: Unit) -> _Break:
        if c.letters in _NEVER_SPLIT_AFTER and c.sounds != ("G",):
            return _Break(c.end, "VC|V")
        if c.letters.startswith("x"):
            return _Break(c.start + 1, "VC|V")
        if c.letters in _ONLY_FIRST:
            return _Break(c.start, "V|CV")
        if c.letters == "n" and self._after_stable(left, c):
            return _Break(c.end, "VC|V")
        if c.letters == "r":
            return self._r(order, left, c, right)
        if c.letters == "qu" and is_short(left):
            return _Break(c.start + 1, "VC|V", (c.start,))
        if is_short(left):
            return _Break(c.end, "VC|V")
        return _Break(c.start, "V|CV")

    def _after_stable(self, left: Unit, c: Unit) -> bool:
        """True for the n of *nation* in *na-tion-al*."""
        before = [u for u in self.units if u.end <= left.start and u.sounds]
        head = self.word[: c.end].lower()
        if not before or bare(before[-1].sounds[-1]) not in {"SH", "ZH", "CH", "JH", "Y"}:
            return False
        return (before[-1].sounds[-1] == "Y" and head.endswith("ion")) or any(
            head.endswith(e) for e, _ in stable_endings() if e.endswith("n")
        )

    def _r(self, order: int, left: Unit, c: Unit, right: Unit) -> _Break:
        """Vowel, r, vowel: r closes after a short vowel (par-ent, spir-it), opens after a long one (pi-rate)."""
        before, after = _Break(c.start, "V|CV"), _Break(c.end, "VC|V")
        either = (c.end,)  # dictionaries differ: fa-vor-ite and fa-vo-rite, flo-ra and flor-a
        sound = bare(left.vowel or "")
        letter = left.letters
        if len(letter) > 1:
            return after if sound in {"ER", "AH", "EH"} and letter != "ai" else before
        if not is_stressed(left):
            if letter == "e" and (order > 0 and sound == "ER"):
                return after
            return replace(before, others=either) if letter in "oau" and order else before
        if letter == "a":
            return before if sound == "AA" else after
        if letter == "e":
            return after if sound in {"EH", "ER", "AE"} else before
        if letter in "iy":
            return before if sound == "AY" else after
        if letter == "o":
            rest = self.word[c.end :].lower()
            open_o = right.letters in {"y", "u", "ou"} or rest[:2] in _LONG_O_BEFORE
            if open_o or sound == "OW":
                return replace(before, others=either)
            return replace(after, others=(c.start,))
        return after if sound in {"ER", "EH", "AH"} else before

    def _several(self, order: int, left: Unit, pieces: list[Unit]) -> _Break:
        letters = [p.letters for p in pieces]
        table = onsets()
        if letters[0] == "x" and len(pieces) > 1:
            return _Break(pieces[0].end, "VC|CV")
        name = "VC|CV" if len(pieces) == 2 else "VC|CCV"
        for k, (one, two) in enumerate(pairwise(pieces)):
            if one.letters == two.letters and len(one.letters) == 1:
                return self._doubled(two, pieces[k + 2 :])
        if pieces[-1].letters.startswith("x"):
            return _Break(pieces[-1].start + 1, "VC|V")
        if len(pieces) == 2:
            pair = "".join(letters)
            kind = table.get(pair)
            if kind in {"liquid", "glide"} and not is_short(left):
                return _Break(pieces[0].start, "V|CCV")
            if kind == "s" and self._weak_first(order, left):
                return _Break(pieces[0].start, "V|CCV")
            if letters[0] in {"ck", "ng", "tch", "dg"}:
                return _Break(pieces[0].end, "VC|CV")
            return _Break(pieces[1].start, "VC|CV")
        if self._weak_first(order, left) and table.get("".join(letters)) == "s":
            return _Break(pieces[0].start, "V|CCV")
        for k in range(1, len(pieces)):
            if "".join(letters[k:]) in table:
                return _Break(pieces[k].start, name)
        return _Break(pieces[-1].start, name)

    def _doubled(self, second: Unit, rest: Sequence[Unit]) -> _Break:
        """Between the twins (hap-py, ad-dress, mil-lion), or after them before more (bull-frog)."""
        goes_on = "".join(p.letters for p in rest)
        glide = bool(rest) and rest[0].sounds[-1:] in {("Y",), ("W",)} and rest[0].letters in "iue"
        if (
            not rest
            or goes_on == "l"
            or glide
            or (goes_on == "r" and second.letters + "r" in onsets())
        ):
            return _Break(second.start, "double")
        return _Break(second.end, "VC|CV")

    def _weak_first(self, order: int, left: Unit) -> bool:
        """True for the weak first part of *destroy*, *respect*, *prescribe*."""
        if order > 2 or is_stressed(left) or bare(left.vowel or "") not in {"IH", "AH", "IY"}:
            return False
        starts = {0, *(m.span[1] for m in self.morphemes if m.kind is MorphemeKind.PREFIX)}
        return any(openings().get(self.word[a : left.end].lower()) == "open" for a in starts)


def _stands(part: Morpheme) -> bool:
    """True where a base stands in the word as it is written alone, but for its last letter."""
    letters, form = part.letters.lower(), part.form.lower()
    return letters in {form, form + form[-1], form[:-1] + "i", form + "k"} or (
        letters == form[:-1] and form[-1] == "e"
    )


def _cut(word: str, places: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """The spans between the places, without the hyphens of the word itself (merry-go-round)."""
    spans = []
    for start, end in pairwise([0, *places, len(word)]):
        inside = word[start:end]
        spans.append(
            (
                start + len(inside) - len(inside.lstrip("-")),
                end - len(inside) + len(inside.rstrip("-")),
            )
        )
    return tuple(spans)


def _also(word: str, breaks: Sequence[_Break]) -> tuple[str, ...]:
    """Other accepted divisions: one place changed at a time."""
    out: dict[str, None] = {}
    places = [b.at for b in breaks]
    for k, b in enumerate(breaks):
        for other in b.others:
            changed = [*places[:k], other, *places[k + 1 :]]
            if changed == sorted(set(changed)):
                out["-".join(word[a:z] for a, z in _cut(word, changed))] = None
    return tuple(out)


def _places(division: str, start: int = 0) -> list[int]:
    """Where the hyphens of a division stand in the word, counted from ``start``."""
    places: list[int] = []
    for part in division.split("-")[:-1]:
        start += len(part)
        places.append(start)
    return places


def _settled(breaks: Sequence[_Break], division: str) -> list[_Break]:
    """The breaks of a reviewer's division; those that the rules find too keep their reason."""
    known = {b.at: b.pattern for b in breaks}
    return [_Break(at, known.get(at, "word")) for at in _places(division)]


def _as_listed(
    word: str, breaks: list[_Break], morphemes: Sequence[Morpheme], units: Sequence[Unit]
) -> list[_Break]:
    """The breaks with those of the table in the word, or in the parts that stand in it unchanged.

    A part whose first vowel has lost its stress (moral in morality) does not stand unchanged.
    """
    for start, end in ((0, len(word)), *(m.span for m in morphemes)):
        listed = worded().get(word[start:end].lower())
        first = next((u for u in units if u.vowel and u.start >= start), None)
        weak = first is not None and not is_stressed(first) and (start, end) != (0, len(word))
        if listed is None or weak:
            continue
        inside = [k for k, b in enumerate(breaks) if start < b.at < end]
        places = _places(listed[0], start)
        if len(inside) == len(places):
            for k, at in zip(inside, places, strict=True):
                breaks[k] = _Break(at, breaks[k].pattern if breaks[k].at == at else "word")
    return breaks


def divide(
    word: str,
    graphemes: tuple[Grapheme, ...],
    phonemes: tuple[str, ...],
    morphemes: tuple[Morpheme, ...],
    settled: str = "",
) -> Division:
    """The written division of one reading of a word, with the type of every syllable.

    ``settled`` is a division that a reviewer wrote (``nap-kin``); it wins over the rules. The kind of a step
    is ``divide:`` and what decided: ``part`` (prefix or compound), ``ending`` or ``suffix``, ``double``,
    ``VC|CV``, ``VC|CCV``, ``V|CV``, ``VC|V``, ``V|CCV``, ``V|V``, ``|Cle``, ``ck|le``, ``base-le`` (gen-tly), ``VCe|``, ``V|stable``, ``VC|stable``,
    ``opening`` (an old prefix), ``hyphen``, or ``word`` (the table of words, or a reviewer).
    Raises Malformed when no grapheme of the word carries a vowel sound.
    """
    units = units_of(word, graphemes)
    divider = _Divider(word, units, phonemes, morphemes)
    if not divider.nuclei:
        raise Malformed(f"{word!r} has no vowel sound in its spellings, so it cannot be divided.")
    breaks = divider.breaks()
    places = [b.at for b in breaks]
    clean = places == sorted(set(places))
    breaks = _settled(breaks, settled) if settled else _as_listed(word, breaks, morphemes, units)
    places = [b.at for b in breaks]
    clean = clean or bool(settled)
    if not clean:
        places = sorted(set(places))
    syllables = []
    for span in _cut(word, places):
        inside = [u for u in units if span[0] <= u.start < span[1] and u.vowel is not None]
        syllables.append(classify(word, span, inside[0] if inside else None, units, morphemes))
    return Division(tuple(syllables), _also(word, breaks), _steps(word, breaks), clean)


def _steps(word: str, breaks: Sequence[_Break]) -> tuple[Step, ...]:
    """One step a division, in order; its kind is ``divide:`` and the pattern, its span the two syllables."""
    edges = [0, *sorted({b.at for b in breaks}), len(word)]
    steps = []
    for b in breaks:
        k = edges.index(b.at)
        if k == 0 or k == len(edges) - 1:
            continue
        left, right = word[edges[k - 1] : b.at], word[b.at : edges[k + 1]]
        teacher, child = wording()[b.pattern]
        steps.append(
            Step(
                f"divide:{b.pattern}",
                teacher.format(left=left, right=right),
                child.format(left=left, right=right),
                ((edges[k - 1], b.at), (b.at, edges[k + 1])),
            )
        )
    return tuple(steps)
