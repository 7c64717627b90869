"""A plan as JSON and back: stable order, a version field first, the audit last."""

from __future__ import annotations

from typing import Any

import msgspec

from larkslate.errors import Malformed, OutOfDate
from larkslate.plan.model import (
    Block,
    BlockKind,
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


def from_builtins(found: Any) -> UnitPlan:
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
        rest = {k: v for k, v in found.items() if k not in ("version", "lessons")}
        plan = msgspec.convert({**rest, "lessons": []}, UnitPlan)
    except (msgspec.ValidationError, KeyError, TypeError, AttributeError) as error:
        raise Malformed(f"This plan cannot be read: {error}.") from None
    return UnitPlan(
        unit=plan.unit,
        title=plan.title,
        goal=plan.goal,
        points=plan.points,
        irregular=plan.irregular,
        seed=plan.seed,
        lessons=lessons,
        audit=plan.audit,
    )


def _read_lesson(entry: dict[str, Any]) -> Lesson:
    blocks = tuple(_read_block(b) for b in entry["blocks"])
    lesson = msgspec.convert({**entry, "blocks": []}, Lesson)
    return Lesson(
        id=lesson.id,
        unit=lesson.unit,
        number=lesson.number,
        title=lesson.title,
        kind=lesson.kind,
        points=lesson.points,
        rule=lesson.rule,
        exception=lesson.exception,
        blocks=blocks,
    )


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
    return Block(
        kind=BlockKind(entry["kind"]),
        minutes=entry["minutes"],
        title=entry["title"],
        say=tuple(entry["say"]),
        do=tuple(entry["do"]),
        items=tuple(items),
    )


def from_json(data: bytes | str) -> UnitPlan:
    """A plan from JSON. Raises Malformed or OutOfDate, saying what to do."""
    try:
        found = msgspec.json.decode(data)
    except msgspec.DecodeError as error:
        raise Malformed(f"This file is not JSON: {error}.") from None
    return from_builtins(found)
