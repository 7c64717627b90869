"""The pages in a real browser: they load with the network off, everyone can use them, the keyboard is enough."""

from __future__ import annotations

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
            "(() => { const e = document.activeElement; const s = getComputedStyle(e);"
            " return [e.outerHTML.slice(0, 80), s.outlineStyle !== 'none' || s.boxShadow !== 'none'] })()"
        )
        if stop[0].startswith("<body"):
            break
        seen.add(stop[0])
        assert stop[1], f"no mark of focus on {stop[0]}"
    assert len(seen) >= 6


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
