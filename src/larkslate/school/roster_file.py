"""A class list from a file or a paste: read into a preview that names every bad row, then added whole or not at all.

A file may be CSV or a pasted sheet (commas, semicolons, tabs), UTF-8 with or without a byte-order mark, UTF-16, or
what an older spreadsheet saved (Windows-1252, Latin-1). A list without a header is one label a line. Only the first
letter of a last name is kept, and columns such as birth dates are not read.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

from larkslate.datafile import read_tsv
from larkslate.errors import Malformed
from larkslate.school.model import Fault, Hand, RosterPreview, RosterRow, Student
from larkslate.school.roster import CLASS_MOST, clean_label, same_label, students
from larkslate.school.store import School

NEVER = "never"
FIELDS = (
    "label",
    "first",
    "last",
    "seat",
    "hand",
    "left_handed",
    "larger_print",
    "extra_time",
    "joined",
    NEVER,
)
FAULTS_MOST = 50
BYTES_MOST = 2_000_000
_DATES = ("%Y-%m-%d", "%m/%d/%Y", "%m/%d/%y")
_YES = {"yes", "y", "true", "1", "x"}
_NO = {"no", "n", "false", "0", ""}
HEADER_HELP = (
    "Name the columns in the first row: student (a code, or a first name and an initial), and if you like seat, "
    "hand, larger print, extra time, joined. A list without a header has one student a line and nothing else."
)


def _plain(name: str) -> str:
    return " ".join(re.sub(r"[_\-.]+", " ", name).split()).casefold()


@lru_cache(maxsize=1)
def columns() -> dict[str, str]:
    """What each column name stands for, checked."""
    found: dict[str, str] = {}
    for row in read_tsv("school", "roster_columns.tsv", ("column", "field")):
        if row["field"] not in FIELDS:
            raise row.bad(f"{row['field']!r} is not a field: use one of {', '.join(FIELDS)}.")
        if row["column"] in found:
            raise row.bad(f"the column {row['column']} stands twice.")
        found[row["column"]] = row["field"]
    return found


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table of text: its rows with their line numbers, and what the reader had to decide."""

    rows: tuple[tuple[int, tuple[str, ...]], ...]
    notes: tuple[str, ...] = ()


def decoded(data: bytes) -> tuple[str, tuple[str, ...]]:
    """The text of a file and what was decided about its encoding. Raises Malformed for what is no text."""
    if data[:4] in (b"PK\x03\x04", b"%PDF") or data[:4] == b"\xd0\xcf\x11\xe0":
        raise Malformed(
            "This is not a table of text but a sheet or document: save it as CSV (UTF-8) and choose that file."
        )
    notes: tuple[str, ...] = ()
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            text = data.decode("utf-16")
        except UnicodeDecodeError:
            raise Malformed("The file is damaged: save it again as CSV (UTF-8).") from None
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            try:
                text = data.decode("cp1252")
            except UnicodeDecodeError:
                text = data.decode("latin-1")
            notes = (
                "The file is not UTF-8, so it was read as an older spreadsheet writes it (Windows-1252 or "
                "Latin-1): look at names with accents before you add them.",
            )
    if "\x00" in text:
        raise Malformed("This is not a table of text: save it as CSV (UTF-8) and choose that file.")
    return text.removeprefix("\ufeff"), notes


