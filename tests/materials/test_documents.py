from __future__ import annotations

import os
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from larkslate.errors import Missing, NotAllowed
from larkslate.materials.documents import KINDS, Options, make, write
from larkslate.materials.look import MARGIN, SIZES, Look
from larkslate.materials.paper import dictations, paper
from larkslate.materials.runs import plain, typographic
from larkslate.materials.script import lesson_scripts
from larkslate.materials.sheet import student_sheet, words_on
from larkslate.materials.teacher import teacher_page, words_said
from larkslate.plan.model import (
    Audit,
    Block,
    BlockKind,
    LessonKind,
    Role,
    SortItem,
    TextItem,
    UnitPlan,
    WordItem,
)
from tests.materials.pdfs import POINTS_A_MM, Pdf
from tests.materials.sample import UNIT, lesson

LONG = "pneumonoultramicroscopicsilicovolcanokon"  # 40 letters


def unit(*blocks: Block, rule: str | None = None, exception: str | None = None) -> UnitPlan:
    one = lesson(1, "A lesson", LessonKind.NEW, (), blocks, rule, exception)
    return UnitPlan(3, "A theme", "", (), (), 1, (one,), Audit(0, (), (), {}, {}))


def flat(text: str) -> str:
    return " ".join(typographic(text).split())


def within_margins(pdf: Pdf, kind: str = "") -> None:
    width, height = pdf.size()
    # the lesson plan has narrower margins, so that it keeps to one page
    edge = (16 if kind == "teacher" else MARGIN) * POINTS_A_MM - 1
    for letter in pdf.letters():
        left, bottom, right, top = letter.box
        assert left >= edge, letter
        assert right <= width - edge, letter
        assert bottom >= 15, letter
        assert top <= height - 15, letter


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_a_tagged_pdf_with_title_language_and_embedded_fonts(kind: str) -> None:
    pdf = Pdf(make(kind, UNIT))
    assert pdf.tagged
    assert pdf.title == f"{KINDS[kind].title}: After a short vowel"
    assert pdf.language == "en-US"
    fonts = pdf.fonts()
    assert fonts
    assert all(fonts.values())
    assert {re.sub(r"^[A-Z]+\+|-.*$", "", name) for name in fonts} <= {"Lexend", "SourceSans3"}
    assert any(kind == "H1" for kind, _ in pdf.tags())


@pytest.mark.parametrize("kind", KINDS)
def test_every_figure_has_an_alternative_text(kind: str) -> None:
    figures = [spoken for tag, spoken in Pdf(make(kind, UNIT)).tags() if tag == "Figure"]
    assert all(figures)
    if kind in {"paper", "key"}:
        maps = [spoken for spoken in figures if spoken.startswith("Map of a lake")]
        assert len(maps) == 2  # in two forms
        assert all("island in the middle" in spoken for spoken in maps)
    if kind in {"student", "key"}:
        assert "A model of h. 3 dotted copies of h to trace." in figures


def test_same_plan_same_bytes() -> None:
    assert make("student", UNIT, 4) == make("student", UNIT, 4)


@pytest.mark.parametrize("number", [one.number for one in UNIT.lessons])
def test_the_key_holds_every_word_of_the_lesson(number: int) -> None:
    one = UNIT.lessons[number - 1]
    text = Pdf(make("key", UNIT, number)).text()
    sheets = [student_sheet(UNIT.title, one, Look())]
    sheets += [paper(UNIT.title, one, dictation, Look()) for dictation in dictations(one)]
    answers = [answer for sheet in sheets if sheet for answer in words_on(sheet)]
    assert answers
    for answer in answers:
        assert flat(answer) in text
    for block in one.blocks:
        if block.kind in {BlockKind.TOGETHER, BlockKind.ALONE, BlockKind.GROUPS}:
            for item in block.items:
                if isinstance(item, WordItem):
                    assert typographic(item.word) in text.replace("|", "")
                if isinstance(item, TextItem):
                    assert flat(item.text) in text


