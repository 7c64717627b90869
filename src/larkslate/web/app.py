"""The application: addresses, pages, files."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from importlib import resources
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

import jinja2
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.responses import FileResponse, HTMLResponse, PlainTextResponse, Response
from starlette.routing import BaseRoute, Mount, Route, Router
from starlette.staticfiles import StaticFiles

from larkslate import __version__
from larkslate.desk import DEFAULT_SEED, Desk
from larkslate.errors import LarkslateError, Malformed, Missing
from larkslate.plan.model import Block, Item, LessonKind, Role, WordItem
from larkslate.sequence.model import K2
from larkslate.web import drawing, pen
from larkslate.web.guard import Guard

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from starlette.requests import Request
    from starlette.types import Receive, Scope, Send

    from larkslate.materials.documents import Kind
    from larkslate.plan.model import UnitPlan

HERE = Path(__file__).parent
EXAMPLES = ("catch", "hopping", "doesn't", "island", "napkin")
FONTS = {
    "lexend.ttf": ("fontpkg_lexend", "Lexend[wght].ttf"),
    "source-sans-3.ttf": ("fontpkg_source_sans_3", "SourceSans3[wght].ttf"),
    "source-sans-3-italic.ttf": ("fontpkg_source_sans_3", "SourceSans3-Italic[wght].ttf"),
}
KINDS = {
    LessonKind.NEW: "something new",
    LessonKind.MIX: "mixed practice",
    LessonKind.CHECKPOINT: "checkpoint",
    LessonKind.DICTATION: "dictation",
    LessonKind.RESPOND: "groups",
}
ROLES = {
    Role.MODEL: "showing",
    Role.TOGETHER: "together",
    Role.ALONE: "alone",
    Role.FRESH: "dictation, fresh",
    Role.NEAR_MISS: "near miss",
    Role.IRREGULAR: "irregular word",
    Role.REVIEW: "review",
}


@dataclass(frozen=True, slots=True)
class TimedBlock:
    """A block of a lesson with its minutes, its items grouped by kind."""

    value: Block
    start: int
    end: int
    groups: tuple[tuple[str, tuple[Item, ...]], ...]


def timed(blocks: tuple[Block, ...]) -> tuple[TimedBlock, ...]:
    """The blocks with the minute each begins and ends."""
    found, now = [], 0
    for block in blocks:
        groups = tuple(
            (kind, tuple(items))
            for kind, items in groupby(block.items, key=lambda i: type(i).__name__)
        )
        found.append(TimedBlock(block, now, now + block.minutes, groups))
        now += block.minutes
    return tuple(found)


def segments(item: WordItem) -> Iterator[tuple[str, bool]]:
    """The letters of a word in runs; True where they are the ones concerned."""
    marks = item.shown.marks if item.shown else ()
    for on, run in groupby(range(len(item.word)), key=lambda i: any(a <= i < b for a, b in marks)):
        yield "".join(item.word[i] for i in run), on


def curly(text: str) -> str:
    """A text with the typographic apostrophe that print uses."""
    return text.replace("'", "’")


def environment() -> jinja2.Environment:
    """The templates, every value escaped."""
    made = jinja2.Environment(
        loader=jinja2.FileSystemLoader(HERE / "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
        auto_reload=False,
    )
    made.filters["curly"] = curly
    made.globals.update(
        version=__version__,
        kinds=KINDS,
        roles=ROLES,
        segments=segments,
        here="",
    )
    return made


class Pages:
    """The handlers; one desk for all of them, used from one thread at a time."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.templates = environment()
        self.planning = asyncio.Lock()

    def show(self, name: str, status: int = 200, **values: object) -> HTMLResponse:
        """A page made from a template."""
        text = self.templates.get_template(name).render(**values)
        return HTMLResponse(text, status_code=status, headers={"cache-control": "no-store"})

    def problem(self, message: str, status: int, title: str = "That did not work") -> HTMLResponse:
        """The page that says what is wrong and what to do."""
        return self.show("problem.html", status, title=title, message=message)

    async def home(self, _request: Request) -> Response:
        """The look-up and the contents."""
        return self.show("home.html", here="words", sequence=self.desk.sequence, examples=EXAMPLES)

    async def units(self, _request: Request) -> Response:
        """The contents alone."""
        return self.show("units.html", here="units", sequence=self.desk.sequence)

    async def word(self, request: Request) -> Response:
        """Everything known about one word."""
        word = self.desk.word(request.query_params.get("w", ""))
        if not word.readings:
            return self.problem(
                f"“{word.word}” is not in the word list. Check the spelling; names and rare words may be missing.",
                404,
                "No such word here",
            )
        sequence = self.desk.sequence
        since = self.desk.reach.in_reach_from(word.word)
        point = sequence.point(since) if since and since != K2 else None
        return self.show(
            "word.html",
            here="words",
            word=word,
            drawn=drawing.draw(word, self.desk.reach),
            size=drawing.size(word.word),
            trust=drawing.TRUST[word.status],
            pen=pen.of_word(word.word),
            k2=since == K2,
            since=point,
            unit=sequence.theme_of(point.id) if point else None,
        )

    def _seed(self, request: Request) -> int:
        text = request.query_params.get("seed", str(DEFAULT_SEED))
        if not (text.isascii() and text.isdigit() and len(text) < 7):
            raise Malformed(f"“{text}” is not a number to choose words by: use 0 to 999999.")
        return int(text)

    async def plan(self, request: Request) -> UnitPlan:
        """The plan a page asks for; one is made at a time, and not on the thread that answers."""
        unit, seed = request.path_params["unit"], self._seed(request)
        self.desk.sequence.theme(unit)
        async with self.planning:
            return await run_in_threadpool(self.desk.plan, unit, seed)

    async def unit(self, request: Request) -> Response:
        """A unit: what it teaches, its lessons, its pages, the proof."""
        plan = await self.plan(request)
        theme = self.desk.sequence.theme(plan.unit)
        return self.show(
            "unit.html",
            here="units",
            theme=theme,
            points=[self.desk.sequence.point(p) for p in theme.points],
            plan=plan,
            query=self._query(plan),
            documents=self._documents(plan, None),
        )

    async def lesson(self, request: Request) -> Response:
        """One lesson, block by block."""
        plan = await self.plan(request)
        number = request.path_params["lesson"]
        by_number = {one.number: one for one in plan.lessons}
        if number not in by_number:
            raise Missing(f"Unit {plan.unit} has no lesson {number}.")
        lesson = by_number[number]
        return self.show(
            "lesson.html",
            here="units",
            theme=self.desk.sequence.theme(plan.unit),
            lesson=lesson,
            blocks=timed(lesson.blocks),
            before=by_number.get(number - 1),
            after=by_number.get(number + 1),
            plan=plan,
            query=self._query(plan),
            documents=self._documents(plan, number),
        )

    def _query(self, plan: UnitPlan) -> str:
        return "" if plan.seed == DEFAULT_SEED else f"?seed={plan.seed}"

    def _documents(self, plan: UnitPlan, lesson: int | None) -> list[Kind]:
        """The kinds of documents that have something to print."""
        from larkslate.materials import documents
        from larkslate.materials.look import Look

        lessons = documents.lessons_of(plan, lesson)
        return [
            kind
            for kind in documents.KINDS.values()
            if any(kind.build(plan.title, one, Look(), None) for one in lessons)
        ]

    async def pdf(self, request: Request) -> Response:
        """A document of a unit or a lesson, as a file."""
        from larkslate.materials import documents

        plan = await self.plan(request)
        kind = request.path_params["kind"]
        lesson = request.path_params.get("lesson")
        content = await run_in_threadpool(documents.make, kind, plan, lesson)
        name = f"{plan.unit}{f'.{lesson}' if lesson else ''}-{kind}.pdf"
        return Response(
            content,
            media_type="application/pdf",
            headers={
                "content-disposition": f'attachment; filename="{name}"',
                "x-file-name": name,
                "cache-control": "no-store",
            },
        )

    async def failed(self, request: Request, error: Exception) -> Response:
        """A page for what a person can put right, in plain text where a script asked."""
        if isinstance(error, HTTPException):
            status = error.status_code
            message = (
                "There is no page at this address."
                if status == 404
                else "This page cannot be asked for in that way."
            )
        else:
            status = 404 if isinstance(error, Missing) else 400
            message = str(error)
        if request.headers.get("sec-fetch-dest") == "empty":
            return PlainTextResponse(message, status)
        return self.problem(message, status)


