"""Practice rows for paper: a letter, words, a name, a sentence, laid out on ruled lines.

A sheet is rows; a row is one drawing as wide as the writing space, with its alternative text. Who prints
it decides on pages. Nothing here knows about files, fonts or margins of paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from larkslate.errors import NotAllowed
from larkslate.handwriting.drawing import (
    GUIDE_ROOM,
    Look,
    Trace,
    describe,
    document,
    look_of,
    marks,
    rules,
    strokes,
)
from larkslate.handwriting.joining import WORD_SPACE, Written, write
from larkslate.handwriting.letters import Hand
from larkslate.handwriting.rulings import Ruling, resized, ruling

# Free space in mm at both ends of a row, and between copies as a share of the writing's height.
SIDE = 2.0
BETWEEN = {"loose": 0.9, "usual": 0.55, "tight": 0.35}
# Words stand farther apart than letters, in times.
WORDS_APART = 1.7
# The large rows of a letter sheet, in times the small ones; a large row is never under 24 mm.
LARGE = 2.4
LARGE_LEAST = 24.0
PLAIN = Look()  # a model without arrows
# A word may shrink to this share of the asked size; a longer one is broken.
SHRINK = 0.6


class RowKind(StrEnum):
    """What a child does with a row."""

    MODEL = "model"  # looks at the path of the pen
    TRACE = "trace"
    WRITE = "write"  # writes on empty lines, with a model in view
    COPY = "copy"  # looks at one line and writes it on the next


@dataclass(frozen=True, slots=True)
class Row:
    """One ruled line: its drawing (an SVG document), the same in words, and its size in mm.

    The same drawing comes in layers for a page that tells what is read from what is decoration: the ruling
    with its top line ``top`` mm down, ``ink`` (the strokes) and ``marks`` (start dot, arrows, numbers), each an
    SVG document of the same size, empty where there is nothing.
    """

    kind: RowKind
    text: str
    svg: str
    alt: str
    width: float
    height: float
    rule: Ruling
    top: float
    ink: str = ""
    marks: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Rows in the order a child meets them; ``notices`` say what was left out, shrunk or broken."""

    title: str
    hand: Hand
    rows: tuple[Row, ...]
    notices: tuple[str, ...] = ()

    @property
    def height(self) -> float:
        """The height of all rows in mm."""
        return sum(row.height for row in self.rows)


@dataclass(frozen=True, slots=True)
class Paper:
    """How rows are laid out. ``width`` of the writing space in mm; ``slant`` in degrees.

    ``left_handed``: models stand at the right end, where the writing hand does not cover them.
    ``model_above``: models stand in a line of their own above the line to write on, for either hand.
    ``pulled_bars``: crossbars are shown from right to left. ``density``: loose, usual or tight.
    """

    ruling: Ruling
    width: float = 180.0
    slant: float = 0.0
    lead_in: bool = True
    left_handed: bool = False
    pulled_bars: bool = False
    density: str = "usual"
    trace: Trace = Trace.DOTTED
    model_above: bool = False
    model: Look = PLAIN


def paper(
    *,
    rule: Ruling | None = None,
    width: float = 180.0,
    slant: float = 0.0,
    lead_in: bool = True,
    left_handed: bool = False,
    pulled_bars: bool = False,
    density: str = "usual",
    trace: Trace | str = Trace.DOTTED,
    model_above: bool = False,
) -> Paper:
    """Checked settings. Raises NotAllowed for a width, density or trace style that cannot be."""
    if not 40.0 <= width <= 1000.0:
        raise NotAllowed(f"A writing space of {width:g} mm cannot be ruled: choose 40 to 1000 mm.")
    if density not in BETWEEN:
        raise NotAllowed(f"There is no density “{density}”: choose {', '.join(BETWEEN)}.")
    return Paper(
        ruling() if rule is None else rule,
        width,
        slant,
        lead_in,
        left_handed,
        pulled_bars,
        density,
        look_of(trace).trace,
        model_above,
    )


def letter_sheet(
    char: str, hand: Hand | str = Hand.JOINED, on: Paper | None = None, words: Sequence[str] = ()
) -> Sheet:
    """Rows for one letter, digit or join: path and large tracing, small tracing, writing, then words.

    ``char`` may be several characters, for a join. Raises what ``write`` raises.
    """
    page = paper() if on is None else on
    written = _written(char, hand, page)
    big = _large(page.ruling)
    rows = [
        *_rows(RowKind.MODEL, written, page, big, _model(), _trace(page, dot=True)),
        *_rows(RowKind.TRACE, written, page, page.ruling, Look(), _trace(page)),
        *_rows(RowKind.WRITE, written, page, page.ruling, Look(start_dot=True), None),
    ]
    more = word_sheet(words, hand, page) if words else None
    return Sheet(
        char,
        written.hand,
        (*rows, *(more.rows if more else ())),
        (*written.notices, *(more.notices if more else ())),
    )


