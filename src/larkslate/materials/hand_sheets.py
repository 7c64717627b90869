"""Handwriting sheets as tagged PDF: new letters, groups, joins, words, sentences, names, numbers.

A sheet is asked for by a kind and a text; rows come from the handwriting room and are cut into pages here,
so that what stands on a page is known before it is set.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from larkslate.errors import Malformed, NotAllowed
from larkslate.handwriting.letters import Hand
from larkslate.handwriting.order import words_for
from larkslate.handwriting.sheets import (
    Paper,
    Row,
    RowKind,
    Sheet,
    empty_row,
    letter_sheet,
    lines_sheet,
    name_sheet,
    paper,
    path_sheet,
    sentence_sheet,
    word_sheet,
)
from larkslate.materials.look import MARGIN, PAPERS, Look
from larkslate.materials.runs import typographic
from larkslate.materials.typeset import typeset
from larkslate.materials.wording import wording
from larkslate.plan.items import joins_of
from larkslate.plan.model import Lesson, LetterItem
from larkslate.sequence.model import Theme

# Millimeters. The head holds title, instruction, name and date; the rest of the page is for rows.
HEIGHTS = {"us-letter": 279.4, "a4": 297.0}
TOP, BOTTOM, HEAD = 16.0, 15.0, 33.0
# Rows a child writes after tracing: enough to settle a movement, not a punishment. Our proposal.
TRACED, OWN_LINES = 2, 3
SIDES = ("left", "right", "above")
DIGITS = "1234567890"


@dataclass(frozen=True, slots=True)
class HandPage:
    """One page: its title, what to do, its rows, what stands over and under them."""

    title: str
    do: str
    rows: tuple[Row, ...]
    before: str = ""
    foot: str = ""
    named: bool = True

    @property
    def head(self) -> float:
        """Millimeters the head takes: title, instruction, name and date."""
        return HEAD if self.named else HEAD - 8.0 if self.do else HEAD - 16.0


@dataclass(frozen=True, slots=True)
class Pack:
    """Pages of one kind, and what was left out, written smaller or broken."""

    title: str
    pages: tuple[HandPage, ...]
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetKind:
    """A kind of sheet: its name, what its text holds, and what makes its pages."""

    name: str
    title: str
    takes: str
    make: Callable[[str, Hand, Paper, str], Pack]


# ---- cutting rows into pages ---------------------------------------------------------------------


def room(size: str) -> float:
    """Millimeters for rows on a page. Raises NotAllowed for an unknown paper."""
    if size not in PAPERS:
        raise NotAllowed(f"There is no paper “{size}”: choose {' or '.join(PAPERS)}.")
    return HEIGHTS[size] - TOP - BOTTOM - HEAD


def cut(page: HandPage, size: str) -> tuple[HandPage, ...]:
    """A page with more rows than fit as several; a model is not parted from the line under it."""
    free = room(size) + HEAD - page.head
    found: list[list[Row]] = [[]]
    filled = 0.0
    for group in _together(page.rows):
        height = sum(row.height for row in group)
        if found[-1] and filled + height > free:
            found.append([])
            filled = 0.0
        found[-1] += group
        filled += height
    if len(found) == 1:
        return (page,)
    return tuple(
        replace(page, rows=tuple(rows), foot=f"{page.foot or page.title}  {n} / {len(found)}")
        for n, rows in enumerate(found, start=1)
    )


def _together(rows: Iterable[Row]) -> list[list[Row]]:
    """Rows in groups that stay on one page: a line to copy and the line to write it on."""
    groups: list[list[Row]] = []
    for row in rows:
        if groups and groups[-1][-1].kind is RowKind.COPY:
            groups[-1].append(row)
        else:
            groups.append([row])
    return groups


def _filled(rows: Sequence[Row], own: Row, free: float, most: int) -> tuple[Row, ...]:
    """The rows and up to ``most`` more lines to write on, as many as the page has room for."""
    left = free - sum(row.height for row in rows)
    more = max(0, min(most, int(left // own.height)))
    return (*rows, *(own,) * more)


# ---- the kinds -----------------------------------------------------------------------------------


def _say(name: str) -> str:
    return wording(f"hand.{name}")


def letter_page(
    char: str, hand: Hand, on: Paper, size: str, words: Sequence[str] = ()
) -> tuple[HandPage, tuple[str, ...]]:
    """A new letter, digit or join: path and large tracing, small tracing, writing, words."""
    sheet = letter_sheet(char, hand, on, words)
    per = 2 if on.model_above else 1
    model, rest = sheet.rows[:per], sheet.rows[per:]
    trace, rest = rest[:per], rest[per:]
    write, own_words = rest[:per], rest[per:]
    again = trace[-1:]
    line = empty_row(char, on) if on.model_above else write[-1]
    rows = [*model, *trace, *again * (TRACED - 1), *write]
    spent = sum(row.height for row in (*rows, *own_words))
    more = max(0, min(OWN_LINES - 1, int((room(size) - spent) // line.height)))
    kind = "join" if len(char) > 1 else "letter"
    page = HandPage(
        f"{_say(f'{kind}.title')} {typographic(char)}",
        _say(f"{kind}.do"),
        (*rows, *(line,) * more, *own_words),
    )
    return page, sheet.notices


def _letters(text: str, hand: Hand, on: Paper, size: str) -> Pack:
    chars = tuple(dict.fromkeys(c for c in text if not c.isspace() and c != ","))
    return _pack("letter", (letter_page(c, hand, on, size) for c in chars), size)


def _joins(text: str, hand: Hand, on: Paper, size: str) -> Pack:
    pairs = _listed(text)
    short = [p for p in pairs if len(p) < 2]
    if short:
        raise Malformed(
            f"“{short[0]}” is not a join: write pairs of letters, such as “oa, ve, br”."
        )
    sheet = path_sheet(pairs, hand, on)
    page = HandPage(
        f"{_say('join.titles')} {', '.join(pairs)}", _say("join.do"), _doubled(sheet, pairs, on)
    )
    return _pack("join", [(page, sheet.notices)], size)


def _doubled(sheet: Sheet, texts: Sequence[str], on: Paper) -> tuple[Row, ...]:
    """The large paths, then after the row or rows of each text one line to write on."""
    per = 2 if on.model_above else 1
    paths = len(sheet.rows) - per * len(texts)
    rows: list[Row] = list(sheet.rows[:paths])
    for index, text in enumerate(texts):
        rows += sheet.rows[paths + index * per : paths + (index + 1) * per]
        rows.append(empty_row(text, on))
    return tuple(rows)


def _group(text: str, hand: Hand, on: Paper, size: str) -> Pack:
    chars = tuple(dict.fromkeys(c for c in text if not c.isspace() and c != ","))
    sheet = path_sheet(chars, hand, on)
    title = f"{_say('group.title')} {', '.join(typographic(c) for c in chars)}"
    page = HandPage(title, _say("group.do"), _doubled(sheet, chars, on))
    return _pack("group", [(page, sheet.notices)], size)


def _words(text: str, hand: Hand, on: Paper, size: str) -> Pack:
    sheet = word_sheet(_listed(text), hand, on)
    page = HandPage(_say("words.title"), _say("words.do"), sheet.rows)
    return _pack("words", [(page, sheet.notices)], size)


def _sentence(text: str, hand: Hand, on: Paper, size: str) -> Pack:
    sheet = sentence_sheet(text, hand, on)
    page = HandPage(_say("sentence.title"), _say("sentence.do"), sheet.rows)
    return _pack("sentence", [(page, sheet.notices)], size)


def _names(text: str, hand: Hand, on: Paper, size: str) -> Pack:
    names = [" ".join(n.split()) for n in re.split(r"[,;\n]", text) if n.strip()]
    return name_pack(names, hand, on, size)


def name_pack(names: Iterable[str], hand: Hand, on: Paper, size: str = "us-letter") -> Pack:
    """A sheet of its own name for every student of a roster."""
    made = []
    for name in names:
        sheet = name_sheet(name, hand, on)
        rows = _filled(sheet.rows, sheet.rows[-1], room(size), OWN_LINES)
        made.append(
            (HandPage(typographic(name), _say("name.do"), rows, named=False), sheet.notices)
        )
    return _pack("name", made, size)


def _numbers(text: str, hand: Hand, on: Paper, size: str) -> Pack:
    chars = tuple(dict.fromkeys(c for c in text if c.isdigit())) or tuple(DIGITS)
    sheet = path_sheet(chars, hand, on)
    page = HandPage(f"{_say('numbers.title')} {', '.join(chars)}", _say("numbers.do"), sheet.rows)
    return _pack("numbers", [(page, sheet.notices)], size)


def _writing(text: str, hand: Hand, on: Paper, size: str) -> Pack:
    sheet = lines_sheet(text, hand, on)
    page = HandPage(_say("writing.title"), "", sheet.rows, named=False)
    return _pack("writing", [(page, sheet.notices)], size)


def _pack(name: str, made: Iterable[tuple[HandPage, tuple[str, ...]]], size: str) -> Pack:
    pages: list[HandPage] = []
    notices: dict[str, None] = {}
    for page, said in made:
        kept = replace(page, foot=page.foot or page.title, before=page.before or _say("kind"))
        pages += cut(kept, size)
        notices.update(dict.fromkeys(said))
    return Pack(_say(f"{name}.pack"), tuple(pages), tuple(notices))


def _listed(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(re.split(r"[\s,;]+", text.strip()))) if text.strip() else ()


KINDS: dict[str, SheetKind] = {
    kind.name: kind
    for kind in (
        SheetKind("letter", "New letter", "letters or digits, a page for each", _letters),
        SheetKind("group", "Letter group", "the letters of a group", _group),
        SheetKind("joins", "Joins", "pairs of letters", _joins),
        SheetKind("words", "Word list", "words", _words),
        SheetKind("sentence", "Sentences to copy", "one or more sentences", _sentence),
        SheetKind("name", "Own name", "names with commas between them, a page for each", _names),
        SheetKind("numbers", "Numbers", "digits; without any, all ten", _numbers),
        SheetKind("writing", "As written", "any text", _writing),
    )
}


# ---- from a unit ---------------------------------------------------------------------------------


def lesson_pages(
    unit: str, lesson: Lesson, look: Look, names: Sequence[str] = ()
) -> list[dict[str, Any]]:
    """The pages of one lesson of a plan, ready for the template: its new letters, its joins, or names.

    A lesson without a letter of its own gets its words; where the theme asks for the own name and a dated
    line, every one of ``names`` gets a page, or one page is ruled for it.
    """
    on = paper_of(look)
    pages: list[HandPage] = []
    for item in (i for block in lesson.blocks for i in block.items if isinstance(i, LetterItem)):
        pages += item_pages(item, look.hand, on, look.paper, names)
    before = f"{typographic(unit)} · {wording('page.lesson')} {lesson.id}"
    return [page_data(replace(page, before=before)) for page in pages]


def item_pages(
    item: LetterItem, hand: Hand, on: Paper, size: str, names: Sequence[str] = ()
) -> tuple[HandPage, ...]:
    """The pages of what the hand practices in one lesson."""
    if not item.letters and not item.words:
        return name_and_date(names, hand, on, size)
    pages: list[HandPage] = []
    rest = list(item.words)
    for number, letter in enumerate(item.letters, start=1):
        last = number == len(item.letters)
        own = [word for word in rest if last or letter in word]
        rest = [word for word in rest if word not in own]
        page, _ = letter_page(letter, hand, on, size, own)
        pages += cut(replace(page, foot=page.title), size)
    if not item.letters:
        pages += _words(" ".join(item.words), hand, on, size).pages
    return tuple(pages)


def theme_pages(
    theme: Theme,
    met: Iterable[str],
    words: Sequence[str],
    *,
    hand: Hand = Hand.JOINED,
    on: Paper | None = None,
    size: str = "us-letter",
    names: Sequence[str] = (),
) -> tuple[tuple[HandPage, ...], ...]:
    """The pages of each of a theme's handwriting lessons, in order, from its letters in the sequence.

    ``met`` are letters of the themes before; ``words`` are tried in their order, those writable with the
    letters met by then are kept (four a page). A line on joins is one lesson of paths and words; the own
    name and a dated line is the last.
    """
    page = paper() if on is None else on
    known = {c for c in met if len(c) == 1}
    lessons: list[tuple[HandPage, ...]] = []
    for entry in theme.letters:
        if len(entry) == 1:
            known.add(entry)
            own = words_for(known, (w for w in words if entry in w), new=(entry,), limit=4)
            lessons.append(item_pages(LetterItem((entry,), own), hand, page, size))
        elif pairs := joins_of(entry):
            for start in range(0, len(pairs), 2):
                two = pairs[start : start + 2]
                own = words_for(known, (w for w in words if any(p in w for p in two)), limit=4)
                lessons.append(item_pages(LetterItem(two, own), hand, page, size))
        else:
            lessons.append(name_and_date(names, hand, page, size))
    return tuple(lessons)


def name_and_date(names: Sequence[str], hand: Hand, on: Paper, size: str) -> tuple[HandPage, ...]:
    """The own full name and a dated line: a page for every name, or one page ruled for any child."""
    line = empty_row("the date", on)
    if not names:
        rows = _filled((), empty_row("the own full name", on), room(size), 8)
        page = HandPage(_say("dated.title"), _say("dated.do-any"), rows, named=False)
        return cut(replace(page, foot=page.title), size)
    pages: list[HandPage] = []
    for page in name_pack(names, hand, on, size).pages:
        rows = _filled(page.rows, line, room(size), 1)
        pages.append(replace(page, do=_say("dated.do"), rows=rows))
    return tuple(pages)


# ---- the file ------------------------------------------------------------------------------------


def paper_of(look: Look) -> Paper:
    """The writing space of a page of a document."""
    return paper(
        rule=look.lines,
        width=look.width,
        slant=look.slant,
        left_handed=look.left_handed,
        pulled_bars=look.left_handed,
    )


def sheet_paper(on: Paper, size: str = "us-letter", model: str = "left") -> Paper:
    """A writing space as wide as a paper allows, its models at the left, at the right or above."""
    if model not in SIDES:
        raise NotAllowed(f"A model cannot stand “{model}”: choose {', '.join(SIDES)}.")
    room(size)
    return replace(
        on,
        width=PAPERS[size] - 2 * MARGIN,
        left_handed=model == "right",
        model_above=model == "above",
    )


def page_data(page: HandPage) -> dict[str, Any]:
    """A page as the template reads it; lengths in millimeters, lines from the top of the row down."""
    return {
        "title": page.title,
        "do": typographic(page.do),
        "before": page.before,
        "foot": page.foot,
        "named": page.named,
        "head": page.head,
        "rows": [
            {
                "width": row.width,
                "height": row.height,
                "ink": row.ink,
                "marks": row.marks,
                "alt": typographic(row.alt),
                "lines": [
                    {
                        "down": row.top + row.rule.height - line.at * row.rule.scale,
                        "color": line.color,
                        "width": line.width,
                        "dash": line.dash,
                        "space": line.space,
                    }
                    for line in row.rule.lines
                ],
            }
            for row in page.rows
        ],
    }


def pack(
    kind: str,
    text: str,
    *,
    hand: Hand | str = Hand.JOINED,
    on: Paper | None = None,
    size: str = "us-letter",
    model: str = "left",
) -> Pack:
    """The pages of a kind of sheet for a text. Raises NotAllowed or Malformed with what to do."""
    if kind not in KINDS:
        raise NotAllowed(f"There is no sheet “{kind}”: choose one of {', '.join(KINDS)}.")
    space = sheet_paper(paper() if on is None else on, size, model)
    made = KINDS[kind].make(text, Hand(hand), space, size)
    if not made.pages or not any(page.rows for page in made.pages):
        raise NotAllowed(f"There is nothing to write: give {KINDS[kind].takes}.")
    return made


def pdf(made: Pack, size: str = "us-letter") -> bytes:
    """The pages as one tagged PDF."""
    return typeset(
        "hand",
        {
            "look": Look(paper=size).data(),
            "title": made.title,
            "words": {name: wording(f"page.{name}") for name in ("name", "date")}
            | {"page": wording("page.page", page="{page}", pages="{pages}")},
            "pages": [page_data(page) for page in made.pages],
        },
    )
