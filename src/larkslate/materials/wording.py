"""The fixed texts of the printed pages, from data/wording.toml."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from larkslate import datafile
from larkslate.errors import Malformed


@lru_cache(maxsize=1)
def _texts() -> dict[str, Any]:
    """The whole table."""
    return datafile.read_toml("materials", "wording.toml")


def wording(place: str, **values: object) -> str:
    """The text at a dotted place ("box.exception"), its braces filled. Raises Malformed if it is not there."""
    found: Any = _texts()
    for name in place.split("."):
        found = found.get(name) if isinstance(found, dict) else None
    if not isinstance(found, str):
        raise Malformed(f"materials/wording.toml has no text for {place}: put one in.")
    try:
        return found.format(**values)
    except (KeyError, IndexError, ValueError):
        raise Malformed(
            f"materials/wording.toml, {place}: the braces in “{found}” do not name a known value."
        ) from None
