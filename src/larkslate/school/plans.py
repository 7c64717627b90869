"""The plans of a class: kept with the ones they superseded, made from the sequence and from what is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, TypeGuard

import sqlalchemy as sa

from larkslate.choose.bank import shipped_bank
from larkslate.choose.pool import candidates, stock
from larkslate.errors import Missing, NotAllowed
from larkslate.plan.audit import audit
from larkslate.plan.choice import REVIEWS, held_back, words_of
from larkslate.plan.codec import from_json, to_json
from larkslate.plan.dictations import answers
from larkslate.plan.items import Maker
from larkslate.plan.model import (
    Block,
    BlockKind,
    Dictation,
    Item,
    Lesson,
    LessonKind,
    Role,
    UnitPlan,
    WordItem,
)
from larkslate.plan.schedule import late_points, taught_by
from larkslate.plan.unit import plan_unit
from larkslate.school import daybook, schema
from larkslate.school.ledger import Ledger
from larkslate.school.model import Answer, ItemKind, StoredPlan
from larkslate.school.model import Item as Asked
from larkslate.school.review import Due, class_standings, reason_for, review_due
from larkslate.school.roster import touch
from larkslate.school.sittings import sittings
from larkslate.school.store import School, new_id
from larkslate.sequence.model import K2
from larkslate.sequence.reach import KNOWN_WHOLE_POINT

SHORTEST = 3  # letters of a word that reviews an assumed point


def _stored(row: sa.Row[Any]) -> StoredPlan:
    return StoredPlan(
        row.id, row.class_id, row.unit, row.seed, row.current, datetime.fromisoformat(row.created)
    )


def store(school: School, class_id: str, plan: UnitPlan) -> StoredPlan:
    """Keep a plan as the current one of its unit; the one before is kept and is not current anymore."""
    table = schema.plans
    body = to_json(plan).decode()
    with school.writing() as connection:
        same = sa.and_(table.c.class_id == class_id, table.c.unit == plan.unit, table.c.current)
        old = connection.execute(sa.select(table).where(same)).first()
        if old is not None and old.body == body:
            return _stored(old)
        connection.execute(table.update().where(same).values(current=False))
        values = {
            "id": new_id(),
            "class_id": class_id,
            "unit": plan.unit,
            "seed": plan.seed,
            "body": body,
            "current": True,
            "created": school.stamp(),
        }
        connection.execute(table.insert().values(**values))
        touch(connection, school, class_id)
    return StoredPlan(
        str(values["id"]),
        class_id,
        plan.unit,
        plan.seed,
        True,
        datetime.fromisoformat(str(values["created"])),
    )


def current(school: School, class_id: str, unit: int) -> UnitPlan | None:
    """The current plan of a unit; None where the class has none.

    Raises OutOfDate for a plan in the form of another version.
    """
    table = schema.plans
    with school.reading() as connection:
        body = connection.execute(
            sa.select(table.c.body).where(
                table.c.class_id == class_id, table.c.unit == unit, table.c.current
            )
        ).scalar_one_or_none()
    return from_json(body) if body is not None else None


def load(school: School, plan_id: str) -> UnitPlan:
    """A plan by its id, current or not. Raises Missing."""
    table = schema.plans
    with school.reading() as connection:
        body = connection.execute(
            sa.select(table.c.body).where(table.c.id == plan_id)
        ).scalar_one_or_none()
    if body is None:
        raise Missing("There is no such plan here: go back to the list of plans.")
    return from_json(body)


def plans(school: School, class_id: str, *, superseded: bool = False) -> tuple[StoredPlan, ...]:
    """The plans of a class by unit; ``superseded`` lists the earlier ones of each unit too, the latest first."""
    table = schema.plans
    asked = sa.select(table).where(table.c.class_id == class_id)
    if not superseded:
        asked = asked.where(table.c.current)
    with school.reading() as connection:
        rows = connection.execute(asked.order_by(table.c.unit, table.c.created.desc())).all()
    return tuple(_stored(r) for r in rows)


def taught_through(school: School, class_id: str, unit: int) -> int:
    """The number of the last lesson of a unit that is done or dictated; 0 where none is."""
    done = [d.lesson for d in daybook.lesson_days(school, class_id) if d.unit == unit and d.done]
    given = [s.lesson for s in sittings(school, class_id) if s.unit == unit and s.lesson]
    return max([0, *done, *given])


def make(
    school: School, class_id: str, unit: int, *, ledger: Ledger, seed: int | None = None
) -> UnitPlan:
    """Plan a unit from what the class has shown, and store it.

    Where the unit has begun, its lessons stay as they are but for the review words of those that are still to come:
    that is how a marked checkpoint changes the next lesson. Each review word says why it is there. Without a seed
    the unit keeps its own. Raises Missing for a unit that does not exist, NotAllowed for another seed in a unit that
    has begun.
    """
    view = ledger.view(school, class_id)
    due = review_due(view)
    old = current(school, class_id, unit)
    begun = taught_through(school, class_id, unit) if old else 0
    if old is not None and begun:
        if seed not in (None, old.seed):
            raise NotAllowed(
                f"Unit {unit} has begun, so its words stay. Choose other words for a unit that is still to come."
            )
        made = with_reviews(old, begun, due, ledger)
    else:
        made = plan_unit(
            unit,
            sequence=ledger.course,
            reach=ledger.reach,
            lexicon=ledger.lexicon,
            seed=seed if seed is not None else (old.seed if old else 0),
            standings=class_standings(view),
        )
        made = with_reasons(made, due)
    store(school, class_id, made)
    return made


def _is_review(item: Item, block: Block) -> TypeGuard[WordItem]:
    """True for a word that brings an earlier point back, which stands among the words written alone."""
    return block.kind is BlockKind.ALONE and isinstance(item, WordItem) and item.role is Role.REVIEW


def with_reasons(plan: UnitPlan, due: Sequence[Due]) -> UnitPlan:
    """The plan with the reason from the ledger on each review word that has one."""

    def told(block: Block, item: Item) -> Item:
        if _is_review(item, block):
            reason = reason_for(item.points, due)
            return replace(item, why=f"{reason}.") if reason else item
        return item

    return replace(
        plan,
        lessons=tuple(
            replace(
                lesson,
                blocks=tuple(
                    replace(b, items=tuple(told(b, i) for i in b.items)) for b in lesson.blocks
                ),
            )
            for lesson in plan.lessons
        ),
    )


def with_reviews(plan: UnitPlan, through: int, due: Sequence[Due], ledger: Ledger) -> UnitPlan:
    """The plan with the review words of the lessons after ``through`` chosen from what is due now.

    Two words a lesson, the points in turn, the most due first; no word that stands anywhere in the unit, and none
    that is held back for a dictation. Everything else stays as printed. The audit is made anew.
    """
    chooser = _Reviews(plan, due, ledger)
    lessons = tuple(
        chooser.changed(lesson)
        if lesson.number > through and lesson.kind in (LessonKind.NEW, LessonKind.MIX)
        else lesson
        for lesson in plan.lessons
    )
    changed = replace(plan, lessons=lessons)
    found = audit(changed, ledger.reach, names=shipped_bank().names, stock=chooser.stock)
    return replace(changed, audit=replace(found, notes=plan.audit.notes))


class _Reviews:
    """Chooses review words for the lessons of a unit that are still to come."""

    def __init__(self, plan: UnitPlan, due: Sequence[Due], ledger: Ledger) -> None:
        self.ledger = ledger
        self.course = ledger.course
        self.theme = self.course.theme(plan.unit)
        self.stock = stock(ledger.reach, ledger.lexicon)
        self.maker = Maker(self.stock, self.theme, plan.seed, tuple(sorted(shipped_bank().names)))
        self.due = [d for d in due if not self.stock.rule(d.point).closed]
        self.turn = 0
        bank = shipped_bank()
        texts = [x.text for x in bank.lines if x.unit == plan.unit]
        texts += [x.text for x in bank.passages if x.unit == plan.unit]
        held = (
            held_back(self.stock, self.theme, p, words_of(texts)) for p in late_points(self.theme)
        )
        kept = {
            item.word
            for lesson in plan.lessons
            for block in lesson.blocks
            for item in block.items
            if isinstance(item, WordItem)
        }
        dictated = {
            w
            for lesson in plan.lessons
            for block in lesson.blocks
            for item in block.items
            if isinstance(item, Dictation)
            for w in answers([item])
        }
        self.busy = kept | dictated | words_of(texts) | {w for words in held for w in words}

    def changed(self, lesson: Lesson) -> Lesson:
        """The lesson with its review words chosen anew; as it was where nothing is due."""
        end = taught_by(self.theme, self.course, lesson.number)
        fits = [
            d
            for d in self.due
            if d.point not in lesson.points and self.course.index(d.point) <= end
        ]
        wanted = [fits[(self.turn + k) % len(fits)] for k in range(min(REVIEWS, len(fits)))]
        self.turn += len(wanted)
        chosen = [w for d in wanted if (w := self._word(d, end)) is not None]
        if not chosen:
            return lesson
        blocks = []
        for block in lesson.blocks:
            if block.kind is not BlockKind.ALONE:
                blocks.append(block)
                continue
            old = [i for i in block.items if _is_review(i, block)]
            reviews = (*chosen, *old[: max(0, len(old) - len(chosen))])
            words = [i for i in block.items if isinstance(i, WordItem) and i not in old]
            rest = [i for i in block.items if not isinstance(i, WordItem)]
            blocks.append(replace(block, items=(*words, *reviews, *rest)))
        return replace(lesson, blocks=tuple(blocks))

    def _word(self, due: Due, end: int) -> WordItem | None:
        """A word for a due point that stands nowhere else in the unit."""
        for candidate in candidates(self.stock, due.point, end):
            word = candidate.word
            if word in self.busy or candidate.index > end:
                continue
            shown = set(self.stock.points_shown(word))
            if self.course.point(due.point).k2:
                if len(word) < SHORTEST or not self._shows_k2(word, due.point):
                    continue
                shown.add(due.point)
            self.busy.add(word)
            return self.maker.word(
                word,
                Role.REVIEW,
                sorted((p for p in shown if self.course.index(p) <= end), key=self.course.index),
                f"{due.reason}.",
                show=due.point,
                said=True,
            )
        return None

    def _shows_k2(self, word: str, point: str) -> bool:
        """True where writing the word right is evidence on an assumed point, and it needs nothing later."""
        known_whole = word in self.course.known_words and point != KNOWN_WHOLE_POINT
        if known_whole or not self.ledger.reach.in_reach(word, K2):
            return False
        asked = Asked(1, ItemKind.WORD, word)
        right = self.ledger.diagnosis(asked, Answer("", "", 1, word), through=K2)
        return point in right.credited
