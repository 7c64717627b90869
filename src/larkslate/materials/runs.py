"""Text cut into runs, each with the way it is shown: the letters concerned, a letter that leaves, a sound.

A run is a pair of text and style; the templates walk the runs, so no text is ever read as markup.
"""

from __future__ import annotations

import re
from enum import StrEnum

from larkslate.errors import LarkslateError, Malformed
from larkslate.plan.model import Shown, WordItem
from larkslate.words.contractions import compose, contraction, straight
from larkslate.words.model import ContractionForm, Spans


class Style(StrEnum):
    """How a run is shown. Weight, position and shape carry it; never color."""

    PLAIN = ""
    MARK = "mark"  # the letters concerned, bold
    LEAVE = "leave"  # a letter that leaves, struck through
    SIGN = "sign"  # plus, arrow, centered dot between syllables
    SOUND = "sound"  # sound notation between slashes
    LABEL = "label"  # a lead-in such as "Watch out:"


Run = tuple[str, Style]
Runs = tuple[Run, ...]

APOSTROPHE = "\u2019"
DOT = "\u00b7"  # between syllables, as dictionaries print it
ARROW = "\u2192"

# A sound in slashes stands free of letters: "/ch/", not "and/or" or "his/her/its".
_SOUND = re.compile(r"(?<![\w/])/[^\s/]{1,12}(?: [^\s/]{1,6})?/(?![\w/])")
_OPENING = re.compile(r'(^|[\s(\[\u2014\u2013-])"')


def typographic(text: str) -> str:
    """The text with curly apostrophes and quotation marks, as it is printed."""
    curly = text.replace("'", APOSTROPHE)
    return _OPENING.sub("\\1\u201c", curly).replace('"', "\u201d")


def plain(runs: Runs) -> str:
    """The text of the runs, as a reader would say it."""
    return "".join(text for text, _ in runs)


def label(text: str) -> Runs:
    """A lead-in, set bold."""
    return ((f"{typographic(text)} ", Style.LABEL),)


def prose(text: str) -> Runs:
    """A sentence: straight marks made curly, sounds between slashes set as sounds."""
    shown = typographic(text)
    runs: list[Run] = []
    at = 0
    for found in _SOUND.finditer(shown):
        runs.append((shown[at : found.start()], Style.PLAIN))
        runs.append((found.group(), Style.SOUND))
        at = found.end()
    runs.append((shown[at:], Style.PLAIN))
    return _tidy(runs)


def _tidy(runs: list[Run]) -> Runs:
    """Neighbors of one style joined, empty runs left out."""
    kept: list[Run] = []
    for text, style in runs:
        if not text:
            continue
        if kept and kept[-1][1] == style:
            kept[-1] = (kept[-1][0] + text, style)
        else:
            kept.append((text, style))
    return tuple(kept)


def letters(word: str, marks: Spans = (), division: str | None = None, between: str = DOT) -> Runs:
    """A word with its letters concerned bold and, where asked, dots between its syllables.

    Raises Malformed if a span lies outside the word or the division does not spell it.
    """
    for start, end in marks:
        if not 0 <= start < end <= len(word):
            raise Malformed(f"The marked letters {start}-{end} lie outside the word “{word}”.")
    dots: set[int] = set()
    if division is not None:
        parts = division.split("-")
        if "".join(parts).lower() != word.replace("-", "").lower():
            raise Malformed(f"The division {division} does not spell the word “{word}”.")
        if "-" not in word:
            at = 0
            for part in parts[:-1]:
                at += len(part)
                dots.add(at)
    runs: list[Run] = []
    for index, letter in enumerate(word):
        if index in dots:
            runs.append((between, Style.SIGN))
        marked = any(start <= index < end for start, end in marks)
        runs.append((typographic(letter), Style.MARK if marked else Style.PLAIN))
    return _tidy(runs)


def leaving(full: tuple[str, ...], written: str) -> tuple[tuple[str, bool], ...] | None:
    """The full words letter by letter, each with whether it leaves; None where letters change as well.

    "do not" for *don't* marks the second o. *won't* has no such account: will changes to wo. Walks the
    steps of the words room, so page, board and explanation agree.
    """
    form = next((f for f in _forms(full, written) if f.full and _same(f.full, full)), None)
    if form is None or any(step.kind == "contract-change" for step in form.steps):
        return None
    whole = " ".join(full)
    gone = {
        index
        for step in form.steps
        if step.kind == "contract-drop"
        for span in step.spans
        for index in range(*span)
    }
    # the spans count letters after the gaps are closed, except where the contraction keeps its gaps
    keeps_gaps = " " in written
    found: list[tuple[str, bool]] = []
    at = 0
    for letter in whole:
        if letter == " " and not keeps_gaps:
            found.append((letter, False))
            continue
        found.append((letter, at in gone and letter != " "))
        at += 1
    return tuple(found)


def _forms(full: tuple[str, ...], written: str) -> tuple[ContractionForm, ...]:
    """The forms of a contraction: of the table, or made from its words by the rule."""
    known = contraction(written)
    if known is not None:
        return known.forms
    try:
        made = compose(full)
    except LarkslateError:
        return ()
    return made.forms if straight(made.written).lower() == straight(written).lower() else ()


def _same(one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """Whether two full forms are the same words, whatever their capitals."""
    return tuple(w.lower() for w in one) == tuple(w.lower() for w in other)


def before_joining(item: WordItem, *, struck: bool = False) -> Runs:
    """What stands left of the arrow: "do not" or "hop + ed"; nothing where nothing joins.

    With ``struck`` the letters that leave are marked; the text is the same.
    """
    shown = item.shown or Shown()
    if not shown.full:
        return _parts(shown.parts)
    steps = leaving(shown.full, item.word) if struck else None
    if steps is None:
        return ((typographic(" ".join(shown.full)), Style.PLAIN),)
    return _tidy(
        [(typographic(letter), Style.LEAVE if leaves else Style.PLAIN) for letter, leaves in steps]
    )


def _parts(parts: tuple[str, ...]) -> Runs:
    """Morphemes written alone with plus signs between."""
    runs: list[Run] = []
    for index, part in enumerate(parts):
        if index:
            runs.append((" + ", Style.SIGN))
        runs.append((typographic(part), Style.PLAIN))
    return tuple(runs)


def derived(item: WordItem) -> Runs:
    """A word with its making: "do not → don’t" with the letters that leave struck, "hop + ed → hopped".

    A word that is not made of parts here is shown alone, with its letters concerned and division.
    """
    shown = item.shown or Shown()
    marks = shown.marks
    if shown.full and not marks:
        marks = tuple((i, i + 1) for i, c in enumerate(item.word) if c in f"'{APOSTROPHE}")
    word = letters(item.word, marks, shown.division)
    before = before_joining(item, struck=True)
    if not before:
        return word
    return _tidy([*before, (f" {ARROW} ", Style.SIGN), *word])


def written(item: WordItem) -> Runs:
    """The word alone, as a child writes it."""
    return letters(item.word)