def review_sheet(
    chars: Sequence[str], hand: Hand | str = Hand.JOINED, on: Paper | None = None
) -> Sheet:
    """A row for each letter, join or digit: one model, a few to trace, room to write."""
    page = paper() if on is None else on
    made = [_written(char, hand, page) for char in chars]
    rows = [
        row
        for w in made
        for row in _rows(RowKind.TRACE, w, page, page.ruling, Look(), _trace(page), copies=3)
    ]
    notices = dict.fromkeys(n for w in made for n in w.notices)
    return Sheet(", ".join(chars), Hand(hand), tuple(rows), tuple(notices))


def path_sheet(
    chars: Sequence[str], hand: Hand | str = Hand.JOINED, on: Paper | None = None
) -> Sheet:
    """Digits, joins or the letters of a group: all paths large, side by side, then a row to trace and write each."""
    page = paper() if on is None else on
    made = [_written(char, hand, page) for char in chars]
    rows = _paths(made, page)
    for w in made:
        rows += _rows(RowKind.TRACE, w, page, page.ruling, Look(), _trace(page), copies=3)
    notices = dict.fromkeys(n for w in made for n in w.notices)
    return Sheet(", ".join(chars), Hand(hand), tuple(rows), tuple(notices))


def _paths(made: Sequence[Written], page: Paper) -> list[Row]:
    """Rows of large models with their arrows, as many side by side as fit, spread evenly."""
    big = _large(page.ruling)
    room = GUIDE_ROOM * big.scale
    free = page.width - 2 * SIDE
    sizes = [w.width * big.scale + 2.4 * room for w in made]
    lines = 1
    while lines < len(made) and any(
        sum(sizes[i : i + math.ceil(len(made) / lines)]) > free
        for i in range(0, len(made), math.ceil(len(made) / lines))
    ):
        lines += 1
    each = max(1, math.ceil(len(made) / lines))
    rows = [made[i : i + each] for i in range(0, len(made), each)]
    found: list[Row] = []
    for row in rows:
        step = free / max(each, 4)
        pieces = []
        at = SIDE + room
        for written in row:
            pieces.append((written, _model(), at))
            at += max(step, written.width * big.scale + 2.4 * room)
        if row:
            alt = " ".join(describe(w) for w in row)
            text = ", ".join(w.text for w in row)
            found.append(_drawn(RowKind.MODEL, text, pieces, page.width, big, room, alt))
    return found


def empty_row(text: str, on: Paper | None = None) -> Row:
    """A ruled line with nothing on it; ``text`` says what goes there."""
    page = paper() if on is None else on
    return replace(_row(RowKind.WRITE, _written("", Hand.PRINT, page), page, page.ruling, None, None),
                   text=text)  # fmt: skip


def word_sheet(
    words: Sequence[str], hand: Hand | str = Hand.JOINED, on: Paper | None = None
) -> Sheet:
    """A row for each word: a model, one to trace where there is room, room to write.

    A word too long for its line is written smaller, and broken over lines if even that is not enough;
    the notices say so.
    """
    page = paper() if on is None else on
    rows: list[Row] = []
    notices: dict[str, None] = {}
    for word in words:
        fitted, said = _fit(word, hand, page)
        notices.update(dict.fromkeys(said))
        rows += [
            row
            for written, rule in fitted
            for row in _rows(RowKind.WRITE, written, page, rule, Look(), _trace(page), copies=1)
        ]
    return Sheet(", ".join(words), Hand(hand), tuple(rows), tuple(notices))


def name_sheet(name: str, hand: Hand | str = Hand.JOINED, on: Paper | None = None) -> Sheet:
    """A student's own name: the path, tracing, then two lines to write it."""
    page = paper() if on is None else on
    fitted, notices = _fit(name, hand, page)
    rows: list[Row] = []
    for written, rule in fitted:
        rows.append(_row(RowKind.MODEL, written, page, rule, Look(start_dot=True), None))
        rows.append(_row(RowKind.TRACE, written, page, rule, None, _trace(page)))
        rows.append(_row(RowKind.WRITE, written, page, rule, None, None))
        rows.append(_row(RowKind.WRITE, written, page, rule, None, None))
    return Sheet(name, Hand(hand), tuple(rows), tuple(notices))


