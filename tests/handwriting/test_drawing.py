from __future__ import annotations

import re
import string
from itertools import pairwise
from xml.etree.ElementTree import Element, fromstring

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from larkslate.errors import NotAllowed
from larkslate.handwriting.drawing import FADES, Trace, describe, dots, stroke_texts, svg
from larkslate.handwriting.joining import write
from larkslate.handwriting.rulings import ruling

SVG = "{http://www.w3.org/2000/svg}"
RULE = ruling("four-line", 10.0)


def parts(drawing: str, name: str, kind: str = "") -> list[Element]:
    root = fromstring(drawing)  # noqa: S314 - our own output
    return [e for e in root.iter(f"{SVG}{name}") if not kind or e.get("class") == kind]


def numbers(path: Element) -> list[float]:
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path.get("d", ""))]


def test_one_path_for_every_stroke() -> None:
    for trace in Trace:
        written = write("it's a fox")
        found = parts(svg(written, trace=trace), "path", "stroke")
        assert [(e.get("data-from"), e.get("data-to")) for e in found] == [
            (str(s.start), str(s.end)) for s in written.strokes
        ]
        assert [e.get("data-step") for e in found] == [
            str(i + 1) for i in range(len(written.strokes))
        ]
        assert {e.get("pathLength") for e in found} == {"1"}
        assert [e.get("data-delayed") for e in found] == [
            "true" if s.delayed else None for s in written.strokes
        ]


def test_the_path_is_the_written_curve_in_millimeters() -> None:
    written = write("l", "print")
    (path,) = parts(svg(written, ruling=RULE), "path", "stroke")
    found = numbers(path)
    assert found[-1] - found[1] == pytest.approx(10.0, abs=0.002)
    assert found[0] == pytest.approx(3.0)


def test_lines_lie_where_they_are_asked_and_strokes_on_them() -> None:
    drawing = svg(write("bag"), ruling=RULE)
    lines = parts(drawing, "line")
    heights = [float(e.get("y1", "")) for e in lines]
    assert [b - a for a, b in pairwise(heights)] == pytest.approx([5, 5, 5])
    ys = [y for e in parts(drawing, "path", "stroke") for y in numbers(e)[1::2]]
    assert min(ys) == pytest.approx(heights[0], abs=0.05)
    assert max(ys) == pytest.approx(heights[3], abs=0.05)


@pytest.mark.parametrize(("kind", "count"), [("four-line", 4), ("three-line", 3), ("baseline", 1)])
def test_the_ruling_decides_the_lines(kind: str, count: int) -> None:
    assert len(parts(svg(write("a"), ruling=ruling(kind)), "line")) == count
    assert parts(svg(write("a"), ruling=ruling(kind), ruled=False), "line") == []


def test_lines_and_guides_are_decoration() -> None:
    drawing = svg(write("k"), arrows=True, numbers=True)
    hidden = {e.get("class") for e in parts(drawing, "g") if e.get("aria-hidden") == "true"}
    assert hidden == {"ruling", "guides"}


def test_the_drawing_says_its_path() -> None:
    written = write("it")
    root = fromstring(svg(written))  # noqa: S314
    assert root.get("role") == "img"
    assert root.get("aria-label") == describe(written)
    assert describe(written) == (
        "it in joined writing. 1. Write i and t in one stroke. 2. When the word is written, put the "
        "dot above the midline. 3. When the word is written, cross it just above the midline."
    )


def test_a_letter_is_described_as_the_teacher_says_it() -> None:
    assert stroke_texts(write("E", "print"))[1:] == (
        "Draw a bar to the right along the top line.",
        "Draw a shorter bar to the right at the midline.",
        "Draw a bar to the right along the baseline.",
    )
    assert stroke_texts(write("Ki"))[1] == "Finish K and go on to i in one stroke."
    assert stroke_texts(write("’"))[0] == "Start at the top line and curve down to the left."
    assert describe(write("")) == "No writing."


