from __future__ import annotations

import pytest

from larkslate.errors import Malformed, Missing, NotAllowed
from larkslate.handwriting.rulings import kinds, read_rulings, resized, ruling, sizes


def test_the_kinds_have_the_lines_they_are_named_for() -> None:
    assert set(kinds()) == {"four-line", "three-line", "baseline"}
    assert [line.at for line in ruling("four-line").lines] == [1000, 500, 0, -500]
    assert [line.at for line in ruling("three-line").lines] == [1000, 500, 0]
    assert [line.at for line in ruling("baseline").lines] == [0]


def test_sizes_shrink_grade_by_grade() -> None:
    heights = [sizes()[f"grade {n}"][0] for n in (1, 2, 3, 4)]
    assert heights == sorted(heights, reverse=True)


def test_a_free_size_in_millimeters() -> None:
    r = ruling("four-line", 12.0, gap=4.0)
    assert r.scale == pytest.approx(0.012)
    assert r.set_height == pytest.approx(18)
    assert r.pitch == pytest.approx(22)


def test_every_line_prints_gray() -> None:
    for kind in kinds():
        for line in ruling(kind).lines:
            red, green, blue = (line.color[i : i + 2] for i in (1, 3, 5))
            assert red == green == blue


def test_resizing_keeps_proportion() -> None:
    small = resized(ruling("four-line", 10.0, gap=5.0), 6.0)
    assert (small.height, small.gap) == (6.0, 3.0)


def test_what_is_not_there_is_named() -> None:
    with pytest.raises(Missing, match=r"no ruling “six-line”.*four-line"):
        ruling("six-line")
    with pytest.raises(Missing, match=r"no size “grade 9”.*grade 3"):
        ruling(size="grade 9")


@pytest.mark.parametrize("size", [0.0, -3.0, 2.9, 500.0, float("nan")])
def test_a_size_no_page_can_take_is_refused(size: float) -> None:
    with pytest.raises(NotAllowed, match="mm"):
        ruling(size=size)


def test_lines_may_not_lie_over_each_other() -> None:
    with pytest.raises(NotAllowed, match="gap"):
        ruling(size=10.0, gap=-1.0)


def test_a_kind_without_baseline_is_refused() -> None:
    line = {"at": 500, "gray": 50, "width": 0.2}
    with pytest.raises(Malformed, match="no baseline"):
        read_rulings({"kind": [{"name": "odd", "lines": [line]}], "size": []})
    with pytest.raises(Malformed, match="size"):
        read_rulings({"kind": []})
