"""Words that are only names, and how a name is written."""

from __future__ import annotations

import re
from functools import cache

from larkslate.datafile import parse_tsv, text

COLUMNS = ("kind", "words")


def read_names(content: str, file: str = "words/data/names.tsv") -> dict[str, str]:
    """Name (lower case) to kind. Raises Malformed naming a wrong row or a name that stands twice."""
    found: dict[str, str] = {}
    for row in parse_tsv(content, file, COLUMNS):
        for name in row["words"].split():
            if not re.fullmatch(r"[a-z]+", name):
                raise row.bad(f"{name!r} is not written in lower-case letters.")
            if name in found:
                raise row.bad(f"{name} stands twice.")
            found[name] = row["kind"]
    return found


@cache
def names() -> dict[str, str]:
    """The shipped list, read once."""
    return read_names(text("words", "names.tsv"))


def with_capital(name: str) -> str:
    """A name as it is written: the first letter a capital, and the letter after Mc."""
    if name.startswith("mc") and len(name) > 3:
        return "Mc" + name[2].upper() + name[3:]
    return name[:1].upper() + name[1:]
