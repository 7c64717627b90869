from __future__ import annotations

import ctypes
import math

import pytest
from pypdfium2 import raw

from larkslate.errors import Malformed, NotAllowed
from larkslate.handwriting import Hand, paper, ruling
from larkslate.materials.documents import make
from larkslate.materials.hand_sheets import (
    BOTTOM,
    HEIGHTS,
    KINDS,
    SIDES,
    TOP,
    Pack,
    item_pages,
    name_pack,
    pack,
    page_data,
    pdf,
    room,
    theme_pages,
)
from larkslate.materials.look import MARGIN, PAPERS
from larkslate.plan.model import LetterItem
from larkslate.sequence.load import shipped
from tests.materials.pdfs import POINTS_A_MM, Pdf
from tests.materials.sample import LESSON_4, UNIT

TEXTS = {
    "letter": "a t K",
    "group": "c a d g",
    "joins": "oa, ve, wr, br",
    "words": "catch island napkin don't",
    "sentence": "The bird can't swim in cold water, but it's happy to wade near the shore.",
    "name": "Ada Finch, Zoé, Quin O'Hale",
    "numbers": "",
    "writing": "Dear Maya,\nthe lake is cold.",
}


Box = tuple[float, float, float, float]


def drawn(content: bytes, page: int = 0) -> list[Box]:
    """Left, bottom, right, top of every path a page draws, in mm from its lower left corner, handles included."""
    found: list[Box] = []

    def walk(item: object, place: tuple[float, ...]) -> None:
        kind = raw.FPDFPageObj_GetType(item)
        if kind == raw.FPDF_PAGEOBJ_FORM:
            inner = _times(_matrix(item), place)
            for index in range(raw.FPDFFormObj_CountObjects(item)):
                walk(raw.FPDFFormObj_GetObject(item, index), inner)
        elif kind == raw.FPDF_PAGEOBJ_PATH:
            matrix = _times(_matrix(item), place)
            points = [_moved(p, matrix) for p in _points(item)]
            if points:
                xs, ys = [x for x, _ in points], [y for _, y in points]
                found.append(_in_mm((min(xs), min(ys), max(xs), max(ys))))

    opened = Pdf(content).document[page]
    for index in range(raw.FPDFPage_CountObjects(opened)):
        walk(raw.FPDFPage_GetObject(opened, index), (1.0, 0.0, 0.0, 1.0, 0.0, 0.0))
    return found


def is_rule(box: Box, size: str = "us-letter") -> bool:
    """Whether a path is a level line as wide as the writing space."""
    width = PAPERS[size] - 2 * MARGIN
    return box[3] - box[1] < 0.01 and abs(box[2] - box[0] - width) < 0.2


def writing(content: bytes, made: Pack, page: int = 0, size: str = "us-letter") -> list[Box]:
    """The paths under the head of a page that are no ruled lines: strokes and arrows."""
    top = HEIGHTS[size] - TOP - made.pages[page].head + 2
    return [box for box in drawn(content, page) if box[1] < top and not is_rule(box, size)]


def _in_mm(box: Box) -> Box:
    a, b, c, d = (value / POINTS_A_MM for value in box)
    return a, b, c, d


def _matrix(item: object) -> tuple[float, ...]:
    matrix = raw.FS_MATRIX()
    raw.FPDFPageObj_GetMatrix(item, matrix)
    return (matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f)


def _times(m: tuple[float, ...], n: tuple[float, ...]) -> tuple[float, ...]:
    """First m, then n."""
    return (
        m[0] * n[0] + m[1] * n[2],
        m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2],
        m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4],
        m[4] * n[1] + m[5] * n[3] + n[5],
    )


def _moved(point: tuple[float, float], m: tuple[float, ...]) -> tuple[float, float]:
    x, y = point
    return m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]


def _points(item: object) -> list[tuple[float, float]]:
    """The points of a path, its handles included."""
    found = []
    for index in range(raw.FPDFPath_CountSegments(item)):
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(item, index), x, y)
        found.append((x.value, y.value))
    return found


def level(boxes: list[Box], size: str = "us-letter") -> list[float]:
    """How far up (mm) each ruled line stands, from the top down."""
    return sorted((box[1] for box in boxes if is_rule(box, size)), reverse=True)


def expected(made: Pack, page: int, size: str) -> list[float]:
    """Where the lines of a page should stand, in mm from its lower edge, from the top down."""
    one = made.pages[page]
    at = HEIGHTS[size] - TOP - one.head
    found = []
    for row in one.rows:
        found += [
            at - row.top - row.rule.height + line.at * row.rule.scale for line in row.rule.lines
        ]
        at -= row.height
    return sorted(found, reverse=True)


