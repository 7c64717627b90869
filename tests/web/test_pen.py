"""The pen page and the moving pen: one drawing for screen, file and sheet, and a clock that can be stopped anywhere."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Iterator

import httpx2
import pypdfium2
import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe

from larkslate.desk import Desk
from larkslate.errors import LarkslateError
from larkslate.handwriting import paper, ruling
from larkslate.handwriting.passage import passage
from larkslate.web.app import create
from larkslate.web.pen import Wish, drawn, of_word, read_wish
from tests.conftest import Watched, free_port

OFFSET = "e => e.style.visibility === 'hidden' ? 0 : e.style.strokeDashoffset === '' ? 1 : 1 - Number(e.style.strokeDashoffset)"


@pytest.fixture(scope="module")
def pen() -> Iterator[str]:
    """The pages alone, without a word list."""
    port = free_port()
    server = uvicorn.Server(
        uvicorn.Config(create(port, Desk()), port=port, log_level="error", ws="none")
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + 20
    while not server.started:
        assert time.monotonic() < until, "the pages did not start"
        time.sleep(0.02)
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(10)


def test_a_wish_is_read_and_written_back() -> None:
    wish = Wish(
        "Lake day",
        "print",
        "baseline",
        12.0,
        8.0,
        False,
        True,
        "words",
        "faded",
        "tight",
        "above",
        "a4",
    )
    from urllib.parse import parse_qsl

    assert read_wish(dict(parse_qsl(wish.query))) == wish
    assert read_wish({}) == Wish()
    assert read_wish({"given": "1", "text": "a"}) == Wish("a", lead_in=False)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"hand": "odd"}, "choose joined, print"),
        ({"ruling": "wavy"}, "choose four-line"),
        ({"slant": "much"}, "Write 0 to 20"),
        ({"slant": "nan"}, "choose 0 to 20"),
        ({"slant": "45"}, "choose 0 to 20"),
        ({"size": "huge"}, "choose grade 1"),
        ({"size": "9000"}, "choose 3 to 200"),
        ({"size": "nan"}, "choose 3 to 200"),
        ({"paper": "a3"}, "choose us-letter"),
        ({"density": "odd"}, "choose loose"),
        ({"text": "a" * 601}, "at most 600"),
    ],
)
def test_what_cannot_be_written_is_said(given: dict[str, str], says: str) -> None:
    with pytest.raises(LarkslateError, match=says):
        drawn(read_wish(given))


def test_the_screen_shows_the_paths_of_the_drawing() -> None:
    from larkslate.handwriting import svg, write

    shown = re.findall(r'class="stroke" d="([^"]+)"', of_word("catch")["drawing"])
    printed = re.findall(r'class="stroke" d="([^"]+)"', svg(write("catch"), ruling=ruling()))
    assert shown == printed


def test_a_long_text_is_broken_into_lines_that_fit() -> None:
    made = passage(
        "The heron stands in the shallow water and waits.\nThen it flies.", on=paper(width=90)
    )
    assert made.width <= 90
    assert made.height > 3 * ruling().set_height
    assert made.strokes == made.svg.count('class="stroke"')
    assert passage("", on=paper()).strokes == 0
    assert passage("   \n ", on=paper()).strokes == 0


def test_unknown_characters_are_named(pen: str) -> None:
    with httpx2.Client(base_url=pen) as client:
        page = client.get("/pen", params={"text": "café @ 漢 <b>"}).text
        assert "no letter for “é”: “e” is written" in page
        assert "no letter for “@”" in page
        assert "no letter for “漢”" in page
        assert "<b>" not in page.replace("<b ", "")
        assert "written here" in client.get("/pen", params={"text": ""}).text


def test_files_of_the_pen(pen: str) -> None:
    with httpx2.Client(base_url=pen, timeout=60) as client:
        got = client.get("/pen.svg", params={"text": "Lake", "given": "1", "slant": "10"})
        assert got.headers["content-type"].startswith("image/svg+xml")
        assert got.text.startswith("<svg")
        sheets = {
            "writing": "Lake day",
            "letter": "ab",
            "joins": "oa ve",
            "name": "Ada, Ben",
            "numbers": "",
        }
        for sheet, text in sheets.items():
            answer = client.get("/pen.pdf", params={"text": text, "sheet": sheet, "paper": "a4"})
            assert answer.status_code == 200, answer.text
            pages = pypdfium2.PdfDocument(answer.content)
            assert len(pages) == (2 if sheet in ("letter", "name", "numbers") else 1)
            assert round(pages[0].get_size()[0]) == 595
        assert client.get("/pen.svg", params={"text": "漢"}).status_code == 400
        assert client.get("/pen.pdf", params={"text": "a", "sheet": "joins"}).status_code == 400


# ---- in a browser --------------------------------------------------------------------------------


@pytest.mark.browser
@pytest.mark.parametrize("size", [(1280, 720), (820, 1180), (390, 844)])
def test_the_page_has_no_barrier_and_fits(
    watched: Watched, pen: str, size: tuple[int, int]
) -> None:
    watched.page.set_viewport_size({"width": size[0], "height": size[1]})
    watched.page.goto(pen + "/pen?text=quiet lake", wait_until="networkidle")
    assert watched.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    found = Axe().run(watched.page)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.browser
def test_the_clock_can_be_set_anywhere(watched: Watched, pen: str) -> None:
    page = watched.page
    page.goto(pen + "/pen?text=it")
    element = page.locator("moving-pen")
    element.evaluate("e => customElements.whenDefined('moving-pen')")
    strokes = page.locator("moving-pen path.stroke")
    assert strokes.evaluate_all(f"all => all.map({OFFSET})") == [1, 1, 1]
    element.evaluate("e => { e.time = 0 }")
    assert strokes.evaluate_all(f"all => all.map({OFFSET})") == [0, 0, 0], (
        "nothing shows before the pen begins"
    )
    page.locator("moving-pen").get_by_role("button", name="One stroke on").click()
    assert strokes.evaluate_all(f"all => all.map({OFFSET})") == [1, 0, 0]
    page.locator("moving-pen").get_by_role("button", name="One stroke on").click()
    assert strokes.evaluate_all(f"all => all.map({OFFSET})") == [1, 1, 0], (
        "the dot comes before the bar"
    )
    assert "Stroke 2 of 3" in page.locator("moving-pen output").inner_text()
    page.locator("moving-pen").get_by_role("button", name="One stroke back").click()
    assert strokes.evaluate_all(f"all => all.map({OFFSET})") == [1, 0, 0]
    half = element.evaluate(
        f"e => {{ e.time = e.duration / 4; return ({OFFSET})(e.querySelector('path.stroke')) }}"
    )
    assert 0.2 < half < 0.9
    dot = element.evaluate(
        "e => { const d = e.querySelector('.pen-dot'), p = e.querySelector('path.stroke');"
        " const at = p.getPointAtLength(p.getTotalLength() * (1 - Number(p.style.strokeDashoffset)));"
        " return Math.hypot(at.x - d.cx.baseVal.value, at.y - d.cy.baseVal.value) }"
    )
    assert dot < 0.01, "the pen stands at the end of the ink"


@pytest.mark.browser
def test_play_pause_speed_and_repeat(watched: Watched, pen: str) -> None:
    page = watched.page
    page.goto(pen + "/pen?text=i")
    element = page.locator("moving-pen")
    element.evaluate("e => customElements.whenDefined('moving-pen')")
    page.get_by_role("button", name="Play").click()
    page.wait_for_timeout(250)
    page.get_by_role("button", name="Pause").click()
    stopped = element.evaluate("e => e.time")
    assert 0 < stopped < element.evaluate("e => e.duration")
    page.wait_for_timeout(120)
    assert element.evaluate("e => e.time") == stopped
    element.get_by_label("Speed").select_option("2")
    assert element.evaluate("e => e.speed") == 2
    ended = "e => new Promise(done => { e.addEventListener('pen-ended', () => done(true), {once: true}); e.play() })"
    assert element.evaluate(ended)
    assert not element.evaluate("e => e.playing")
    element.get_by_role("button", name="Repeat").click()
    assert element.evaluate(ended)
    assert element.evaluate("e => e.playing"), "it begins again"
    element.evaluate("e => e.pause()")


@pytest.mark.browser
def test_the_keyboard_is_enough(watched: Watched, pen: str) -> None:
    page = watched.page
    page.goto(pen + "/pen?text=it")
    element = page.locator("moving-pen")
    element.evaluate("e => customElements.whenDefined('moving-pen')")
    element.evaluate("e => e.shadowRoot.querySelector('.paper').focus()")
    page.keyboard.press("Home")
    assert element.evaluate("e => e.time") == 0
    page.keyboard.press("ArrowRight")
    assert "Stroke 1 of 3" in page.locator("moving-pen output").inner_text()
    page.keyboard.press("Space")
    assert element.evaluate("e => e.playing")
    page.keyboard.press("Space")
    assert not element.evaluate("e => e.playing")
    page.keyboard.press("End")
    assert element.evaluate("e => e.time === e.duration")


@pytest.mark.browser
def test_reduced_motion_shows_numbered_strokes(watched: Watched, pen: str) -> None:
    page = watched.page
    page.emulate_media(reduced_motion="reduce")
    page.goto(pen + "/pen?text=it")
    element = page.locator("moving-pen")
    element.evaluate("e => customElements.whenDefined('moving-pen')")
    assert page.locator("moving-pen svg .number").all_text_contents() == ["1", "2", "3"]
    element.evaluate("e => { e.time = e.duration / 4 }")
    strokes = page.locator("moving-pen path.stroke")
    assert strokes.evaluate_all(f"all => all.map({OFFSET})") == [1, 0, 0], (
        "whole strokes, no motion"
    )
    assert page.locator(".pen-dot").evaluate("d => d.style.visibility") == "hidden"


@pytest.mark.browser
def test_what_is_typed_is_written_at_once(watched: Watched, pen: str) -> None:
    from playwright.sync_api import expect

    page = watched.page
    page.goto(pen + "/pen?text=a")
    page.get_by_label("Anything to write").fill("hop @")
    page.get_by_text("no letter for “@”").wait_for()
    assert page.locator("moving-pen path.stroke").count() == 1
    page.locator("select[name=hand]").select_option("print")
    expect(page.locator("moving-pen path.stroke")).to_have_count(3)
    expect(page).to_have_url(re.compile("hand=print"))
    page.locator("select[name=sheet]").select_option("words")
    expect(page.locator("a[data-makes]")).to_have_attribute("href", re.compile("sheet=words"))
    page.get_by_label("Slant").fill("50")
    page.get_by_text("choose 0 to 20").wait_for()
