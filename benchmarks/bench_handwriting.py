"""How long writing takes: a word, a drawing, a letter sheet, name sheets for a class. Run by hand."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

from larkslate.handwriting import letter_sheet, name_sheet, sentence_sheet, svg, write

WORDS = [
    "the",
    "because",
    "little",
    "people",
    "friend",
    "enough",
    "thought",
    "twelve",
    "island",
    "autumn",
    "hopping",
    "everything",
    "happened",
    "beautiful",
    "February",
    "neighbor",
    "Maximilian",
    "sentence",
    "remember",
    "through",
]
NAMES = [
    "Ada",
    "Ben",
    "Cora",
    "Dev",
    "Ella",
    "Finn",
    "Gwen",
    "Hugo",
    "Iris",
    "Jonas",
    "Kai",
    "Lena",
    "Milo",
    "Nora",
    "Omar",
    "Pia",
    "Quin",
    "Rosa",
    "Sam",
    "Tara",
    "Uma",
    "Vito",
    "Wren",
    "Xavi",
    "Yara",
    "Zoe",
    "Alma",
    "Bruno",
    "Celia",
    "Dario",
]
SENTENCE = "The bird can't swim in cold water, but it's happy to wade near the quiet shore."


def spent(task: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Median and worst of several rounds, in milliseconds of processor time."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        task()
        times.append((time.process_time() - start) * 1000)
    return statistics.median(times), max(times)


def main() -> None:
    started = time.process_time()
    write("a")
    print(
        f"{'first letter of a process (reads the data)':46} {(time.process_time() - started) * 1000:8.1f} ms"
    )
    print(f"{'':46} {'median':>8}    {'worst':>8}")
    rows: list[tuple[str, Callable[[], object], int]] = [
        ("one word, mean of 20 words (joined)", lambda: [write(w) for w in WORDS], 20),
        ("one word, mean of 20 words (print)", lambda: [write(w, "print") for w in WORDS], 20),
        ("a word drawn as SVG", lambda: svg(write("neighbor")), 30),
        ("a word with numbers and arrows", lambda: svg(write("neighbor"), arrows=True, numbers=True), 5),
        ("a letter sheet with five words", lambda: letter_sheet("a", words=WORDS[:5]), 10),
        ("a sentence sheet", lambda: sentence_sheet(SENTENCE), 10),
        ("name sheets for 30 students", lambda: [name_sheet(n) for n in NAMES], 5),
        ("30 letter sheets with five words each", lambda: [letter_sheet(c, words=WORDS[:5]) for c in "abcdefghijklmnopqrstuvwxyzABCD"], 3),
    ]  # fmt: skip
    for name, task, rounds in rows:
        median, worst = spent(task, rounds)
        share = len(WORDS) if name.startswith("one word") else 1
        print(f"{name:46} {median / share:8.2f} ms {worst / share:8.2f} ms")


if __name__ == "__main__":
    main()
