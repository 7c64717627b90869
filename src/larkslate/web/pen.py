"""The pen page: anything typed, written by hand, played stroke by stroke, printed or kept as a file."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from larkslate.errors import LarkslateError, Malformed, NotAllowed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.requests import Request

    from larkslate.handwriting import Paper
    from larkslate.handwriting.passage import Passage
    from larkslate.web.app import Pages

LONGEST = 600  # characters; a page of writing
FIRST = "Good morning, lake!"
HANDS = (("joined", "joined"), ("print", "print"))
RULINGS = (
    ("four-line", "four lines"),
    ("three-line", "three lines"),
    ("baseline", "baseline only"),
)
SHEETS = (
    ("writing", "as written"),
    ("letter", "new letter"),
    ("group", "letter group"),
    ("joins", "joins"),
    ("words", "word list"),
    ("sentence", "sentences to copy"),
    ("name", "own name"),
    ("numbers", "numbers"),
)
TRACES = (
    ("dotted", "dotted"),
    ("outlined", "outlined"),
    ("faded", "faded in steps"),
    ("solid", "solid"),
)
DENSITIES = (("loose", "loose"), ("usual", "usual"), ("tight", "tight"))
MODELS = (("side", "at the side"), ("above", "above"))
PAPERS = (("us-letter", "US Letter"), ("a4", "A4"))


@dataclass(frozen=True, slots=True)
class Wish:
    """What a page, a drawing or a file is asked for with."""

    text: str = FIRST
    hand: str = "joined"
    ruling: str = "four-line"
    size: str | float = "grade 3"
    slant: float = 0.0
    lead_in: bool = True
    left_handed: bool = False
    sheet: str = "writing"
    trace: str = "dotted"
    density: str = "usual"
    model: str = "side"
    paper: str = "us-letter"

    def on(self) -> Paper:
        """The writing space. Raises what rulings and papers raise."""
        from larkslate.handwriting import paper, ruling

        return paper(
            rule=ruling(self.ruling, self.size),
            slant=self.slant,
            lead_in=self.lead_in,
            left_handed=self.left_handed,
            pulled_bars=self.left_handed,
            density=self.density,
            trace=self.trace,
        )

    @property
    def side(self) -> str:
        """Where the model of a sheet stands."""
        return "above" if self.model == "above" else "right" if self.left_handed else "left"

    @property
    def query(self) -> str:
        """The wish as the end of an address."""
        fields: dict[str, object] = {
            "text": self.text,
            "hand": self.hand,
            "ruling": self.ruling,
            "size": self.size if isinstance(self.size, str) else f"{self.size:g}",
            "slant": f"{self.slant:g}",
            "given": "1",
            "sheet": self.sheet,
            "trace": self.trace,
            "density": self.density,
            "model": self.model,
            "paper": self.paper,
        }
        if self.lead_in:
            fields["lead"] = "1"
        if self.left_handed:
            fields["left"] = "1"
        return urlencode(fields)


def read_wish(given: Mapping[str, str]) -> Wish:
    """A wish from the fields of an address. Raises Malformed, or NotAllowed with the choices there are."""
    text = given.get("text", FIRST)
    if len(text) > LONGEST:
        raise NotAllowed(f"That is {len(text)} characters: write at most {LONGEST} at once.")
    slant = given.get("slant", "").strip() or "0"
    try:
        lean = float(slant)
    except ValueError:
        raise Malformed(f"Slant: “{slant[:20]}” is not a number. Write 0 to 20.") from None
    if not 0 <= lean <= 20:
        raise NotAllowed(f"A slant of {lean:g} degrees cannot be written: choose 0 to 20.")
    size: str | float = given.get("size", "grade 3")
    with contextlib.suppress(ValueError):  # a name of a size is no number
        size = float(size)
    # An unticked box sends nothing, so a form that was sent says so.
    sent = "given" in given
    return Wish(
        text=text,
        hand=_one(given, "hand", HANDS),
        ruling=_one(given, "ruling", RULINGS),
        size=size,
        slant=lean,
        lead_in="lead" in given if sent else True,
        left_handed="left" in given,
        sheet=_one(given, "sheet", SHEETS),
        trace=_one(given, "trace", TRACES),
        density=given.get("density", "usual"),
        model=_one(given, "model", MODELS),
        paper=_one(given, "paper", PAPERS),
    )


def _one(given: Mapping[str, str], name: str, options: tuple[tuple[str, str], ...]) -> str:
    value = given.get(name, options[0][0])
    if value not in {one for one, _ in options}:
        raise NotAllowed(
            f"There is no {name} “{value[:30]}”: choose {', '.join(o for o, _ in options)}."
        )
    return value


def drawn(wish: Wish) -> Passage:
    """The writing as lines on a drawing."""
    from larkslate.handwriting.passage import passage

    return passage(wish.text, wish.hand, wish.on())


def of_word(word: str) -> dict[str, Any]:
    """The writing of one word, for the page of that word."""
    made = drawn(Wish(text=word))
    return {"drawing": made.svg if made.strokes else "", "em": made.em, "notices": made.notices}


def sizes() -> tuple[tuple[str, str], ...]:
    """The named sizes, with their millimeters."""
    from larkslate.handwriting.rulings import sizes as named

    return tuple((name, f"{name}, {height:g} mm") for name, (height, _) in named().items())


class PenPages:
    """The handlers of the pen."""

    def __init__(self, pages: Pages) -> None:
        self.pages = pages

    async def page(self, request: Request) -> Response:
        """The page itself."""
        wish = read_wish(request.query_params)
        made = await run_in_threadpool(drawn, wish)
        named = sizes()
        if not isinstance(wish.size, str):
            named = (*named, (f"{wish.size:g}", f"{wish.size:g} mm"))
        size = wish.size if isinstance(wish.size, str) else f"{wish.size:g}"
        return self.pages.show(
            "pen.html",
            here="pen",
            wish=wish,
            selects=(
                ("hand", "Hand", HANDS, wish.hand),
                ("ruling", "Lines", RULINGS, wish.ruling),
                ("size", "Size", (*named, *_plain_sizes(named)), size),
            ),
            sheet_selects=(
                ("sheet", "Kind", SHEETS, wish.sheet),
                ("trace", "To trace", TRACES, wish.trace),
                ("density", "Copies", DENSITIES, wish.density),
                ("model", "Model", MODELS, wish.model),
                ("paper", "Paper", PAPERS, wish.paper),
            ),
            query=wish.query,
            drawing=made.svg if made.strokes else "",
            em=made.em,
            notices=made.notices,
        )

    async def drawing(self, request: Request) -> Response:
        """The writing alone, for the script of the page; what is wrong is said in its place."""
        try:
            made = await run_in_threadpool(drawn, read_wish(request.query_params))
        except LarkslateError as error:
            return self.pages.show("pen_drawing.html", drawing="", em=0, notices=(str(error),))
        return self.pages.show(
            "pen_drawing.html",
            drawing=made.svg if made.strokes else "",
            em=made.em,
            notices=made.notices,
        )

    async def svg(self, request: Request) -> Response:
        """The writing as a file of its own."""
        made = await run_in_threadpool(drawn, read_wish(request.query_params))
        if not made.strokes:
            raise NotAllowed("There is nothing to write: use letters, digits and marks.")
        return Response(
            made.svg,
            media_type="image/svg+xml",
            headers={"cache-control": "no-store", "x-file-name": "pen.svg"},
        )

    async def pdf(self, request: Request) -> Response:
        """The writing, or a sheet made of it, as a tagged PDF."""
        wish = read_wish(request.query_params)

        def made() -> bytes:
            from larkslate.materials.hand_sheets import pack, pdf

            sheets = pack(
                wish.sheet,
                wish.text,
                hand=wish.hand,
                on=wish.on(),
                size=wish.paper,
                model=wish.side,
            )
            return pdf(sheets, wish.paper)

        name = f"handwriting-{wish.sheet}.pdf"
        return Response(
            await run_in_threadpool(made),
            media_type="application/pdf",
            headers={
                "content-disposition": f'attachment; filename="{name}"',
                "x-file-name": name,
                "cache-control": "no-store",
            },
        )


def _plain_sizes(named: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """Sizes in millimeters besides the named ones."""
    have = {value for value, _ in named}
    return tuple((str(mm), f"{mm} mm") for mm in (6, 8, 10, 12, 14, 18, 22) if str(mm) not in have)


def routes(pages: Pages) -> list[Route]:
    """Every address of the pen."""
    pen = PenPages(pages)
    return [
        Route("/pen", pen.page),
        Route("/pen/drawing", pen.drawing),
        Route("/pen.svg", pen.svg),
        Route("/pen.pdf", pen.pdf),
    ]
