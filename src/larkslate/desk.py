"""What the shells have open: the lexicon, the sequence, reach, and the plans made so far.

The command line and the pages ask here, so that both give the same answers. Everything is opened when first
asked for and kept.
"""

from __future__ import annotations

import os
import unicodedata
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from larkslate.errors import Malformed, Missing, OutOfDate

if TYPE_CHECKING:
    from larkslate.sequence.model import Sequence
    from larkslate.sequence.reach import Reach
    from larkslate.words.lexicon import Lexicon
    from larkslate.words.model import Word

PLANNING_ROOMS = ("words", "sequence", "choose", "plan")
LAUNCHER = "LARKSLATE_LAUNCHER"
DEFAULT_SEED = 1


def cache_folder() -> Path:
    """The folder for what can be made again: LARKSLATE_CACHE, or the system's own place."""
    if chosen := os.environ.get("LARKSLATE_CACHE"):
        return Path(chosen)
    from platformdirs import user_cache_path

    return user_cache_path("larkslate", appauthor=False)


def as_written(text: str) -> str:
    """A word as a person typed it: composed (NFC), trimmed, typographic apostrophes made plain."""
    composed = unicodedata.normalize("NFC", text).strip()
    return composed.translate(str.maketrans(dict.fromkeys("’‘`´ʼ", "'")))


def how_to_mend() -> str:
    """What to do about a lexicon that is missing or old."""
    return "Start Larkslate once with `python3 run.py`, or run `larkslate doctor --build`."


class Desk:
    """Everything opened on demand. Not for use from two threads at once."""

    @cached_property
    def sequence(self) -> Sequence:
        """The shipped sequence."""
        from larkslate.sequence.load import shipped

        return shipped()

    @cached_property
    def lexicon(self) -> Lexicon:
        """The built lexicon. Raises Missing or OutOfDate with what to do."""
        from larkslate.words.lexicon import Lexicon

        try:
            return Lexicon.open()
        except (Missing, OutOfDate) as error:
            raise type(error)(f"{error} {how_to_mend()}") from None

    @cached_property
    def reach(self) -> Reach:
        """The sequence and the lexicon put together."""
        from larkslate.sequence.reach import Reach

        return Reach(self.sequence, self.lexicon)

    def word(self, text: str) -> Word:
        """Everything known about a word, UNKNOWN where nothing is. Raises Malformed for no word at all."""
        written = as_written(text)
        if not written:
            raise Malformed("There is no word there: write one.")
        if any(c.isspace() for c in written):
            raise Malformed(f"“{written}” is more than one word: ask for one word at a time.")
        return self.reach.word(written)
