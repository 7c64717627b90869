"""The teacher's page: one lesson by the minute, with what to say, what to do, and every answer."""

from __future__ import annotations

from dataclasses import dataclass

from larkslate.materials.look import Look
from larkslate.materials.runs import Run, Runs, Style, derived, plain, prose, typographic
from larkslate.materials.script import DASH, dictation_scenes, duration, sound, spelled
from larkslate.materials.wording import wording
from larkslate.plan.model import (
    Block,
    Dictation,
    Item,
    Lesson,
    LetterItem,
    Role,
    SortItem,
    SoundItem,
    TextItem,
    WordItem,
)

ROLES = tuple(Role)


@dataclass(frozen=True, slots=True)
class Row:
    """A lead-in and what belongs to it: entries side by side, or one a line where they are long."""

    head: Runs
    entries: tuple[Runs, ...]
    long: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """A block of minutes: "5-12", what to say and do, and its items with the answers."""

    time: str
    title: str
    say: tuple[Runs, ...]
    do: tuple[Runs, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class TeacherPage:
    """One lesson."""

    id: str
    title: str
    unit: str
    minutes: str
    rule: Runs
    exception: Runs
    steps: tuple[Step, ...]


def teacher_page(unit: str, lesson: Lesson, look: Look) -> TeacherPage:
    """The page of a lesson."""
    steps: list[Step] = []
    start = 0
    for block in lesson.blocks:
        steps.append(_step(block, start, look))
        start += block.minutes
    return TeacherPage(
        lesson.id,
        typographic(lesson.title),
        typographic(unit),
        wording("teacher.minutes", n=lesson.minutes),
        prose(lesson.rule or ""),
        prose(lesson.exception or ""),
        tuple(steps),
    )


def _step(block: Block, start: int, look: Look) -> Step:
    """A block with its time from the start of the lesson."""
    return Step(
        f"{start}\u2013{start + block.minutes}",
        typographic(block.title),
        tuple(prose(line) for line in block.say),
        tuple(prose(line) for line in block.do),
        rows_of(block.items, look),
    )


def rows_of(items: tuple[Item, ...], look: Look) -> tuple[Row, ...]:
    """The items of a block: words by role, sounds, texts, sorts, letters, the dictations in short."""
    rows: list[Row] = []
    words = [item for item in items if isinstance(item, WordItem)]
    for role in ROLES:
        of_role = [item for item in words if item.role is role]
        if of_role:
            rows.append(_words(wording(f"role.{role.value}"), of_role))
    sounds = [item for item in items if isinstance(item, SoundItem)]
    if sounds:
        rows.append(
            Row(
                _head(wording("teacher.sounds")),
                tuple(
                    (*sound(item), ("\u2002", Style.PLAIN), *prose(spelled(item)))
                    for item in sounds
                ),
                long=True,
            )
        )
    for item in items:
        match item:
            case TextItem():
                rows.append(Row(_head(wording(f"teacher.{_length(item)}")), (prose(item.text),)))
            case SortItem():
                rows += _sort(item)
            case LetterItem():
                rows.append(_letters(item))
            case Dictation():
                rows.append(_dictation(item, look))
            case _:
                pass
    return tuple(rows)


def _head(text: str) -> Runs:
    """A lead-in in bold."""
    return ((typographic(text), Style.LABEL),)


def _length(item: TextItem) -> str:
    """Whether the text is a sentence or a phrase, by its end mark."""
    return "sentence" if item.text.rstrip("\u201d\"'\u2019")[-1:] in ".?!" else "phrase"


def _words(head: str, items: list[WordItem]) -> Row:
    """Words of one role, each with its note, and its sentence where there is one."""
    entries: list[Runs] = []
    for item in items:
        runs: list[Run] = list(derived(item))
        for remark in (item.note, item.sentence):
            if remark:
                runs += [(DASH, Style.PLAIN), *prose(remark)]
        entries.append(tuple(runs))
    return Row(_head(head), tuple(entries), any(item.note or item.sentence for item in items))


def _sort(item: SortItem) -> list[Row]:
    """One row for each column with its words."""
    return [
        Row(
            prose(column),
            tuple(
                prose(word)
                for word, place in zip(item.words, item.answers, strict=True)
                if place == index
            ),
        )
        for index, column in enumerate(item.columns)
    ]


def _letters(item: LetterItem) -> Row:
    """The letters of the day and the words they write."""
    entries = [prose(word) for word in item.words]
    if item.note:
        entries.append(prose(item.note))
    return Row(_head(", ".join(item.letters)), tuple(entries))


def _dictation(item: Dictation, look: Look) -> Row:
    """A dictation in short: its answers and how long its waits are; the script has the rest."""
    waits = sum(line.wait for scene in dictation_scenes(item, look) for line in scene.lines)
    words = [w.word for w in (*item.words, *(item.passage.gaps if item.passage else ()))]
    texts = [t.text for t in (*item.sentences, *(item.passage.write if item.passage else ()))]
    entries = [prose(", ".join(words))] if words else []
    entries += [prose(text) for text in texts]
    if item.places:
        names = ", ".join(" or ".join(place.legal or (place.name,)) for place in item.places)
        entries.append(prose(f"{wording('paper.places')}: {names}"))
    if item.pairs:
        answers = ", ".join(pair.answer for pair in item.pairs)
        entries.append(prose(f"{wording('paper.pairs')}: {answers}"))
    entries.append(prose(wording("teacher.waits", time=duration(waits))))
    return Row(_head(f"{wording('page.form')} {item.form}"), tuple(entries), long=True)


def words_said(page: TeacherPage) -> str:
    """All the text of the items, for checks against the lesson."""
    return "\n".join(
        plain(entry) for step in page.steps for row in step.rows for entry in row.entries
    )
