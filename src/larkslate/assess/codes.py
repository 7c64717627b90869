"""The codes of findings and what can be said about each, from the tables beside this room."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from string import Formatter

from larkslate.assess.model import Alternative
from larkslate.datafile import read_tsv
from larkslate.errors import Malformed

ROOM = "assess"
FIELDS = frozenset(
    {
        "word", "written", "part", "wrote", "sound", "base", "ending", "full", "dropped", "owner",
        "letter",
    }
)  # fmt: skip
RULES = frozenset({"site", "need", "skill"})
PLAIN_RULES = frozenset({"none", "whole", "written", "all"})


@dataclass(frozen=True, slots=True)
class Blame:
    """One rule of the blame column: ``kind`` and the skill prefixes or the skill id it looks for."""

    kind: str
    skills: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Code:
    """A code: its place in the decision order, its name, and what it counts against."""

    code: str
    rank: int
    name: str
    blame: tuple[Blame, ...]

    @property
    def family(self) -> str:
        """The letter before the first point: P, O, M, A, S, K, X; "DIALECT" for the modifier."""
        return self.code.partition(".")[0]


def _blame(text: str) -> tuple[Blame, ...]:
    rules = []
    for token in text.split():
        kind, _, rest = token.partition(":")
        if kind in RULES and rest:
            rules.append(Blame(kind, (rest,) if kind == "skill" else tuple(rest.split(","))))
        elif token in PLAIN_RULES:
            rules.append(Blame(token))
        else:
            raise ValueError(token)
    return tuple(rules)


@lru_cache(maxsize=1)
def codes() -> dict[str, Code]:
    """Every code in the decision order. Raises Malformed naming a bad row."""
    found: dict[str, Code] = {}
    for row in read_tsv(ROOM, "codes.tsv", ("code", "name", "blame")):
        if row["code"] in found:
            raise row.bad(f"{row['code']} stands twice.")
        try:
            blame = _blame(row["blame"])
        except ValueError as error:
            raise row.bad(f"blame has {error}, which is no rule.") from None
        found[row["code"]] = Code(row["code"], len(found), row["name"], blame)
    return found


@lru_cache(maxsize=1)
def _says() -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for row in read_tsv(ROOM, "says.tsv", ("code", "case", "says")):
        key = (row["code"], row["case"])
        if row["code"] not in codes():
            raise row.bad(f"{row['code']} is no code.")
        if key in found:
            raise row.bad("this code and case stand twice.")
        unknown = {f for _, f, _, _ in Formatter().parse(row["says"]) if f} - FIELDS
        if unknown or not row["says"].endswith("."):
            raise row.bad(f"a sentence ends in a period and uses only {', '.join(sorted(FIELDS))}.")
        found[key] = row["says"]
    lacking = {c for c in codes() if not any(k == c for k, _ in found)}
    if lacking:
        raise Malformed(f"{ROOM}/data/says.tsv: no sentence for {', '.join(sorted(lacking))}.")
    return found


def sentence(code: str, case: str, words: dict[str, str]) -> str:
    """The sentence for a code and its case, filled in.

    Where the case has none of its own it is the usual one, else the first of the code. Raises Malformed for
    an unknown code.
    """
    table = _says()
    pattern = table.get((code, case)) or table.get((code, ""))
    if pattern is None:
        pattern = next((says for (one, _), says in table.items() if one == code), None)
    if pattern is None:
        raise Malformed(f"{code!r} is not a code: see {ROOM}/data/codes.tsv.")
    return pattern.format_map({f: words.get(f, "") for f in FIELDS})


@lru_cache(maxsize=1)
def _alternatives() -> dict[str, tuple[Alternative, ...]]:
    found: dict[str, tuple[Alternative, ...]] = {}
    for row in read_tsv(ROOM, "alternatives.tsv", ("code", "alternative", "when")):
        for code in (row["code"], row["alternative"]):
            if code not in codes():
                raise row.bad(f"{code} is no code.")
        if not row["when"].startswith("if "):
            raise row.bad("when begins with if.")
        one = Alternative(row["alternative"], row["when"])
        found[row["code"]] = (*found.get(row["code"], ()), one)
    return found


def alternatives(code: str) -> tuple[Alternative, ...]:
    """The other readings that a teacher may weigh for this code."""
    return _alternatives().get(code, ())
