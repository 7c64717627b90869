"""The plans of a class: kept with the ones they superseded, made from the sequence and from what is due."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from larkslate.choose.bank import shipped_bank
from larkslate.choose.pool import stock
from larkslate.errors import Missing
from larkslate.plan.audit import audit
from larkslate.plan.codec import from_json, to_json
from larkslate.plan.model import UnitPlan
from larkslate.plan.unit import plan_unit
from larkslate.school import daybook, schema
from larkslate.school.ledger import Ledger
from larkslate.school.model import StoredPlan
from larkslate.school.review import class_standings
from larkslate.school.roster import touch
from larkslate.school.store import School, new_id


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
    from larkslate.school.sittings import sittings  # noqa: PLC0415 - see below

    done = [d.lesson for d in daybook.lesson_days(school, class_id) if d.unit == unit and d.done]
    given = [s.lesson for s in sittings(school, class_id) if s.unit == unit and s.lesson]
    return max([0, *done, *given])


def make(
    school: School, class_id: str, unit: int, *, ledger: Ledger, seed: int | None = None
) -> UnitPlan:
    """Plan a unit from what the class has shown, and store it.

    Where the unit has begun, the lessons that are done or dictated stay as they were, and only those after them are
    made anew: that is how a marked checkpoint changes the next lesson. Without a seed the unit keeps its own.
    Raises Missing for a unit that does not exist.
    """
    old = current(school, class_id, unit)
    number = seed if seed is not None else (old.seed if old else 0)
    made = plan_unit(
        unit,
        sequence=ledger.course,
        reach=ledger.reach,
        lexicon=ledger.lexicon,
        seed=number,
        standings=class_standings(ledger.view(school, class_id)),
    )
    begun = taught_through(school, class_id, unit) if old else 0
    if old is not None and begun:
        made = spliced(old, made, begun, ledger)
    store(school, class_id, made)
    return made


def spliced(old: UnitPlan, new: UnitPlan, through: int, ledger: Ledger) -> UnitPlan:
    """The lessons of ``old`` up to one, those of ``new`` after it, audited as one plan."""
    lessons = (
        *(one for one in old.lessons if one.number <= through),
        *(one for one in new.lessons if one.number > through),
    )
    mixed = replace(new, lessons=lessons)
    bank = shipped_bank()
    found = audit(
        mixed,
        ledger.reach,
        names=bank.names,
        stock=stock(ledger.reach, ledger.lexicon),
    )
    return replace(mixed, audit=found)
