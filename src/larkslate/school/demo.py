"""The demo class: 24 invented students of an invented lakeside school with one term of invented answers.

The generator is a simple learner model. Each student has a strength; each point a difficulty (an assumed point is easier
than a new one); each student and point together a true skill, fixed for the term: the chance that the point is known is
the logistic function of strength minus difficulty, with some chance of its own, and much lower for the points that stay
hard for this student. For each dictated item the points it needs are known or not by that chance; where one is not, a
wrong form that counts against that point is written, the likelier ones more often (``data/demo_items.tsv``, made from the
marking's own tables). A few answers are slips, blank, illegible, and a few students are absent. The same folder and the
same day give the same answers.
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import sqlalchemy as sa

from larkslate.assess.model import Channel, ResponseStatus
from larkslate.datafile import read_tsv
from larkslate.errors import NotAllowed
from larkslate.school import erase, roster, schema
from larkslate.school.model import (
    Classroom,
    ClassSettings,
    Hand,
    Item,
    ItemKind,
    RosterPreview,
    RosterRow,
    SittingKind,
    Student,
)
from larkslate.school.sittings import items_json
from larkslate.school.store import School, new_id
from larkslate.sequence.load import shipped

NAME = "Lakeside demo class"
SEED = 24
COLUMNS = (
    "sitting",
    "kind",
    "unit",
    "lesson",
    "through",
    "item",
    "target",
    "sentence",
    "points",
    "practiced",
    "more",
    "forms",
)
TEACHING_DAYS = (0, 1, 2, 3)  # Monday to Thursday: four lessons a week
EASY, NEW, WEAK, SPREAD = 2.6, 1.3, 2.4, 0.5
SLIP, BLANK, ILLEGIBLE, ABSENT = 0.03, 0.01, 0.005, 0.03


@dataclass(frozen=True, slots=True)
class Form:
    """A wrong answer and the points that it counts against."""

    written: str
    points: frozenset[str]


@dataclass(frozen=True, slots=True)
class Asked:
    """One item of the demo term and the wrong answers that may be written."""

    item: Item
    forms: tuple[Form, ...]


@dataclass(frozen=True, slots=True)
class Given:
    """One sitting of the demo term."""

    kind: SittingKind
    unit: int | None
    lesson: int | None
    through: str
    asked: tuple[Asked, ...]


@dataclass(frozen=True, slots=True)
class Learner:
    """One invented student: the roster's row, the strength, the points that stay hard, the week of a late start."""

    row: RosterRow
    strength: float
    weak: frozenset[str]
    week: int | None


@lru_cache(maxsize=1)
def learners() -> tuple[Learner, ...]:
    """The invented class, checked."""
    found = []
    columns = (
        "label",
        "seat",
        "hand",
        "larger_print",
        "extra_time",
        "joined_week",
        "strength",
        "weak",
    )
    for row in read_tsv("school", "demo_students.tsv", columns):
        line = RosterRow(
            row=row.line,
            label=row["label"],
            seat=int(row["seat"]),
            hand=Hand(row["hand"]),
            larger_print=int(row["larger_print"]),
            extra_time=row["extra_time"] == "yes",
        )
        week = int(row["joined_week"]) if row["joined_week"] else None
        found.append(Learner(line, float(row["strength"]), frozenset(row["weak"].split()), week))
    return tuple(found)


def _form(text: str) -> Form:
    written, _, points = text.partition(" >")
    return Form(written.strip(), frozenset(points.split()))


@lru_cache(maxsize=1)
def term() -> tuple[Given, ...]:
    """The sittings of the demo term in order."""
    names: dict[str, tuple[SittingKind, int | None, int | None, str]] = {}
    asked: dict[str, list[Asked]] = {}
    for row in read_tsv("school", "demo_items.tsv", COLUMNS):
        name = row["sitting"]
        names[name] = (
            SittingKind(row["kind"]),
            int(row["unit"]) if row["unit"] else None,
            int(row["lesson"]) if row["lesson"] else None,
            row["through"],
        )
        more = json.loads(row["more"]) if row["more"] else {}
        there = asked.setdefault(name, [])
        item = Item(
            number=len(there) + 1,
            kind=ItemKind(row["item"]),
            target=row["target"],
            sentence=row["sentence"] or None,
            points=tuple(row["points"].split()),
            practiced=row["practiced"] == "yes",
            known=tuple(more.get("known", ())),
            legal=tuple(more.get("legal", ())),
            phonemes=tuple(more.get("phonemes", ())),
            choices=tuple(more.get("choices", ())),
        )
        forms = tuple(_form(f) for f in row["forms"].split(" | ") if f)
        there.append(Asked(item, forms))
    return tuple(Given(*names[n], tuple(asked[n])) for n in names)


def _days(last: date, count: int) -> list[date]:
    """The last teaching days up to and with a day, the earliest first."""
    found: list[date] = []
    day = last
    while len(found) < count:
        if day.weekday() in TEACHING_DAYS:
            found.append(day)
        day -= timedelta(days=1)
    return found[::-1]


def _lessons(given: Sequence[Given]) -> list[tuple[int, int]]:
    """Unit and lesson of every lesson up to the last sitting."""
    course = shipped()
    last = given[-1]
    return [
        (theme.number, n)
        for theme in course.themes
        for n in range(1, len(theme.lessons) + 1)
        if last.unit is not None and last.lesson is not None
        if (theme.number, n) <= (last.unit, last.lesson)
    ]


