"""Marking: the grid of a sitting, one cell saved at a time, wrong forms seen once, who needs what."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from larkslate.assess.codes import codes
from larkslate.assess.likely import likely_forms
from larkslate.assess.model import Mark, ResponseStatus
from larkslate.assess.score import normal
from larkslate.errors import Malformed
from larkslate.school import daybook, plans, responses, review, sittings
from larkslate.school.model import Answer, Conflict, ItemKind, SittingKind
from larkslate.web.classes import groups_of
from larkslate.web.planning import Planning
from larkslate.web.rooms import away, number_in

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from larkslate.school.model import Item, Saved, Sitting, Student
    from larkslate.school.views import ClassView, StudentView
    from larkslate.web.forms import Form
    from larkslate.web.rooms import Rooms

SUGGESTED = 6
KINDS = {
    SittingKind.BASELINE: "Baseline",
    SittingKind.CHECKPOINT: "Checkpoint",
    SittingKind.DICTATION: "Dictation",
    SittingKind.CHECK: "Short check",
}
SAID = {
    ResponseStatus.BLANK: "blank",
    ResponseStatus.ILLEGIBLE: "illegible",
    ResponseStatus.ABSENT: "absent",
}


def title_of(given: Sitting) -> str:
    """A sitting by name: Checkpoint 1.5, form A."""
    place = f" {given.unit}.{given.lesson}" if given.unit and given.lesson else ""
    form = f", form {given.form}" if given.kind is not SittingKind.BASELINE else ""
    return f"{KINDS[given.kind]}{place}{form}"


@dataclass(frozen=True, slots=True)
class Wrong:
    """One wrong form of one item, who wrote it, what it shows, and what the teacher said about it."""

    item: Item
    written: str
    students: tuple[Student, ...]
    says: tuple[str, ...]
    otherwise: tuple[str, ...]
    code: str | None
    overruled: str | None


@dataclass(frozen=True, slots=True)
class Needs:
    """One student after a sitting: right of how many, and one sentence."""

    student: Student
    right: int
    of: int
    says: str


def cell(answer: Answer) -> dict[str, object]:
    """A stored answer for the script of the grid."""
    return {
        "written": answer.written,
        "status": answer.status.value,
        "revision": answer.revision,
    }


def is_right(target: str, written: str) -> bool:
    """Whether a written form is the target, as the grid shows it: a capital too few is shown, one too many is not."""
    plain, aim = normal(written), normal(target)
    return plain == aim or plain.lower() == aim


def listed(words: list[str]) -> str:
    """Names joined as in a sentence."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


