from __future__ import annotations

import re
import string
from itertools import pairwise
from xml.etree.ElementTree import fromstring

import pytest

from larkslate.errors import NotAllowed
from larkslate.handwriting.joining import write
from larkslate.handwriting.rulings import ruling
from larkslate.handwriting.sheets import (
    Row,
    RowKind,
    letter_sheet,
    name_sheet,
    paper,
    review_sheet,
    sentence_sheet,
    word_sheet,
)

SVG = "{http://www.w3.org/2000/svg}"


def extents(row: Row) -> list[tuple[float, float, float, float]]:
    """Left, top, right, bottom of each piece of writing in a row, in mm (handles included)."""
    found = []
    for moved in fromstring(row.svg).iter(f"{SVG}g"):  # noqa: S314
        shift = re.fullmatch(r"translate\((\S+) 0\)", moved.get("transform", ""))
        if shift is None:
            continue
        across = float(shift[1])
        every: list[float] = []
        for path in moved.iter(f"{SVG}path"):
            if path.get("class") == "stroke":
                text = re.sub(r"h0\.001", "", path.get("d", ""))
                every += [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", text)]
        found.append(
            (
                across + min(every[::2]),
                min(every[1::2]),
                across + max(every[::2]),
                max(every[1::2]),
            )
        )
    return found


def test_a_letter_sheet_goes_from_path_to_writing() -> None:
    sheet = letter_sheet("a", words=("add", "dad"))
    assert [r.kind for r in sheet.rows] == [
        RowKind.MODEL,
        RowKind.TRACE,
        RowKind.WRITE,
        RowKind.WRITE,
        RowKind.WRITE,
    ]
    assert [r.text for r in sheet.rows] == ["a", "a", "a", "add", "dad"]
    assert sheet.notices == ()
    first = fromstring(sheet.rows[0].svg)  # noqa: S314
    classes = [e.get("class") for e in first.iter()]
    assert "arrow" in classes
    assert "number" in classes
    assert "start" in classes
    assert sheet.rows[0].height > sheet.rows[1].height
    assert sheet.height == sum(r.height for r in sheet.rows)


@pytest.mark.parametrize("char", list(string.ascii_letters + string.digits))
def test_all_writing_stays_within_its_row(char: str) -> None:
    for hand in ("joined", "print"):
        for left in (False, True):
            for row in letter_sheet(char, hand, paper(left_handed=left, slant=12)).rows:
                for x0, y0, x1, y1 in extents(row):
                    assert 0 <= x0 <= x1 <= row.width
                    assert 0 <= y0 <= y1 <= row.height


@pytest.mark.parametrize("left_handed", [False, True])
def test_copies_do_not_overlap(left_handed: bool) -> None:
    for row in letter_sheet("m", on=paper(left_handed=left_handed)).rows:
        found = sorted(extents(row))
        for a, b in pairwise(found):
            assert a[2] < b[0]


def test_the_model_of_a_left_handed_writer_stands_at_the_right() -> None:
    right, left = (
        letter_sheet("a", on=paper(left_handed=choice), words=("add",)) for choice in (False, True)
    )
    for index in (2, 3):
        assert extents(right.rows[index])[0][0] < 5
        assert extents(left.rows[index])[0][2] > 175
    assert [r.kind for r in left.rows] == [r.kind for r in right.rows]


def test_crossbars_of_a_left_handed_writer_can_be_pulled() -> None:
    usual = letter_sheet("t", on=paper()).rows[1].svg
    pulled = letter_sheet("t", on=paper(pulled_bars=True)).rows[1].svg
    assert usual != pulled


def test_density_and_size_change_the_number_of_copies() -> None:
    counts = [
        len(extents(letter_sheet("a", on=paper(density=d)).rows[1]))
        for d in ("loose", "usual", "tight")
    ]
    assert counts == sorted(counts)
    assert counts[0] < counts[2]
    big = letter_sheet("a", on=paper(rule=ruling("three-line", "grade 1")))
    assert len(extents(big.rows[1])) < counts[1]


def test_faded_copies_grow_paler_along_the_row() -> None:
    row = letter_sheet("c", on=paper(trace="faded")).rows[1]
    shades = re.findall(r'class="stroke"[^>]*stroke="#(..)', row.svg)[1:]
    levels = [int(s, 16) for s in shades]
    assert levels == sorted(levels)
    assert len(set(levels)) == 4


def test_every_row_says_what_it_shows() -> None:
    sheet = letter_sheet("k")
    assert sheet.rows[0].alt.startswith("k in joined writing. Rise into a tall loop")
    assert re.search(r"\d dotted copies of k to trace\.$", sheet.rows[0].alt)
    assert sheet.rows[2].alt == "A model of k. Room to write k."
    for row in sheet.rows:
        root = fromstring(row.svg)  # noqa: S314
        assert root.get("aria-label") == row.alt


def test_a_name_has_a_model_tracing_and_two_empty_lines() -> None:
    sheet = name_sheet("Maya")
    assert [r.kind for r in sheet.rows] == [
        RowKind.MODEL,
        RowKind.TRACE,
        RowKind.WRITE,
        RowKind.WRITE,
    ]
    assert extents(sheet.rows[2]) == []
    assert sheet.rows[3].alt == "An empty ruled line to write Maya."


def test_a_name_with_an_accent_is_written_and_the_notice_says_how() -> None:
    sheet = name_sheet("Zoé")
    assert sheet.notices == ("The joined hand has no letter for “é”: “e” is written instead.",)
    assert extents(sheet.rows[0])


def test_an_overlong_word_shrinks_with_a_notice() -> None:
    natural = write("incomprehensibilities").width * ruling().scale
    width = round(0.8 * natural)
    sheet = word_sheet(["incomprehensibilities"], on=paper(width=width))
    (row,) = sheet.rows
    assert "too long for the line" in sheet.notices[0]
    assert row.height < word_sheet(["cat"], on=paper(width=width)).rows[0].height
    (left, _, right, _), *_ = extents(row)
    assert 0 < left < right < width


def test_a_word_beyond_shrinking_is_broken_with_a_notice() -> None:
    sheet = word_sheet(["incomprehensibilities" * 2], on=paper(width=100))
    assert len(sheet.rows) > 1
    assert "".join(r.text for r in sheet.rows) == "incomprehensibilities" * 2
    assert "on several lines" in sheet.notices[0]
    for row in sheet.rows:
        for left, _, right, _ in extents(row):
            assert 0 <= left < right <= 100


def test_a_sentence_is_copied_line_by_line() -> None:
    text = "The bird can't swim in cold water, but it's happy to wade."
    sheet = sentence_sheet(text, on=paper(rule=ruling("three-line", "grade 2")))
    assert " ".join(r.text for r in sheet.rows[::2]) == text
    assert [r.kind for r in sheet.rows[:2]] == [RowKind.COPY, RowKind.WRITE]
    for row in sheet.rows[::2]:
        ((left, _, right, _),) = extents(row)
        assert 0 <= left < right <= row.width
    assert all(extents(r) == [] for r in sheet.rows[1::2])


def test_a_sentence_with_an_overlong_word_loses_nothing() -> None:
    text = "It is incomprehensibilitiesincomprehensibilities to me."
    sheet = sentence_sheet(text, on=paper(width=100))
    shown = "".join(r.text for r in sheet.rows[::2])
    assert shown.replace(" ", "") == text.replace(" ", "")
    assert sheet.notices


def test_a_review_has_a_row_for_each_letter_or_join() -> None:
    sheet = review_sheet(["a", "d", "oa", "7"])
    assert [r.text for r in sheet.rows] == ["a", "d", "oa", "7"]
    assert [len(extents(r)) for r in sheet.rows] == [4, 4, 4, 4]


def test_unwritable_text_still_gives_ruled_rows() -> None:
    sheet = word_sheet(["漢", ""])
    assert len(sheet.rows) == 2
    assert "“漢”" in sheet.notices[0]
    assert all(r.svg.startswith("<svg") for r in sheet.rows)


@pytest.mark.parametrize(
    "options", [{"width": 10}, {"width": 5000}, {"density": "odd"}, {"trace": "wavy"}]
)
def test_paper_that_cannot_be_is_refused(options: dict[str, object]) -> None:
    with pytest.raises(NotAllowed, match="choose"):
        paper(**options)  # type: ignore[arg-type]
