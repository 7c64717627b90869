"""The words of a plan and the shapes of its lessons, read from data files."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from larkslate.datafile import read_toml
from larkslate.errors import Malformed, Missing
from larkslate.plan.model import BlockKind

ROOM = "plan"


@cache
def _texts() -> dict[str, Any]:
    return read_toml(ROOM, "wording.toml")


def _find(section: str, key: str) -> object:
    try:
        found: object = _texts()[section][key]
        return found
    except KeyError:
        raise Missing(f"plan/data/wording.toml has no text {section}.{key}: add it.") from None


def _fill(text: object, where: str, fields: dict[str, object]) -> str:
    if not isinstance(text, str):
        raise Malformed(f"plan/data/wording.toml: {where} must be one text.")
    try:
        return text.format(**fields)
    except (KeyError, IndexError, ValueError):
        raise Malformed(
            f"plan/data/wording.toml: {where} names something in braces that is not there: "
            f"use {', '.join(sorted(fields)) or 'none'}."
        ) from None


def line(section: str, key: str, **fields: object) -> str:
    """One text with its names filled in. Raises Missing or Malformed naming the place."""
    return _fill(_find(section, key), f"{section}.{key}", fields)


def lines(section: str, key: str, **fields: object) -> tuple[str, ...]:
    """A list of texts with their names filled in. Raises Missing or Malformed naming the place."""
    found = _find(section, key)
    if not isinstance(found, list):
        raise Malformed(f"plan/data/wording.toml: {section}.{key} must be a list of texts.")
    return tuple(_fill(text, f"{section}.{key}", fields) for text in found)


@dataclass(frozen=True, slots=True)
class Part:
    """A block of a shape: its kind and its minutes."""

    kind: BlockKind
    minutes: int


@cache
def shape(kind: str) -> tuple[Part, ...]:
    """The blocks of a kind of lesson. Raises Malformed if they do not add up to the lesson's minutes."""
    table = read_toml(ROOM, "shapes.toml")
    where = f"plan/data/shapes.toml, {kind}"
    if kind not in table:
        raise Missing(f"{where}: there is no such shape: add it.")
    parts = []
    for entry in table[kind]["blocks"]:
        name, _, minutes = entry.partition(" ")
        if name not in {k.value for k in BlockKind} or not minutes.isdigit():
            raise Malformed(f"{where}: {entry!r} is not a block and its minutes.")
        parts.append(Part(BlockKind(name), int(minutes)))
    total = sum(p.minutes for p in parts)
    if total != table["minutes"]:
        raise Malformed(f"{where}: the blocks add up to {total} minutes, not {table['minutes']}.")
    return tuple(parts)


def listed(words: tuple[str, ...] | list[str], joint: str = "and") -> str:
    """Words as a sentence names them: *a*, *a and b*, *a, b and c*."""
    if len(words) <= 1:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"
