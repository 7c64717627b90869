"""Reading what a class wrote from a table: one row for each student and word.

Columns: ``student``, ``target`` and ``written`` must be there; ``sentence``, ``item``, ``status``, ``date``,
``form``, ``channel`` and ``practiced`` may be. The header decides the order. Commas, semicolons and tabs are all
read; so are a byte-order mark, Windows line ends and files a spreadsheet saved as Windows-1252.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import date, datetime
from os import PathLike
from pathlib import Path

from larkslate.assess.model import Channel, Response, ResponseStatus
from larkslate.assess.score import normal
from larkslate.errors import Malformed, Missing

NEEDED = ("student", "target", "written")
OPTIONAL = ("sentence", "item", "status", "date", "form", "channel", "practiced")
SHOWN = 10
LONGEST = 200  # letters in a cell; a longer cell is a sign that a quotation mark is left open
_YES = {"yes": True, "y": True, "true": True, "1": True, "no": False, "n": False, "false": False}
_YES |= {"0": False, "": False}
_DATES = ("%Y-%m-%d", "%m/%d/%Y", "%m/%d/%y")


@dataclass(frozen=True, slots=True)
class MarksTable:
    """The responses of a file, and what the reader had to decide; show ``notes`` to the teacher."""

    responses: tuple[Response, ...]
    notes: tuple[str, ...] = ()


def _decode(data: bytes) -> tuple[str, tuple[str, ...]]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16"), ()
        except UnicodeDecodeError:
            raise Malformed(
                "The file says it is UTF-16 but is damaged: save it again as CSV UTF-8."
            ) from None
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        pass
    try:
        text, name = data.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        text, name = data.decode("latin-1"), "Latin-1"
    note = (
        f"The file is not UTF-8, so it was read as {name}: look at names with accents, and save it as "
        "CSV UTF-8 if one is wrong."
    )
    return text, (note,)


def _separator(header: str) -> str:
    return max(",;\t", key=lambda mark: (header.count(mark), -",;\t".index(mark)))


def _date(text: str) -> date | None:
    if not text:
        return None
    for form in _DATES:
        try:
            return datetime.strptime(text, form).date()
        except ValueError:
            continue
    raise ValueError(f"the date {text!r} cannot be read: write it as 2026-11-25")


def _response(cells: dict[str, str], row: int) -> Response:
    """One response from the cells of one row. Raises ValueError with what to do."""
    student, target = " ".join(cells["student"].split()), normal(cells["target"])
    written = " ".join(cells["written"].split())
    if not student:
        raise ValueError("there is no student: put a name or code in the first column")
    if not target:
        raise ValueError("there is no target: put the word that was dictated")
    for name in ("student", "target", "written", "sentence"):
        if len(cells.get(name, "")) > LONGEST:
            raise ValueError(
                f"{name} is longer than {LONGEST} letters: look for a quotation mark that is not closed"
            )
    if not any(c.isalpha() for c in target):
        raise ValueError(
            f"the target {target!r} has no letter in it: put the word that was dictated"
        )
    word = cells.get("status", "").strip().lower()
    if not word:
        status = ResponseStatus.WRITTEN if written else ResponseStatus.BLANK
    else:
        try:
            status = ResponseStatus(word)
        except ValueError:
            raise ValueError(
                f"the status {word!r} is not known: use written, blank, illegible or absent"
            ) from None
    if status is ResponseStatus.WRITTEN and not written:
        raise ValueError("the status is written but nothing is: put blank, illegible or absent")
    if status in (ResponseStatus.BLANK, ResponseStatus.ABSENT) and written:
        raise ValueError(f"the status is {status} but {written!r} is written: keep one of the two")
    where = cells.get("channel", "").strip().lower() or "class"
    try:
        channel = Channel(where)
    except ValueError:
        raise ValueError(f"the channel {where!r} is not known: use class or home") from None
    practiced = cells.get("practiced", "").strip().lower()
    if practiced not in _YES:
        raise ValueError(f"practiced is {practiced!r}: use yes or no")
    return Response(
        student=student,
        target=target,
        written=written,
        sentence=" ".join(cells.get("sentence", "").split()) or None,
        item=cells.get("item", "").strip() or None,
        status=status,
        channel=channel,
        form=cells.get("form", "").strip() or None,
        date=_date(cells.get("date", "").strip()),
        practiced=_YES[practiced],
        row=row,
    )


def _header(names: list[str]) -> tuple[list[str], tuple[str, ...]]:
    header = [n.strip().lower() for n in names]
    lacking = [n for n in NEEDED if n not in header]
    if lacking:
        raise Malformed(
            f"The first row must name the columns {', '.join(NEEDED)}; "
            f"{' and '.join(lacking)} {'is' if len(lacking) == 1 else 'are'} not there "
            f"(found: {', '.join(n for n in header if n) or 'nothing'})."
        )
    double = sorted({n for n in header if n and header.count(n) > 1})
    if double:
        raise Malformed(f"The column {double[0]} stands twice in the first row: remove one.")
    extra = [n for n in header if n and n not in NEEDED + OPTIONAL]
    notes = (f"These columns are not used: {', '.join(extra)}.",) if extra else ()
    return header, notes


def read_table(source: str | PathLike[str] | bytes) -> MarksTable:
    """The responses of a file (a path or its bytes) and what the reader decided.

    Raises Missing for a path that is not there; Malformed for an empty file, a wrong header, or bad rows
    (all counted, the first ten named with what to do).
    """
    if isinstance(source, bytes):
        data = source
    else:
        try:
            data = Path(source).read_bytes()
        except FileNotFoundError:
            raise Missing(f"There is no file {source}: check the name and the folder.") from None
        except OSError as error:
            raise Missing(f"{source} cannot be read: {error.strerror}.") from None
    text, notes = _decode(data)
    if "\x00" in text:
        raise Malformed(
            "This is not a table of text: save the sheet as CSV (UTF-8) and choose that file."
        )
    first = next((line for line in text.splitlines() if line.strip()), "")
    if not first:
        raise Malformed(
            f"The file is empty: the first row must name the columns {', '.join(NEEDED)}."
        )
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(first), strict=True)
    responses: list[Response] = []
    faults: list[str] = []
    header: list[str] | None = None
    blanks = 0
    try:
        for names in reader:
            line = reader.line_num
            if not any(c.strip() for c in names):
                continue
            if header is None:
                header, more = _header(names)
                notes += more
                continue
            if len(names) > len(header) and any(c.strip() for c in names[len(header) :]):
                faults.append(
                    f"row {line}: {len(names)} cells, but the header names {len(header)}: "
                    "put a cell that holds a separator in quotation marks"
                )
                continue
            cells = dict(zip(header, names, strict=False))
            cells |= {n: "" for n in header if n not in cells}
            try:
                response = _response(cells, line)
            except ValueError as error:
                faults.append(f"row {line}: {error}")
                continue
            if response.status is ResponseStatus.BLANK and not cells.get("status", "").strip():
                blanks += 1
            responses.append(response)
    except csv.Error as error:
        faults.append(
            f"row {reader.line_num}: {error}: look for a quotation mark that is not closed"
        )
    if faults:
        count = f"{len(faults)} row{'s' if len(faults) > 1 else ''} cannot be read"
        rest = f"; and {len(faults) - SHOWN} more" if len(faults) > SHOWN else ""
        raise Malformed(f"{count}. {'; '.join(faults[:SHOWN])}{rest}.")
    if not responses:
        raise Malformed("The file has a header but no rows: add one row for each student and word.")
    if blanks:
        rows = "1 row" if blanks == 1 else f"{blanks} rows"
        notes += (f"{rows} with nothing written counted as blank.",)
    return MarksTable(tuple(responses), notes)


def read_marks(source: str | PathLike[str] | bytes) -> tuple[Response, ...]:
    """The responses alone; see read_table."""
    return read_table(source).responses
