"""Sittings: the dictations and baselines given to a class, with their items."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

import sqlalchemy as sa

from larkslate.assess.sentences import words_of
from larkslate.errors import Malformed, Missing
from larkslate.plan.model import BlockKind, Dictation, Role, UnitPlan, WordItem
from larkslate.plan.schedule import taught_by
from larkslate.school import schema
from larkslate.school.model import Item, ItemKind, Sitting, SittingKind
from larkslate.school.roster import touch
from larkslate.school.store import School, new_id
from larkslate.sequence.model import Sequence as Course

_PRACTICED = {Role.TOGETHER, Role.ALONE, Role.MODEL, Role.REVIEW, Role.IRREGULAR}


def items_of(dictation: Dictation, *, practiced: frozenset[str] = frozenset()) -> tuple[Item, ...]:
    """What children write in a dictation, numbered in the order given."""
    passage = dictation.passage
    made: list[Item] = []
    for word in (*dictation.words, *(passage.gaps if passage else ())):
        around = _around(passage.text, word.word) if passage else None
        made.append(
            Item(
                number=len(made) + 1,
                kind=ItemKind.WORD,
                target=word.word,
                sentence=word.sentence or around,
                points=word.points,
                practiced=word.word.lower() in practiced,
            )
        )
    for text in (*dictation.sentences, *(passage.write if passage else ())):
        known = (w.lower() for w in words_of(text.text))
        made.append(
            Item(
                number=len(made) + 1,
                kind=ItemKind.SENTENCE,
                target=text.text,
                points=text.points,
                known=tuple(w for w in dict.fromkeys(known) if w in practiced),
            )
        )
    for place in dictation.places:
        made.append(
            Item(
                number=len(made) + 1,
                kind=ItemKind.PLACE,
                target=place.name,
                points=place.points,
                legal=place.legal,
                phonemes=place.phonemes,
            )
        )
    for pair in dictation.pairs:
        made.append(
            Item(
                number=len(made) + 1,
                kind=ItemKind.CHOICE,
                target=pair.answer,
                sentence=f"{pair.before} {pair.answer} {pair.after}".strip(),
                points=pair.points,
                choices=pair.choices,
            )
        )
    return tuple(made)


def _around(text: str, word: str) -> str | None:
    """The sentence of a passage in which a word stands."""
    start = text.find(word)
    if start < 0:
        return None
    first = max(text.rfind(end, 0, start) for end in ".!?") + 1
    ends = [i for i in (text.find(end, start) for end in ".!?") if i >= 0]
    return text[first : min(ends) + 1 if ends else len(text)].strip()


def practiced_words(plan: UnitPlan, lesson: int) -> frozenset[str]:
    """Words that the class has written in the lessons of a unit before one of them, in lower case."""
    return frozenset(
        item.word.lower()
        for one in plan.lessons
        if one.number < lesson
        for block in one.blocks
        if block.kind is not BlockKind.DICTATION
        for item in block.items
        if isinstance(item, WordItem) and item.role in _PRACTICED
    )


def dictation_of(plan: UnitPlan, lesson: int, form: str = "A") -> Dictation:
    """The dictation of a lesson of a plan. Raises Missing with the lessons that have one."""
    there: list[str] = []
    for one in plan.lessons:
        found = [i for b in one.blocks for i in b.items if isinstance(i, Dictation)]
        if one.number == lesson:
            for dictation in found:
                if dictation.form == form:
                    return dictation
        if found:
            there.append(one.id)
    raise Missing(
        f"Lesson {plan.unit}.{lesson} has no dictation {form}: the dictations of this unit are in "
        f"{', '.join(there) or 'no lesson'}."
    )


def add_from_plan(
    school: School,
    class_id: str,
    plan: UnitPlan,
    lesson: int,
    *,
    course: Course,
    form: str = "A",
    day: date | None = None,
) -> Sitting:
    """The sitting of a planned dictation. Raises Missing where the lesson has none."""
    dictation = dictation_of(plan, lesson, form)
    full = dictation.passage is not None
    return add(
        school,
        class_id,
        SittingKind.DICTATION if full else SittingKind.CHECKPOINT,
        items_of(dictation, practiced=practiced_words(plan, lesson)),
        through=course.points[taught_by(course.theme(plan.unit), course, lesson)].id,
        day=day,
        form=form,
        unit=plan.unit,
        lesson=lesson,
    )


def add(
    school: School,
    class_id: str,
    kind: SittingKind,
    items: Sequence[Item],
    *,
    through: str,
    day: date | None = None,
    form: str = "A",
    unit: int | None = None,
    lesson: int | None = None,
) -> Sitting:
    """A new sitting, today unless a day is given. Raises Malformed without items."""
    if not items:
        raise Malformed("A sitting needs at least one item: choose the words to dictate.")
    if len({i.number for i in items}) != len(items):
        raise Malformed("Two items of a sitting have one number: number them anew.")
    made = Sitting(
        id=new_id(),
        class_id=class_id,
        kind=kind,
        day=day or school.today(),
        through=through,
        items=tuple(items),
        form=form,
        unit=unit,
        lesson=lesson,
    )
    with school.writing() as connection:
        connection.execute(
            schema.sittings.insert().values(
                id=made.id,
                class_id=class_id,
                kind=kind.value,
                unit=unit,
                lesson=lesson,
                form=form,
                day=made.day.isoformat(),
                through=through,
                items=items_json(made.items),
                created=school.stamp(),
            )
        )
        touch(connection, school, class_id)
    return made


def items_json(items: Sequence[Item]) -> str:
    """Items as they are stored."""
    return json.dumps(
        [
            {
                "number": i.number,
                "kind": i.kind.value,
                "target": i.target,
                "sentence": i.sentence,
                "points": list(i.points),
                "practiced": i.practiced,
                "known": list(i.known),
                "legal": list(i.legal),
                "phonemes": list(i.phonemes),
                "choices": list(i.choices),
            }
            for i in items
        ],
        ensure_ascii=False,
    )


def items_from(text: str) -> tuple[Item, ...]:
    """Items from what is stored."""
    return tuple(
        Item(
            number=i["number"],
            kind=ItemKind(i["kind"]),
            target=i["target"],
            sentence=i.get("sentence"),
            points=tuple(i.get("points", ())),
            practiced=i.get("practiced", False),
            known=tuple(i.get("known", ())),
            legal=tuple(i.get("legal", ())),
            phonemes=tuple(i.get("phonemes", ())),
            choices=tuple(i.get("choices", ())),
        )
        for i in json.loads(text)
    )


def _sitting(row: sa.Row[Any]) -> Sitting:
    return Sitting(
        id=row.id,
        class_id=row.class_id,
        kind=SittingKind(row.kind),
        day=date.fromisoformat(row.day),
        through=row.through,
        items=items_from(row.items),
        form=row.form,
        unit=row.unit,
        lesson=row.lesson,
    )


def sittings(school: School, class_id: str) -> tuple[Sitting, ...]:
    """The sittings of a class, the earliest first."""
    table = schema.sittings
    with school.reading() as connection:
        rows = connection.execute(
            sa.select(table)
            .where(table.c.class_id == class_id)
            .order_by(table.c.day, table.c.created)
        ).all()
    return tuple(_sitting(r) for r in rows)


def sitting(school: School, sitting_id: str) -> Sitting:
    """One sitting. Raises Missing."""
    with school.reading() as connection:
        row = connection.execute(
            sa.select(schema.sittings).where(schema.sittings.c.id == sitting_id)
        ).one_or_none()
    if row is None:
        raise Missing(
            "There is no such dictation here: it may have been deleted. Go back to the class."
        )
    return _sitting(row)


def change_day(school: School, sitting_id: str, day: date) -> None:
    """Put right the day on which a sitting was given. Raises Missing."""
    _change(school, sitting_id, schema.sittings.update().values(day=day.isoformat()))


def remove(school: School, sitting_id: str) -> None:
    """Delete a sitting with every answer. Raises Missing."""
    _change(school, sitting_id, schema.sittings.delete())


def _change(school: School, sitting_id: str, statement: sa.Update | sa.Delete) -> None:
    table = schema.sittings
    with school.writing() as connection:
        owner = connection.execute(
            sa.select(table.c.class_id).where(table.c.id == sitting_id)
        ).scalar_one_or_none()
        if owner is None:
            raise Missing("There is no such dictation here: it may have been deleted already.")
        connection.execute(statement.where(table.c.id == sitting_id))
        touch(connection, school, owner)
