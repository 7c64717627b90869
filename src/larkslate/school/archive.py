"""The file that classes travel in: written whole or not at all, and checked row by row when it is read.

It is a zip: ``manifest.json`` (versions, checksums, what is inside), ``data.json`` (every row of every class) and, in an
export, ``csv/`` for a spreadsheet.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import zipfile
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from larkslate.errors import LarkslateError, Malformed, Missing, OutOfDate
from larkslate.plan.codec import from_json
from larkslate.school import schema
from larkslate.school.rows import TABLES, ClassData, Row, content_of
from larkslate.school.sheets import sheets
from larkslate.school.sittings import items_from

FORMAT, VERSION = "larkslate-data", 1
BYTES_MOST = 400_000_000
_ID = re.compile(r"[0-9a-z]{1,32}")


@dataclass(frozen=True, slots=True)
class Archive:
    """What a file holds: classes, and the ids of what had been erased where it was made."""

    classes: tuple[ClassData, ...]
    erased: tuple[str, ...]


def write(
    path: Path, every: list[ClassData], made: str, erased: Iterable[str], with_csv: bool
) -> None:
    """Write classes into one file, whole or not at all; ``erased`` are ids that had been erased here.

    Raises LarkslateError where there is no room or no right to write.
    """
    body = {
        "classes": [{"class": d.row, "tables": d.tables} for d in every],
        "erased": sorted(erased),
    }
    files = {"data.json": json.dumps(body, ensure_ascii=False, indent=1).encode()}
    if with_csv:
        files.update(sheets(every))
    manifest = {
        "format": FORMAT,
        "version": VERSION,
        "tables": schema.VERSION,
        "made": made,
        "classes": [
            {
                "id": d.id,
                "name": d.row["name"],
                "content": d.content,
                "history": sorted(d.history),
                "rows": {t: len(d.tables[t]) for t in TABLES},
            }
            for d in every
        ],
        "files": {
            n: {"sha256": hashlib.sha256(b).hexdigest(), "bytes": len(b)} for n, b in files.items()
        },
    }
    part = path.with_name(path.name + ".part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("manifest.json", json.dumps(manifest, indent=1))
            for name, content in files.items():
                archive.writestr(name, content)
        with part.open("rb+") as file:
            os.fsync(file.fileno())
        if os.name == "posix":
            part.chmod(0o600)
        part.replace(path)
    except OSError as error:
        raise LarkslateError(
            f"The file {path} could not be written ({error.strerror}). Free some space or choose another place; "
            "nothing stored has changed."
        ) from None
    finally:
        with suppress(OSError):
            part.unlink()


def _damaged(path: Path, why: str) -> Malformed:
    return Malformed(
        f"{path.name} cannot be read ({why}): make the file again on the other machine."
    )


def read(path: Path) -> Archive:
    """A file, checked against its manifest and against the tables."""
    try:
        with zipfile.ZipFile(path) as archive:
            sizes = {i.filename: i.file_size for i in archive.infolist()}
            if "manifest.json" not in sizes or "data.json" not in sizes:
                raise Malformed(
                    f"{path.name} is not a Larkslate export: choose a .zip or .larkslate file."
                )
            if sizes["manifest.json"] + sizes["data.json"] > BYTES_MOST:
                raise _damaged(path, "it is far too large")
            manifest = json.loads(archive.read("manifest.json"))
            data = archive.read("data.json")
    except FileNotFoundError:
        raise Missing(f"There is no file {path}: check the name and the folder.") from None
    except zipfile.BadZipFile:
        raise Malformed(
            f"{path.name} is not a Larkslate export: choose a .zip or .larkslate file."
        ) from None
    except (OSError, ValueError, EOFError, zipfile.LargeZipFile, NotImplementedError) as error:
        raise _damaged(path, str(error)) from None
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise Malformed(f"{path.name} is not a Larkslate export: choose a .zip or .larkslate file.")
    if manifest.get("version") != VERSION or str(manifest.get("tables")) > schema.VERSION:
        raise OutOfDate(
            f"{path.name} was made by a newer Larkslate: update this one first. Nothing was changed."
        )
    try:
        if hashlib.sha256(data).hexdigest() != manifest["files"]["data.json"]["sha256"]:
            raise _damaged(path, "its checksum is wrong")
        histories = {c["id"]: frozenset(map(str, c["history"])) for c in manifest["classes"]}
        body = json.loads(data)
        every = tuple(
            _class_from(path, entry, histories.get(entry["class"]["id"], frozenset()))
            for entry in body["classes"]
        )
        return Archive(every, tuple(str(i) for i in body["erased"]))
    except (KeyError, TypeError, AttributeError, ValueError, RecursionError) as error:
        raise _damaged(path, f"{type(error).__name__}: {error}") from None


def _class_from(path: Path, entry: Row, history: frozenset[str]) -> ClassData:
    row = _checked(path, schema.classes, entry["class"], 1)
    tables = {
        name: [
            _checked(path, schema.metadata.tables[name], r, n)
            for n, r in enumerate(entry["tables"].get(name, []), start=1)
        ]
        for name in TABLES
    }
    class_id = row["id"]
    students = {r["id"] for r in tables["student"]}
    sittings = {r["id"] for r in tables["sitting"]}
    for name in TABLES:
        for number, r in enumerate(tables[name], start=1):
            if r.get("class_id", class_id) != class_id:
                raise _damaged(path, f"{name}, row {number} is of another class")
            if "student_id" in r and r["student_id"] not in students:
                raise _damaged(path, f"{name}, row {number} is of no student of the class")
            if "sitting_id" in r and r["sitting_id"] not in sittings:
                raise _damaged(path, f"{name}, row {number} is of no sitting of the class")
    for r in tables["sitting"]:
        items_from(r["items"])
    for r in tables["plan"]:
        with suppress(OutOfDate):
            from_json(r["body"])
    for name in TABLES:
        keys = [c.name for c in schema.metadata.tables[name].primary_key]
        tables[name].sort(key=lambda r, keys=keys: tuple(str(r[k]) for k in keys))  # type: ignore[misc]
    return ClassData(row, tables, content_of(row, tables), history)


def _checked(path: Path, table: sa.Table, row: object, number: int) -> Row:
    """A row with every column of its table and nothing else, each of its type."""
    where = f"{table.name}, row {number}"
    if not isinstance(row, dict):
        raise _damaged(path, f"{where} is no row")
    if extra := row.keys() - set(table.columns.keys()):
        raise _damaged(path, f"{where} has the unknown column {min(extra)}")
    made: Row = {}
    for column in table.columns:
        value = row.get(column.name)
        if value is None:
            if not column.nullable:
                raise _damaged(path, f"{where} has no {column.name}")
        elif isinstance(column.type, sa.Boolean):
            if not isinstance(value, bool):
                raise _damaged(path, f"{where}: {column.name} is not true or false")
        elif isinstance(column.type, sa.Integer):
            if not isinstance(value, int) or isinstance(value, bool) or abs(value) > 2**53:
                raise _damaged(path, f"{where}: {column.name} is not a number")
        else:
            long = getattr(column.type, "length", None)
            if not isinstance(value, str) or (long and len(value) > long):
                raise _damaged(path, f"{where}: {column.name} is not a text that fits")
            if (column.name == "id" or column.name.endswith("_id")) and not _ID.fullmatch(value):
                raise _damaged(path, f"{where}: {column.name} is not an id")
        made[column.name] = value
    return made
