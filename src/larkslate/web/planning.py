"""Plans of a class: which units are planned, the lessons with their reasons, what changed after marking, the paper."""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from larkslate.errors import Missing
from larkslate.plan.model import BlockKind, Dictation, Role, WordItem
from larkslate.school import daybook, plans, review, sittings
from larkslate.school.model import LessonDay
from larkslate.web.rooms import away, file, number_in

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from larkslate.plan.model import Lesson, UnitPlan
    from larkslate.school.model import Classroom
    from larkslate.sequence.model import Theme
    from larkslate.web.forms import Form
    from larkslate.web.rooms import Rooms

WEEK = 5  # lessons
WEEKLY = ("teacher", "student", "key", "script", "paper")


@dataclass(frozen=True, slots=True)
class Change:
    """What marking changed in a lesson to come: review words that came in and that went out."""

    lesson: Lesson
    came: tuple[WordItem, ...]
    went: tuple[WordItem, ...]


def reviews(lesson: Lesson) -> tuple[WordItem, ...]:
    """The words of a lesson that bring an earlier point back."""
    return tuple(
        item
        for block in lesson.blocks
        for item in block.items
        if isinstance(item, WordItem) and item.role is Role.REVIEW
    )


def has_dictation(lesson: Lesson) -> bool:
    """True where the lesson dictates something that is marked."""
    return any(
        isinstance(item, Dictation)
        for block in lesson.blocks
        if block.kind is BlockKind.DICTATION
        for item in block.items
    )


def changes(old: UnitPlan, new: UnitPlan) -> list[Change]:
    """The lessons whose review words differ between two plans of a unit."""
    before = {one.number: reviews(one) for one in old.lessons}
    found = []
    for lesson in new.lessons:
        was, now = before.get(lesson.number, ()), reviews(lesson)
        came = tuple(w for w in now if w.word not in {o.word for o in was})
        went = tuple(w for w in was if w.word not in {n.word for n in now})
        if came or went:
            found.append(Change(lesson, came, went))
    return found


