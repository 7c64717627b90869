"""All rows of one class, in a fixed order, with a hash that is the same wherever the class is the same."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import sqlalchemy as sa

from larkslate.school import schema

_OF_CLASS = ("student", "plan", "lesson_day", "sitting", "overrule", "own_list")
_OF_STUDENT = ("response", "attendance", "note", "catch_up", "counted")
TABLES = (*_OF_CLASS, *_OF_STUDENT)
_NOT_CONTENT = {"changed", "changes"}

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class ClassData:
    """All rows of one class; ``content`` is a hash of them, ``history`` hashes it had when it was moved."""

    row: Row
    tables: dict[str, list[Row]] = field(repr=False)
    content: str
    history: frozenset[str] = frozenset()

    @property
    def id(self) -> str:
        """The id of the class."""
        return str(self.row["id"])


def _rows(connection: sa.Connection, query: sa.Select[Any], table: sa.Table) -> list[Row]:
    keys = [c.name for c in table.primary_key]
    found = [dict(r) for r in connection.execute(query).mappings()]
    return sorted(found, key=lambda r: tuple(str(r[k]) for k in keys))


def content_of(row: Row, tables: Mapping[str, list[Row]]) -> str:
    """The hash of a class: of every row, without the notes on when it was changed."""
    kept = {k: v for k, v in row.items() if k not in _NOT_CONTENT}
    text = json.dumps([kept, {t: tables[t] for t in TABLES}], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def class_data(connection: sa.Connection, class_id: str) -> ClassData | None:
    """All rows of a class, in a fixed order; None where there is no such class."""
    row = (
        connection.execute(sa.select(schema.classes).where(schema.classes.c.id == class_id))
        .mappings()
        .one_or_none()
    )
    if row is None:
        return None
    tables: dict[str, list[Row]] = {}
    for name in _OF_CLASS:
        table = schema.metadata.tables[name]
        tables[name] = _rows(
            connection, sa.select(table).where(table.c.class_id == class_id), table
        )
    who = sa.select(schema.students.c.id).where(schema.students.c.class_id == class_id)
    for name in _OF_STUDENT:
        table = schema.metadata.tables[name]
        tables[name] = _rows(connection, sa.select(table).where(table.c.student_id.in_(who)), table)
    history = connection.execute(
        sa.select(schema.moves.c.content).where(schema.moves.c.class_id == class_id)
    ).scalars()
    plain = dict(row)
    return ClassData(plain, tables, content_of(plain, tables), frozenset(history))


def of_student(data: ClassData, student_id: str) -> ClassData:
    """The class reduced to one student: no other student's row, no plan, no free text about the class."""
    tables: dict[str, list[Row]] = {t: [] for t in TABLES}
    tables["student"] = [r for r in data.tables["student"] if r["id"] == student_id]
    for name in _OF_STUDENT:
        tables[name] = [r for r in data.tables[name] if r["student_id"] == student_id]
    sat = {r["sitting_id"] for r in tables["response"]}
    tables["sitting"] = [r for r in data.tables["sitting"] if r["id"] in sat]
    return ClassData(data.row, tables, content_of(data.row, tables))