class Marking:
    """The handlers of the marking pages."""

    def __init__(self, rooms: Rooms) -> None:
        self.rooms = rooms
        self.planning = Planning(rooms)
        self._likely: dict[str, tuple[str, ...]] = {}

    def likely(self, word: str) -> tuple[str, ...]:
        """The likely wrong forms of a word, remembered."""
        if word not in self._likely:
            found = likely_forms(word, self.rooms.desk.lexicon, most=SUGGESTED)
            self._likely[word] = tuple(form for form, _ in found)
        return self._likely[word]

    # ---- giving -----------------------------------------------------------------------------

    def give(self, request: Request, form: Form) -> Response:
        """A planned dictation was given: make its sitting and go to the grid."""
        room = self.rooms.classroom(request)
        plan = self.planning.plan_of(room, number_in(request, "unit"))
        lesson = number_in(request, "lesson")
        chosen = form.text("form") or "A"
        for old in sittings.sittings(self.rooms.school, room.id):
            if (old.unit, old.lesson, old.form) == (plan.unit, lesson, chosen):
                return away(f"/class/{room.id}/mark/{old.id}")
        made = sittings.add_from_plan(
            self.rooms.school,
            room.id,
            plan,
            lesson,
            course=self.rooms.desk.sequence,
            form=chosen,
            day=form.day("day", "Given on"),
        )
        return away(f"/class/{room.id}/mark/{made.id}")

    # ---- the grid ---------------------------------------------------------------------------

    def grid(self, request: Request, _form: Form) -> Response:
        """Students in seat order by items."""
        room = self.rooms.classroom(request)
        shown = responses.grid(self.rooms.school, request.path_params["sitting"])
        return self.rooms.show(
            "grid.html",
            here="today",
            room=room,
            shown=shown,
            title=title_of(shown.sitting),
            likely={
                i.number: json.dumps(self.likely(i.target) if i.kind is ItemKind.WORD else [])
                for i in shown.sitting.items
            },
            said=SAID,
            is_right=is_right,
            status=ResponseStatus,
            wrong=self._wrong(room.id, shown.sitting),
        )

    def save(self, request: Request, form: Form) -> Response:
        """Store one cell, or empty it; both values where another window was there first."""
        answer = self._answer(request, form)
        if form.text("empty"):
            done = responses.clear(self.rooms.school, answer)
        else:
            done = responses.save(self.rooms.school, answer)
        return self.rooms.json(self._told(done))

    def _answer(self, request: Request, form: Form) -> Answer:
        try:
            status = ResponseStatus(form.text("status") or "written")
        except ValueError:
            raise Malformed("This is no way to mark an answer: reload the page.") from None
        item = form.number("item", "The item")
        if item is None:
            raise Malformed("The item is missing: reload the page.")
        return Answer(
            sitting_id=request.path_params["sitting"],
            student_id=form.text("student"),
            item=item,
            written=form.text("written"),
            status=status,
            revision=form.number("revision", "The revision") or 0,
        )

    def _told(self, done: Saved | Conflict) -> dict[str, Any]:
        if isinstance(done, Conflict):
            return {"state": "conflict", "stored": cell(done.stored), "says": done.says}
        return {"state": "saved", "stored": cell(done.answer)}

    def row(self, request: Request, form: Form) -> Response:
        """Every empty cell of one student: right, or absent."""
        fill = responses.mark_absent if form.text("as") == "absent" else responses.mark_rest_right
        done = fill(self.rooms.school, request.path_params["sitting"], form.text("student"))
        cells = {d.answer.item: cell(d.answer) for d in done if not isinstance(d, Conflict)}
        if form.text("page"):
            return away(
                f"/class/{request.path_params['room']}/mark/{request.path_params['sitting']}"
            )
        return self.rooms.json({"state": "saved", "cells": cells})

    # ---- wrong forms ------------------------------------------------------------------------

    def _wrong(self, class_id: str, given: Sitting) -> list[Wrong]:
        seen = self.rooms.ledger.seen(self.rooms.school, class_id, given.id)
        who = {s.id: s for s in responses.grid(self.rooms.school, given.id).students}
        said = {(o.target, o.written): o for o in daybook.overrules(self.rooms.school, class_id)}
        by_form: dict[tuple[int, str], list[Student]] = {}
        first: dict[tuple[int, str], Answer] = {}
        for one in seen:
            if one.answer.status is not ResponseStatus.WRITTEN or one.answer.student_id not in who:
                continue
            told = said.get((one.item.target, one.answer.written))
            if one.right and told is None:
                continue
            key = (one.item.number, one.answer.written)
            by_form.setdefault(key, []).append(who[one.answer.student_id])
            first.setdefault(key, one.answer)
        found = []
        for (number, written), students in by_form.items():
            item = given.item(number)
            says, otherwise, code = self._diagnosed(class_id, given, item, first[number, written])
            told = said.get((item.target, written))
            found.append(
                Wrong(
                    item,
                    written,
                    tuple(sorted(students, key=lambda s: (s.seat is None, s.seat or 0))),
                    says,
                    otherwise,
                    code,
                    told.id if told else None,
                )
            )
        return sorted(found, key=lambda w: (w.item.number, -len(w.students), w.written))

    def _diagnosed(
        self, class_id: str, given: Sitting, item: Item, answer: Answer
    ) -> tuple[tuple[str, ...], tuple[str, ...], str | None]:
        ledger = self.rooms.ledger
        accents = ledger.view(self.rooms.school, class_id).classroom.settings.accents
        if item.kind is ItemKind.SENTENCE:
            marks = ledger.sentence(item, answer, through=given.through, accents=accents)
            lines = [
                f.says
                for w in marks.words
                if w.diagnosis is not None and not w.diagnosis.right
                for f in w.diagnosis.findings[:1]
            ]
            return tuple(lines), (), None
        if item.kind is ItemKind.CHOICE:
            return (f"The other word of the two: {item.target} is meant here.",), (), None
        found = ledger.diagnosis(item, answer, through=given.through, accents=accents)
        names = codes()
        others = [
            f"{names[a.code].name} {a.when}"
            for f in found.findings
            for a in f.alternatives
            if a.code in names
        ]
        says = tuple(dict.fromkeys(f.says for f in found.findings))
        return says, tuple(dict.fromkeys(others)), found.primary

    def wrong(self, request: Request, _form: Form) -> Response:
        """The wrong forms of a sitting so far, as a piece of the page."""
        room = self.rooms.classroom(request)
        given = sittings.sitting(self.rooms.school, request.path_params["sitting"])
        return self.rooms.show(
            "wrong.html", room=room, sitting=given, wrong=self._wrong(room.id, given)
        )

    def overrule(self, request: Request, form: Form) -> Response:
        """The teacher counts a form as right, or takes that back."""
        room = self.rooms.classroom(request)
        if form.text("take_back"):
            daybook.take_back(self.rooms.school, form.text("take_back"))
        else:
            daybook.overrule(
                self.rooms.school,
                room.id,
                form.text("target"),
                form.text("written"),
                "right",
                was=form.text("was") or None,
            )
        return away(f"/class/{room.id}/mark/{request.path_params['sitting']}/results")

    # ---- after marking ----------------------------------------------------------------------

    def finish(self, request: Request, _form: Form) -> Response:
        """Marking is over for now: what is still to come of the unit is planned anew from what was shown."""
        room = self.rooms.classroom(request)
        given = sittings.sitting(self.rooms.school, request.path_params["sitting"])
        planned = {p.unit for p in plans.plans(self.rooms.school, room.id)}
        coming = self.planning.next_lesson(room)
        wanted = {given.unit, coming[0].unit if coming else None} & planned
        for unit in sorted(u for u in wanted if u is not None):
            plans.make(self.rooms.school, room.id, unit, ledger=self.rooms.ledger)
        return away(f"/class/{room.id}/mark/{given.id}/results")

    def _needs(self, view: ClassView, given: Sitting) -> list[Needs]:
        found = []
        for one in view.students:
            here = [s for s in one.seen if s.answer.sitting_id == given.id]
            shown = [s for s in here if s.shown]
            right = sum(s.right for s in shown)
            if not here:
                says = "Not marked yet."
            elif not shown:
                says = "Absent or nothing that could be scored: it counts as missing, not as zero."
            else:
                says = self._sentence(one, given)
            found.append(Needs(one.student, right, len(shown), says))
        return found

    def _sentence(self, one: StudentView, given: Sitting) -> str:
        """One sentence on what a student needs, from the standings and from this sitting."""
        course = self.rooms.desk.sequence
        missed = {
            p
            for s in one.seen
            if s.answer.sitting_id == given.id
            for w in s.shown
            for p in w.missed
        }
        names = {p: self.rooms.point_name(p) for p in missed}
        again = [p for p in missed if p in one.standings and one.standings[p].mark is Mark.RETEACH]
        again.sort(key=course.index)
        if given.id in one.unusual:
            return "Most points that were secure were missed: this sitting does not count; ask what happened."
        if again:
            point = one.standings[again[0]]
            more = f", then {listed([names[p] for p in again[1:3]])}" if again[1:] else ""
            return f"Needs {names[again[0]]} again (right {point.right} of {point.chances}){more}."
        maybe = sorted(
            (p for p in missed if p in one.standings and one.standings[p].possible),
            key=course.index,
        )
        if maybe:
            point = one.standings[maybe[0]]
            return (
                f"Possibly needs {names[maybe[0]]} again (right {point.right} of {point.chances}): "
                "not enough to say for certain."
            )
        if missed:
            first = sorted(missed, key=course.index)[:2]
            return f"Missed {listed([names[p] for p in first])} here: not enough to say yet."
        return "Missed no point here: go on, or extend."

    def results(self, request: Request, _form: Form) -> Response:
        """Who needs what, wrong forms, and how the next lesson changed."""
        room = self.rooms.classroom(request)
        given = sittings.sitting(self.rooms.school, request.path_params["sitting"])
        view = self.rooms.view(room.id)
        coming = self.planning.next_lesson(room)
        changed = self.planning.last_change(room, coming[0]) if coming else []
        shown = responses.grid(self.rooms.school, given.id)
        return self.rooms.show(
            "results.html",
            here="today",
            room=room,
            sitting=given,
            title=title_of(given),
            missing=shown.missing,
            needs=self._needs(view, given),
            wrong=self._wrong(room.id, given),
            groups=groups_of(view, self.rooms),
            due=review.review_due(view),
            notes=view.notes,
            coming=coming,
            changed=changed,
        )

    def remove(self, request: Request, _form: Form) -> Response:
        """Delete a sitting that was made by mistake, with its answers."""
        sittings.remove(self.rooms.school, request.path_params["sitting"])
        return away(f"/class/{request.path_params['room']}/today")


Handlers = Marking
