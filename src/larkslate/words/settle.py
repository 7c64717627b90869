"""What the dictionary's notation leaves open, settled by the letters of the word.

A tapped t or d, schwa + r or ER, one syllable or two in *fire* and *flower*, the open o: every reading that
the notation allows is laid against the letters, and the cheapest wins. Extra costs state what US
dictionaries print first and how written division goes; their sizes are ours, set against the costs of
the grapheme table.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Sequence

from larkslate.words.graphemes import Alignment, Table
from larkslate.words.model import Grapheme
from larkslate.words.sounds import bare, is_vowel


def vowel_at(sounds: Sequence[str], i: int) -> bool:
    """True if there is a vowel at the index."""
    return i < len(sounds) and sounds[i][-1].isdigit()


_SPLIT_GLIDES = {("AE", "UH"): "AW", ("AA", "IY"): "OY", ("AA", "IH"): "AY"}
"""Gliding vowels that the dictionary sometimes writes as two."""
_OPEN_O = re.compile("^al[^aeiouy]|or(?![aeiouy])|a[uw]|all|al[kdt]|ought|war")


_DROPPED = 7.0
"""What it costs to leave a vowel of the dictionary out: less than a vowel without letters."""
_BEFORE_WEAK_L = frozenset({"AY", "OY", "AW", "IY", "EY"})


def _open_choices(word: str, sounds: tuple[str, ...]) -> Iterable[tuple[tuple[str, ...], float]]:
    """Every reading of what the notation leaves open (at most 32), each with its extra cost."""
    open_o = _OPEN_O.search(word) is not None
    slots: list[list[tuple[tuple[str, ...], float]]] = []
    i = 0
    while i < len(sounds):
        p = sounds[i]
        following = sounds[i + 1] if i + 1 < len(sounds) else ""
        previous = sounds[i - 1][:2] if i else ""
        before_vowel, then_vowel = vowel_at(sounds, i + 1), vowel_at(sounds, i + 2)
        glide = _SPLIT_GLIDES.get((p[:2], following[:2])) if before_vowel else None
        used = 1
        choices: list[tuple[tuple[str, ...], float]] = [((p,), 0.0)]
        if glide:
            used = 2
            choices = [((p, following), 0.0), ((glide + max(p[-1], following[-1]),), 0.0)]
        elif p == "T/D":
            choices = [(("T",), 0.0), (("D",), 0.0)]
        elif p[:2] == "AA" and open_o:
            choices += [(("AO" + p[-1],), 0.0)]
        elif (
            p == "AH0" and following == "W" and then_vowel
        ):  # gradyewate: a glide that is no letter
            used, choices = 2, [((p, "W"), 0.0), (("UW0",), 0.0)]
        elif p == "AH0" and following == "R" and then_vowel and previous != "IY":
            used, choices = 2, [((p, "R"), 0.0), (("ER0",), 0.0)]
        elif p == "AH0" and (
            (following == "L" and (then_vowel or previous in _BEFORE_WEAK_L))  # gobbler, oil
            or (following == "R" and previous == "IY")  # weary
        ):
            choices += [((), _DROPPED)]
        elif p == "ER0" and previous in {"AY", "AW", "UH"}:
            choices += [(("R",), 0.0)]
        elif p == "ER0" and before_vowel:
            choices += [(("AH0", "R"), 0.0)]
        elif p in {"IY1", "IY2"} and following == "ER0" and not then_vowel:
            used, choices = 2, [((p, "ER0"), 0.0), (("IH" + p[-1], "R"), 0.0)]  # engineer
        elif p[:2] == "IH" and following == "R" and then_vowel:
            choices += [(("IY" + p[-1],), 0.0)]
        slots.append(choices)
        i += used
    for picked in itertools.islice(itertools.product(*slots), 32):
        reading = tuple(itertools.chain.from_iterable(choice for choice, _ in picked))
        yield reading, sum(extra for _, extra in picked)


def _weak_r_rule(word: str, alignment: Alignment, seams: Sequence[int]) -> float:
    """Extra cost of a reading whose schwa + r or ER is not how the letters divide.

    Written division keeps ``er`` together (op-er-ate) but opens the other vowels (mem-o-ry), unless a
    morpheme ends there (labor-er) or it is the word's first vowel (pa-rade, ce-ram-ic).
    """
    cost, vowels = 0.0, 0
    last = len(alignment.graphemes) - 1
    for n, g in enumerate(alignment.graphemes):
        if any(is_vowel(p) for p in g.phonemes):
            vowels += 1
        if not g.phonemes:
            continue
        following = alignment.graphemes[n + 1].phonemes if n < last else ()
        opens = bool(following) and is_vowel(following[0])
        cost += _open_o_rule(word, g)
        pair = word[g.start : g.end + 1]
        if pair in {"sh", "ch", "th", "ph"} and g.end not in seams and following == ("HH",):
            cost += 12.0  # s and h said apart, as in mishap, only where two parts meet
        if g.letters == "ur" and g.phonemes[0] in {"ER1", "ER2"} and opens and g.end not in seams:
            cost += 4.0  # du-ring, not dur-ing
        if (
            g.letters == "e"
            and g.phonemes[0][:2] == "IH"
            and g.phonemes[0] != "IH0"
            and following == ("R",)
        ):
            cost += 6.0  # he-ro
        ends_part = g.end in seams and word[g.end :] != "y"  # labor-er, but fac-to-ry
        if g.phonemes == ("ER0",) and opens and not ends_part:
            if vowels == 1 or (g.letters[-1] == "r" and g.letters != "er"):
                cost += 9.0
        elif g.phonemes == ("AH0",) and following == ("R",) and n + 2 <= last:
            second = alignment.graphemes[n + 2].phonemes
            joined = word.startswith("r", g.end) and not word.startswith("rr", g.end)
            if second and is_vowel(second[0]) and joined:
                ends_part = g.end + 1 in seams and word[g.end + 1 :] != "y"
                if ends_part or (g.letters == "e" and vowels > 1):
                    cost += 9.0
    return cost


def _open_o_rule(word: str, g: Grapheme) -> float:
    """Extra cost of the one of the two open o's (AA, AO) that US dictionaries do not give first."""
    if not g.phonemes:
        return 0.0
    vowel = bare(g.phonemes[0])
    if vowel == "AA" and g.letters[0] in "ao" and len(g.letters) > 1 and g.phonemes[1:] != ("R",):
        return 5.0 if g.letters in {"au", "aw", "augh", "ough", "ou", "oa"} else 0.0
    following = word[g.end :]
    if g.letters == "ar" and vowel == "AA" and word[: g.start].endswith(("w", "wh", "qu")):
        return 5.0  # war, quart
    if vowel == "AA" and g.letters == "a":
        if g.start == 0 and following.startswith("l"):
            return 4.0  # always
        return 4.0 if following.startswith(("ll", "lk", "lt", "ld", "ter", "ls")) else 0.0
    cloth = following.startswith(("f", "g", "ng", "ss", "st", "th", "r"))
    if g.letters == "o" and vowel in {"AA", "AO"}:
        return 4.0 if (vowel == "AO") is not cloth else 0.0
    return 0.0


def settle(
    word: str, sounds: Sequence[str], seams: Sequence[int], graphemes: Table
) -> tuple[float, tuple[str, ...], Alignment]:
    """The reading of one variant that fits the letters best: cost, sounds, alignment."""
    best: tuple[float, tuple[str, ...], Alignment] | None = None
    for choice, extra in _open_choices(word, tuple(sounds)):
        alignment = graphemes.align(word, choice, seams)
        cost = alignment.cost + extra + _weak_r_rule(word, alignment, seams)
        if best is None or cost < best[0]:
            best = cost, choice, alignment
    assert best is not None  # noqa: S101 - product() of non-empty slots yields at least one
    return best
