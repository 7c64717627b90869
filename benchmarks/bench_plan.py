"""How long a unit takes to plan, each unit in a fresh process and once more in the same one.

Run by hand: ``python benchmarks/bench_plan.py [SEED]``. The limit we hold ourselves to is 2 seconds a unit.
"""

from __future__ import annotations

import subprocess
import sys
import time

from larkslate.plan.unit import plan_unit
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon

LIMIT = 2.0


def one(unit: int, seed: int) -> list[float]:
    """Seconds on the clock and of the processor for the first plan of a process, and for one with another seed.

    The word list is opened before. On a busy machine the clock runs ahead of the processor.
    """
    lexicon = Lexicon.open()
    reach = Reach(shipped(), lexicon)
    times: list[float] = []
    for n in (seed, seed + 1):
        start, busy = time.perf_counter(), time.process_time()
        plan_unit(unit, sequence=shipped(), reach=reach, lexicon=lexicon, seed=n)
        times += [time.perf_counter() - start, time.process_time() - busy]
    return times


def main() -> None:
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 0
    print(
        f"{'unit':>4} {'first':>7} {'(cpu)':>7} {'again':>7} {'(cpu)':>7}  seconds, limit {LIMIT:g}"
    )
    worst = 0.0
    for theme in shipped().themes:
        code = f"from bench_plan import one; print(*one({theme.number}, {seed}))"
        out = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            cwd="benchmarks",
        ).stdout.split()
        shown = [float(t) for t in out]
        worst = max(worst, shown[1])
        print(f"{theme.number:>4} " + " ".join(f"{t:>7.2f}" for t in shown) + f"  {theme.title}")
    print(f"slowest first plan: {worst:.2f} s of the processor")


if __name__ == "__main__":
    main()
