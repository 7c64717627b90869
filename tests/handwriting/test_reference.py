"""Against an outside reference: the outline and the joining of an open joined font (OFL).

The font is not part of this project. Fetch it once with ``npm pack @fontsource/playwrite-us-trad`` and set
LARKSLATE_REFERENCE_FONT to its file ``playwrite-us-trad-latin-100-normal.woff2``; without it these tests
skip. Differences that are meant are listed in docs/handwriting.md and repeated here, so that a new one fails.
"""

from __future__ import annotations

import io
import math
import os
import string
import tempfile
from pathlib import Path
from typing import Any

import pytest

from larkslate.handwriting.guides import Near
from larkslate.handwriting.joining import write
from larkslate.handwriting.joins import joined_to
from larkslate.handwriting.letters import Hand, letter

FILE = Path(
    os.environ.get("LARKSLATE_REFERENCE_FONT")
    or Path(tempfile.gettempdir())
    / "larkslate-reference"
    / "playwrite-us-trad-latin-100-normal.woff2"
)

# Where our hand and the reference differ on purpose; reasons in docs/handwriting.md.
JOINS_HERE_ONLY = {("H", c) for c in string.ascii_lowercase} | {("i", "j")}
JOINS_THERE_ONLY = {("I", c) for c in string.ascii_lowercase}
OTHER_HEIGHTS = set("ijQS")
# The step from a letter to its double, ours over theirs.
NARROWEST, WIDEST = 0.6, 1.2
# Em units from their outline to our path, in the mean over a letter; half a stroke of theirs is about 12.
FARTHEST = 36.0


class Reference:
    """The font, shaped."""

    def __init__(self) -> None:
        hb: Any = pytest.importorskip("uharfbuzz", reason="needs uharfbuzz to shape the font")
        fonts: Any = pytest.importorskip("fontTools.ttLib", reason="needs fonttools")
        pytest.importorskip("brotli", reason="needs brotli to read a woff2 file")
        font = fonts.TTFont(FILE)
        font.flavor = None
        plain = io.BytesIO()
        font.save(plain)
        self.hb = hb
        self.glyphs = font.getGlyphSet()
        self.font = hb.Font(hb.Face(plain.getvalue()))

    def shape(self, text: str) -> list[tuple[str, int, int]]:
        """Glyph names, the character each belongs to, and their widths."""
        buffer = self.hb.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        self.hb.shape(self.font, buffer)
        return [
            (self.font.glyph_to_string(info.codepoint), info.cluster, place.x_advance)
            for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
        ]

    def joins(self, left: str, right: str) -> bool:
        """Whether a joining glyph stands between two letters."""
        return any(name.startswith("cnct") for name, _, _ in self.shape(left + right))

    def reach(self, char: str) -> tuple[float, float]:
        """The lowest and highest point of a letter's outline."""
        pens: Any = pytest.importorskip("fontTools.pens.boundsPen")
        low, high = 0.0, 0.0
        for name, _, _ in self.shape(char):
            pen = pens.BoundsPen(self.glyphs)
            self.glyphs[name].draw(pen)
            if pen.bounds:
                low, high = min(low, pen.bounds[1]), max(high, pen.bounds[3])
        return low, high

    def outline(self, char: str) -> list[tuple[float, float]]:
        """Points along the outline of a letter inside a word, without its joins, about 12 units apart."""
        pens: Any = pytest.importorskip("fontTools.pens.recordingPen")
        at = 0.0
        points: list[tuple[float, float]] = []
        for name, cluster, width in self.shape("n" + char + "n"):
            if cluster == 1 and not name.startswith("cnct"):
                pen = pens.DecomposingRecordingPen(self.glyphs)
                self.glyphs[name].draw(pen)
                points += [(x + at, y) for x, y in _spaced(pen.value)]
            at += width
        return points

    def step(self, char: str) -> float:
        """From one letter to its double inside a word."""
        return float(sum(w for _, cluster, w in self.shape("n" + char * 3 + "n") if cluster == 2))


