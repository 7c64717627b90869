"""Today: what is on, what is due, what is to be marked; the opening weeks; words from another subject."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from larkslate.errors import LarkslateError, Missing
from larkslate.plan.model import Dictation, Lesson, LessonKind, UnitPlan, WordItem
from larkslate.school import backup, baseline, daybook, responses, review, roster, sittings
from larkslate.school.model import ItemKind
from larkslate.web.marking import title_of
from larkslate.web.planning import Planning, has_dictation, reviews
from larkslate.web.rooms import away, file

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from larkslate.school.daybook import CheckedWord
    from larkslate.school.model import Sitting
    from larkslate.web.forms import Form
    from larkslate.web.rooms import Rooms

SWAPS = 3


@dataclass(frozen=True, slots=True)
class Given:
    """A sitting in a list: its name and how many cells are still empty."""

    sitting: Sitting
    title: str
    missing: int
    of: int


def baseline_plan(form: str = "A") -> UnitPlan:
    """The baseline as a plan of one lesson, so that the same pages are printed from it as from any dictation."""
    from larkslate.plan.model import Audit, Block, BlockKind, Role, TextItem

    items = baseline.words(form)
    dictation = Dictation(
        form=form,
        words=tuple(
            WordItem(i.target, Role.FRESH, i.points, "", sentence=i.sentence)
            for i in items
            if i.kind is ItemKind.WORD
        ),
        sentences=tuple(TextItem(i.target, i.points) for i in items if i.kind is ItemKind.SENTENCE),
    )
    title = "Words for the opening weeks"
    block = Block(BlockKind.DICTATION, 30, title, items=(dictation,))
    lesson = Lesson("0.1", 0, 1, title, LessonKind.DICTATION, (), None, None, (block,))
    return UnitPlan(0, title, "", (), (), 0, (lesson,), Audit(0, (), (), {}, {}))


class Today:
    """The handlers."""

    def __init__(self, rooms: Rooms) -> None:
        self.rooms = rooms
        self.planning = Planning(rooms)

    def go(self, _request: Request, _form: Form) -> Response:
        """Today in the class worked on last, or the first steps."""
        room = self.rooms.present()
        if room is not None:
            return away(f"/class/{room.id}/today")
        return self.rooms.show(
            "first.html",
            here="today",
            warnings=self.rooms.school.opened.warnings,
            demo_offered=True,
        )

    def demo(self, _request: Request, _form: Form) -> Response:
        """Open the invented class."""
        from larkslate.school import demo

        made = demo.load(self.rooms.school)
        return away(f"/class/{made.id}/today")

    def today(self, request: Request, _form: Form) -> Response:
        """What is on, what is due, what waits to be marked."""
        room = self.rooms.classroom(request)
        school = self.rooms.school
        warnings = list(school.opened.warnings)
        try:
            backup.daily(school)
        except LarkslateError as error:
            warnings.append(str(error))
        view = self.rooms.view(room.id)
        coming = self.planning.next_lesson(room)
        given = []
        for one in reversed(sittings.sittings(school, room.id)):
            shown = responses.grid(school, one.id)
            given.append(
                Given(one, title_of(one), shown.missing, len(shown.students) * len(one.items))
            )
        return self.rooms.show(
            "today.html",
            here="today",
            room=room,
            rooms=roster.classes(school),
            today=school.today(),
            students=len(view.students),
            coming=coming,
            reviews=reviews(coming[1]) if coming else (),
            dictates=bool(coming and has_dictation(coming[1])),
            first=self.planning.next_unit(room),
            due=review.review_due(view),
            given=given,
            baseline_given=any(g.sitting.kind == "baseline" for g in given),
            lists=daybook.lists(school, room.id),
            purge=room in roster.purge_due(school),
            warnings=warnings,
        )

    # ---- the opening weeks ------------------------------------------------------------------

    def opening(self, request: Request, _form: Form) -> Response:
        """The baseline: its words, what each point rests on, the pages to print."""
        room = self.rooms.classroom(request)
        form = "B" if request.query_params.get("form") == "B" else "A"
        items = baseline.words(form)
        course = self.rooms.desk.sequence
        shown = baseline.points_of(items, self.rooms.ledger)
        return self.rooms.show(
            "opening.html",
            here="today",
            room=room,
            form=form,
            items=items,
            chances=[(course.point(p), words) for p, words in shown.items()],
            without=[p for p in course.k2 if p.id not in shown],
            today=self.rooms.school.today(),
        )

    def give_baseline(self, request: Request, form: Form) -> Response:
        """The baseline was given: make its sitting and go to the grid."""
        room = self.rooms.classroom(request)
        made = baseline.add(
            self.rooms.school,
            room.id,
            form="B" if form.text("form") == "B" else "A",
            day=form.day("day", "Given on"),
        )
        return away(f"/class/{room.id}/mark/{made.id}")

    def opening_pdf(self, request: Request, _form: Form) -> Response:
        """The paper, the key or the script of the baseline."""
        from larkslate.materials import documents

        room = self.rooms.classroom(request)
        kind = request.path_params["kind"]
        if kind not in ("paper", "key", "script"):
            raise Missing("The baseline has a paper, a key and a script.")
        form = "B" if request.query_params.get("form") == "B" else "A"
        content = documents.make(
            kind,
            baseline_plan(form),
            1,
            paper=room.settings.paper,
            speed=room.settings.letters_per_minute,
            hand="print",
        )
        return file(content, f"opening-{form}-{kind}.pdf", "application/pdf")

    # ---- words from another subject ---------------------------------------------------------

    def words(self, request: Request, form: Form) -> Response:
        """Paste words, see which are in reach and what could stand in for the others; keep the list."""
        room = self.rooms.classroom(request)
        through = self._through(room.id)
        text, error = form.fields.get("list", ""), ""
        checked: tuple[CheckedWord, ...] = ()
        swaps: dict[str, tuple[str, ...]] = {}
        if request.method == "POST":
            try:
                words = daybook.words_in(text)
                checked = daybook.check_words(words, reach=self.rooms.desk.reach, through=through)
                swaps = {w.word: self._swaps(w.word, through) for w in checked if not w.in_reach}
                if form.text("step") == "keep":
                    daybook.add_list(self.rooms.school, room.id, form.text("title"), words)
                    return away(f"/class/{room.id}/words")
            except LarkslateError as wrong:
                error = str(wrong)
        course = self.rooms.desk.sequence
        end = course.points[course.end_of(through)]
        return self.rooms.show(
            "class_words.html",
            code=400 if error else 200,
            here="today",
            room=room,
            text=text,
            title=form.text("title"),
            error=error,
            checked=checked,
            swaps=swaps,
            end=end,
            lists=daybook.lists(self.rooms.school, room.id),
        )

    def remove_words(self, request: Request, form: Form) -> Response:
        """Delete a kept list."""
        daybook.remove_list(self.rooms.school, form.text("remove"))
        return away(f"/class/{request.path_params['room']}/words")

    def _through(self, class_id: str) -> str:
        """The last point taught to the class, or K2."""
        course = self.rooms.desk.sequence
        taught = [p for p in self.rooms.view(class_id).taught if not course.point(p).k2]
        return max(taught, key=course.index) if taught else "K2"

    def _swaps(self, word: str, through: str) -> tuple[str, ...]:
        """Words in reach from the same base."""
        known = self.rooms.desk.reach.word(word)
        if not known.readings:
            return ()
        forms = [m.form for m in known.first.morphemes if m.kind == "base"]
        reach = self.rooms.desk.reach
        return tuple(dict.fromkeys(f for f in forms if f != word and reach.in_reach(f, through)))[
            :SWAPS
        ]


Handlers = Today