@pytest.mark.parametrize("size", ["us-letter", "a4"])
@pytest.mark.parametrize("lines", ["four-line", "three-line", "baseline"])
@pytest.mark.parametrize("height", [7.0, 9.5, 15.9])
def test_ruled_lines_stand_where_they_were_asked_for(size: str, lines: str, height: float) -> None:
    made = pack("letter", "g", on=paper(rule=ruling(lines, height)), size=size)
    paths = drawn(pdf(made, size))
    found, wanted = level(paths, size), expected(made, 0, size)
    assert len(found) == len(wanted) > 0
    for got, want in zip(found, wanted, strict=True):
        assert abs(got - want) < 0.1
    small = [row for row in made.pages[0].rows if row.rule.height == height]
    assert len(small) >= 3
    if lines == "four-line":  # from the baseline to the top line, on the paper itself
        assert abs(found[-4] - found[-2] - height) < 0.1
        assert abs(found[-3] - found[-2] - height / 2) < 0.1


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize("model", SIDES)
@pytest.mark.parametrize("trace", ["solid", "dotted", "outlined", "faded"])
def test_strokes_stay_within_their_lines_and_the_paper(kind: str, model: str, trace: str) -> None:
    made = pack(kind, TEXTS[kind], on=paper(trace=trace, slant=8), model=model)
    content = pdf(made)
    for number, page in enumerate(made.pages):
        ink = writing(content, made, number)
        assert ink or not any(row.ink for row in page.rows)
        bands = []
        at = HEIGHTS["us-letter"] - TOP - page.head
        for row in page.rows:
            if row.ink:
                base = at - row.top - row.rule.height
                bands.append((base - 0.5 * row.rule.height, base + row.rule.height))
            at -= row.height
        assert at > BOTTOM - 1e-6  # nothing runs into the foot of the page
        for left, low, right, high in ink:
            assert MARGIN - 0.01 <= left <= right <= PAPERS["us-letter"] - MARGIN + 0.01
            # arrows and numbers stand beside the letters, in the room a row keeps for them
            near = min(bands, key=lambda band: abs((band[0] + band[1]) / 2 - (low + high) / 2))
            free = 0.17 * (near[1] - near[0]) / 1.5 + 0.3
            assert near[0] - free < low <= high < near[1] + free


@pytest.mark.parametrize("hand", ["joined", "print"])
def test_every_letter_is_drawn_on_its_lines(hand: str) -> None:
    """Centerlines of the pen in the file, against the lines in the file, within 5 units of an em."""
    made = pack("words", "dig lake flop", hand=hand, on=paper(rule=ruling("four-line", 12.0)))
    content = pdf(made)
    found = level(drawn(content))
    tops = found[::4]
    assert len(tops) == 3
    for top in tops:
        inside = [box for box in writing(content, made) if top - 19 < box[1] < top + 1]
        assert inside
        assert abs(max(box[3] for box in inside) - top) < 0.006 * 12
        low = min(box[1] for box in inside)
        assert low > top - 18 - 0.006 * 12


@pytest.mark.parametrize("kind", list(KINDS))
def test_a_sheet_is_tagged_and_says_the_path(kind: str) -> None:
    made = pack(kind, TEXTS[kind])
    read = Pdf(pdf(made))
    assert read.tagged
    assert read.title == made.title
    assert read.language == "en-US"
    assert len(read) == len(made.pages)
    figures = [spoken for tag, spoken in read.tags() if tag == "Figure"]
    assert len(figures) == sum(bool(row.ink) for page in made.pages for row in page.rows)
    assert all(figures)
    if kind in ("letter", "joins", "group", "numbers"):
        assert any("Start" in f or "Rise" in f or "in one stroke" in f for f in figures)


def test_numbers_of_arrows_are_no_text_of_the_page() -> None:
    (page,) = pack("letter", "k").pages
    assert 'class="number"' in page.rows[0].marks
    read = Pdf(pdf(Pack("New letters", (page,))))
    tags = [tag for tag, _ in read.tags()]
    assert tags.count("Figure") == len([row for row in page.rows if row.ink])
    assert 'class="number"' not in page.rows[0].ink


def test_the_model_stands_where_it_was_asked_for() -> None:
    def first(model: str) -> list[Box]:
        made = pack("words", "lake", model=model, on=paper(density="loose"))
        return writing(pdf(made), made)

    left, right, above = (first(side) for side in SIDES)
    assert min(p[0] for p in left) < MARGIN + 5
    middle = PAPERS["us-letter"] / 2
    assert max(p[2] for p in left) < middle
    assert max(p[2] for p in right) > PAPERS["us-letter"] - MARGIN - 5
    heights = sorted({round(p[3]) for p in above})
    assert heights[-1] - heights[0] > 15  # model and tracing stand in two lines


