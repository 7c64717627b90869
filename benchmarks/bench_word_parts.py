"""Word parts, measured: agreement with outside references, false splits, speed. Run by hand.

python -m benchmarks.bench_word_parts
"""

from __future__ import annotations

import time

from tests.words.source import TRUTH, apart, common_words, rows, zipf

from larkslate.words.listed_parts import whole_words
from larkslate.words.parts import PartsKind


def traps() -> None:
    words = [
        w
        for row in rows("trap_words.tsv", ("kind", "words", "parts"))
        if row["parts"] == "-"
        for w in row["words"].split()
    ]
    split = [w for w in words if len(apart(w).morphemes) > 1]
    listed = sum(w in whole_words() for w in words)
    print(f"trap words split falsely     {len(split)}/{len(words)} {' '.join(split)}")
    print(f"of them in the list {listed}")


def outside() -> None:
    path = TRUTH / "morpheme_segments.tsv"
    if not path.exists():
        print("morpheme_segments.tsv is not here")
        return
    same = total = 0
    for line in path.read_text(encoding="utf-8").splitlines():
        word, segments, kinds = line.split("\t")
        if kinds != "100" or not word.isalpha() or not word.islower() or zipf(word) < 3.0:
            continue
        base, *_ = segments.replace("@@", "").split()
        parts = apart(word)
        total += 1
        if parts.joins and parts.joins[-1].left == base:
            same += 1
        else:
            print(f"  {word}: {parts.shown} | {segments}")
    print(f"inflected words, base agrees {same}/{total} = {same / total:.3f}")


def speed() -> None:
    words = common_words(10_000)
    for word in words:
        apart(word)  # fills the caches of the source
    start = time.perf_counter()
    kinds = [apart(w).kind for w in words]
    took = time.perf_counter() - start
    print(f"{len(words)} words in {took:.2f} s, {len(words) / took:.0f} a second")
    for kind in PartsKind:
        print(f"  {kind:<10} {kinds.count(kind)}")


if __name__ == "__main__":
    traps()
    outside()
    speed()
