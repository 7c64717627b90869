"""Kill the server 200 times at random moments while it saves; every answered save must be there afterwards.

Run by hand from the root of the tree: ``python -m benchmarks.bench_kill [kills]``.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from tests.web.killing import Victim

from larkslate.words.store import lexicon_path


def main() -> None:
    """Print the count."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    chance = random.Random(kills)
    with tempfile.TemporaryDirectory() as folder:
        victim = Victim(Path(folder) / "school", lexicon_path().parent)
        victim.start()
        victim.prepare()
        answered = 0
        for done in range(1, kills + 1):
            answered += victim.save_until_killed(chance)
            victim.check()
            if done < kills:
                victim.start()
    print(f"{kills} kills, {answered} answered saves: all there, integrity ok each time")


if __name__ == "__main__":
    main()
