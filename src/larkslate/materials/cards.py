"""Small things made from a lesson: a reference page for a point, a strip to check oneself, cards to cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from larkslate.materials.look import Look
from larkslate.materials.paper import dictations
from larkslate.materials.runs import Runs, Style, before_joining, derived, plain, typographic
from larkslate.materials.script import sound
from larkslate.materials.sheet import Part, Row, parts_of, rule_part
from larkslate.materials.wording import wording
from larkslate.plan.model import BlockKind, Lesson, LessonKind, Role, SoundItem, WordItem

OWN_LINES, OWN_TIGHT = 8, 4  # on a reference page, for words a child finds


@dataclass(frozen=True, slots=True)
class Reference:
    """The page of one point, kept in a notebook or put on the wall."""

    id: str
    title: str
    unit: str
    box: Part
    own: Part


def references(unit: str, lesson: Lesson, look: Look) -> list[Reference]:
    """The reference page of a lesson's new point; none for a lesson without one."""
    if lesson.kind is not LessonKind.NEW:
        return []
    box = next(
        (
            part
            for block in lesson.blocks
            if block.kind is BlockKind.NEW_POINT and (part := rule_part(lesson, block)) is not None
        ),
        None,
    )
    if box is None:
        return []
    empty: Runs = ()
    own = Part(
        "lines",
        wording("reference.own"),
        ((wording("reference.own-do"), Style.PLAIN),),
        rows=tuple(
            Row(n, (empty,), wide=False)
            for n in range(1, (OWN_TIGHT if look.tight else OWN_LINES) + 1)
        ),
        tight=look.tight,
    )
    return [
        Reference(
            lesson.id,
            typographic(lesson.title),
            typographic(unit),
            replace(box, tight=look.tight),
            own,
        )
    ]


@dataclass(frozen=True, slots=True)
class Checks:
    """The answers of one part, numbered as on the sheet."""

    letter: str
    title: str
    answers: tuple[Runs, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip: what to do, the answers by part."""

    id: str
    title: str
    unit: str
    do: str
    checks: tuple[Checks, ...]


def strips(unit: str, lesson: Lesson, look: Look) -> list[Strip]:
    """The strip of a lesson: what is written on lines, to compare with; dictations are not given away."""
    checks: list[Checks] = []
    for letter, part in zip("ABCDEFGHIJKL", parts_of(lesson, look), strict=False):
        answers = tuple(
            ((" ".join(plain(line) for line in row.lines), Style.PLAIN),)
            for row in part.rows
            if any(row.lines)
        )
        if answers:
            checks.append(Checks(letter, part.title, answers))
    if not checks:
        return []
    return [
        Strip(
            lesson.id,
            typographic(lesson.title),
            typographic(unit),
            wording("strip.do"),
            tuple(checks),
        )
    ]


@dataclass(frozen=True, slots=True)
class Card:
    """A card: front and back."""

    front: Runs
    back: Runs


_NOTHING = Card((), ())


@dataclass(frozen=True, slots=True)
class Deck:
    """The cards of a lesson."""

    id: str
    title: str
    unit: str
    cards: tuple[Card, ...]


def deck(unit: str, lesson: Lesson) -> list[Deck]:
    """Cards for the spellings of the warm-up and for the words that are practiced, each once.

    A spelling has its sound and a word on the back; a word made of parts shows the parts and has the word
    on the back; any other word has its letters concerned marked on the back. Words kept for a dictation
    are left out.
    """
    kept = {word.word for dictation in dictations(lesson) for word in dictation.words}
    found: dict[str, Card] = {}
    for card in _cards(lesson):
        name = plain(card.front)
        # a word may come twice; the card that says more is kept
        if name not in kept and len(card.back) > len(found.get(name, _NOTHING).back):
            found[name] = card
    if not found:
        return []
    return [Deck(lesson.id, typographic(lesson.title), typographic(unit), tuple(found.values()))]


def _cards(lesson: Lesson) -> Iterator[Card]:
    """The cards in the order of the lesson."""
    for block in lesson.blocks:
        for item in block.items:
            if isinstance(item, SoundItem):
                for n, spelling in enumerate(item.spellings):
                    example = item.examples[n] if n < len(item.examples) else ""
                    back: Runs = sound(item)
                    if example:
                        back = (*back, (f"\u2003{typographic(example)}", Style.PLAIN))
                    yield Card(((typographic(spelling), Style.PLAIN),), back)
            elif isinstance(item, WordItem) and item.role is not Role.FRESH:
                before = before_joining(item)
                yield Card(before or derived(replace(item, shown=None)), derived(item))
