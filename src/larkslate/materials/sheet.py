"""The student's sheet and the dictation paper as values: what is printed, where there is room to write.

One value gives the sheet and its answer key, so the two have the same lines in the same places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from larkslate.errors import Malformed
from larkslate.materials.handwriting import Figure, sheet_rows
from larkslate.materials.look import Look
from larkslate.materials.runs import (
    Runs,
    Style,
    before_joining,
    derived,
    label,
    letters,
    plain,
    prose,
    typographic,
    written,
)
from larkslate.materials.wording import wording
from larkslate.plan.model import (
    Block,
    BlockKind,
    Item,
    Lesson,
    LetterItem,
    Role,
    Shown,
    SortItem,
    SoundItem,
    TextItem,
    WordItem,
)

EXAMPLES = 3  # shown in the rule box
GUTTER = 8.0  # between two columns of lines, millimeters
NUMBER = 9.0  # room for the number before a line
CLOSED_UP = 0.9  # a written word is a little narrower than its letters one by one


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to write: ``lines`` holds the answer for each ruled line, top to bottom.

    ``before`` is printed above the line; ``before_key`` is the same text with its letters marked.
    """

    number: int
    lines: tuple[Runs, ...]
    wide: bool
    before: Runs = ()
    before_key: Runs = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """A word with a remark."""

    word: Runs
    remark: Runs


@dataclass(frozen=True, slots=True)
class Written:
    """A piece of a passage: print, a numbered gap, or the lines of a sentence written whole."""

    kind: str  # text, gap, sentence
    text: Runs
    number: int | None = None
    lines: tuple[Runs, ...] = ()


@dataclass(frozen=True, slots=True)
class Label:
    """A name label on the map: where it hangs and what the key says. Millimeters from the upper left."""

    number: int
    place: str
    where: str
    at: tuple[float, float]
    label: tuple[float, float]
    answer: Runs
    accepted: Runs


@dataclass(frozen=True, slots=True)
class Pair:
    """A sentence with a gap, the two words to choose from, the word and the reason for the key."""

    number: int
    before: Runs
    after: Runs
    choices: tuple[Runs, ...]
    answer: Runs
    reason: Runs


@dataclass(frozen=True, slots=True)
class Part:
    """One lettered part of a sheet. ``kind`` names the template's function; unused fields stay empty."""

    kind: str  # rule, warmup, lines, sort, hand, passage, places, pairs
    title: str
    do: Runs = ()
    tight: bool = False  # set with less room between the lines
    rule: Runs = ()
    examples: tuple[Runs, ...] = ()
    entries: tuple[Entry, ...] = ()
    exception: Runs = ()
    near: Runs = ()  # the lead-in before the near-misses
    known: Runs = ()  # the lead-in before the irregular words
    irregular: tuple[Entry, ...] = ()
    rows: tuple[Row, ...] = ()
    columns: tuple[Runs, ...] = ()
    words: tuple[Runs, ...] = ()
    answers: tuple[tuple[Runs, ...], ...] = ()
    figures: tuple[Figure, ...] = ()
    pieces: tuple[Written, ...] = ()
    heading: Runs = ()
    gap: float = 0.0  # width of a gap, millimeters
    places: tuple[Label, ...] = ()
    accepted: Runs = ()  # the lead-in before other right spellings
    pairs: tuple[Pair, ...] = ()
    why: Runs = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One lesson's sheet: ``parts`` in order."""

    id: str
    title: str
    unit: str
    parts: tuple[Part, ...]
    form: str = ""  # of a dictation paper


def wrap(text: str, per_line: int) -> tuple[Runs, ...]:
    """A sentence cut at blanks into written lines of at most so many letters (a longer word stands alone)."""
    lines: list[str] = []
    for word in typographic(text).split():
        if lines and len(lines[-1]) + 1 + len(word) <= per_line:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(((line, Style.PLAIN),) for line in lines)