@pytest.mark.parametrize("hand", ["joined", "print"])
def test_every_stroke_of_every_letter_has_words(hand: str) -> None:
    for char in string.ascii_letters + string.digits:
        written = write(char, hand)
        texts = stroke_texts(written)
        assert len(texts) == len(written.strokes)
        assert not any("in one stroke" in t for t in texts), char


def test_words_of_the_house_are_used_for_the_lines() -> None:
    # One name for each line: top line, midline, baseline, descender line.
    for hand in ("joined", "print"):
        for char in string.ascii_letters + string.digits:
            said = " ".join(stroke_texts(write(char, hand)))
            assert not re.search(r"headline|waist|x-height|ceiling|floor|sky|ground", said)
            assert "line" in said


def test_special_characters_are_escaped() -> None:
    drawing = svg(write('"<&>"'))
    assert fromstring(drawing).get("aria-label", "").startswith('"<&>" in')  # noqa: S314


@settings(max_examples=40, deadline=None)
@given(st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"]), max_size=12))
def test_any_text_gives_a_readable_drawing(text: str) -> None:
    fromstring(svg(write(text)))  # noqa: S314


def test_dots_are_even_and_none_lie_on_each_other() -> None:
    for char in "aomktd":
        for stroke in write(char).strokes:
            found = dots(stroke.curves, 60)
            for i, (x, y) in enumerate(found):
                assert all((x - a) ** 2 + (y - b) ** 2 > 40**2 for a, b in found[:i])


def test_dotted_strokes_are_dots_that_need_no_dash_pattern() -> None:
    (path,) = parts(svg(write("l", "print"), trace="dotted"), "path", "stroke")
    assert path.get("d", "").count("M") > 8
    assert path.get("stroke-dasharray") is None


def test_faded_steps_grow_paler() -> None:
    colors = []
    for step in range(1, len(FADES) + 1):
        (path,) = parts(svg(write("c"), trace="faded", fade=step), "path", "stroke")
        colors.append(int((path.get("stroke") or "#00")[1:3], 16))
    assert colors == sorted(set(colors))


def test_outlined_strokes_are_hollow() -> None:
    drawing = svg(write("c"), trace="outlined")
    (outer,), (inner,) = parts(drawing, "path", "outline"), parts(drawing, "path", "stroke")
    assert float(inner.get("stroke-width", "")) < float(outer.get("stroke-width", ""))
    assert inner.get("stroke") == "#ffffff"


def test_the_start_dot_is_where_the_pen_begins() -> None:
    written = write("a")
    (dot,) = parts(svg(written, ruling=RULE, start_dot=True), "circle", "start")
    x, y = written.strokes[0].curves[0].start
    assert float(dot.get("cx", "")) == pytest.approx(3 + x / 100, abs=0.01)
    assert float(dot.get("cy", "")) == pytest.approx(3 + 10 - y / 100, abs=0.01)


def test_numbers_and_arrows_lie_within_the_drawing() -> None:
    for char in string.ascii_letters:
        drawing = svg(write(char), ruling=RULE, arrows=True, numbers=True)
        root = fromstring(drawing)  # noqa: S314
        _, _, width, height = (float(n) for n in root.get("viewBox", "").split())
        for e in parts(drawing, "path", "arrow"):
            found = numbers(e)
            assert 0 <= min(found[::2]) <= max(found[::2]) <= width, char
            assert 0 <= min(found[1::2]) <= max(found[1::2]) <= height, char
        for e in parts(drawing, "text", "number"):
            assert 0 < float(e.get("x", "")) < width, char


@pytest.mark.parametrize("options", [{"trace": "wavy"}, {"fade": 0}, {"fade": 9}, {"pen": 0}])
def test_what_cannot_be_drawn_is_refused(options: dict[str, object]) -> None:
    with pytest.raises(NotAllowed, match="choose"):
        svg(write("a"), **options)  # type: ignore[arg-type]
