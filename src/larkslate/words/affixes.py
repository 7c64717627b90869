"""The tables of endings, suffixes and prefixes, read once from ``words/data``."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from larkslate.datafile import Row, read_tsv
from larkslate.words.model import MorphemeKind

POS = frozenset(
    {
        "noun",
        "verb",
        "adjective",
        "adverb",
        "pronoun",
        "preposition",
        "number",
        "name",
        "conjunction",
        "determiner",
    }
)
"""The parts of speech that the affix tables may name."""


@dataclass(frozen=True, slots=True)
class Affix:
    """A prefix, suffix or ending: what it goes on, what it makes, what it means.

    ``name`` tells two endings of one spelling apart (``plural`` and ``third-person`` s); for suffixes
    and prefixes it is the part of speech they make, or empty. ``common`` affixes are taught with
    grade 3 words; the others are met later.
    """

    letters: str
    kind: MorphemeKind
    base: frozenset[str]
    makes: str
    name: str
    means: str
    child: str
    common: bool
    skill: str

    @property
    def shown(self) -> str:
        """The affix as it is written alone: ``-ing``, ``un-``, ``'s``."""
        if self.kind is MorphemeKind.PREFIX:
            return f"{self.letters}-"
        return self.letters if self.letters.startswith("'") else f"-{self.letters}"


def _pos(row: Row, column: str) -> frozenset[str]:
    found = frozenset(p.strip() for p in row[column].split(","))
    if unknown := found - POS:
        raise row.bad(f"{', '.join(sorted(unknown))} is not a part of speech of this table.")
    return found


def _common(row: Row) -> bool:
    if row["common"] not in {"yes", "later"}:
        raise row.bad(f"common must be yes or later, not {row['common']!r}.")
    return row["common"] == "yes"


@cache
def endings() -> tuple[Affix, ...]:
    """The inflections, in the order of the table."""
    columns = ("ending", "name", "base", "makes", "means", "child", "skill")
    return tuple(
        Affix(
            row["ending"],
            MorphemeKind.ENDING,
            _pos(row, "base"),
            row["makes"],
            row["name"],
            row["means"],
            row["child"],
            common=True,
            skill=row["skill"],
        )
        for row in read_tsv("words", "endings.tsv", columns)
    )


@cache
def suffixes() -> tuple[Affix, ...]:
    """The suffixes, in the order of the table."""
    columns = ("suffix", "base", "makes", "means", "child", "common")
    return tuple(
        Affix(
            row["suffix"],
            MorphemeKind.SUFFIX,
            _pos(row, "base"),
            row["makes"],
            row["makes"],
            row["means"],
            row["child"],
            common=_common(row),
            skill=f"affix:-{row['suffix']}",
        )
        for row in read_tsv("words", "suffixes.tsv", columns)
    )


@cache
def prefixes() -> tuple[Affix, ...]:
    """The prefixes, in the order of the table."""
    columns = ("prefix", "base", "means", "child", "common")
    return tuple(
        Affix(
            row["prefix"],
            MorphemeKind.PREFIX,
            _pos(row, "base"),
            "",
            "",
            row["means"],
            row["child"],
            common=_common(row),
            skill=f"affix:{row['prefix']}-",
        )
        for row in read_tsv("words", "prefixes.tsv", columns)
    )