@dataclass(slots=True)
class _Mind:
    """What one invented student knows: the true skill on each point, made when first asked for."""

    learner: Learner
    chance: random.Random
    known: dict[str, float]

    def skill(self, point: str) -> float:
        if point not in self.known:
            worth = self.learner.strength + (EASY if point.startswith("K2.") else NEW)
            worth += self.chance.gauss(0.0, SPREAD) - (WEAK if point in self.learner.weak else 0.0)
            self.known[point] = 1.0 / (1.0 + math.exp(-worth))
        return self.known[point]

    def writes(self, asked: Asked) -> str:
        """The answer to one item."""
        points = sorted({p for f in asked.forms for p in f.points} | set(asked.item.points))
        lost = {p for p in points if self.chance.random() > self.skill(p)}
        fitting = [f for f in asked.forms if f.points & lost]
        if not fitting and self.chance.random() < SLIP:
            fitting = [f for f in asked.forms if not f.points]
        if not fitting:
            return asked.item.target
        weights = [1.0 / (n + 1) for n in range(len(fitting))]
        return self.chance.choices(fitting, weights)[0].written


def _answers(
    given: Given, sitting_id: str, stamp: str, who: Sequence[tuple[Student, _Mind]], day: date
) -> Iterator[dict[str, object]]:
    for student, mind in who:
        if student.joined is not None and day < student.joined:
            continue
        away = mind.chance.random() < ABSENT
        for asked in given.asked:
            status, written = ResponseStatus.WRITTEN, mind.writes(asked)
            dice = mind.chance.random()
            if away:
                status = ResponseStatus.ABSENT
            elif dice < BLANK:
                status = ResponseStatus.BLANK
            elif dice < BLANK + ILLEGIBLE:
                status = ResponseStatus.ILLEGIBLE
            yield {
                "sitting_id": sitting_id,
                "student_id": student.id,
                "item": asked.item.number,
                "written": written if status is ResponseStatus.WRITTEN else "",
                "status": status.value,
                "channel": Channel.CLASS.value,
                "revision": 1,
                "entered": stamp,
            }


def there(school: School) -> Classroom | None:
    """The demo class of a folder; None where there is none."""
    return next((c for c in roster.classes(school) if c.invented), None)


def load(school: School) -> Classroom:
    """Put the demo class into an empty folder; gives the one that is there already in a demo folder.

    Everything in it is invented and marked so. Raises NotAllowed in a folder with a class of its own.
    """
    found = there(school)
    if found is not None:
        return found
    if roster.classes(school):
        raise NotAllowed(
            "The demo class goes into an empty data folder only, so that it never mixes with a real one: choose "
            "another folder with --data."
        )
    given = term()
    lessons = _lessons(given)
    openings = [g for g in given if g.kind is SittingKind.BASELINE]
    days = _days(school.today() - timedelta(days=1), len(openings) + len(lessons))
    made = roster.add_class(
        school,
        NAME,
        grade="3",
        year=_year(school.today()),
        settings=ClassSettings(first_day=days[0]),
        invented=True,
    )
    rows = [_dated(one, days[0]) for one in learners()]
    students = {
        s.label: s for s in roster.add_students(school, made.id, RosterPreview(tuple(rows)))
    }
    chance = random.Random(SEED)  # noqa: S311 - invented answers, the same each time
    who = [
        (students[one.row.label], _Mind(one, random.Random(chance.random()), {}))  # noqa: S311
        for one in learners()
    ]
    when = dict(zip(lessons, days[len(openings) :], strict=True))
    stamp = school.stamp()
    with school.writing() as connection:
        connection.execute(
            schema.lesson_days.insert(),
            [
                {
                    "class_id": made.id,
                    "unit": u,
                    "lesson": n,
                    "day": d.isoformat(),
                    "done": True,
                    "note": "",
                }
                for (u, n), d in when.items()
            ],
        )
        for number, one in enumerate(given):
            day = (
                when[one.unit, one.lesson]
                if one.unit is not None and one.lesson is not None
                else days[number]
            )
            sitting_id = new_id()
            connection.execute(
                schema.sittings.insert().values(
                    id=sitting_id,
                    class_id=made.id,
                    kind=one.kind.value,
                    unit=one.unit,
                    lesson=one.lesson,
                    form="A",
                    day=day.isoformat(),
                    through=one.through,
                    items=items_json([a.item for a in one.asked]),
                    created=stamp,
                )
            )
            connection.execute(
                schema.responses.insert(), list(_answers(one, sitting_id, stamp, who, day))
            )
        roster.touch(connection, school, made.id)
    return roster.classroom(school, made.id)


def _dated(one: Learner, first: date) -> RosterRow:
    if one.week is None:
        return one.row
    row = one.row
    return RosterRow(
        row.row,
        row.label,
        row.seat,
        row.hand,
        row.larger_print,
        row.extra_time,
        joined=first + timedelta(weeks=one.week - 1),
    )


def _year(today: date) -> str:
    """The school year of a day: it begins in August."""
    first = today.year if today.month >= 8 else today.year - 1
    return f"{first}-{(first + 1) % 100:02}"


def remove(school: School) -> bool:
    """Take the demo class out again, for good; False where there was none."""
    with school.reading() as connection:
        ids = (
            connection.execute(sa.select(schema.classes.c.id).where(schema.classes.c.invented))
            .scalars()
            .all()
        )
    for class_id in ids:
        erase.classroom(school, class_id)
    return bool(ids)
