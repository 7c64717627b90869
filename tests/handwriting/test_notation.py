from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.errors import Malformed
from larkslate.handwriting.curves import joints
from larkslate.handwriting.letters import Hand, letters
from larkslate.handwriting.notation import Knot, curves, format_knots, parse, sharp

place = st.integers(-100000, 100000).map(lambda n: n / 100)
angle = st.integers(0, 35999).map(lambda n: n / 100)
fullness = st.integers(1, 300).map(lambda n: n / 100)


@st.composite
def knots(draw: st.DrawFn) -> tuple[Knot, ...]:
    made: list[Knot] = []
    for i in range(draw(st.integers(1, 6))):
        straight = bool(i) and draw(st.booleans())
        full = 1.0 if straight or not i else draw(fullness)
        kind = draw(st.sampled_from(["open", "smooth", "cusp", "corner"]))
        into = draw(angle) if kind in ("smooth", "cusp") else None
        out = draw(angle) if kind == "cusp" else into
        made.append(Knot(draw(place), draw(place), into, out, straight, full, kind == "corner"))
    return tuple(made)


@given(knots())
def test_format_and_parse_are_a_round_trip(made: tuple[Knot, ...]) -> None:
    assert parse(format_knots(made)) == made


def test_the_shipped_strokes_survive_the_round_trip() -> None:
    for hand in Hand:
        for letter in letters(hand).values():
            for stroke in (*letter.strokes, *letter.delayed):
                assert parse(format_knots(stroke)) == stroke


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("", "empty"),
        ("0,0", None),
        ("0,0 10,10", "“10,10” should be a link"),
        ("0,0 ~", "ends in a link"),
        ("0,x", "“0,x” should be a knot"),
        ("0,0:q", "“q” in “0,0:q” is no direction"),
        ("0,0 -1.5 9,9", "“-1.5” should be a link"),
    ],
)
def test_what_cannot_be_read_is_named(text: str, named: str | None) -> None:
    if named is None:
        assert len(parse(text)) == 1
        return
    with pytest.raises(Malformed, match=named.replace("(", r"\(")):
        parse(text)


def test_a_straight_link_may_not_contradict_its_direction() -> None:
    with pytest.raises(Malformed, match=r"runs at 0 degrees.*says 90"):
        curves(parse("0,0:u - 100,0"))


def test_a_straight_link_gives_its_direction_to_the_next_curve() -> None:
    path = curves(parse("0,100 - 0,0 ~ 50,-50:r"))
    assert [t for _, t in joints(path)] == [pytest.approx(0, abs=1e-6)]


def test_a_corner_is_sharp_and_a_plain_knot_is_not() -> None:
    assert sharp(parse("0,500 - 190,0:^ - 380,500")) == (0,)
    assert sharp(parse("0,500:d - 0,0:d/u - 0,300:u ~ 100,400:r")) == (0,)
    assert sharp(parse("0,500:d - 0,100:d ~ 100,0:r")) == ()


def test_a_knot_without_direction_is_passed_smoothly() -> None:
    path = curves(parse("0,0:u ~ 50,90 ~ 150,100 ~ 200,0:d"))
    assert all(abs(t) < 1e-6 for _, t in joints(path))