class Planning:
    """The handlers of the plan pages."""

    def __init__(self, rooms: Rooms) -> None:
        self.rooms = rooms

    def go(self, _request: Request, _form: Form) -> Response:
        """The plan of the class worked on last."""
        return self.rooms.to_class("/plan")

    # ---- what there is ----------------------------------------------------------------------

    def plan_of(self, room: Classroom, unit: int) -> UnitPlan:
        """The current plan of a unit. Raises Missing with what to do."""
        self.rooms.desk.sequence.theme(unit)
        found = plans.current(self.rooms.school, room.id, unit)
        if found is None:
            raise Missing(f"Unit {unit} is not planned yet for {room.name}: plan it first.")
        return found

    def next_lesson(self, room: Classroom) -> tuple[UnitPlan, Lesson] | None:
        """The lesson that comes next in the last unit begun, else the first of the first one planned."""
        school = self.rooms.school
        planned = [p.unit for p in plans.plans(school, room.id)]
        begun = [u for u in planned if plans.taught_through(school, room.id, u)]
        for unit in [*begun[-1:], *(u for u in planned if u > max(begun, default=0))]:
            plan = self.plan_of(room, unit)
            done = plans.taught_through(school, room.id, unit)
            later = [one for one in plan.lessons if one.number > done]
            if later:
                return plan, later[0]
        return None

    def next_unit(self, room: Classroom) -> Theme | None:
        """The unit to plan next: the one the class is in or has come to, None where all is planned."""
        school = self.rooms.school
        planned = {p.unit for p in plans.plans(school, room.id)}
        met = [d.unit for d in daybook.lesson_days(school, room.id) if d.done]
        met += [s.unit for s in sittings.sittings(school, room.id) if s.unit]
        here = max(met, default=0)
        themes = self.rooms.desk.sequence.themes
        if 0 < here <= len(themes) and plans.taught_through(school, room.id, here) >= len(
            themes[here - 1].lessons
        ):
            here += 1
        return next((t for t in themes if t.number >= here and t.number not in planned), None)

    def last_change(self, room: Classroom, plan: UnitPlan) -> list[Change]:
        """What differs from the plan that this one superseded, in the lessons still to come."""
        kept = [
            p
            for p in plans.plans(self.rooms.school, room.id, superseded=True)
            if p.unit == plan.unit and not p.current
        ]
        if not kept:
            return []
        done = plans.taught_through(self.rooms.school, room.id, plan.unit)
        old = plans.load(self.rooms.school, kept[0].id)
        if old.seed != plan.seed:
            return []  # planned with other words: nothing of that comes from marking
        return [c for c in changes(old, plan) if c.lesson.number > done]

    # ---- pages ------------------------------------------------------------------------------

    def units(self, request: Request, _form: Form) -> Response:
        """The units of the class: planned, begun, done."""
        room = self.rooms.classroom(request)
        school = self.rooms.school
        planned = {p.unit: p for p in plans.plans(school, room.id)}
        begun = {u: plans.taught_through(school, room.id, u) for u in planned}
        coming = self.next_lesson(room)
        return self.rooms.show(
            "plan.html",
            here="plan",
            room=room,
            sequence=self.rooms.desk.sequence,
            planned=planned,
            begun=begun,
            coming=coming[1] if coming else None,
            first=first.number if (first := self.next_unit(room)) else None,
        )

    def unit(self, request: Request, _form: Form) -> Response:
        """A planned unit: lessons, what is to come, what changed."""
        room = self.rooms.classroom(request)
        unit = number_in(request, "unit")
        theme = self.rooms.desk.sequence.theme(unit)
        plan = plans.current(self.rooms.school, room.id, unit)
        return self.rooms.show(
            "class_unit.html",
            here="plan",
            room=room,
            theme=theme,
            points=[self.rooms.desk.sequence.point(p) for p in theme.points],
            plan=plan,
            done=plans.taught_through(self.rooms.school, room.id, unit) if plan else 0,
            changed=self.last_change(room, plan) if plan else [],
            reviews=reviews,
            has_dictation=has_dictation,
        )

    def make(self, request: Request, form: Form) -> Response:
        """Plan a unit, or plan what is still to come of it anew."""
        room = self.rooms.classroom(request)
        unit = number_in(request, "unit")
        plans.make(
            self.rooms.school,
            room.id,
            unit,
            ledger=self.rooms.ledger,
            seed=form.number("seed", "The number to choose words by"),
        )
        return away(f"/class/{room.id}/plan/{unit}")

    def lesson(self, request: Request, _form: Form) -> Response:
        """One lesson of the class, with what comes back and why."""
        from larkslate.web.app import timed

        room = self.rooms.classroom(request)
        plan = self.plan_of(room, number_in(request, "unit"))
        number = number_in(request, "lesson")
        by_number = {one.number: one for one in plan.lessons}
        if number not in by_number:
            raise Missing(
                f"Unit {plan.unit} has no lesson {number}: its lessons are 1 to {len(by_number)}."
            )
        one = by_number[number]
        day = next(
            (
                d
                for d in daybook.lesson_days(self.rooms.school, room.id)
                if (d.unit, d.lesson) == (plan.unit, number)
            ),
            None,
        )
        given = [
            s
            for s in sittings.sittings(self.rooms.school, room.id)
            if (s.unit, s.lesson) == (plan.unit, number)
        ]
        return self.rooms.show(
            "class_lesson.html",
            here="plan",
            room=room,
            theme=self.rooms.desk.sequence.theme(plan.unit),
            lesson=one,
            blocks=timed(one.blocks),
            before=by_number.get(number - 1),
            after=by_number.get(number + 1),
            reviews=reviews(one),
            change=next(
                (c for c in self.last_change(room, plan) if c.lesson.number == number), None
            ),
            dictates=has_dictation(one),
            given=given,
            day=day,
            today=self.rooms.school.today(),
            documents=self.rooms.pages._documents(plan, number),
        )

    def done(self, request: Request, form: Form) -> Response:
        """Note that a lesson was taught, with the day and a line for oneself."""
        room = self.rooms.classroom(request)
        unit, lesson = number_in(request, "unit"), number_in(request, "lesson")
        self.plan_of(room, unit)
        daybook.set_lesson_day(
            self.rooms.school,
            LessonDay(
                room.id,
                unit,
                lesson,
                form.day("day", "Taught on") or self.rooms.school.today(),
                done=form.text("done") != "no",
                note=form.text("note"),
            ),
        )
        back = form.text("back")
        return away(
            f"/class/{room.id}/today"
            if back == "today"
            else f"/class/{room.id}/plan/{unit}/{lesson}"
        )

    # ---- paper ------------------------------------------------------------------------------

    def pdf(self, request: Request, _form: Form) -> Response:
        """A document of a lesson or unit of the class, in its hand and paper."""
        from larkslate.materials import documents

        room = self.rooms.classroom(request)
        plan = self.plan_of(room, number_in(request, "unit"))
        lesson = number_in(request, "lesson") if "lesson" in request.path_params else None
        kind = request.path_params["kind"]
        content = documents.make(
            kind,
            plan,
            lesson,
            paper=room.settings.paper,
            speed=room.settings.letters_per_minute,
            hand=room.settings.writing,
        )
        name = f"{plan.unit}{f'.{lesson}' if lesson else ''}-{kind}.pdf"
        return file(content, name, "application/pdf")

    def week(self, request: Request, _form: Form) -> Response:
        """Everything to print for the next five lessons, in one file."""
        from larkslate.materials import documents

        room = self.rooms.classroom(request)
        coming = self.next_lesson(room)
        if coming is None:
            raise Missing("No lesson is planned: plan a unit first.")
        plan, first = coming
        lessons = tuple(
            one for one in plan.lessons if first.number <= one.number < first.number + WEEK
        )
        part = replace(plan, lessons=lessons)
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as out:
            for kind in WEEKLY:
                try:
                    content = documents.make(
                        kind,
                        part,
                        paper=room.settings.paper,
                        speed=room.settings.letters_per_minute,
                        hand=room.settings.writing,
                        two_sided=True,
                    )
                except Missing:  # no dictation this week, no paper for it
                    continue
                out.writestr(f"{plan.unit}-week-{kind}.pdf", content)
        name = f"unit-{plan.unit}-lessons-{lessons[0].number}-to-{lessons[-1].number}.zip"
        return file(packed.getvalue(), name, "application/zip")


def due_of(rooms: Rooms, room: Classroom) -> tuple[review.Due, ...]:
    """What should come back in a class, with reasons."""
    return review.review_due(rooms.view(room.id))


Handlers = Planning