async def font(request: Request) -> Response:
    """A font file from its package."""
    found = FONTS.get(request.path_params["name"])
    if found is None:
        raise HTTPException(404)
    path = Path(str(resources.files(found[0]))) / "files" / found[1]
    return FileResponse(
        path,
        media_type="font/ttf",
        headers={"cache-control": "public, max-age=31536000, immutable"},
    )


class Later:
    """Addresses whose code is loaded when the first of them is asked for: the first page need not wait."""

    def __init__(self, make: Callable[[], Sequence[BaseRoute]]) -> None:
        self.make = make
        self.router: Router | None = None
        self.loading = asyncio.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer as the addresses do."""
        async with self.loading:
            if self.router is None:
                self.router = Router(await run_in_threadpool(self.make))
        await self.router(scope, receive, send)


def create(port: int, desk: Desk | None = None, data: Path | None = None) -> Starlette:
    """The application for one loopback port; ``data`` is the teacher's folder where it is not the usual one."""
    pages = Pages(desk or Desk())

    def rooms() -> Sequence[BaseRoute]:
        from larkslate.web import rooms

        return rooms.routes(pages, data)

    return Starlette(
        routes=[
            Route("/", pages.home),
            Route("/word", pages.word),
            Route("/units", pages.units),
            *pen.routes(pages),
            Route("/unit/{unit:int}", pages.unit),
            Route("/unit/{unit:int}/lesson/{lesson:int}", pages.lesson),
            Route("/unit/{unit:int}/lesson/{lesson:int}/{kind}.pdf", pages.pdf),
            Route("/unit/{unit:int}/{kind}.pdf", pages.pdf),
            Route("/fonts/{name}", font),
            Mount("/static", StaticFiles(directory=HERE / "static")),
            Mount("/", Later(rooms)),
        ],
        middleware=[Middleware(Guard, port=port)],
        exception_handlers={HTTPException: pages.failed, LarkslateError: pages.failed},
    )
