"""What the shells have open: the lexicon, the sequence, reach, and the plans made so far.

The command line and the pages ask here, so that both give the same answers. Everything is opened when first
asked for and kept.
"""

from __future__ import annotations

import os
import re
import sys
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from larkslate.errors import LarkslateError, Malformed, Missing, OutOfDate

if TYPE_CHECKING:
    from collections.abc import Callable

    from larkslate.plan.model import UnitPlan
    from larkslate.sequence.model import Sequence
    from larkslate.sequence.reach import Reach
    from larkslate.words.lexicon import Lexicon
    from larkslate.words.model import Word

    Progress = Callable[[int, int, str], None]

LAUNCHER = "LARKSLATE_LAUNCHER"  # set by run.py: what is missing is made without asking
DEFAULT_SEED = 0
PLANNING = ("words", "sequence", "choose", "plan")  # what a plan is made by
TEXTS = {".py", ".tsv", ".toml", ".txt"}
PROGRESS_LINE = re.compile(r"(.+): (\d+) of (\d+)\s*")


@cache
def version_of(rooms: tuple[str, ...]) -> str:
    """A hash of the code and data of some rooms: what they made changes when it does."""
    import hashlib

    digest = hashlib.sha256()
    package = Path(__file__).parent
    for room in rooms:
        for path in sorted(p for p in (package / room).rglob("*") if p.suffix in TEXTS):
            digest.update(path.name.encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def one_line(text: str) -> str:
    """A message on one line."""
    return " ".join(text.split())


def build_lexicon(progress: Progress) -> None:
    """Build the word list in a process of its own, which alone reads the share-alike frequencies.

    Raises LarkslateError with the last thing that process said.
    """
    import subprocess

    command = [sys.executable, "-m", "larkslate.words.building"]
    last = ""
    with subprocess.Popen(
        command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True, encoding="utf-8"
    ) as building:
        for line in building.stderr or ():
            if found := PROGRESS_LINE.fullmatch(line):
                progress(int(found[2]), int(found[3]), found[1])
            last = line.strip() or last
    if building.returncode != 0:
        raise LarkslateError(
            f"The word list could not be built ({one_line(last)}). Check that there is 1 GB of free "
            "disk space and try again."
        )


def bar(done: int, total: int, what: str) -> None:
    """One line of progress on a terminal's standard error; elsewhere only when a part is done."""
    if not sys.stderr.isatty():
        if done == total:
            print(f"{what}: done", file=sys.stderr, flush=True)
        return
    full = 30 * done // max(total, 1)
    end = "\n" if done == total else ""
    text = f"\r{what:24} [{'#' * full:30}] {100 * done // max(total, 1):3} %"
    print(text, end=end, file=sys.stderr, flush=True)


class Desk:
    """Everything opened on demand. Answers do not change while it is open."""

    @cached_property
    def sequence(self) -> Sequence:
        """The shipped sequence."""
        from larkslate.sequence.load import shipped

        return shipped()

    @cached_property
    def lexicon(self) -> Lexicon:
        """The built word list. Started by run.py, it is built when it is missing or old.

        Raises Missing or OutOfDate with what to do.
        """
        from larkslate.words.lexicon import Lexicon

        try:
            return Lexicon.open()
        except (Missing, OutOfDate) as error:
            if not os.environ.get(LAUNCHER):
                raise type(error)(
                    f"{error} Start Larkslate with `python3 run.py`, or run `larkslate doctor --build`."
                ) from None
        print("Building the word list. This happens once.", file=sys.stderr, flush=True)
        build_lexicon(bar)
        return Lexicon.open()

    @cached_property
    def reach(self) -> Reach:
        """The sequence and the word list put together."""
        from larkslate.sequence.reach import Reach

        return Reach(self.sequence, self.lexicon)

    def plan(self, unit: int, seed: int = DEFAULT_SEED) -> UnitPlan:
        """The plan of a unit, made once for each unit, seed and version and kept in the cache.

        Raises Missing for a unit that does not exist.
        """
        from larkslate.plan.codec import from_json, to_json
        from larkslate.words.store import cache_folder

        self.sequence.theme(unit)
        kept = cache_folder() / "plans" / version_of(PLANNING) / f"unit-{unit}-seed-{seed}.json"
        try:
            return from_json(kept.read_bytes())
        except (OSError, LarkslateError):
            made = self._planned(unit, seed)
        try:
            kept.parent.mkdir(parents=True, exist_ok=True)
            part = kept.with_suffix(f".{os.getpid()}")
            part.write_bytes(to_json(made))
            part.replace(kept)
        except OSError:  # a full or locked disk costs time, not the plan
            pass
        return made

    def _planned(self, unit: int, seed: int) -> UnitPlan:
        from larkslate.plan.unit import plan_unit

        return plan_unit(
            unit, sequence=self.sequence, reach=self.reach, lexicon=self.lexicon, seed=seed
        )

    def word(self, text: str) -> Word:
        """Everything known about a word, UNKNOWN where nothing is. Raises Malformed for no word at all."""
        from larkslate.words.lexicon import straight

        written = straight(text)
        if not written:
            raise Malformed("There is no word there: write one.")
        if any(c.isspace() for c in written):
            raise Malformed(f"“{one_line(written)}” is more than one word: ask for one at a time.")
        return self.reach.word(written)
