"""What the shells have open: the lexicon, the sequence, reach, and the plans made so far.

The command line and the pages ask here, so that both give the same answers. Everything is opened when first
asked for and kept.
"""

from __future__ import annotations

import os
import re
import sys
from functools import cached_property
from typing import TYPE_CHECKING

from larkslate.errors import LarkslateError, Malformed, Missing, OutOfDate

if TYPE_CHECKING:
    from collections.abc import Callable

    from larkslate.sequence.model import Sequence
    from larkslate.sequence.reach import Reach
    from larkslate.words.lexicon import Lexicon
    from larkslate.words.model import Word

    Progress = Callable[[int, int, str], None]

LAUNCHER = "LARKSLATE_LAUNCHER"  # set by run.py: what is missing is made without asking
DEFAULT_SEED = 1
PROGRESS_LINE = re.compile(r"(.+): (\d+) of (\d+)\s*")


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

    def word(self, text: str) -> Word:
        """Everything known about a word, UNKNOWN where nothing is. Raises Malformed for no word at all."""
        from larkslate.words.lexicon import straight

        written = straight(text)
        if not written:
            raise Malformed("There is no word there: write one.")
        if any(c.isspace() for c in written):
            raise Malformed(f"“{one_line(written)}” is more than one word: ask for one at a time.")
        return self.reach.word(written)
