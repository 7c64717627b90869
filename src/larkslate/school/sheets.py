"""The tables of an export for a spreadsheet: what a teacher reads, sorted as she would sort it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from larkslate.school.rows import ClassData, Row
from larkslate.school.sittings import items_from

Cells = tuple[object, ...]


def _safe(value: object) -> str:
    """A cell of a CSV that no spreadsheet takes for a formula."""
    text = "" if value is None else str(value)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def _table(header: Iterable[str], rows: Iterable[Iterable[object]]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(header)
    writer.writerows([_safe(v) for v in row] for row in rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode()  # spreadsheets ask for the mark


def _yes(value: object) -> str:
    return "yes" if value else "no"


def _seat(row: Row) -> tuple[bool, int, str]:
    return (row["seat"] is None, row["seat"] or 0, str(row["label"]))


def _answers(data: ClassData) -> list[Cells]:
    """The answers of a class by day, sitting, seat and item."""
    order = {r["id"]: n for n, r in enumerate(sorted(data.tables["student"], key=_seat))}
    label = {r["id"]: r["label"] for r in data.tables["student"]}
    given = {r["id"]: r for r in data.tables["sitting"]}
    items = {(i, n.number): n for i, r in given.items() for n in items_from(r["items"])}

    def place(row: Row) -> tuple[object, ...]:
        sitting = given[row["sitting_id"]]
        return (sitting["day"], sitting["id"], order[row["student_id"]], row["item"])

    made: list[Cells] = []
    for r in sorted(data.tables["response"], key=place):
        sitting, item = given[r["sitting_id"]], items.get((r["sitting_id"], r["item"]))
        made.append(
            (
                data.row["name"],
                label[r["student_id"]],
                sitting["day"],
                sitting["kind"],
                sitting["form"],
                sitting["unit"],
                sitting["lesson"],
                r["item"],
                item.target if item else "",
                r["written"],
                r["status"],
                r["channel"],
                r["entered"],
            )
        )
    return made


def sheets(every: Iterable[ClassData]) -> dict[str, bytes]:
    """The CSV files of an export, by their names in it."""
    classes: list[Cells] = []
    students: list[Cells] = []
    answers: list[Cells] = []
    lessons: list[Cells] = []
    notes: list[Cells] = []
    for data in every:
        name = data.row["name"]
        classes.append((name, data.row["grade"], data.row["year"], _yes(data.row["invented"])))
        label = {r["id"]: r["label"] for r in data.tables["student"]}
        students += [
            (
                name,
                r["label"],
                r["seat"],
                r["hand"],
                r["larger_print"] or "",
                _yes(r["extra_time"]),
                r["joined"],
                r["left"],
            )
            for r in sorted(data.tables["student"], key=_seat)
        ]
        answers += _answers(data)
        lessons += [
            (name, f"{r['unit']}.{r['lesson']}", r["day"], _yes(r["done"]), r["note"])
            for r in sorted(data.tables["lesson_day"], key=lambda r: (r["unit"], r["lesson"]))
        ]
        notes += [
            (name, label[r["student_id"]], r["day"], r["point"], r["text"])
            for r in sorted(data.tables["note"], key=lambda r: (r["day"], r["id"]))
        ]
    return {
        "csv/classes.csv": _table(("class", "grade", "year", "invented"), classes),
        "csv/students.csv": _table(
            ("class", "student", "seat", "hand", "larger print", "extra time", "joined", "left"),
            students,
        ),
        "csv/answers.csv": _table(
            (
                "class",
                "student",
                "date",
                "kind",
                "form",
                "unit",
                "lesson",
                "item",
                "target",
                "written",
                "status",
                "channel",
                "entered",
            ),
            answers,
        ),
        "csv/lessons.csv": _table(("class", "lesson", "date", "done", "note"), lessons),
        "csv/notes.csv": _table(("class", "student", "date", "point", "note"), notes),
    }