def sheet(source: bytes | str) -> Sheet:
    """The rows of a file or paste. Raises Malformed for an empty one or a quotation mark left open."""
    if len(source) > BYTES_MOST:
        raise Malformed(
            f"This is too long for a class list ({len(source) // 1_000_000} MB): choose a list of one class."
        )
    text, notes = (
        decoded(source) if isinstance(source, bytes) else (source.removeprefix("\ufeff"), ())
    )
    first = next((line for line in text.splitlines() if line.strip()), "")
    if not first:
        raise Malformed(f"There is nothing in the list. {HEADER_HELP}")
    mark = max("\t;,", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    rows = []
    line = 0
    try:
        for cells in reader:
            begin, line = line + 1, reader.line_num
            if any(c.strip() for c in cells):
                rows.append((begin, tuple(c.strip() for c in cells)))
    except csv.Error:
        raise Malformed(
            f"Row {line + 1}: a quotation mark is opened and not closed: take it out or close it."
        ) from None
    return Sheet(tuple(rows), notes)


def _header(cells: Sequence[str]) -> tuple[list[str | None], list[str], list[str]] | None:
    """The fields of the columns, names never read, unknown names; None where no cell is a known name."""
    known = columns()
    names = [_plain(c) for c in cells]
    if not any(n in known for n in names):
        return None
    fields = [known.get(n) for n in names]
    never = [c for c, f in zip(cells, fields, strict=True) if f == NEVER]
    unknown = [c for c, f in zip(cells, fields, strict=True) if f is None and c]
    return fields, never, unknown


def _checked_header(cells: Sequence[str]) -> tuple[list[str | None], tuple[str, ...]]:
    found = _header(cells)
    if found is None:
        if len([c for c in cells if c]) > 1:
            shown = ", ".join(c[:20] for c in cells if c)
            raise Malformed(f"Row 1: the header is not known (found: {shown}). {HEADER_HELP}")
        return ["label"], ()
    fields, never, unknown = found
    if "label" not in fields and "first" not in fields:
        shown = ", ".join(c for c in cells if c)
        raise Malformed(f"Row 1: no column names the student (found: {shown}). {HEADER_HELP}")
    for field in fields:
        if field not in (None, NEVER) and fields.count(field) > 1:
            double = ", ".join(c for c, f in zip(cells, fields, strict=True) if f == field)
            raise Malformed(f"Row 1: the columns {double} say the same thing: keep one of them.")
    notes = []
    if never:
        notes.append(f"Not read, because Larkslate keeps no such thing: {', '.join(never)}.")
    if unknown:
        notes.append(f"These columns are not known and were not read: {', '.join(unknown)}.")
    return fields, tuple(notes)


def shortened(name: str) -> str:
    """A full name as a first name and an initial: *Mia Lindgren* is *Mia L.*, *Lindgren, Mia* too.

    Codes, single names and names that are short already stay as they are.
    """
    if name.count(",") == 1 and not any(c.isdigit() for c in name):
        last, first = (part.strip() for part in name.split(","))
        if first and last:
            name = f"{first} {last}"
    parts = name.split()
    if len(parts) < 2 or any(c.isdigit() for c in name):
        return name
    last = parts[-1]
    if len(last.rstrip(".")) <= 1:
        return " ".join([*parts[:-1], f"{last.rstrip('.')}."])
    return " ".join([parts[0], f"{last[0].upper()}."])


def _number(text: str) -> int:
    if not re.fullmatch(r"\d{1,4}", text):
        raise ValueError(f"“{text[:20]}” is not a number")
    return int(text)


def _seat(text: str) -> int:
    seat = _number(text)
    if not 1 <= seat <= 999:
        raise ValueError(f"seat {seat} cannot be: seats are 1 to 999")
    return seat


def _size(text: str) -> int:
    plain = re.sub(r"\s*(pt|points?)$", "", text.casefold())
    if plain in _YES - {"1"}:
        return 18
    if plain in _NO:
        return 0
    size = _number(plain)
    if size and not 12 <= size <= 72:
        raise ValueError(f"{size} points cannot be printed: write 12 to 72, or nothing")
    return size


def _answer(text: str) -> bool:
    if text.casefold() in _YES:
        return True
    if text.casefold() in _NO:
        return False
    raise ValueError(f"“{text[:20]}” is not yes or no: write one of them")


def _hand(text: str) -> Hand:
    found = {"l": Hand.LEFT, "left": Hand.LEFT, "r": Hand.RIGHT, "right": Hand.RIGHT}
    try:
        return found[text.casefold()]
    except KeyError:
        raise ValueError(f"“{text[:20]}” is not a hand: write left or right") from None


def _date(text: str) -> date:
    for form in _DATES:
        try:
            return datetime.strptime(text, form).date()
        except ValueError:
            continue
    raise ValueError(f"the date “{text[:20]}” cannot be read: write it as 2026-11-25 or 11/25/2026")


_READERS: dict[str, Callable[[str], object]] = {
    "seat": _seat,
    "hand": _hand,
    "left_handed": lambda text: Hand.LEFT if _answer(text) else Hand.RIGHT,
    "larger_print": _size,
    "extra_time": _answer,
    "joined": _date,
}


def _label(cells: dict[str, str]) -> str:
    if cells.get("first"):
        last = cells.get("last", "").rstrip(".")
        return clean_label(f"{cells['first']} {last[:1].upper()}." if last else cells["first"])
    return clean_label(shortened(cells.get("label", "")))


def read(source: bytes | str, there: Sequence[Student] = ()) -> RosterPreview:
    """What a class list holds, against the students who are ``there`` already.

    Raises Malformed for what cannot be read at all (empty, a wrong header, no table); bad rows are faults of the
    preview, the first fifty with row, cause and remedy.
    """
    table = sheet(source)
    fields, notes = _checked_header(table.rows[0][1])
    rows = table.rows[1:] if _header(table.rows[0][1]) is not None else table.rows
    if not rows:
        raise Malformed("The list has a header but no students: add one row for each student.")
    if len(rows) > CLASS_MOST:
        raise Malformed(
            f"The list has {len(rows):,} rows, a class at most {CLASS_MOST} students (row "
            f"{rows[CLASS_MOST][0]} is one too many): choose a list of one class."
        )
    known = {same_label(s.label): s for s in there}
    seats = {s.seat: s for s in there if s.seat is not None and s.left is None}
    good: list[RosterRow] = []
    faults: list[Fault] = []
    cut = 0
    seen: dict[str, RosterRow] = {}
    seated: dict[int, RosterRow] = {}
    for line, values in rows:
        found, fault = _row(line, values, fields)
        if fault is not None or found is None:
            faults.extend([fault] if fault else [])
            continue
        row, long_name = found
        cut += long_name
        same = seen.get(same_label(row.label))
        if same is not None:
            faults.append(
                Fault(
                    line,
                    "student",
                    row.label,
                    f"{row.label} stands in row {same.row} already: take one out, or tell the two apart with another "
                    "letter or a number.",
                )
            )
            continue
        old = known.get(same_label(row.label))
        neighbor = seated.get(row.seat) if row.seat is not None else None
        sitting = seats.get(row.seat) if row.seat is not None else None
        if neighbor is not None:
            says = f"seat {row.seat} is given to {neighbor.label} in row {neighbor.row}: change one of them."
            faults.append(Fault(line, "seat", str(row.seat), says))
            continue
        if sitting is not None and (old is None or sitting.id != old.id):
            says = f"seat {row.seat} is {sitting.label}’s in this class: change one of them."
            faults.append(Fault(line, "seat", str(row.seat), says))
            continue
        row = RosterRow(
            row.row,
            row.label,
            row.seat,
            row.hand,
            row.larger_print,
            row.extra_time,
            row.joined,
            old.id if old else None,
        )
        seen[same_label(row.label)] = row
        if row.seat is not None:
            seated[row.seat] = row
        good.append(row)
    more = list(notes)
    if cut:
        names = "1 last name" if cut == 1 else f"{cut} last names"
        more.append(f"Only the first letter was kept of {names}.")
    if any(r.known for r in good):
        count = sum(r.known is not None for r in good)
        more.append(
            f"{count} {'is' if count == 1 else 'are'} in the class already and will be brought up to date."
        )
    if len(faults) > FAULTS_MOST:
        more.append(f"{len(faults)} rows are wrong; the first {FAULTS_MOST} are shown.")
    return RosterPreview(tuple(good), tuple(faults[:FAULTS_MOST]), (*table.notes, *more))


def _row(
    line: int, values: Sequence[str], fields: Sequence[str | None]
) -> tuple[tuple[RosterRow, bool] | None, Fault | None]:
    """One row of the list and whether a last name was cut, or what is wrong with it."""
    if len(values) > len(fields) and any(values[len(fields) :]):
        extra = next(v for v in values[len(fields) :] if v)
        says = (
            f"{len(values)} cells, but the header names {len(fields)}: a cell that holds a comma needs quotation "
            "marks."
        )
        return None, Fault(line, "", extra[:40], says)
    cells = {f: v for f, v in zip(fields, values, strict=False) if f not in (None, NEVER)}
    made: dict[str, object] = {}
    field = "student"
    try:
        label = _label(cells)
        for field, reader in _READERS.items():
            if cells.get(field):
                made["hand" if field == "left_handed" else field] = reader(cells[field])
    except Malformed as error:
        return None, Fault(line, "student", cells.get("label", "")[:40], str(error))
    except ValueError as error:
        return None, Fault(line, field.replace("_", " "), cells[field][:40], f"{error}.")
    told = cells.get("label", "") or f"{cells.get('first', '')} {cells.get('last', '')}".strip()
    row = RosterRow(line, label, **made)  # type: ignore[arg-type]
    return (row, len(label.rstrip(".")) < len(told.rstrip("."))), None


def preview(school: School, class_id: str, source: bytes | str) -> RosterPreview:
    """What adding a list to a class would do; add it with ``roster.add_students``."""
    return read(source, students(school, class_id, everyone=True))
