from __future__ import annotations

import re

from larkslate.handwriting.letters import Hand
from larkslate.materials.handwriting import WORDS_ON_SHEET, sheet_rows
from larkslate.materials.look import Look
from larkslate.plan.model import LetterItem

ITEM = LetterItem(("h", "k"), ("hill", "kettle", "lake"))


def test_a_row_for_each_letter_and_the_first_words() -> None:
    rows = sheet_rows(ITEM, Look())
    assert [row.alt.split(".")[0] for row in rows] == [
        "A model of h",
        "A model of k",
        "A model of hill",
        "A model of kettle",
    ]
    assert len(rows) == len(ITEM.letters) + WORDS_ON_SHEET
    assert sheet_rows(LetterItem((), ()), Look()) == ()


def test_rows_are_as_wide_as_the_page_and_ruled_alike() -> None:
    for look in (Look(), Look(paper="a4"), Look(size=24)):
        for row in sheet_rows(ITEM, look):
            found = re.search(r'width="([\d.]+)mm"', row.svg)
            assert found
            assert abs(float(found.group(1)) - look.width) < 0.01


def test_hands_differ_and_the_left_handed_page_too() -> None:
    joined, print_ = sheet_rows(ITEM, Look()), sheet_rows(ITEM, Look(hand=Hand.PRINT))
    assert joined[0].svg != print_[0].svg
    assert joined[0].svg != sheet_rows(ITEM, Look(left_handed=True))[0].svg
    assert joined[0].svg != sheet_rows(ITEM, Look(slant=10.0))[0].svg