@pytest.mark.parametrize("number", [one.number for one in UNIT.lessons])
def test_the_teachers_page_holds_every_word_and_fits_one_page(number: int) -> None:
    one = UNIT.lessons[number - 1]
    pdf = Pdf(make("teacher", UNIT, number))
    assert len(pdf) == 1
    text = pdf.text()
    for line in words_said(teacher_page(UNIT.title, one, Look())).splitlines():
        assert flat(line) in text
    for block in one.blocks:
        for said in (*block.say, *block.do, block.title):
            assert flat(said) in text
        for item in block.items:
            if isinstance(item, WordItem):
                assert typographic(item.word) in text.replace("·", "")
    if one.rule:
        assert flat(one.rule) in text


@pytest.mark.parametrize("number", [one.number for one in UNIT.lessons])
def test_the_script_holds_word_sentence_word(number: int) -> None:
    one = UNIT.lessons[number - 1]
    text = Pdf(make("script", UNIT, number)).text()
    for script in lesson_scripts(UNIT.title, one, Look()):
        for scene in script.scenes:
            for line in scene.lines:
                assert flat(plain(line.say)) in text
                if line.wait:
                    assert f"{line.wait} s" in text


def test_student_sheets_show_no_answer_of_what_is_dictated() -> None:
    text = Pdf(make("student", UNIT, 1)).text()
    for block in UNIT.lessons[0].blocks:
        if block.kind in {BlockKind.TOGETHER, BlockKind.ALONE}:
            for item in block.items:
                shown = item.word if isinstance(item, WordItem) else getattr(item, "text", "")
                assert typographic(shown) not in text
    paper_text = Pdf(make("paper", UNIT, 9)).text()
    for dictation in dictations(UNIT.lessons[8]):
        assert dictation.passage is not None
        for sentence in dictation.passage.write:
            assert flat(sentence.text) not in paper_text
        for place in dictation.places:
            assert place.name not in paper_text


def test_the_key_is_the_sheet_with_answers_in_it() -> None:
    student, key = Pdf(make("student", UNIT)), Pdf(make("key", UNIT))
    own = {"Name", "Date"}
    for number, one in enumerate(UNIT.lessons, start=1):
        try:
            student, key = Pdf(make("student", UNIT, number)), Pdf(make("key", UNIT, number))
        except Missing:
            assert one.kind is LessonKind.DICTATION
            continue
        assert len(key) >= len(student)

        def places(pdf: Pdf, pages: int) -> Counter[tuple[int, str, int, int]]:
            height = pdf.size()[1]
            return Counter(
                (x.page, x.char, round(x.box[0]), round(x.box[1]))
                for x in pdf.letters()
                # neither the footer nor the name line
                if 43 < x.box[1] < height - 45 and x.page < pages
            )

        missing = places(student, len(student)) - places(key, len(student))
        left = "".join(char for _, char, _, _ in missing.elements())
        assert sorted(left) in (sorted("".join(own)), []), (number, left)


def test_pages_of_a_unit() -> None:
    student = Pdf(make("student", UNIT))
    assert len(student) <= 2 * (len(UNIT.lessons) - 1)  # the dictation has a paper of its own
    assert len(Pdf(make("teacher", UNIT))) == len(UNIT.lessons)
    assert len(Pdf(make("paper", UNIT, 5))) == 2  # a page a form
    assert len(Pdf(make("paper", UNIT, 9))) == 4
    assert len(Pdf(make("paper", UNIT, 9, form="B"))) == 2


def test_page_numbers_run_within_a_lesson() -> None:
    pdf = Pdf(make("student", UNIT))
    firsts = [n for n in range(len(pdf)) if "page 1 of 2" in pdf.text(n)]
    assert len(firsts) >= 5
    for n in firsts:
        assert "page 2 of 2" in pdf.text(n + 1)
    assert "page 3" not in pdf.text()


