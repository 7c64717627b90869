"""A plan as JSON and back: stable order, a version field first, the audit last."""

from __future__ import annotations

from typing import Any, TypeVar, get_type_hints

import msgspec

from larkslate.errors import Malformed, OutOfDate
from larkslate.plan.model import (
    Block,
    Dictation,
    Item,
    Lesson,
    LetterItem,
    SortItem,
    SoundItem,
    TextItem,
    UnitPlan,
    WordItem,
)

VERSION = 1
_T = TypeVar("_T")
KINDS: dict[str, type] = {
    "word": WordItem,
    "sound": SoundItem,
    "text": TextItem,
    "sort": SortItem,
    "letters": LetterItem,
    "dictation": Dictation,
}
"""The name of each kind of item in the JSON, under ``item``."""
_NAMES = {kind: name for name, kind in KINDS.items()}


def to_builtins(plan: UnitPlan) -> dict[str, Any]:
    """A plan as dicts and lists, ready for JSON."""
    plain: dict[str, Any] = msgspec.to_builtins(plan)
    found: dict[str, Any] = {"version": VERSION}
    found.update({k: v for k, v in plain.items() if k not in ("lessons", "audit")})
    found["lessons"] = [_lesson(lesson) for lesson in plan.lessons]
    found["audit"] = plain["audit"]
    return found


def _lesson(lesson: Lesson) -> dict[str, Any]:
    plain: dict[str, Any] = msgspec.to_builtins(lesson)
    for block, made in zip(lesson.blocks, plain["blocks"], strict=True):
        made["items"] = [
            {"item": _NAMES[type(item)], **entry}
            for item, entry in zip(block.items, made["items"], strict=True)
        ]
    return plain


def to_json(plan: UnitPlan, *, indent: int = 0) -> bytes:
    """A plan as UTF-8 JSON; the same plan gives the same bytes."""
    encoded = msgspec.json.encode(to_builtins(plan))
    return msgspec.json.format(encoded, indent=indent) if indent else encoded


def from_builtins(found: object) -> UnitPlan:
    """A plan from dicts and lists. Raises OutOfDate for another version, Malformed for what is no plan."""
    if not isinstance(found, dict) or "version" not in found:
        raise Malformed(
            "This is not a plan: it has no version. Make one with `larkslate plan --unit N`."
        )
    if found["version"] != VERSION:
        raise OutOfDate(
            f"This plan has version {found['version']}, this Larkslate reads version {VERSION}: "
            "make the plan again with `larkslate plan --unit N`."
        )
    try:
        lessons = tuple(_read_lesson(entry) for entry in found["lessons"])
        return _read(UnitPlan, found, lessons=lessons)
    except (msgspec.ValidationError, KeyError, TypeError, AttributeError, ValueError) as error:
        raise Malformed(f"This plan cannot be read: {error}.") from None


def _read(kind: type[_T], entry: dict[str, Any], **made: object) -> _T:
    """A value of a dataclass from a dict, but for the fields already ``made``."""
    hints = get_type_hints(kind)
    rest = {
        name: msgspec.convert(entry[name], hint) for name, hint in hints.items() if name not in made
    }
    return kind(**rest, **made)


def _read_lesson(entry: dict[str, Any]) -> Lesson:
    return _read(Lesson, entry, blocks=tuple(_read_block(b) for b in entry["blocks"]))


def _read_block(entry: dict[str, Any]) -> Block:
    items: list[Item] = []
    for made in entry["items"]:
        kind = KINDS.get(made.get("item", ""))
        if kind is None:
            raise Malformed(
                f"This plan cannot be read: {made.get('item')!r} is not a kind of item "
                f"({', '.join(KINDS)})."
            )
        items.append(msgspec.convert({k: v for k, v in made.items() if k != "item"}, kind))
    return _read(Block, entry, items=tuple(items))


def from_json(data: bytes | str) -> UnitPlan:
    """A plan from JSON. Raises Malformed or OutOfDate, saying what to do."""
    try:
        found = msgspec.json.decode(data)
    except msgspec.DecodeError as error:
        raise Malformed(f"This file is not JSON: {error}.") from None
    return from_builtins(found)
