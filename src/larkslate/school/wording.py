"""The sentences of this room, read from ``data/wording.toml``."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from typing import Any

from larkslate.choose.shows import pattern
from larkslate.datafile import read_toml
from larkslate.errors import Malformed
from larkslate.sequence.model import Sequence

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@lru_cache(maxsize=1)
def _table() -> dict[str, Any]:
    found = read_toml("school", "wording.toml")
    for section, lines in found.items():
        for key, text in lines.items():
            if not isinstance(text, str) or not text.strip():
                raise Malformed(f"school/data/wording.toml, {section}.{key}: must be a text.")
    return found


def say(section: str, key: str, **values: object) -> str:
    """The sentence ``section.key`` with its names filled in."""
    text: str = _table()[section][key]
    return text.format(**values)


def label(course: Sequence, point: str) -> str:
    """What a point is called inside a sentence: tch, a soft c."""
    named: str | None = _table()["k2"].get(point)
    return named or pattern(course, point).label or course.point(point).name


def day_name(day: date) -> str:
    """A day as a teacher says it: March 3."""
    return f"{_MONTHS[day.month - 1]} {day.day}"