def test_two_sided_printing_starts_each_lesson_on_a_new_sheet() -> None:
    pdf = Pdf(make("student", UNIT, two_sided=True))
    titles = [n for n in range(len(pdf)) if "A Warm-up" in pdf.text(n)]
    assert titles
    assert all(n % 2 == 0 for n in titles)


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", KINDS)
def test_nothing_leaves_the_page(kind: str, size: int, paper: str) -> None:
    pdf = Pdf(make(kind, UNIT, size=size, paper=paper))
    within_margins(pdf, kind)
    expected = {"us-letter": (612, 792), "a4": (595.3, 841.9)}[paper]
    assert pdf.size() == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", ["teacher", "student", "key", "script"])
def test_a_word_of_forty_letters_stays_on_the_page(kind: str, size: int) -> None:
    word = WordItem(LONG, Role.MODEL, (), "", f"Say {LONG} twice.", f"{LONG} is long")
    near = replace(word, role=Role.NEAR_MISS)
    plan = unit(
        Block(BlockKind.NEW_POINT, 5, LONG, items=(word, near, word)),
        Block(BlockKind.TOGETHER, 5, "Together", items=(word, word)),
        Block(BlockKind.ALONE, 5, "Alone", items=(TextItem(f"{LONG} {LONG}", (), (LONG, LONG)),)),
        Block(BlockKind.SORT, 5, "Sort", items=(SortItem((LONG, "b", "c", "d"), (LONG, "x"), (0, 1)),)),
        rule=f"Write {LONG}.",
        exception=LONG,
    )  # fmt: skip
    pdf = Pdf(make(kind, plan, 1, size=size))
    within_margins(pdf, kind)
    if kind != "script":
        assert LONG in pdf.text()


def test_a_unit_full_of_apostrophes_prints_curly_ones_only() -> None:
    words = [
        "'tis",
        "o'clock",
        "y'all",
        "dogs'",
        "James's",
        "ma'am",
        "'em",
        "should've",
        "rock 'n' roll",
    ]
    items = tuple(WordItem(w, Role.ALONE, (), "", f"It's {w}, isn't it?") for w in words)
    plan = unit(
        Block(BlockKind.ALONE, 9, "It's here", say=("Don't 'peek'.",), items=items),
        rule="The mark takes the letters' place.",
    )  # fmt: skip
    for kind in ("teacher", "key", "script"):
        text = Pdf(make(kind, plan)).text()
        assert "'" not in text
        for word in words:
            assert typographic(word) in text


def test_empty_blocks_print_nothing_and_empty_lessons_say_so() -> None:
    empty = unit(*(Block(kind, 3, kind.value) for kind in BlockKind if kind is not BlockKind.CHECK))
    with pytest.raises(Missing, match="Lesson 1 has nothing for the student sheet"):
        make("student", empty, 1)
    assert len(Pdf(make("teacher", empty, 1))) == 1
    with pytest.raises(Missing, match="no lesson has one"):
        make("paper", empty, 1)


def test_text_is_never_read_as_markup() -> None:
    nasty = '#panic("x") *bold* _it_ $x^2$ <a> @b \\ `c` = h [z] // d'
    plan = unit(
        Block(BlockKind.ALONE, 3, nasty, say=(nasty,), items=(TextItem(nasty, ()),)),
        rule=nasty,
    )
    for kind in ("teacher", "key", "script"):
        assert flat(nasty) in Pdf(make(kind, plan)).text()


def test_a_letter_no_font_has_is_named() -> None:
    plan = unit(Block(BlockKind.ALONE, 3, "Alone", items=(TextItem("a 字 b", ()),)))
    with pytest.raises(NotAllowed, match="字"):
        make("key", plan, 1)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"paper": "a5"}, "us-letter or a4"),
        ({"size": 15}, "14, 18 or 24"),
        ({"ruling": "tiny"}, "grade 3"),
        ({"speed": 0}, "10 and 150"),
        ({"hand": "script"}, "joined or print"),
        ({"slant": 40.0}, "0 to 20"),
    ],
)
def test_a_wrong_option_names_the_choices(options: Options, message: str) -> None:
    with pytest.raises((NotAllowed, Missing), match=message):
        make("student", UNIT, 1, **options)


