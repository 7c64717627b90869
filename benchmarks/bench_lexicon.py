"""Timings of the lexicon, run by hand: building, first answer from a cold process, look-ups, choosing.

    python benchmarks/bench_lexicon.py [--build]

Without ``--build`` the lexicon of the cache folder is used as it is. Prints a table; asserts nothing.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from larkslate.words.graphemes import align
from larkslate.words.lexicon import Lexicon, Query
from larkslate.words.store import lexicon_path

COLD = (
    "import time; start = time.process_time()\n"
    "from larkslate.words.lexicon import Lexicon\n"
    "Lexicon.open(check=False).get('catch')\n"
    "print(time.process_time() - start)"
)


def show(what: str, seconds: float, note: str = "") -> None:
    """One line; seconds are processor time of this process and its children, so a busy machine matters less."""
    unit, factor = ("s", 1.0) if seconds >= 1 else ("ms", 1e3) if seconds >= 1e-3 else ("µs", 1e6)
    print(f"{what:<44}{seconds * factor:>10.1f} {unit:<3} {note}")


def timed(work: Callable[[], object]) -> float:
    """Processor seconds, of child processes too."""
    before = sum(os.times()[:4])
    work()
    return sum(os.times()[:4]) - before


def main() -> None:
    if "--build" in sys.argv:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "lexicon.sqlite"
            command = [sys.executable, "-m", "larkslate.words.building", str(path)]
            spent = timed(lambda: subprocess.run(command, check=True, stderr=subprocess.DEVNULL))
            show("build", spent, f"{path.stat().st_size / 1e6:.1f} MB")
    lexicon = Lexicon.open(check=False)
    cold = [
        float(subprocess.run([sys.executable, "-c", COLD], check=True, capture_output=True).stdout)
        for _ in range(9)
    ]
    show("first answer from a cold process (median)", statistics.median(cold), "imports included")
    show("all entries", timed(lexicon.entries), f"{len(lexicon)} words")
    entries = lexicon.entries()
    words = [e.word for e in random.Random(1).sample(entries, 5000)]
    show("look-up, first time", timed(lambda: [lexicon.get(w) for w in words]) / len(words))
    show("look-up, again", timed(lambda: [lexicon.get(w) for w in words]) / len(words))
    mask = entries[1000].mask
    show("subset test over all words", timed(lambda: [e for e in entries if not e.mask & ~mask]))
    show(
        "find tch at the end", timed(lambda: lexicon.find(Query(spelling="tch", position="final")))
    )
    readings = [(w, found.first) for w in words if (found := lexicon.get(w)) and found.readings]
    spent = timed(lambda: [align(w, r.phonemes) for w, r in readings])
    show("align", spent / len(readings), f"{len(readings) / spent:.0f} words/s")
    show(
        "derive a form", timed(lambda: lexicon.lookup("unplugging")), "first time, imports included"
    )
    wall = [round(x, 1) for x in os.getloadavg()] if hasattr(os, "getloadavg") else []
    print(f"processor time; load of the machine {wall}")
    print(f"{lexicon_path().stat().st_size / 1e6:.1f} MB, {len(lexicon.skills)} skills")


if __name__ == "__main__":
    main()
