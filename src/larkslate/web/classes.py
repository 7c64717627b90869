"""The class: added from a list, its students and their settings, what the answers show by student and point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from larkslate.assess.model import Mark, ResponseStatus
from larkslate.errors import LarkslateError, Malformed
from larkslate.school import daybook, erase, review, roster, roster_file
from larkslate.school.model import Hand
from larkslate.web.rooms import away, file

if TYPE_CHECKING:
    from collections.abc import Sequence

    from starlette.requests import Request
    from starlette.responses import Response

    from larkslate.assess.model import Standing
    from larkslate.school.model import RosterPreview, Student
    from larkslate.school.views import ClassView, PointView, StudentView
    from larkslate.web.forms import Form
    from larkslate.web.rooms import Rooms

SHORT = {
    Mark.SECURE: "secure",
    Mark.RETEACH: "teach again",
    Mark.DUE: "due",
    Mark.MORE_EVIDENCE: "not enough to say",
    Mark.NOT_YET_TAUGHT: "not yet taught",
}
BEFORE = "before"  # the points assumed from the grades before


@dataclass(frozen=True, slots=True)
class Group:
    """Students taught one point together, with the reason for each."""

    name: str
    rule: str
    says: str
    students: tuple[tuple[Student, Standing, bool], ...]


def groups_of(view: ClassView, rooms: Rooms) -> list[Group]:
    """The groups of a class in words."""
    found = []
    for group in view.groups:
        point = rooms.desk.sequence.point(group.point)
        members = sorted(
            (view.student(s) for s in group.students),
            key=lambda one: (one.student.seat is None, one.student.seat or 0),
        )
        found.append(
            Group(
                rooms.point_name(point.id),
                point.rule,
                f"{len(members)} students",
                tuple(
                    (
                        one.student,
                        one.standings[group.point],
                        one.student.id in group.possible,
                    )
                    for one in members
                ),
            )
        )
    return found


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the sequence that the grid can show, and how many points of it the class has met."""

    key: str
    title: str
    count: int