def test_a_wrong_kind_or_lesson_names_the_choices() -> None:
    with pytest.raises(NotAllowed, match="teacher, student, key"):
        make("poster", UNIT, 1)
    with pytest.raises(Missing, match="1, 2, 3"):
        make("student", UNIT, 99)
    with pytest.raises(Missing, match="lessons 5, 9 have one"):
        make("paper", UNIT, 1)
    with pytest.raises(Missing, match="form C"):
        make("paper", UNIT, 9, form="C")


def test_write_makes_the_file_or_says_why_not(tmp_path: Path) -> None:
    path = write(tmp_path / "sheet.pdf", "student", UNIT, 1, paper="a4")
    assert path.read_bytes().startswith(b"%PDF-1.7")
    with pytest.raises(NotAllowed, match="is a folder"):
        write(tmp_path, "student", UNIT, 1)
    with pytest.raises(NotAllowed, match="is not there"):
        write(tmp_path / "no" / "sheet.pdf", "student", UNIT, 1)
    with pytest.raises(Missing):
        write(tmp_path / "b.pdf", "student", UNIT, 77)
    assert not (tmp_path / "b.pdf").exists()


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere"
)
def test_write_into_a_closed_folder(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o500)
    with pytest.raises(NotAllowed, match="could not be written"):
        write(closed / "sheet.pdf", "student", UNIT, 1)


def test_write_onto_a_file_that_cannot_be_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_self: Path, _data: bytes) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "write_bytes", refuse)
    with pytest.raises(NotAllowed, match=r"could not be written \(Permission denied\)"):
        write(tmp_path / "sheet.pdf", "student", UNIT, 1)


@pytest.mark.parametrize("kind", ["reference", "strip"])
def test_small_documents_take_one_page_a_lesson(kind: str) -> None:
    for number in (1, 2, 4, 6, 7):
        assert len(Pdf(make(kind, UNIT, number))) == 1


def test_fronts_and_backs_of_cards_meet() -> None:
    pdf = Pdf(make("cards", UNIT, 4))
    assert len(pdf) % 2 == 0
    width, _ = pdf.size()
    fronts = pdf.text(0)
    assert "do not" in fronts
    assert "don’t" not in fronts
    assert "don’t" in pdf.text(1)

    def middle(page: int, char: str) -> tuple[float, float]:
        boxes = [x.box for x in pdf.letters() if x.page == page and x.char == char]
        left, bottom, right, top = boxes[-1]
        return (left + right) / 2, (bottom + top) / 2

    # "c" in front at the left, its back "cat" mirrored to the right at the same height
    across, up = middle(0, "c")
    assert across > 0
    behind = [x.box for x in pdf.letters() if x.page == 1 and x.char == "c"]
    assert any(abs((box[1] + box[3]) / 2 - up) < 30 and box[0] > width / 2 for box in behind)


def test_failure_11_no_rule_is_printed_without_its_exception() -> None:
    for one in UNIT.lessons:
        if not one.rule:
            continue
        assert one.exception
        for kind in ("student", "key", "teacher", "reference"):
            text = Pdf(make(kind, UNIT, one.number)).text()
            assert flat(one.rule) in text, (kind, one.id)
            assert flat(one.exception) in text, (kind, one.id)
            near = [item for block in one.blocks if block.kind is BlockKind.NEW_POINT
                    for item in block.items
                    if isinstance(item, WordItem) and item.role is Role.NEAR_MISS]  # fmt: skip
            for item in near:
                assert item.note
                assert flat(item.note) in text