def sentence_sheet(text: str, hand: Hand | str = Hand.JOINED, on: Paper | None = None) -> Sheet:
    """A sentence to copy: each line of it as a model above an empty line."""
    page = paper() if on is None else on
    rows: list[Row] = []
    lines, notices = lines_of(text, hand, page)
    for written, rule in lines:
        rows.append(_row(RowKind.COPY, written, page, rule, Look(), None))
        rows.append(_row(RowKind.WRITE, written, page, rule, None, None))
    return Sheet(text, Hand(hand), tuple(rows), notices)


def lines_sheet(text: str, hand: Hand | str = Hand.JOINED, on: Paper | None = None) -> Sheet:
    """A text as it is written, line by line; line ends of the text are kept."""
    page = paper() if on is None else on
    rows: list[Row] = []
    notices: dict[str, None] = {}
    for part in text.splitlines():
        lines, said = lines_of(part, hand, page)
        notices.update(dict.fromkeys(said))
        rows += [_row(RowKind.MODEL, w, page, rule, page.model, None) for w, rule in lines]
    return Sheet(text, Hand(hand), tuple(rows), tuple(notices))


def lines_of(
    text: str, hand: Hand | str, page: Paper
) -> tuple[list[tuple[Written, Ruling]], tuple[str, ...]]:
    """``text`` broken between words into lines that fit, with the ruling of each, and notices."""
    room = (page.width - 2 * SIDE) / page.ruling.scale
    space = WORD_SPACE[Hand(hand)]
    done: list[tuple[Written, Ruling]] = []
    notices: dict[str, None] = {}
    held: list[str] = []
    filled = 0.0

    def finish() -> None:
        if held:
            written = _written(" ".join(held), hand, page)
            notices.update(dict.fromkeys(written.notices))
            done.append((written, page.ruling))
            held.clear()

    for word in text.split():
        size = _written(word, hand, page).width
        if held and filled + space + size <= room:
            held.append(word)
            filled += space + size
            continue
        finish()
        if size <= room:
            held.append(word)
            filled = size
            continue
        fitted, said = _fit(word, hand, page)
        done += fitted
        notices.update(dict.fromkeys(said))
    finish()
    return done, tuple(notices)


def _written(text: str, hand: Hand | str, page: Paper) -> Written:
    return write(
        text,
        hand,
        slant=page.slant,
        lead_in=page.lead_in,
        pulled_bars=page.pulled_bars,
        unknown="plain",
    )


def _fit(
    word: str, hand: Hand | str, page: Paper
) -> tuple[list[tuple[Written, Ruling]], list[str]]:
    """A word on a ruling on which it fits, or its parts on several, with what was done about it."""
    room = page.width - 2 * SIDE
    written = _written(word, hand, page)
    notices = list(written.notices)
    size = written.width * page.ruling.scale
    if size <= room:
        return [(written, page.ruling)], notices
    share = room / size
    if share >= SHRINK:
        notices.append(
            f"“{word}” is too long for the line: it is written at {share:.0%} of the size."
        )
        return [(written, resized(page.ruling, page.ruling.height * share))], notices
    small = resized(page.ruling, page.ruling.height * SHRINK)
    notices.append(
        f"“{word}” is too long for the line: it is written at {SHRINK:.0%} of the size, on several lines."
    )
    parts: list[tuple[Written, Ruling]] = []
    rest = word
    while rest:
        taken = 1
        while taken < len(rest) and (
            _written(rest[: taken + 1], hand, page).width * small.scale <= room
        ):
            taken += 1
        parts.append((_written(rest[:taken], hand, page), small))
        rest = rest[taken:]
    return parts, notices


def _large(rule: Ruling) -> Ruling:
    """The ruling of large tracing; the room under it grows less than the lines."""
    height = max(LARGE * rule.height, LARGE_LEAST)
    return replace(resized(rule, height), gap=min(rule.gap * height / rule.height, rule.gap + 3.0))


def _model() -> Look:
    return Look(start_dot=True, arrows=True, numbers=True, trace=Trace.FADED, fade=2)


def _trace(page: Paper, *, dot: bool = False) -> Look:
    return Look(trace=page.trace, start_dot=dot)


