"""The workbench: the pages that need the teacher's data folder, and what they share.

The folder is opened when the first of these pages is asked for, and held until the program ends. A page's work is done
on a thread of its own; what marks or plans does so one at a time.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import date
from functools import cached_property
from importlib import import_module
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from larkslate.errors import Missing
from larkslate.web.addresses import ADDRESSES
from larkslate.web.forms import Form, read_form

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

    from larkslate.school.ledger import Ledger
    from larkslate.school.model import Classroom
    from larkslate.school.store import School
    from larkslate.school.views import ClassView
    from larkslate.web.addresses import Address
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
        self._opening = threading.RLock()
        self._handlers: dict[str, Any] = {}
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

    def point_name(self, point: str) -> str:
        """A point in a few words; no capital, for many begin with a spelling: tch, -es."""
        from larkslate.school.wording import label

        return label(self.desk.sequence, point)

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

    def handler(self, address: Address) -> Page:
        """What answers at an address; its module is imported when it is first asked for."""
        with self._opening:
            if address.module not in self._handlers:
                module = import_module(f"larkslate.web.{address.module}")
                self._handlers[address.module] = module.Handlers(self)
        work: Page = getattr(self._handlers[address.module], address.handler)
        return work

    def route(self, address: Address) -> Route:
        """An address: its form is read, its work done on a thread, one at a time where it marks or plans."""

        def work(request: Request, form: Form) -> Response:
            return self.handler(address)(request, form)

        async def answer(request: Request) -> Response:
            form = await read_form(request) if address.method == "POST" else Form()
            if not address.marks:
                return await run_in_threadpool(work, request, form)
            async with self.pages.planning:
                return await run_in_threadpool(work, request, form)

        return Route(address.path, answer, methods=[address.method])

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

    def to_class(self, part: str) -> Response:
        """Go on to a page of the class worked on last, or to adding one."""
        room = self.present()
        return away(f"/class/{room.id}{part}" if room else "/class/new")


def number_in(request: Request, name: str) -> int:
    """A number of an address. Raises Missing for one that is no number."""
    try:
        return int(request.path_params[name])
    except ValueError:
        raise Missing("There is no page at this address.") from None


def routes(pages: Pages, folder: Path | None = None) -> list[Route]:
    """Every address of the workbench."""
    rooms = Rooms(pages, folder)
    return [rooms.route(address) for address in ADDRESSES]
