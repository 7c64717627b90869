from __future__ import annotations

import string
from xml.etree.ElementTree import fromstring

import pytest

from larkslate.errors import NotAllowed
from larkslate.handwriting.chart import chart
from larkslate.handwriting.drawing import look_of
from larkslate.handwriting.rulings import ruling

SVG = "{http://www.w3.org/2000/svg}"


def test_a_chart_shows_every_text() -> None:
    root = fromstring(chart(list(string.ascii_lowercase), title="Small letters"))  # noqa: S314
    groups = [g for g in root.iter(f"{SVG}g") if g.get("class") == "writing"]
    assert len(groups) == 26
    assert root.get("aria-label") == "Small letters"


def test_a_chart_breaks_into_rows() -> None:
    heights = [
        float(fromstring(chart(list("abcdef"), width=w)).get("viewBox", "").split()[3])  # noqa: S314
        for w in (300, 30)
    ]
    assert heights[1] > 1.8 * heights[0]


def test_a_chart_can_show_the_path() -> None:
    drawing = chart(["a"], rule=ruling(size=40.0), look=look_of("solid", arrows=True, numbers=True))
    assert 'class="arrow"' in drawing


def test_a_text_too_wide_is_refused() -> None:
    with pytest.raises(NotAllowed, match="write it smaller"):
        chart(["incomprehensible"], width=40, rule=ruling(size=20.0))