def _spaced(drawn: list[tuple[str, Any]]) -> list[tuple[float, float]]:
    """Points along recorded quadratic or straight outlines."""
    points: list[tuple[float, float]] = []
    last = start = (0.0, 0.0)
    for what, given in drawn:
        if what == "moveTo":
            last = start = given[0]
            continue
        args = (start,) if what in ("closePath", "endPath") else given
        legs: list[tuple[Any, Any]] = []  # handle and end of each quadratic
        if what == "qCurveTo":
            handles = list(args[:-1])
            for i, handle in enumerate(handles):
                after = handles[i + 1] if i + 1 < len(handles) else None
                end = (
                    args[-1]
                    if after is None
                    else tuple((a + b) / 2 for a, b in zip(handle, after, strict=True))
                )
                legs.append((handle, end))
        else:
            assert what in ("lineTo", "closePath", "endPath"), what
            legs.append((tuple((a + b) / 2 for a, b in zip(last, args[-1], strict=True)), args[-1]))
        for handle, end in legs:
            count = max(1, round(math.dist(last, end) / 12))
            for i in range(1, count + 1):
                t = i / count
                points.append(
                    (
                        (1 - t) ** 2 * last[0] + 2 * t * (1 - t) * handle[0] + t * t * end[0],
                        (1 - t) ** 2 * last[1] + 2 * t * (1 - t) * handle[1] + t * t * end[1],
                    )
                )
            last = end
    return points


def outline_distance(theirs: list[tuple[float, float]], letter_: str) -> float:
    """The mean way (em units) from the reference's outline to our pen's path, best of many places and widths.

    The font leans by about 18 degrees and its outline stands half a stroke off the middle; heights stay.
    """
    near = Near(250.0)
    for stroke in write("n" + letter_ + "n").strokes:
        near.add([curve.at(i / 10) for curve in stroke.curves for i in range(11)])
    lean = math.tan(math.radians(18))
    upright = [(x - lean * y, y) for x, y in theirs[::4]]
    left = min(x for x, _ in upright)
    return min(
        sum(near.clear(((x - left) * wide + across, y)) for x, y in upright) / len(upright)
        for wide in (0.75, 0.85, 0.95, 1.05)
        for across in range(360, 1060, 20)
    )


@pytest.fixture(scope="module")
def reference() -> Reference:
    if not FILE.is_file():
        pytest.skip(f"The reference font is not at {FILE}; see this file for how to fetch it.")
    return Reference()


def test_the_same_letters_join(reference: Reference) -> None:
    here, there = set(), set()
    for left in string.ascii_letters:
        for right in string.ascii_lowercase:
            ours, theirs = joined_to(Hand.JOINED, left, right), reference.joins(left, right)
            if ours and not theirs:
                here.add((left, right))
            elif theirs and not ours:
                there.add((left, right))
    assert here == JOINS_HERE_ONLY
    assert there == JOINS_THERE_ONLY


def test_an_apostrophe_breaks_both(reference: Reference) -> None:
    assert not any(name.startswith("cnct") for name, _, _ in reference.shape("n't"))
    assert len([s for s in write("n't").strokes if not s.delayed]) == 3


def test_letters_reach_the_same_lines(reference: Reference) -> None:
    differing = set()
    for char in string.ascii_letters:
        low, high = letter(char, Hand.JOINED).reach
        their_low, their_high = reference.reach(char)
        if abs(low - their_low) > 40 or abs(high - their_high) > 40:
            differing.add(char)
    assert differing == OTHER_HEIGHTS


def test_letters_take_comparable_room(reference: Reference) -> None:
    shares = []
    for char in string.ascii_lowercase:
        ours = write(char * 3).width - write(char * 2).width
        share = ours / reference.step(char)
        assert NARROWEST < share < WIDEST, (char, share)
        shares.append(share)
    assert 0.85 < sum(shares) / len(shares) < 1.0


def test_outlines_lie_on_the_path_of_the_pen(reference: Reference) -> None:
    """Every small letter of ours, inside a word, against the outline of theirs."""
    far = {c: outline_distance(reference.outline(c), c) for c in string.ascii_lowercase}
    assert {c: round(d) for c, d in far.items() if d > FARTHEST} == {}
    assert sum(far.values()) / len(far) < 26
    # A missing hump, loop or bowl is seen.
    for theirs, ours in ("hl", "gi", "on", "dl", "zn", "yn"):
        assert outline_distance(reference.outline(theirs), ours) > FARTHEST, (theirs, ours)
