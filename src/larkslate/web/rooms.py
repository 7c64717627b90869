"""The workbench: the pages that need the teacher's data folder, and what they share.

The folder is opened when the first of these pages is asked for, and held until the program ends. A page's work is done
on a thread of its own; what marks or plans does so one at a time.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from larkslate.errors import Missing
from larkslate.web.forms import Form, read_form

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

    from larkslate.school.ledger import Ledger
    from larkslate.school.model import Classroom
    from larkslate.school.store import School
    from larkslate.school.views import ClassView
    from larkslate.web.app import Pages

Page = Callable[["Request", Form], Response]
SEE_OTHER = 303


def away(to: str) -> Response:
    """Go on to another page after something was stored."""
    return RedirectResponse(to, SEE_OTHER)


def file(content: bytes, name: str, kind: str) -> Response:
    """A file to keep."""
    return Response(
        content,
        media_type=kind,
        headers={
            "content-disposition": f'attachment; filename="{name}"',
            "x-file-name": name,
            "cache-control": "no-store",
        },
    )


def day_name(day: date) -> str:
    """A day as a teacher says it: March 3."""
    from larkslate.school.wording import day_name as said

    return said(day)


class Rooms:
    """The open data folder and the ledger, for all pages of the workbench."""

    def __init__(self, pages: Pages, folder: Path | None = None) -> None:
        self.pages = pages
        self.desk = pages.desk
        self._folder = folder
        self._opening = threading.Lock()
        self._school: School | None = None
        pages.templates.globals.update(day_name=day_name, point_name=self.point_name)

    @property
    def school(self) -> School:
        """The data folder, opened when first asked for. Raises what School.open raises, each time."""
        with self._opening:
            if self._school is None:
                from larkslate.school.store import School

                self._school = School.open(self._folder)
            return self._school

    @cached_property
    def ledger(self) -> Ledger:
        """The marking of stored answers."""
        from larkslate.school.ledger import Ledger

        return Ledger(self.desk.lexicon, self.desk.reach)

    def point_name(self, point: str, *, inside: bool = False) -> str:
        """A point in a few words, with a capital unless it stands inside a sentence."""
        from larkslate.school.wording import label

        name = label(self.desk.sequence, point)
        return name if inside else name[:1].upper() + name[1:]

    def view(self, class_id: str) -> ClassView:
        """A class as its answers show it."""
        return self.ledger.view(self.school, class_id)

    def close(self) -> None:
        """Let go of the folder."""
        with self._opening:
            if self._school is not None:
                self._school.close()
                self._school = None

    # ---- answering --------------------------------------------------------------------------

    def page(self, work: Page, *, marks: bool = False) -> Callable[[Request], Any]:
        """A handler that reads the form and does the work on a thread; ``marks`` where it asks the ledger or plans."""

        async def answer(request: Request) -> Response:
            form = await read_form(request) if request.method == "POST" else Form()
            if not marks:
                return await run_in_threadpool(work, request, form)
            async with self.pages.planning:
                return await run_in_threadpool(work, request, form)

        return answer

    def get(self, path: str, work: Page, *, marks: bool = False) -> Route:
        """A page that is read."""
        return Route(path, self.page(work, marks=marks), methods=["GET"])

    def post(self, path: str, work: Page, *, marks: bool = False) -> Route:
        """A change."""
        return Route(path, self.page(work, marks=marks), methods=["POST"])

    def show(self, template: str, /, *, code: int = 200, **values: object) -> Response:
        """A page made from a template; ``code`` is that of the answer."""
        values.setdefault("room", None)
        text = self.pages.templates.get_template(template).render(**values)
        return HTMLResponse(text, code, headers={"cache-control": "no-store"})

    @staticmethod
    def json(value: object, status: int = 200) -> Response:
        """An answer to a script."""
        return JSONResponse(value, status, headers={"cache-control": "no-store"})

    # ---- which class ------------------------------------------------------------------------

    def classroom(self, request: Request) -> Classroom:
        """The class an address names. Raises Missing."""
        from larkslate.school import roster

        return roster.classroom(self.school, request.path_params["room"])

    def present(self) -> Classroom | None:
        """The class worked on last; None where there is none."""
        from larkslate.school import roster

        every = roster.classes(self.school)
        if not every:
            return None
        changed = roster.last_changed(self.school)
        return next((c for c in every if c.id == changed), every[0])

    def to_class(self, part: str) -> Page:
        """A page that goes on to the same page of the class worked on last, or to adding one."""

        def go(_request: Request, _form: Form) -> Response:
            room = self.present()
            return away(f"/class/{room.id}{part}" if room else "/class/new")

        return go


def number_in(request: Request, name: str) -> int:
    """A number of an address. Raises Missing for one that is no number."""
    try:
        return int(request.path_params[name])
    except ValueError:
        raise Missing("There is no page at this address.") from None


def routes(pages: Pages, folder: Path | None = None) -> list[Route]:
    """Every address of the workbench."""
    from larkslate.web import classes, marking, planning, settings, today

    rooms = Rooms(pages, folder)
    return [
        *today.routes(rooms),
        *classes.routes(rooms),
        *planning.routes(rooms),
        *marking.routes(rooms),
        *settings.routes(rooms),
    ]
