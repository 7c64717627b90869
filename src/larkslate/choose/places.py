"""Invented place-names: every legal spelling of the sounds under what has been taught.

A spelling is legal when each grapheme in it is taught, may stand where it stands, and no taught rule forbids it.
The rules on where a spelling may stand are rows of ``data/legal.tsv``.
"""

from __future__ import annotations

from larkslate.sequence.reach import Reach


def legal_spellings(reach: Reach, phonemes: tuple[str, ...], through: int) -> tuple[str, ...]:
    """Every legal spelling, with a capital, in alphabetical order."""
    return ()
