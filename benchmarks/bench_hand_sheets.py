"""How long handwriting sheets take as PDF: a 30-page packet, a name sheet for 30 students, a word. Run by hand."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

from bench_handwriting import NAMES, SENTENCE, WORDS
from larkslate.handwriting import paper, svg, write
from larkslate.handwriting.letters import Hand
from larkslate.materials.hand_sheets import name_pack, pack, pdf
from larkslate.materials.look import MARGIN, PAPERS

LETTERS = "abcdefghijklmnopqrstuvwxyzABCD"


def spent(task: Callable[[], object], rounds: int = 5) -> tuple[float, float, float]:
    """First, median and worst of several rounds, in milliseconds of wall time."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        task()
        times.append((time.perf_counter() - start) * 1000)
    return times[0], statistics.median(times), max(times)


def main() -> None:
    on = paper(width=PAPERS["us-letter"] - 2 * MARGIN)
    for name, count in (("30 letters", len(LETTERS)), ("30 names", len(NAMES))):
        made = pack("letter", LETTERS) if "letters" in name else name_pack(NAMES, Hand.JOINED, on)
        assert count == 30 == len(made.pages)
    rows: list[tuple[str, Callable[[], object]]] = [
        ("30-page packet of new letters", lambda: pdf(pack("letter", LETTERS))),
        ("30 letters, outlined, slanted", lambda: pdf(pack("letter", LETTERS, on=paper(trace="outlined", slant=12)))),
        ("name sheets for 30 students", lambda: pdf(name_pack(NAMES, Hand.JOINED, on))),
        ("a word list of 20", lambda: pdf(pack("words", " ".join(WORDS)))),
        ("a sentence to copy", lambda: pdf(pack("sentence", SENTENCE))),
        ("a word written (not kept)", lambda: write("neighbor")),
        ("a word written and drawn", lambda: svg(write("thought"))),
    ]  # fmt: skip
    print(f"{'':36} {'first':>9} {'median':>9} {'worst':>9}")
    for name, task in rows:
        first, median, worst = spent(task)
        print(f"{name:36} {first:6.0f} ms {median:6.0f} ms {worst:6.0f} ms" if median > 10 else
              f"{name:36} {first:6.2f} ms {median:6.2f} ms {worst:6.2f} ms")  # fmt: skip


if __name__ == "__main__":
    main()
