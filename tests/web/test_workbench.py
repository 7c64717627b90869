"""The teacher's job in a real browser: from an empty folder to the changed lesson, by keyboard, and after a restart."""

from __future__ import annotations

import io
import os
import socket
import subprocess
import sys
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.conftest import Watched, free_port

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

NAMES = [
    "Ada M.",
    "Ben K.",
    "Cleo R.",
    "Dov S.",
    "Elif T.",
    "Finn O.",
    "Gia P.",
    "Hugo L.",
    "Ines B.",
    "Jun W.",
    "Kofi A.",
    "Lena D.",
    "Milo F.",
    "Nora G.",
    "Omar H.",
    "Pia J.",
    "Quin N.",
    "Rosa E.",
    "Sami U.",
    "Tess V.",
    "Uri C.",
    "Vera Y.",
    "Wim Z.",
    "Yara Q.",
]
ROSTER = "student,seat,hand,larger print,extra time\n" + "\n".join(
    f"{name},{seat},{'left' if seat % 7 == 0 else 'right'},{18 if seat == 5 else ''},{'yes' if seat == 9 else ''}"
    for seat, name in enumerate(NAMES, start=1)
)
SIZES = {"laptop": (1280, 720), "tablet": (820, 1180)}
WEAK = 6  # students who write ch for tch