def _half(look: Look) -> float:
    """The length of a ruled line in one of two columns."""
    return (look.width - GUTTER) / 2 - NUMBER


def _per_line(look: Look) -> int:
    """Letters of a sentence on a full line, with one letter to spare for every ten."""
    return max(1, int(look.fits(look.width - NUMBER) * CLOSED_UP))


def text_row(number: int, text: str, look: Look) -> Row:
    """Ruled lines enough for a phrase or sentence."""
    return Row(number, wrap(text, _per_line(look)), wide=True)


def word_row(number: int, item: WordItem, look: Look, form: str = "") -> Row:
    """A ruled line for a word; with a form, what it is made from stands above the line."""
    wide = len(item.word) > look.fits(_half(look))
    if form in ("full", "parts"):
        before, before_key = before_joining(item), before_joining(item, struck=True)
        return Row(number, (written(item),), wide, before, before_key)
    if form == "division":
        shown = item.shown or Shown()
        return Row(number, (letters(item.word, division=shown.division, between="|"),), wide)
    return Row(number, (written(item),), wide)


def form_of(items: Sequence[Item]) -> str:
    """What all the words of a block have in common: "full", "parts", "division" or nothing."""
    shown = [item.shown or Shown() for item in items if isinstance(item, WordItem)]
    if not shown:
        return ""
    if all(s.full for s in shown):
        return "full"
    if all(s.parts for s in shown):
        return "parts"
    if all(s.division for s in shown):
        return "division"
    return ""


def lines_part(block: Block, look: Look) -> Part | None:
    """Numbered lines for the words, phrases and sentences of a block; a dictation has its own paper."""
    together = block.kind is BlockKind.TOGETHER
    form = form_of(block.items) if together else ""
    rows: list[Row] = []
    for item in block.items:
        number = len(rows) + 1
        if isinstance(item, WordItem):
            rows.append(word_row(number, item, look, form))
        elif isinstance(item, TextItem):
            rows.append(text_row(number, item.text, look))
    if not rows:
        return None
    do = {"full": "do-contraction", "parts": "do-parts", "division": "do-division"}.get(form, "do")
    place = f"student.{block.kind.value}"
    return Part(
        "lines", wording(f"{place}.title"), prose(wording(f"{place}.{do}")), rows=tuple(rows)
    )


def rule_part(lesson: Lesson, block: Block) -> Part | None:
    """The box of the day: rule, three examples, what does not follow and why, words to know by heart."""
    words = [item for item in block.items if isinstance(item, WordItem)]
    models = [item for item in words if item.role not in (Role.NEAR_MISS, Role.IRREGULAR)]
    near = [item for item in words if item.role is Role.NEAR_MISS]
    odd = [item for item in words if item.role is Role.IRREGULAR]
    if not (lesson.rule or words):
        return None
    return Part(
        "rule",
        wording("student.new-point.title"),
        prose(wording("student.new-point.do")),
        rule=prose(lesson.rule or ""),
        examples=tuple(derived(item) for item in models[:EXAMPLES]),
        near=label(wording("box.near-miss")),
        entries=tuple(_entry(item) for item in near),
        known=label(wording("box.irregular")),
        irregular=tuple(_entry(item) for item in odd),
        exception=exception(lesson),
    )


def exception(lesson: Lesson) -> Runs:
    """The line on what does not follow the rule, with its lead-in; nothing where there is none."""
    if not lesson.exception:
        return ()
    return (*label(wording("box.exception")), *prose(lesson.exception))


def _entry(item: WordItem) -> Entry:
    """A word with its note."""
    shown = item.shown or Shown()
    return Entry(letters(item.word, shown.marks), prose(item.note or ""))


def warmup_part(block: Block) -> Part | None:
    """Numbered boxes for the spellings of the sounds, and the words, that are said."""
    answers = tuple(
        _spellings(item) if isinstance(item, SoundItem) else written(item)
        for item in block.items
        if isinstance(item, SoundItem | WordItem)
    )
    if not answers:
        return None
    return Part(
        "warmup",
        wording("student.recall.title"),
        prose(wording("student.recall.do")),
        answers=(answers,),
    )