def _rows(
    kind: RowKind,
    written: Written,
    page: Paper,
    rule: Ruling,
    model: Look,
    copy: Look | None,
    *,
    copies: int | None = None,
) -> list[Row]:
    """One row with its model, or two where the model stands above the line to write on."""
    if not page.model_above:
        return [_row(kind, written, page, rule, model, copy, copies=copies)]
    first = kind if kind is RowKind.MODEL else RowKind.COPY
    return [
        _row(first, written, page, rule, model, None),
        _row(RowKind.TRACE if copy and copies is None else RowKind.WRITE, written, page, rule, None,
             copy, copies=copies),
    ]  # fmt: skip


def _row(
    kind: RowKind,
    written: Written,
    page: Paper,
    rule: Ruling,
    model: Look | None,
    copy: Look | None,
    *,
    copies: int | None = None,
) -> Row:
    """A ruled row: a model at its start (at its end for a left-handed writer), then copies to trace.

    ``copies`` None fills the row. Faded copies grow paler one by one.
    """
    guided = model is not None and (model.arrows or model.numbers)
    pad = GUIDE_ROOM * rule.scale if guided else max(0.8, 40 * rule.scale)
    size = written.width * rule.scale
    between = BETWEEN[page.density] * (WORDS_APART if len(written.text) > 2 else 1.0)
    step = size + between * rule.height
    side = SIDE + (GUIDE_ROOM * rule.scale if guided else 0.0)
    traced: list[Look] = []
    if copy is not None and written.strokes:
        fits = math.floor((page.width - side - SIDE - size) / step) + 1 - (model is not None)
        wanted = fits if copies is None else min(copies, fits)
        traced = [_paler(copy, i) for i in range(max(0, wanted))]
    # The child writes from left to right in both versions; only the model changes its end.
    first = SIDE if page.left_handed or model is None else side + step
    pieces: list[tuple[Written, Look, float]] = []
    if model is not None:
        at = page.width - side - size if page.left_handed and not page.model_above else side
        pieces.append((written, model, at))
    pieces += [(written, look, first + i * step) for i, look in enumerate(traced)]
    alt = _alt(kind, written, traced, model is not None)
    return _drawn(kind, written.text, pieces, page.width, rule, pad, alt)


def _drawn(
    kind: RowKind,
    text: str,
    pieces: Sequence[tuple[Written, Look, float]],
    width: float,
    rule: Ruling,
    pad: float,
    alt: str,
) -> Row:
    """A row from pieces of writing, each with its look and where it stands (mm from the left)."""
    baseline = pad + rule.height
    drawn: dict[tuple[int, Look], tuple[str, str]] = {}
    for written, look, _ in pieces:
        if (id(written), look) not in drawn:
            drawn[id(written), look] = (
                strokes(written, look, rule, 0.0, baseline),
                marks(written, look, rule, 0.0, baseline),
            )
    placed = [(*drawn[id(written), look], at) for written, look, at in pieces]
    height = pad + rule.set_height + rule.gap
    whole = [rules(rule, width, pad)]
    whole += [_moved(f'<g class="writing">{ink}{signs}</g>', at) for ink, signs, at in placed]
    ink = [_moved(ink, at) for ink, _, at in placed if ink]
    signs = [_moved(signs, at) for _, signs, at in placed if signs]
    return Row(
        kind,
        text,
        document(width, height, whole, alt),
        alt,
        width,
        height,
        rule,
        pad,
        document(width, height, ink, alt) if ink else "",
        document(width, height, signs, "Start dots, arrows and numbers.") if signs else "",
    )


def _moved(drawn: str, across: float) -> str:
    return f'<g transform="translate({across:.3f} 0)">{drawn}</g>'


def _paler(copy: Look, index: int) -> Look:
    if copy.trace is not Trace.FADED:
        return copy
    return replace(copy, fade=min(4, index + 1))


def _alt(kind: RowKind, written: Written, traced: Sequence[Look], with_model: bool) -> str:
    text = written.text.strip()
    copies = len(traced)
    if not traced and not with_model:
        return f"An empty ruled line to write {text}."
    parts: list[str] = []
    if with_model:
        parts.append(describe(written) if kind is RowKind.MODEL else f"A model of {text}.")
    if copies:
        kinds = {Trace.DOTTED: "dotted ", Trace.FADED: "pale ", Trace.OUTLINED: "hollow "}
        how = kinds.get(traced[-1].trace, "")
        parts.append(f"{copies} {how}{'copy' if copies == 1 else 'copies'} of {text} to trace.")
    if kind is RowKind.WRITE:
        parts.append(f"Room to write {text}.")
    return " ".join(parts)
