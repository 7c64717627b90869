"""How long the printed documents of a unit take, first and again. Run by hand from the repository.

``python -m benchmarks.bench_materials`` prints a table: kind, pages, kilobytes, seconds of the first document of a
process (fonts are opened) and the median of the following.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

import pypdfium2

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.materials.sample import UNIT

from larkslate.materials.documents import KINDS, make

AGAIN = 5


def main() -> None:
    print(f"{'kind':<10} {'pages':>5} {'KB':>5} {'first s':>8} {'again s':>8}")
    for kind in KINDS:
        times = []
        for _ in range(AGAIN + 1):
            start = time.perf_counter()
            pdf = make(kind, UNIT)
            times.append(time.perf_counter() - start)
        pages = len(pypdfium2.PdfDocument(pdf))
        print(
            f"{kind:<10} {pages:>5} {len(pdf) // 1024:>5} {times[0]:>8.3f} "
            f"{statistics.median(times[1:]):>8.3f}"
        )


if __name__ == "__main__":
    main()
