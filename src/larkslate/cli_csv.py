"""Reading a class's spellings from a CSV file: every fault names its line and says what to do."""

from __future__ import annotations

import csv
import io
import unicodedata
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from larkslate.assess.model import Response, ResponseStatus
from larkslate.desk import as_written
from larkslate.errors import Malformed

if TYPE_CHECKING:
    from collections.abc import Iterator

NEEDED = ("student", "target", "written")
OPTIONAL = ("sentence", "item", "status", "form", "date")
HEADER = f"{','.join(NEEDED)}[,{'][,'.join(OPTIONAL)}]"


def decode(raw: bytes, name: str) -> str:
    """UTF-8 text, composed. Raises Malformed naming the line that is not UTF-8."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise Malformed(
            f"{name}, line {line}: this is not UTF-8 text. "
            "Save the file as “CSV UTF-8” and try again."
        ) from None
    return unicodedata.normalize("NFC", text)


def columns(header: list[str], name: str) -> list[str]:
    """The header's names in small letters. Raises Malformed for one that does not fit."""
    found = [cell.strip().lower() for cell in header]
    if len(found) == 1 and (";" in found[0] or "\t" in found[0]):
        raise Malformed(
            f"{name}, line 1: the columns are not separated by commas. "
            "Save the file as comma-separated CSV and try again."
        )
    for column in NEEDED:
        if column not in found:
            raise Malformed(
                f"{name}, line 1: the column “{column}” is missing. "
                f"Make the first line {HEADER} and try again."
            )
    for column in found:
        if column not in NEEDED + OPTIONAL:
            raise Malformed(
                f"{name}, line 1: “{column}” is not a column known here. "
                f"Make the first line {HEADER} and try again."
            )
    if len(set(found)) != len(found):
        raise Malformed(f"{name}, line 1: a column stands twice. Remove one and try again.")
    return found


def _response(cells: dict[str, str], line: int, name: str) -> Response:
    for column in ("student", "target"):
        if not cells[column]:
            raise Malformed(f"{name}, line {line}: “{column}” is empty. Fill it in and try again.")
    written = as_written(cells["written"])
    status = ResponseStatus.WRITTEN if written else ResponseStatus.BLANK
    if text := cells.get("status", "").lower():
        try:
            status = ResponseStatus(text)
        except ValueError:
            kinds = ", ".join(ResponseStatus)
            raise Malformed(
                f"{name}, line {line}: “{text}” is not a status. Write one of {kinds}, or nothing."
            ) from None
    if status is ResponseStatus.WRITTEN and not written:
        raise Malformed(
            f"{name}, line {line}: the status says written, and nothing is. "
            "Fill in what was written, or write blank or absent."
        )
    day = None
    if text := cells.get("date", ""):
        try:
            day = date.fromisoformat(text)
        except ValueError:
            raise Malformed(
                f"{name}, line {line}: “{text}” is not a date. Write it as 2026-11-25."
            ) from None
    return Response(
        student=cells["student"],
        target=as_written(cells["target"]),
        written=written,
        sentence=cells.get("sentence") or None,
        item=cells.get("item") or None,
        status=status,
        form=cells.get("form") or None,
        date=day,
        row=line,
    )


def parse(text: str, name: str) -> Iterator[Response]:
    """The responses of a CSV text, in order. Raises Malformed for the first fault."""
    reader = csv.reader(io.StringIO(text), strict=True)
    names: list[str] = []
    try:
        for row in reader:
            if not any(cell.strip() for cell in row):
                continue
            if not names:
                names = columns(row, name)
                continue
            line = reader.line_num
            if len(row) > len(names):
                raise Malformed(
                    f"{name}, line {line}: {len(row)} cells under {len(names)} columns. "
                    "Put quotation marks around a cell that has a comma in it."
                )
            cells = dict.fromkeys(names, "")  # a row may leave out trailing empty cells
            cells.update((n, c.strip()) for n, c in zip(names, row, strict=False))
            yield _response(cells, line, name)
    except csv.Error as error:
        raise Malformed(
            f"{name}, line {reader.line_num}: {error}. Check the quotation marks of this line."
        ) from None
    if not names:
        raise Malformed(f"{name} is empty. Make the first line {HEADER} and try again.")


def read(file: str) -> tuple[Response, ...]:
    """The responses of a CSV file. Raises Malformed for a file that cannot be read or used."""
    try:
        raw = Path(file).read_bytes()
    except OSError as error:
        raise Malformed(f"{file} cannot be read: {error.strerror}. Check the name.") from None
    responses = tuple(parse(decode(raw, file), file))
    if not responses:
        raise Malformed(f"{file} has a header and no rows: put a row for each word written.")
    return responses