def _spellings(item: SoundItem) -> Runs:
    """The spellings of a sound as a child lists them."""
    return ((typographic(", ".join(item.spellings)), Style.PLAIN),)


def sort_part(item: SortItem) -> Part:
    """Words to write under the heading they belong to. Raises Malformed if the answers do not fit."""
    if len(item.answers) != len(item.words) or not all(
        0 <= column < len(item.columns) for column in item.answers
    ):
        raise Malformed(
            f"The sort into {', '.join(item.columns)} needs one column number for each word."
        )
    return Part(
        "sort",
        wording("student.sort.title"),
        prose(wording("student.sort.do")),
        columns=tuple(prose(column) for column in item.columns),
        words=tuple(letters(word) for word in item.words),
        answers=tuple(
            tuple(
                letters(word)
                for word, place in zip(item.words, item.answers, strict=True)
                if place == column
            )
            for column in range(len(item.columns))
        ),
    )


def hand_part(item: LetterItem, look: Look) -> Part | None:
    """Ruled rows for the letters of the day and for words with them."""
    figures = sheet_rows(item, look)
    if not figures:
        return None
    return Part(
        "hand",
        wording("student.handwriting.title"),
        prose(wording("student.handwriting.do")),
        figures=figures,
    )


def parts_of(lesson: Lesson, look: Look) -> tuple[Part, ...]:
    """The parts of a lesson's sheet in the order of its blocks."""
    parts: list[Part | None] = []
    for block in lesson.blocks:
        match block.kind:
            case BlockKind.RECALL:
                parts.append(warmup_part(block))
            case BlockKind.NEW_POINT:
                parts.append(rule_part(lesson, block))
            case BlockKind.SORT | BlockKind.HANDWRITING:
                pass
            case BlockKind.CHECK:
                parts.append(check_part(block, look))
            case BlockKind.TOGETHER | BlockKind.ALONE | BlockKind.DICTATION | BlockKind.GROUPS:
                parts.append(lines_part(block, look))
            case _:
                continue
        parts += [sort_part(i) for i in block.items if isinstance(i, SortItem)]
        parts += [hand_part(i, look) for i in block.items if isinstance(i, LetterItem)]
    return tuple(replace(part, tight=look.tight) for part in parts if part is not None)


def check_part(block: Block, look: Look) -> Part:
    """Two lines to write again what was mended; nothing is known before the class has written."""
    lines = max(1, min(3, sum(isinstance(item, WordItem) for item in block.items) or 2))
    empty: Runs = ()
    return Part(
        "lines",
        wording("student.check.title"),
        prose(wording("student.check.do")),
        rows=tuple(
            Row(n + 1, (empty,), wide=look.size > 18) for n in range(2 * ((lines + 1) // 2))
        ),
    )


def student_sheet(unit: str, lesson: Lesson, look: Look) -> Sheet | None:
    """The sheet of a lesson; None if nothing in it is written on the student's sheet."""
    parts = parts_of(lesson, look)
    if not parts:
        return None
    return Sheet(lesson.id, typographic(lesson.title), typographic(unit), parts)


def words_on(sheet: Sheet) -> tuple[str, ...]:
    """Every answer that the key prints, in order; for checks against the lesson."""
    found: list[str] = []
    for part in sheet.parts:
        found += [" ".join(plain(line) for line in row.lines) for row in part.rows]
        found += [plain(answer) for column in part.answers for answer in column]
        found += [
            " ".join(plain(line) for line in piece.lines) or plain(piece.text)
            for piece in part.pieces
            if piece.number is not None
        ]
        found += [plain(place.answer) for place in part.places]
        found += [plain(text) for pair in part.pairs for text in (pair.answer, pair.reason)]
    return tuple(text for text in found if text)
