"""How fast spellings are diagnosed: a class's dictation, and every pair of an error corpus where it is at hand.

Run by hand: ``python benchmarks/bench_assess.py [CORPUS.dat]``. The corpus format is the one of the public
collections of misspellings: ``$target`` and, below it, one misspelling a line.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections import Counter
from pathlib import Path

from larkslate.assess.diagnose import spelled
from larkslate.assess.mark import mark
from larkslate.assess.model import Response
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon

STUDENTS, WORDS = 24, 12
DICTATION = {
    "match": ("mach", "mat", "mash", "macth"),
    "bridge": ("brige", "bridg", "brij", "brigde"),
    "hopping": ("hoping", "hopin", "hoppin"),
    "making": ("makeing", "macking", "makin"),
    "cried": ("cryed", "cride", "cryd"),
    "doesn't": ("dosen't", "doesnt", "duznt"),
    "children's": ("childrens", "childrens'", "childern's"),
    "because": ("becuz", "becase", "becuse"),
    "night": ("nite", "nigt", "nihgt"),
    "table": ("tabel", "tabl", "tabul"),
    "helpful": ("helpfull", "helpfel", "helful"),
    "knee": ("nee", "kne", "ne"),
}


def rows(seed: int) -> list[Response]:
    """A class in which three words in ten are wrong."""
    rng = random.Random(seed)
    return [
        Response(f"s{s:02}", target, rng.choice(wrong) if rng.random() < 0.3 else target)
        for s in range(STUDENTS)
        for target, wrong in DICTATION.items()
    ]


def corpus(path: Path) -> list[tuple[str, str]]:
    """Targets and misspellings of a corpus file."""
    found, target = [], ""
    for line in path.read_text(encoding="utf-8", errors="replace").splitlines():
        if line.startswith("$"):
            target = line[1:].replace("_", " ")
        elif line and any(c.isalpha() for c in target):
            found.append((target, line.split()[0].replace("_", " ")))
    return found


def main() -> None:
    start = time.perf_counter()
    lexicon = Lexicon.open()
    reach = Reach(shipped(), lexicon)
    spelled("cat", "kat", lexicon=lexicon, reach=reach)
    print(f"{'opening and one spelling':44}{time.perf_counter() - start:9.3f} s")
    times = []
    for seed in range(7):
        given = rows(seed)
        start = time.perf_counter()
        mark(given, lexicon=lexicon, reach=reach)
        times.append(time.perf_counter() - start)
    name = f"marking {STUDENTS} x {WORDS}"
    print(f"{name + ', first time':44}{times[0]:9.3f} s")
    print(f"{name + ', median of six more':44}{statistics.median(times[1:]):9.3f} s")
    many = [r for seed in range(35) for r in rows(100 + seed)][:10_000]
    start = time.perf_counter()
    mark(many, lexicon=lexicon, reach=reach)
    print(f"{f'marking {len(many):,} rows':44}{time.perf_counter() - start:9.3f} s")
    if len(sys.argv) > 1:
        _corpus(Path(sys.argv[1]), lexicon, reach)


def _corpus(path: Path, lexicon: Lexicon, reach: Reach) -> None:
    pairs = corpus(path)
    causes: Counter[str] = Counter()
    slowest = (0.0, "")
    start = time.perf_counter()
    for target, written in pairs:
        began = time.perf_counter()
        found = spelled(target, written, lexicon=lexicon, reach=reach)
        slowest = max(slowest, (time.perf_counter() - began, f"{target}/{written}"))
        causes["right" if found.right else found.primary or "NONE"] += 1
    took = time.perf_counter() - start
    print(f"{f'corpus: {len(pairs):,} pairs':44}{took:9.1f} s")
    print(f"{'a pair':44}{1000 * took / len(pairs):9.2f} ms")
    print(f"{'slowest: ' + slowest[1]:44}{1000 * slowest[0]:9.1f} ms")
    for code, count in causes.most_common():
        print(f"  {code:12}{count:8,}{100 * count / len(pairs):7.1f} %")


if __name__ == "__main__":
    main()
