"""The one loader of the data tables beside the rooms: errors name the file and the row."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources
from typing import Any

from larkslate.errors import Malformed, Missing


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a TSV table: its file, its line number and its cells by column."""

    file: str
    line: int
    cells: dict[str, str]

    def __getitem__(self, column: str) -> str:
        """The cell of a column, without surrounding blanks."""
        return self.cells[column]

    def bad(self, why: str) -> Malformed:
        """An error that names this row; raise it."""
        return Malformed(f"{self.file}, line {self.line}: {why}")


def text(room: str, name: str) -> str:
    """The text of ``src/larkslate/<room>/data/<name>``. Raises Missing."""
    try:
        return (resources.files("larkslate") / room / "data" / name).read_text(encoding="utf-8")
    except FileNotFoundError:
        raise Missing(
            f"The data file {room}/data/{name} is not there: reinstall Larkslate."
        ) from None


def parse_tsv(content: str, file: str, columns: tuple[str, ...]) -> Iterator[Row]:
    """Rows of a tab-separated table with the header ``columns``; ``#`` starts a comment line.

    A row may leave out trailing empty cells. Raises Malformed for a wrong header or too many cells.
    """
    header_seen = False
    for number, raw in enumerate(content.splitlines(), start=1):
        if not raw.strip() or raw.startswith("#"):
            continue
        cells = [c.strip() for c in raw.split("\t")]
        if not header_seen:
            if tuple(cells) != columns:
                raise Malformed(
                    f"{file}, line {number}: the header must be {', '.join(columns)} "
                    f"(found {', '.join(cells)})."
                )
            header_seen = True
            continue
        if len(cells) > len(columns):
            raise Malformed(f"{file}, line {number}: {len(cells)} cells, expected {len(columns)}.")
        cells += [""] * (len(columns) - len(cells))
        yield Row(file, number, dict(zip(columns, cells, strict=True)))


def read_tsv(room: str, name: str, columns: tuple[str, ...]) -> Iterator[Row]:
    """Rows of ``<room>/data/<name>``; see parse_tsv."""
    yield from parse_tsv(text(room, name), f"{room}/data/{name}", columns)


def read_toml(room: str, name: str) -> dict[str, Any]:
    """The table of ``<room>/data/<name>``. Raises Malformed with the place of a TOML error."""
    try:
        return tomllib.loads(text(room, name))
    except tomllib.TOMLDecodeError as error:
        raise Malformed(f"{room}/data/{name}: {error}") from None
