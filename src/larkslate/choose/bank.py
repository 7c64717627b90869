"""The bank: sentences, dictation passages, invented place-names and pairs, written by people, read from data files.

Sentences stand one a line in ``data/sentences/NN-theme.txt``; ``#`` starts a comment line, ``|`` cuts a phrase
for reading aloud, a line without an end mark is a phrase. Passages stand in ``passages.toml``: ``[word]`` is a gap,
``{A sentence.}`` is written whole, ``|`` cuts a phrase. What a line needs and shows is worked out, never noted.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from larkslate.datafile import read_toml, read_tsv
from larkslate.errors import Malformed
from larkslate.sequence.reach import WORD_PATTERN
from larkslate.words import sounds

FORMS = ("A", "B")
FILE_NAME = re.compile(r"(\d\d)-[a-z0-9-]+\.txt")
GAP = re.compile(r"\[([^\[\]{}|]+)\]")
WRITTEN = re.compile(r"\{([^{}\[\]]+)\}")
SENTENCE_END = re.compile(r"(?<=[.?!])\s+")
LONG_CHUNK = 4
OPENERS = frozenset(
    [
        "in",
        "on",
        "at",
        "to",
        "by",
        "from",
        "with",
        "under",
        "over",
        "into",
        "for",
        "and",
        "but",
        "when",
        "because",
        "after",
        "before",
        "until",
        "if",
        "as",
        "near",
        "past",
        "up",
        "down",
        "off",
        "through",
        "around",
        "behind",
        "between",
        "along",
        "across",
        "that",
        "while",
        "so",
        "or",
    ]
)
"""Words that open a phrase: a sentence nobody has cut is cut before them."""


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence or phrase for a unit. ``chunks`` joined with blanks are the text."""

    unit: int
    text: str
    chunks: tuple[str, ...]
    source: str

    @property
    def is_sentence(self) -> bool:
        """True with an end mark."""
        return self.text[-1:] in ".?!"


@dataclass(frozen=True, slots=True)
class PassageText:
    """A passage as written in the file. ``write`` are the sentences written whole."""

    unit: int
    form: str
    title: str
    text: str
    gaps: tuple[str, ...]
    write: tuple[Line, ...]
    phrases: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """An invented place-name: a spelling for the key, its sounds, how to say it, the points it is for."""

    unit: int
    form: str
    name: str
    phonemes: tuple[str, ...]
    say: str
    points: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class PairLine:
    """A choose-and-say-why pair."""

    unit: int
    form: str
    before: str
    choices: tuple[str, str]
    after: str
    answer: str
    reason: str
    points: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Bank:
    """Everything written by people that a unit may use."""

    lines: tuple[Line, ...] = ()
    passages: tuple[PassageText, ...] = ()
    places: tuple[PlaceLine, ...] = ()
    pairs: tuple[PairLine, ...] = ()
    names: frozenset[str] = frozenset()

    def of_unit(self, unit: int) -> tuple[Line, ...]:
        """The sentences and phrases of a unit."""
        return tuple(line for line in self.lines if line.unit == unit)


@lru_cache(maxsize=8192)
def words_in(text: str) -> tuple[str, ...]:
    """The words of a text with straight apostrophes, in order, without the capital of a sentence start."""
    found: list[str] = []
    for place, match in enumerate(WORD_PATTERN.finditer(text)):
        word = match.group().replace("’", "'")
        if word.endswith("'") and not word.endswith("s'"):
            word = word[:-1]
        starts = place == 0 or text[: match.start()].rstrip()[-1:] in (".", "?", "!")
        pronoun = word == "I" or word.startswith("I'")
        found.append(word[0].lower() + word[1:] if starts and not pronoun else word)
    return tuple(found)


def parse_line(raw: str, unit: int, source: str) -> Line:
    """A line of a sentence file; see the head of this module."""
    chunks = tuple(c.strip() for c in raw.split("|"))
    if not all(chunks):
        raise Malformed(f"{source}: there is nothing between two cuts; remove a stroke.")
    text = " ".join(chunks)
    if "  " in text or "[" in text or "{" in text:
        raise Malformed(f"{source}: write words with one blank between them, without brackets.")
    return Line(unit, text, chunks if len(chunks) > 1 else cut(text), source)


def cut(text: str) -> tuple[str, ...]:
    """Phrases of two to four words or so, cut before a word that opens a phrase."""
    words = text.split()
    if len(words) <= LONG_CHUNK:
        return (text,)
    chunks: list[list[str]] = [[]]
    for place, word in enumerate(words):
        rest = len(words) - place
        opens = word.lower() in OPENERS and len(chunks[-1]) >= 2 and rest >= 2
        full = len(chunks[-1]) >= LONG_CHUNK and rest >= 2
        if opens or full:
            chunks.append([])
        chunks[-1].append(word)
    return tuple(" ".join(c) for c in chunks)


def parse_sentences(content: str, unit: int, file: str) -> tuple[Line, ...]:
    """The lines of a sentence file. Raises Malformed naming a bad or repeated line."""
    lines: list[Line] = []
    for number, raw in enumerate(content.splitlines(), start=1):
        if not raw.strip() or raw.lstrip().startswith("#"):
            continue
        line = parse_line(raw.strip(), unit, f"{file}, line {number}")
        if any(other.text == line.text for other in lines):
            raise Malformed(f"{line.source}: this line stands twice: remove one.")
        lines.append(line)
    return tuple(lines)