class Bench:
    """The workbench on a data folder of its own, started as a person starts it."""

    def __init__(self, data: Path, cache: Path) -> None:
        self.data, self.cache = data, cache
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start and wait until it listens."""
        self.process = subprocess.Popen(
            [
                *(sys.executable, "-m", "larkslate", "serve", "--no-browser"),
                *("--port", str(self.port), "--data", str(self.data)),
            ],
            env={**os.environ, "LARKSLATE_CACHE": str(self.cache)},
            stderr=subprocess.DEVNULL,
            text=True,
        )
        until = time.monotonic() + 60
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port)).close()
            except OSError:
                assert self.process.poll() is None, "the workbench ended"
                assert time.monotonic() < until, "the workbench did not start"
                time.sleep(0.05)
            else:
                return

    def stop(self) -> None:
        """End it."""
        if self.process is not None:
            self.process.terminate()
            self.process.wait(20)
            self.process = None


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory, word_list: Path) -> Iterator[Bench]:
    """One workbench for the tests of this file, which follow one another like days."""
    one = Bench(tmp_path_factory.mktemp("data") / "school", word_list.parent)
    one.start()
    yield one
    one.stop()


def name_of_focus(page: Page) -> str:
    """What a screen reader says first about the element with the focus."""
    said: str = page.evaluate(
        "(() => { const e = document.activeElement; const label = e.labels?.[0]?.innerText ?? '';"
        " return (e.getAttribute('aria-label') ?? (label || e.innerText || '')).replace(/\\s+/g, ' ').trim() })()"
    )
    return said


def tab_to(page: Page, name: str) -> None:
    """Press Tab until something with this name has the focus."""
    for _ in range(200):
        if name_of_focus(page).startswith(name):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"no stop of the keyboard is called {name}")


def press_on(page: Page, name: str) -> None:
    """Go to something by Tab and press Enter on it."""
    tab_to(page, name)
    page.keyboard.press("Enter")


def written_for(target: str) -> str:
    """What the weak spellers of this test write."""
    return target.replace("tch", "ch")


def mark_by_keyboard(page: Page, weak: int) -> None:
    """A pile of papers in seat order: what is wrong is typed, the rest is Enter."""
    page.locator("td:focus").wait_for(state="attached")
    targets: list[str] = page.locator("thead th[data-item]").evaluate_all(
        "heads => heads.map(h => h.dataset.target)"
    )
    for seat in range(1, len(NAMES) + 1):
        if seat == len(NAMES):
            page.keyboard.press("/")  # away that day: the whole row
            continue
        if seat > weak:
            page.keyboard.press("Shift+Enter")
            continue
        for target in targets:
            wrong = written_for(target)
            if wrong != target and " " not in target:
                page.keyboard.type(wrong)
            page.keyboard.press("Enter")
    saved(page)


def saved(page: Page) -> None:
    """Wait until everything is on the disk."""
    page.locator(".saving[data-state=saved]").wait_for()


def the_class(page: Page, bench: Bench) -> str:
    """The address of the class of these tests."""
    page.goto(bench.address + "/settings")
    to = page.get_by_role("link", name="Settings of Room 12").get_attribute("href")
    assert to is not None
    return bench.address + to.removesuffix("/settings")


def test_1_the_job_from_an_empty_folder_by_keyboard(watched: Watched, bench: Bench) -> None:
    page = watched.page
    page.goto(bench.address + "/today")
    assert page.locator("h1").inner_text() == "First steps"
    press_on(page, "Add a class")
    page.wait_for_url("**/class/new")
    page.keyboard.type("Room 12")
    tab_to(page, "Paste the list")
    page.keyboard.insert_text(ROSTER)
    press_on(page, "Read the list")
    page.get_by_text("24 students in the list").wait_for()
    press_on(page, "Add the class with 24 students")
    page.wait_for_url("**/class/*")
    assert "24 students" in page.locator(".goal").inner_text()

    press_on(page, "Plan")
    page.wait_for_url("**/plan")
    press_on(page, "Plan unit 1,")
    page.wait_for_url("**/plan/1")
    with page.expect_download() as started:
        press_on(page, "Lesson plans")
    assert len(pypdfium2.PdfDocument(started.value.path())) >= 9

    press_on(page, "5 ")
    page.wait_for_url("**/plan/1/5")
    press_on(page, "This was given: mark it")
    page.wait_for_url("**/mark/*")
    mark_by_keyboard(page, WEAK)
    rows = page.locator("#wrong tbody tr").filter(has_text="notch")
    rows.first.wait_for()
    assert rows.count() == 1, "a form that several wrote is shown once"
    for name in NAMES[:WEAK]:
        assert name in rows.inner_text()

    press_on(page, "Marked: see who needs what")
    page.wait_for_url("**/results")
    main = page.locator("main").inner_text()
    assert f"{WEAK} of 23" in main, main
    assert "tch" in page.locator("#needs tbody tr").first.inner_text()
    assert "missing, not as zero" in page.locator("#needs tbody tr").last.inner_text()
    changed = page.locator(".change").first.inner_text()
    assert "comes in" in changed
    assert f"{WEAK} of 23" in changed

    press_on(page, "Lesson 1.6")
    page.wait_for_url("**/plan/1/6")
    back = page.locator("#reviews").inner_text()
    assert f"{WEAK} of 23" in back
    assert "tch" in back


def test_2_it_is_all_there_after_a_restart(watched: Watched, bench: Bench) -> None:
    page = watched.page
    room = the_class(page, bench)
    page.goto(room + "/plan/1/6")
    before = page.locator("#reviews").inner_text()
    page.goto(room)
    standings = page.locator(".standings").inner_text()
    bench.stop()
    bench.start()
    page.goto(room + "/plan/1/6")
    assert page.locator("#reviews").inner_text() == before
    page.goto(room)
    assert page.locator(".standings").inner_text() == standings
    page.goto(bench.address + "/today")
    assert f"{WEAK} of 23" in page.locator("main").inner_text()
    press_on(page, "Mark Checkpoint 1.5")
    page.locator("td:focus").wait_for(state="attached")
    assert page.locator("td.wrong-form").count() > WEAK


def test_3_a_cell_is_blank_illegible_likely_undone_emptied(watched: Watched, bench: Bench) -> None:
    page = watched.page
    page.goto(the_class(page, bench) + "/plan/1/5")
    page.get_by_label("Form", exact=True).select_option("B")
    page.get_by_role("button", name="This was given").click()
    page.locator("td:focus").wait_for(state="attached")
    cells = page.locator("tbody tr").first.locator("td")
    page.keyboard.press("-")
    page.keyboard.press("?")
    likely = page.locator(".likely b").nth(1).inner_text()
    page.keyboard.press("1")
    assert cells.nth(0).inner_text() == "blank"
    assert cells.nth(1).inner_text() == "illegible"
    assert cells.nth(2).inner_text() == likely
    page.keyboard.press("Enter")
    assert cells.nth(3).inner_text() == "✓"
    page.keyboard.press("Control+z")
    assert cells.nth(3).inner_text() == ""
    page.keyboard.press("Control+z")
    assert cells.nth(2).inner_text() == ""
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Delete")
    assert cells.nth(1).inner_text() == ""
    page.keyboard.type("qx")
    page.keyboard.press("Escape")
    assert cells.nth(1).inner_text() == ""
    saved(page)
    page.reload()
    page.locator("td:focus").wait_for(state="attached")
    assert [cells.nth(i).inner_text() for i in range(4)] == ["blank", "", "", ""]


def test_4_two_windows_never_overwrite_silently(watched: Watched, bench: Bench) -> None:
    page = watched.page
    page.goto(the_class(page, bench) + "/plan/1/5")
    page.get_by_role("link", name="Mark form B").click()
    page.locator("td:focus").wait_for(state="attached")
    other = page.context.new_page()
    other.goto(page.url)
    other.locator("td:focus").wait_for(state="attached")
    page.keyboard.type("aaa")
    page.keyboard.press("Enter")
    saved(page)
    other.keyboard.type("bbb")
    other.keyboard.press("Enter")
    other.get_by_role("dialog").wait_for()
    asked = other.get_by_role("dialog").inner_text()
    assert "aaa" in asked
    assert "bbb" in asked
    assert Axe().run(other).violations_count == 0
    other.get_by_role("button", name="Write “bbb”").focus()
    other.keyboard.press("Enter")
    saved(other)
    page.reload()
    assert page.locator("tbody td").nth(1).inner_text() == "bbb"


def test_5_a_server_that_is_gone_loses_nothing(watched: Watched, bench: Bench) -> None:
    page = watched.page
    page.goto(the_class(page, bench) + "/plan/1/5")
    page.get_by_role("link", name="Mark form B").click()
    page.locator("td:focus").wait_for(state="attached")
    bench.stop()
    page.keyboard.type("lost")
    page.keyboard.press("Enter")
    page.get_by_text("Not saved: 1 cell").wait_for()
    bench.start()
    page.get_by_text("All saved.").wait_for(timeout=20_000)
    page.reload()
    watched.complaints.clear()  # the browser notes the refused requests itself
    assert "lost" in page.locator("tbody tr").first.inner_text()


def test_5b_a_save_that_ends_does_not_disturb_what_is_typed(watched: Watched, bench: Bench) -> None:
    page = watched.page
    page.goto(the_class(page, bench) + "/plan/1/5")
    page.get_by_role("link", name="Mark form B").click()
    page.locator("td:focus").wait_for(state="attached")
    page.keyboard.type("one")
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowLeft")
    page.keyboard.type("tw")
    saved_first = page.locator("td:has(input)[data-state='']")
    saved_first.wait_for()
    page.keyboard.type("o")
    page.keyboard.press("Enter")
    saved(page)
    page.reload()
    assert "two" in page.locator("tbody tr").first.inner_text()


PAGES = (
    *("", "/today", "/students", "/plan", "/plan/1", "/plan/2", "/plan/1/5", "/plan/1/6"),
    *("/opening", "/opening?form=B", "/words", "/settings", "/erase", "?part=before"),
)


@pytest.mark.parametrize("size", SIZES)
def test_6_no_page_has_a_barrier(watched: Watched, bench: Bench, size: str) -> None:
    page = watched.page
    width, height = SIZES[size]
    page.set_viewport_size({"width": width, "height": height})
    room = the_class(page, bench)
    page.goto(room + "/plan/1/5")
    sitting = page.get_by_role("link", name="Mark form A").get_attribute("href")
    page.goto(room + "/students")
    student = page.locator("tbody a").first.get_attribute("href")
    paths = [
        *(room + p for p in PAGES),
        *(f"{bench.address}{sitting}", f"{bench.address}{sitting}/results"),
        *(f"{bench.address}{student}", f"{bench.address}{student}/erase"),
        *(f"{bench.address}/class/new", f"{bench.address}/settings"),
    ]
    for path in paths:
        answer = page.goto(path, wait_until="networkidle")
        assert answer is not None
        assert answer.status == 200, path
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{path} is wider than the screen"
        found = Axe().run(page)
        assert found.violations_count == 0, f"{path}\n{found.generate_report()}"


def test_7_no_name_stands_on_a_page_for_the_board(watched: Watched, bench: Bench) -> None:
    """Names of students never appear on what may be projected."""
    page = watched.page
    room = the_class(page, bench)
    for path in (
        *(f"{room}/plan", f"{room}/plan/1", f"{room}/plan/1/5", f"{room}/plan/1/6"),
        *(f"{bench.address}/unit/1", f"{bench.address}/unit/1/lesson/6"),
        f"{bench.address}/word?w=catch",
    ):
        page.goto(path)
        text = page.content()
        assert not [name for name in NAMES if name in text], path


def test_8_with_scripts_off_a_class_is_added_and_planned(watched: Watched, bench: Bench) -> None:
    browser = watched.page.context.browser
    assert browser is not None
    with browser.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(bench.address + "/class/new")
        page.get_by_label("Name", exact=True).fill("Room 14")
        page.get_by_label("or choose a file").set_input_files(
            {"name": "list.csv", "mimeType": "text/csv", "buffer": b"student\nA1\nA2\n"}
        )
        page.get_by_role("button", name="Read the list").click()
        page.get_by_role("button", name="Add the class with 2 students").click()
        assert "2 students" in page.locator(".goal").inner_text()
        page.get_by_role("link", name="Today").click()
        page.get_by_role("button", name="Plan unit 1").click()
        assert page.locator(".lessons li").count() == 9


def test_9_a_list_that_is_wrong_says_where_and_what_to_do(watched: Watched, bench: Bench) -> None:
    page = watched.page
    bad = {
        "": "There is nothing in the list",
        "color,size\nred,2\n": "the header is not known",
        "student\nAda M.\nAda M.\n": "Row 3: Ada M. stands in row 2 already",
        "student,seat\nAda M.,x\n": "Row 2: “x” is not a number",
    }
    for text, says in bad.items():
        page.goto(bench.address + "/class/new")
        page.get_by_label("Name", exact=True).fill("Room 15")
        page.get_by_label("Paste the list").fill(text)
        page.get_by_role("button", name="Read the list").click()
        page.get_by_role("alert").get_by_text(says).first.wait_for()
        assert page.get_by_role("button", name="Add the class").count() == 0
    page.goto(bench.address + "/class/new")
    page.get_by_label("Name", exact=True).fill("Room 15")
    page.get_by_label("or choose a file").set_input_files(
        {
            "name": "l.csv",
            "mimeType": "text/csv",
            "buffer": "student;seat\nZoë B.;3\n".encode("latin-1"),
        }
    )
    page.get_by_role("button", name="Read the list").click()
    assert page.get_by_role("row", name="Zoë B.").count() == 1
    page.get_by_text("look at names with accents").wait_for()
    page.goto(bench.address + "/class/new")
    page.get_by_label("Name", exact=True).fill("Room 15")
    many = "student\n" + "".join(f"S{n}\n" for n in range(10_000))
    page.get_by_label("or choose a file").set_input_files(
        {"name": "l.csv", "mimeType": "text/csv", "buffer": many.encode()}
    )
    page.get_by_role("button", name="Read the list").click()
    page.get_by_role("alert").get_by_text("10,000 rows").wait_for()
    page.goto(the_class(page, bench) + "/plan/1/99")
    page.get_by_text("has no lesson 99").wait_for()
    watched.complaints.clear()  # the browser notes each refusal itself
    page.goto(bench.address + "/settings")
    assert "Room 15" not in page.locator("main").inner_text()


def test_a_backup_export_import_restore_and_erase(
    watched: Watched, bench: Bench, tmp_path: Path
) -> None:
    page = watched.page
    page.goto(bench.address + "/settings")
    page.get_by_role("button", name="Back up now").click()
    page.get_by_text("passed its check").wait_for()
    with page.expect_download() as started:
        page.get_by_role("button", name="Move to another machine", exact=True).click()
    moved = tmp_path / "moved.larkslate"
    started.value.save_as(moved)
    page.goto(bench.address + "/settings")
    page.get_by_role("link", name="Settings of Room 12").click()
    page.get_by_label("Name", exact=True).fill("Room 12 b")
    page.get_by_role("button", name="Store").click()
    page.get_by_label("A file made by").set_input_files(moved)
    page.get_by_role("button", name="Look at it").click()
    page.get_by_text("was changed here since; the one here stays").wait_for()
    page.get_by_role("button", name="Bring it in").click()
    page.get_by_role("status").get_by_text("stays").wait_for()
    asked = page.locator("#backup option", has_text="asked for").first.get_attribute("value")
    page.locator("#backup").select_option(asked)
    page.get_by_role("button", name="Restore this backup").click()
    page.get_by_text("was restored").wait_for()
    assert page.get_by_role("link", name="Settings of Room 12 b").count() == 0

    page.get_by_role("link", name="Settings of Room 12").click()
    page.goto(page.url.removesuffix("/settings") + "/students")
    page.get_by_role("link", name="Gia P.").click()
    page.get_by_role("link", name="Erase this student").click()
    assert "Paper, files you downloaded" in page.locator("main").inner_text()
    page.get_by_role("button", name="Erase for good").click()
    page.get_by_text("1 student erased").wait_for()
    page.get_by_role("link", name="Go on").click()
    assert "Gia P." not in page.locator("main").inner_text()
    for path in bench.data.rglob("*"):
        if path.is_file():
            assert b"Gia P." not in path.read_bytes(), f"{path.name} still holds the name"


def test_b_paper_of_the_class_and_the_opening_weeks(watched: Watched, bench: Bench) -> None:
    page = watched.page
    room = the_class(page, bench)
    wanted = {
        "/labels.pdf": "Ada M.",
        "/seats.pdf": "writes with the left hand",
        "/opening/paper.pdf": "Words for the opening weeks",
        "/opening/key.pdf": "sandbox",
        "/opening/script.pdf?form=B": "dustpan",
    }
    for path, holds in wanted.items():
        answer = page.request.get(room + path)
        assert answer.ok, answer.text()
        pdf = pypdfium2.PdfDocument(answer.body())
        text = "".join(p.get_textpage().get_text_range() for p in pdf)
        assert holds in text, path
    week = page.request.get(room + "/week.zip")
    assert week.ok
    with zipfile.ZipFile(io.BytesIO(week.body())) as packed:
        assert len(packed.namelist()) >= 4
        assert packed.testzip() is None


def test_c_own_words_are_checked_and_kept(watched: Watched, bench: Bench) -> None:
    page = watched.page
    page.goto(the_class(page, bench) + "/words")
    page.get_by_label("Paste a list").fill("frog, habitat, zzyq")
    page.get_by_role("button", name="Check them").click()
    rows = page.locator("tbody tr")
    assert rows.nth(0).locator("td").first.inner_text() == "yes"
    assert rows.nth(1).locator("td").first.inner_text() == "no"
    assert "not in the word list" in rows.nth(2).inner_text()
    page.get_by_label("Keep the list as").fill("Pond words")
    page.get_by_role("button", name="Keep it").click()
    page.get_by_text("Pond words:").wait_for()


def test_d_the_opening_words_are_marked_and_say_what_to_review(
    watched: Watched, bench: Bench
) -> None:
    page = watched.page
    room = the_class(page, bench)
    page.goto(room + "/opening")
    page.get_by_role("button", name="Form A was given").click()
    page.locator("td:focus").wait_for(state="attached")
    for _ in range(page.locator("tbody tr").count()):
        page.keyboard.press("Shift+Enter")
    saved(page)
    page.get_by_role("button", name="Marked: see who needs what").click()
    page.wait_for_url("**/results")
    assert "27 of 27" in page.locator("#needs").inner_text()
    page.goto(room + "?part=before")
    assert "consonant" in page.locator(".standings thead").inner_text()


def test_e_a_late_start_counts_from_what_is_shown(watched: Watched, bench: Bench) -> None:
    page = watched.page
    page.goto(the_class(page, bench) + "/students")
    page.get_by_label("Code, or first name and initial").fill("Lou T.")
    page.get_by_label("Started later, on").fill("2099-01-04")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_role("link", name="Lou T.").click()
    before = page.get_by_role("button", name="shown now").count()
    assert before > 1
    page.get_by_role("button", name="shown now").first.click()
    page.wait_for_load_state()
    assert page.get_by_role("button", name="shown now").count() == before - 1
