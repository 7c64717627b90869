"""The pages in a real browser: they load with the network off, everyone can use them, the keyboard is enough."""

from __future__ import annotations

import re

import httpx2
import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.conftest import Watched

pytestmark = pytest.mark.browser

SIZES = {"laptop": (1280, 720), "tablet": (820, 1180), "phone": (390, 844)}
PAGES = (
    "/",
    "/units",
    "/word?w=catch",
    "/word?w=make",
    "/word?w=record",
    "/word?w=unhappiness",
    "/word?w=doesn't",
    "/word?w=said",
    "/unit/1",
    "/unit/1/lesson/1",
    "/unit/1/lesson/8",
)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("path", PAGES)
def test_a_page_loads_alone_and_has_no_barrier(
    watched: Watched, workbench: str, path: str, size: str
) -> None:
    width, height = SIZES[size]
    watched.page.set_viewport_size({"width": width, "height": height})
    answer = watched.page.goto(workbench + path, wait_until="networkidle")
    assert answer is not None
    assert answer.status == 200
    fonts = watched.page.evaluate(
        "document.fonts.ready.then(() => [...document.fonts].filter(f => f.status === 'loaded')"
        ".map(f => f.family.replace(/[^A-Za-z0-9 ]/g, '')))"
    )
    assert {"Lexend", "Source Sans 3"} <= set(fonts)
    wide = watched.page.evaluate("document.documentElement.scrollWidth")
    assert wide <= width, "the page is wider than the screen"
    found = Axe().run(watched.page)
    assert found.violations_count == 0, found.generate_report()


def test_a_word_is_looked_up_by_keyboard_alone(watched: Watched, workbench: str) -> None:
    page = watched.page
    page.goto(workbench + "/")
    assert page.evaluate("document.activeElement.name") == "w", "the look-up has the cursor"
    page.keyboard.type("napkin")
    page.keyboard.press("Enter")
    page.wait_for_url("**/word?w=napkin")
    letters = page.locator(".letters b").all_inner_texts()
    assert letters == list("napkin")
    assert page.locator(".whole").first.inner_text() == "nap·kin"

    page.keyboard.press("Tab")  # the first stop jumps over the head
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.keyboard.press("Tab")  # and the next is a link of the page itself
    assert page.evaluate("document.activeElement.closest('main') !== null")


def test_every_stop_of_the_keyboard_can_be_seen(watched: Watched, workbench: str) -> None:
    page = watched.page
    page.goto(workbench + "/word?w=hopping")
    seen = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        stop = page.evaluate(
            "(() => { let e = document.activeElement;"
            " while (e.shadowRoot?.activeElement) e = e.shadowRoot.activeElement;"
            " const s = getComputedStyle(e);"
            " return [e.outerHTML.slice(0, 80), s.outlineStyle !== 'none' || s.boxShadow !== 'none'] })()"
        )
        if stop[0].startswith("<body"):
            break
        seen.add(stop[0])
        assert stop[1], f"no mark of focus on {stop[0]}"
    assert len(seen) >= 6


def test_a_lesson_is_reached_read_and_printed(watched: Watched, workbench: str) -> None:
    page = watched.page
    page.goto(workbench + "/")
    page.get_by_role("link", name="After one short vowel").click()
    assert page.locator("h1").inner_text() == "After one short vowel"
    assert "None asks for anything that has not been taught" in page.locator("main").inner_text()
    page.locator(".lessons a").first.click()
    page.wait_for_url("**/unit/1/lesson/1")
    blocks = page.locator(".block h2 .minutes").all_inner_texts()
    assert blocks[0].startswith("0–")
    assert blocks[-1].endswith("–30 min")
    with page.expect_download() as started:
        page.get_by_role("link", name="Lesson plan").click()
    assert started.value.suggested_filename == "1.1-teacher.pdf"
    pdf = pypdfium2.PdfDocument(started.value.path())
    assert len(pdf) >= 1
    page.get_by_text("is in your downloads").wait_for()
    page.get_by_role("link", name="Lesson 2").click()
    page.wait_for_url("**/unit/1/lesson/2")


def test_every_document_of_a_unit_can_be_had_without_scripts(workbench: str) -> None:
    with httpx2.Client(base_url=workbench, timeout=120) as client:
        page = client.get("/unit/1").text
        links = re.findall(r'href="(/unit/1/[a-z]+\.pdf)"', page)
        assert len(links) >= 5
        for link in links:
            got = client.get(link)
            assert got.status_code == 200
            assert got.headers["content-type"] == "application/pdf"
            assert len(pypdfium2.PdfDocument(got.content)) >= 1


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("/unit/99", "this sequence has units 1 to 16"),
        ("/unit/0", "this sequence has units 1 to 16"),
        ("/unit/1/lesson/99", "has no lesson 99"),
        ("/unit/1/lesson/1/song.pdf", "There is no document"),
        ("/unit/1?seed=many", "is not a number"),
        ("/word?w=", "There is no word there"),
        ("/word?w=two+words", "one at a time"),
        ("/word?w=<b>x</b>", "&lt;b&gt;"),
        ("/nothing", "There is no page at this address"),
        ("/static/nothing.css", "There is no page at this address"),
        ("/static/../app.py", "There is no page at this address"),
        ("/fonts/other.ttf", "There is no page at this address"),
    ],
)
def test_a_wrong_address_says_what_is_wrong(workbench: str, path: str, says: str) -> None:
    with httpx2.Client(base_url=workbench, timeout=60) as client:
        got = client.get(path)
    assert got.status_code in (400, 404)
    assert says in got.text


def test_a_word_that_is_not_there_says_what_to_do(watched: Watched, workbench: str) -> None:
    answer = watched.page.goto(workbench + "/word?w=zzyq")
    assert answer is not None
    assert answer.status == 404
    assert "Check the spelling" in watched.page.locator("main").inner_text()
    assert Axe().run(watched.page).violations_count == 0
    watched.complaints.clear()  # the browser notes the 404 itself


def test_with_scripts_off_a_word_can_still_be_looked_up(watched: Watched, workbench: str) -> None:
    browser = watched.page.context.browser
    assert browser is not None
    with browser.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(workbench + "/")
        page.get_by_role("textbox").fill("catch")
        page.get_by_role("button", name="Look up").click()
        assert page.locator(".letters b").all_inner_texts() == ["c", "a", "tch"]