def parse_passage(entry: dict[str, Any], source: str) -> PassageText:
    """A passage of ``passages.toml``. Raises Malformed saying what is wrong."""
    unit, form, title = entry.get("unit"), entry.get("form"), entry.get("title")
    if not isinstance(unit, int) or form not in FORMS or not isinstance(title, str) or not title:
        raise Malformed(f"{source}: a passage has a unit number, a form (A or B) and a title.")
    where = f"{source} (unit {unit}, form {form})"
    marked = " ".join(str(entry.get("text", "")).split())
    if marked.count("{") != marked.count("}") or marked.count("[") != marked.count("]"):
        raise Malformed(f"{where}: a bracket does not close.")
    phrases: list[str] = []
    for sentence in SENTENCE_END.split(re.sub(r"[{}]", "", marked)):
        phrases += [GAP.sub(r"\1", p).strip() for p in sentence.split("|") if p.strip()]
    write = tuple(
        parse_line(" ".join(m.group(1).split()), unit, where) for m in WRITTEN.finditer(marked)
    )
    text = " ".join(GAP.sub(r"\1", re.sub(r"[{}|]", " ", marked)).split())
    text = re.sub(r"\s+([.,?!])", r"\1", text)
    gaps = tuple(m.group(1) for m in GAP.finditer(marked))
    if any("{" in g for g in gaps) or not gaps:
        raise Malformed(f"{where}: mark gaps as [word], outside the sentences written whole.")
    return PassageText(unit, form, title, text, gaps, write, tuple(phrases), where)


def _form(row_form: str) -> bool:
    return row_form in FORMS


def read_places() -> tuple[PlaceLine, ...]:
    """The place-names of ``places.tsv``. Raises Malformed naming a bad row."""
    found = []
    columns = ("unit", "form", "name", "phonemes", "say", "points")
    for row in read_tsv("choose", "places.tsv", columns):
        if not row["unit"].isdigit() or not _form(row["form"]):
            raise row.bad("a place-name has a unit number and a form, A or B.")
        try:
            phonemes = sounds.parse(row["phonemes"])
        except Malformed as error:
            raise row.bad(str(error)) from None
        if not row["name"][:1].isupper():
            raise row.bad("a place-name begins with a capital.")
        found.append(
            PlaceLine(
                int(row["unit"]), row["form"], row["name"], phonemes, row["say"],
                tuple(row["points"].split()), f"{row.file}, line {row.line}",
            )
        )  # fmt: skip
    return tuple(found)


def read_pairs() -> tuple[PairLine, ...]:
    """The pairs of ``pairs.tsv``. Raises Malformed naming a bad row."""
    found = []
    columns = ("unit", "form", "before", "choices", "after", "answer", "reason", "points")
    for row in read_tsv("choose", "pairs.tsv", columns):
        choices = tuple(c.strip() for c in row["choices"].split("|"))
        if not row["unit"].isdigit() or not _form(row["form"]):
            raise row.bad("a pair has a unit number and a form, A or B.")
        if len(choices) != 2 or choices[0] == choices[1] or row["answer"] not in choices:
            raise row.bad("choices are two words with a stroke between, the answer one of them.")
        if not row["reason"]:
            raise row.bad("a pair needs the reason to listen for.")
        found.append(
            PairLine(
                int(row["unit"]), row["form"], row["before"], (choices[0], choices[1]),
                row["after"], row["answer"], row["reason"], tuple(row["points"].split()),
                f"{row.file}, line {row.line}",
            )
        )  # fmt: skip
    return tuple(found)


def read_names() -> frozenset[str]:
    """First names that sentences may use. Raises Malformed naming a bad row."""
    found: set[str] = set()
    for row in read_tsv("choose", "names.tsv", ("name",)):
        if row["name"] in found or not row["name"][:1].isupper():
            raise row.bad("a name begins with a capital and stands once.")
        found.add(row["name"])
    return frozenset(found)


def read_lines() -> tuple[Line, ...]:
    """The sentences of every file in ``data/sentences``, in the order of the units."""
    folder = resources.files("larkslate") / "choose" / "data" / "sentences"
    lines: list[Line] = []
    for place in sorted(folder.iterdir(), key=lambda p: p.name):
        named = FILE_NAME.fullmatch(place.name)
        if named is None:
            raise Malformed(
                f"choose/data/sentences/{place.name}: name the file like 03-between.txt, with the "
                "number of its unit first."
            )
        content = place.read_text(encoding="utf-8")
        lines += parse_sentences(
            content, int(named.group(1)), f"choose/data/sentences/{place.name}"
        )
    return tuple(lines)


@lru_cache(maxsize=1)
def shipped_bank() -> Bank:
    """The bank of the data files. Raises Malformed naming a bad place."""
    passages = tuple(
        parse_passage(entry, f"choose/data/passages.toml, passage {number}")
        for number, entry in enumerate(
            read_toml("choose", "passages.toml").get("passages", []), start=1
        )
    )
    return Bank(read_lines(), passages, read_places(), read_pairs(), read_names())