class Classes:
    """The handlers of the class pages."""

    def __init__(self, rooms: Rooms) -> None:
        self.rooms = rooms

    def go(self, _request: Request, _form: Form) -> Response:
        """The class worked on last."""
        return self.rooms.to_class("")

    # ---- adding -----------------------------------------------------------------------------

    def _year(self) -> str:
        day = self.rooms.school.today()
        first = day.year if day.month >= 7 else day.year - 1
        return f"{first}-{(first + 1) % 100:02}"

    def _new(
        self, form: Form, error: str = "", preview: RosterPreview | None = None, text: str = ""
    ) -> Response:
        return self.rooms.show(
            "class_new.html",
            code=400 if error else 200,
            here="class",
            name=form.text("name"),
            grade=form.text("grade") or "3",
            year=form.text("year") or self._year(),
            text=text,
            error=error,
            preview=preview,
        )

    def new(self, _request: Request, form: Form) -> Response:
        """An empty form for a class."""
        return self._new(form)

    def add(self, _request: Request, form: Form) -> Response:
        """Show what the list holds; with ``step`` "add" do it."""
        text = form.fields.get("list", "")
        preview = None
        try:
            source: bytes | str = form.files.get("file") or text
            if form.files.get("file"):
                text = roster_file.decoded(form.files["file"])[0]
            if not form.text("name"):
                raise Malformed("The class has no name: write one, such as Room 12.")
            preview = roster_file.read(source)
            if form.text("step") != "add" or preview.faults:
                return self._new(form, preview=preview, text=text)
            made = roster.add_class(
                self.rooms.school,
                form.text("name"),
                grade=form.text("grade") or "3",
                year=form.text("year"),
            )
        except LarkslateError as error:
            return self._new(form, str(error), preview, text)
        try:
            roster.add_students(self.rooms.school, made.id, preview)
        except LarkslateError:
            erase.classroom(self.rooms.school, made.id)
            raise
        return away(f"/class/{made.id}")

    # ---- looking ----------------------------------------------------------------------------

    def _parts(self, points: Sequence[PointView]) -> list[Part]:
        course = self.rooms.desk.sequence
        ids = [p.point for p in points]
        found = [Part(BEFORE, "Before this grade", sum(course.point(i).k2 for i in ids))]
        found += [
            Part(str(t.number), t.title, sum(i in t.points for i in ids)) for t in course.themes
        ]
        return [p for p in found if p.count]

    def _in_part(self, points: Sequence[PointView], part: str) -> list[PointView]:
        course = self.rooms.desk.sequence
        if part == BEFORE:
            return [p for p in points if course.point(p.point).k2]
        return [
            p
            for p in points
            if (theme := course.theme_of(p.point)) is not None and str(theme.number) == part
        ]

    def show(self, request: Request, _form: Form) -> Response:
        """Students by point, groups, what is due."""
        room = self.rooms.classroom(request)
        view = self.rooms.view(room.id)
        parts = self._parts(view.points)
        asked = request.query_params.get("part", parts[-1].key if parts else "")
        return self.rooms.show(
            "class.html",
            here="class",
            room=room,
            view=view,
            parts=parts,
            part=asked,
            points=self._in_part(view.points, asked),
            short=SHORT,
            groups=groups_of(view, self.rooms),
            due=review.review_due(view),
            warnings=self.rooms.school.opened.warnings,
        )

    def student(self, request: Request, _form: Form) -> Response:
        """One student: settings, points, what was written by date."""
        return self._student(request)

    def _student(self, request: Request, error: str = "") -> Response:
        room = self.rooms.classroom(request)
        one = roster.student(self.rooms.school, request.path_params["student"])
        view = self.rooms.view(room.id)
        seen: StudentView | None = next((s for s in view.students if s.student.id == one.id), None)
        course = self.rooms.desk.sequence
        by_day: dict[object, list[object]] = {}
        for answer in reversed(seen.seen if seen else ()):
            by_day.setdefault(answer.day, []).append(answer)
        late = sorted(
            (p for p in view.taught if seen and p not in seen.taught),
            key=course.index,
        )
        return self.rooms.show(
            "class_student.html",
            code=400 if error else 200,
            here="class",
            room=room,
            one=one,
            seen=seen,
            course=course,
            by_day={day: list(reversed(rows)) for day, rows in by_day.items()},
            not_shown=late,
            written=ResponseStatus.WRITTEN,
            error=error,
        )

    # ---- changing ---------------------------------------------------------------------------

    def change(self, request: Request, form: Form) -> Response:
        """Store a student's settings."""
        try:
            roster.change_student(
                self.rooms.school,
                request.path_params["student"],
                label=form.text("label"),
                seat=form.number("seat", "Seat"),
                hand=Hand.LEFT if form.text("hand") == "left" else Hand.RIGHT,
                larger_print=form.number("larger_print", "Larger print") or 0,
                extra_time=bool(form.text("extra_time")),
                joined=form.day("joined", "Started on"),
                left=form.day("left", "Last day"),
            )
        except LarkslateError as error:
            return self._student(request, str(error))
        return away(f"/class/{request.path_params['room']}/students")

    def students(self, request: Request, _form: Form) -> Response:
        """Everyone in seat order with their settings; adding one or a list."""
        return self._students(request)

    def _students(
        self,
        request: Request,
        error: str = "",
        preview: RosterPreview | None = None,
        text: str = "",
    ) -> Response:
        room = self.rooms.classroom(request)
        return self.rooms.show(
            "class_students.html",
            code=400 if error else 200,
            here="class",
            room=room,
            students=roster.students(self.rooms.school, room.id, everyone=True),
            today=self.rooms.school.today(),
            error=error,
            preview=preview,
            text=text,
        )

    def add_one(self, request: Request, form: Form) -> Response:
        """A student who comes in, late or not."""
        room = self.rooms.classroom(request)
        try:
            roster.add_student(
                self.rooms.school,
                room.id,
                form.text("label"),
                seat=form.number("seat", "Seat") or self._free_seat(room.id),
                hand=Hand.LEFT if form.text("hand") == "left" else Hand.RIGHT,
                joined=form.day("joined", "Started on"),
            )
        except LarkslateError as error:
            return self._students(request, str(error))
        return away(f"/class/{room.id}/students")

    def _free_seat(self, class_id: str) -> int:
        taken = {s.seat for s in roster.students(self.rooms.school, class_id, everyone=True)}
        return next(n for n in range(1, 1000) if n not in taken)

    def add_list(self, request: Request, form: Form) -> Response:
        """A list read into a class that is there: shown first, then done."""
        room = self.rooms.classroom(request)
        text = form.fields.get("list", "")
        preview = None
        try:
            source: bytes | str = form.files.get("file") or text
            if form.files.get("file"):
                text = roster_file.decoded(form.files["file"])[0]
            preview = roster_file.preview(self.rooms.school, room.id, source)
            if form.text("step") != "add" or preview.faults:
                return self._students(request, preview=preview, text=text)
            roster.add_students(self.rooms.school, room.id, preview)
        except LarkslateError as error:
            return self._students(request, str(error), preview, text)
        return away(f"/class/{room.id}/students")

    def shown(self, request: Request, form: Form) -> Response:
        """A point was shown to a student apart from the class: from now on it counts."""
        point = self.rooms.desk.sequence.point(form.text("point"))
        student = request.path_params["student"]
        daybook.catch_up(self.rooms.school, student, point.id)
        return away(f"/class/{request.path_params['room']}/student/{student}")

    # ---- erasing ----------------------------------------------------------------------------

    def ask(self, request: Request, _form: Form) -> Response:
        """What erasing a student takes away, and what is out of reach."""
        room = self.rooms.classroom(request)
        one = roster.student(self.rooms.school, request.path_params["student"])
        held = [e for e in erase.exports(self.rooms.school) if one.id in e.students]
        return self.rooms.show("erase.html", here="class", room=room, one=one, exports=held)

    def erase(self, request: Request, _form: Form) -> Response:
        """Erase a student for good."""
        room = self.rooms.classroom(request)
        done = erase.student(self.rooms.school, request.path_params["student"])
        self.rooms.ledger.forget()
        return self.rooms.show("erased.html", here="class", room=room, done=done)

    # ---- paper ------------------------------------------------------------------------------

    def labels(self, request: Request, _form: Form) -> Response:
        """Labels to cut out, or the list of seats."""
        from larkslate.web import roster_pages

        room = self.rooms.classroom(request)
        everyone = roster.students(self.rooms.school, room.id)
        kind = request.path_params["kind"]
        content = roster_pages.make(kind, room, everyone)
        return file(content, f"{kind}.pdf", "application/pdf")


Handlers = Classes