def test_letters_get_a_page_each_and_words_come_once() -> None:
    pages = item_pages(
        LetterItem(("h", "k"), ("hill", "kettle")), Hand.JOINED, paper(), "us-letter"
    )
    assert [page.title for page in pages] == ["Letter h", "Letter k"]
    words = [row.text for page in pages for row in page.rows if len(row.text) > 1]
    assert words == ["hill", "kettle"]


def test_the_handwriting_pages_of_a_lesson() -> None:
    read = Pdf(make("handwriting", UNIT, 4))
    assert len(read) == 2
    figures = [spoken for tag, spoken in read.tags() if tag == "Figure"]
    assert figures[0].startswith("h in joined writing. Rise into a tall loop")
    assert "Lesson" in read.text()
    assert LESSON_4.id in read.text()


def test_every_theme_has_sheets_for_its_letters() -> None:
    words = ("it", "tip", "lake", "oak", "we", "bring", "Cora", "Otto", "over", "worn", "team")
    met: list[str] = []
    for theme in shipped().themes:
        lessons = theme_pages(theme, met, words, names=("Ada Finch",))
        assert len(lessons) >= len(theme.letters)
        assert all(pages and all(page.rows for page in pages) for pages in lessons)
        titles = " ".join(page.title for pages in lessons for page in pages)
        for entry in theme.letters:
            if len(entry) == 1:
                assert f"Letter {entry}" in titles
            elif entry.startswith("joins"):
                assert "Join" in titles
            else:
                assert "Ada Finch" in titles
        met += theme.letters


def test_own_name_and_date_is_a_page_for_every_name_or_one_for_any() -> None:
    item = LetterItem((), (), "Own full name and a dated line.")
    named = item_pages(item, Hand.JOINED, paper(), "us-letter", ("Ada Finch", "Ben Marsh"))
    assert [page.title for page in named] == ["Ada Finch", "Ben Marsh"]
    assert all(page.rows[-1].text == "the date" for page in named)
    (any_one,) = item_pages(item, Hand.JOINED, paper(), "us-letter")
    assert not any(row.ink for row in any_one.rows)
    assert "date" in any_one.do


def test_a_roster_gets_a_page_for_every_student() -> None:
    names = [f"{first} {last}" for first in ("Ada", "Ben", "Cora") for last in ("Finch", "Marsh")]
    made = name_pack(names, Hand.JOINED, paper())
    assert [page.title for page in made.pages] == names
    text = Pdf(pdf(made)).text()
    assert all(name in text for name in names)


def test_what_cannot_be_written_is_named() -> None:
    made = pack("words", "café 漢")
    assert any("“é”" in notice for notice in made.notices)
    assert any("“漢”" in notice for notice in made.notices)
    assert pack("name", "Maximiliana " * 12).notices


def test_long_packs_are_cut_into_pages_and_lose_nothing() -> None:
    words = [a + b for a in "bcdfghjk" for b in ("at", "it", "ot")]
    made = pack("words", " ".join(words), size="a4")
    assert len(made.pages) > 1
    assert [row.text for page in made.pages for row in page.rows] == words
    for page in made.pages:
        assert sum(row.height for row in page.rows) <= room("a4") + 1e-9
    assert made.pages[1].foot.endswith(f"2 / {len(made.pages)}")


def test_a_line_to_copy_stays_with_the_line_below() -> None:
    made = pack("sentence", "The heron stands still in the shallow water. " * 8)
    assert len(made.pages) > 1
    for page in made.pages:
        assert page.rows[-1].ink == ""
        assert page.rows[0].ink


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"kind": "poster", "text": "a"}, "There is no sheet"),
        ({"kind": "letter", "text": "a", "size": "a3"}, "There is no paper"),
        ({"kind": "letter", "text": "a", "model": "below"}, "cannot stand"),
        ({"kind": "letter", "text": " "}, "nothing to write"),
        ({"kind": "name", "text": ", ;"}, "nothing to write"),
        ({"kind": "joins", "text": "a"}, "is not a join"),
    ],
)
def test_what_cannot_be_asked_for_is_refused(options: dict[str, str], says: str) -> None:
    with pytest.raises((NotAllowed, Malformed), match=says):
        pack(**options)  # type: ignore[arg-type]


def test_the_same_sheet_gives_the_same_file() -> None:
    made = pack("letter", "a")
    assert pdf(made) == pdf(made)
    assert math.isclose(
        page_data(made.pages[0])["rows"][0]["width"], PAPERS["us-letter"] - 2 * MARGIN
    )
