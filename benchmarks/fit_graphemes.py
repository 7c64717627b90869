"""Fit the costs and shares of the grapheme table; run by hand, then read the changes before keeping them.

Expectation maximization with the best alignment in place of the expectation: align the commonest words
with the present costs, count the graphemes, set cost = -ln of the smoothed relative count, repeat.
``share`` is the count of a row over the count of all rows with the same sounds. Needs the build packages.

    python benchmarks/fit_graphemes.py [WORDS] [ROUNDS] [--write]
"""

from __future__ import annotations

import math
import sys
from collections import Counter, defaultdict
from pathlib import Path

from wordfreq import top_n_list

import larkslate.words.graphemes as module
from larkslate.words.graphemes import Table
from larkslate.words.pronounce import Dictionary, read_dictionary, seams_of
from larkslate.words.spellings import COLUMNS, Spelling, read_table

TABLE = Path(module.__file__).parent / "data" / "graphemes.tsv"
SMOOTHING = 0.3
SILENT_FLOOR = 9.5  # a silent letter stays dear, or weak vowels vanish


def fit(
    rows: tuple[Spelling, ...], words: int, rounds: int, dictionary: Dictionary
) -> tuple[Spelling, ...]:
    """New costs and shares for the rows."""
    chosen = [
        w for w in top_n_list("en", words * 2) if w in dictionary and w.isalpha() and len(w) > 1
    ][:words]
    for number in range(rounds):
        table = Table(rows)
        counts: Counter[tuple[str, str, str]] = Counter()
        examples: dict[tuple[str, str, str], list[str]] = defaultdict(list)
        fallback = 0
        for word in chosen:
            readings = Dictionary(dictionary._lines, table).pronunciations(word)
            if not readings or readings[0].abbreviation:
                continue
            first = readings[0]
            alignment, used = table.explain(word, first.phonemes, seams_of(word, first.parts))
            if alignment.fallback:
                fallback += 1
                continue
            for row in used:
                key = (row.key, row.before, row.after)
                counts[key] += 1
                if not first.name:
                    examples[key].append(word)
        total = sum(counts.values()) + SMOOTHING * len(rows)
        by_sound: dict[tuple[str, ...], int] = defaultdict(int)
        for row in rows:
            by_sound[row.phonemes] += counts[row.key, row.before, row.after]
        new = []
        for row in rows:
            key = (row.key, row.before, row.after)
            cost = -math.log((counts[key] + SMOOTHING) / total)
            if not row.phonemes:
                cost = max(cost, SILENT_FLOOR)
            if not counts[key] and "'" in row.before + row.after:
                cost = row.cost  # contractions are not among the words
            share = counts[key] / by_sound[row.phonemes] if by_sound[row.phonemes] else 0.0
            found = examples[key]
            if row.example and (row.example in found or not counts[key]):
                example = row.example  # chosen by a person, or of a word that is not in the list
            else:
                example = found[0] if found else ""
            new.append(
                Spelling(
                    row.letters, row.phonemes, row.where, row.before, row.after, round(cost, 2),
                    round(share, 4), example, row.note,
                )
            )  # fmt: skip
        rows = tuple(new)
        print(f"round {number + 1}: {len(chosen)} words, {fallback} by fallback")
    print("never used:", " ".join(r.key for r in rows if r.share == 0))
    return rows


def write(rows: tuple[Spelling, ...]) -> None:
    """Write the table back, comments kept."""
    comments = [x for x in TABLE.read_text(encoding="utf-8").splitlines() if x.startswith("#")]
    lines = [*comments, "\t".join(COLUMNS)]
    for r in rows:
        cells = (
            r.letters, " ".join(r.phonemes), r.where, r.before, r.after, f"{r.cost:.2f}",
            f"{r.share:.4f}", r.example, r.note,
        )  # fmt: skip
        lines.append("\t".join(cells).rstrip("\t"))
    TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    numbers = [int(a) for a in sys.argv[1:] if a.isdigit()]
    words, rounds = [*numbers, 20000, 4][:2] if len(numbers) != 1 else (numbers[0], 4)
    rows = fit(read_table(TABLE.read_text(encoding="utf-8")), words, rounds, read_dictionary())
    if "--write" in sys.argv:
        write(rows)


if __name__ == "__main__":
    main()
