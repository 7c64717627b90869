from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.handwriting.curves import (
    Curve,
    bounds,
    curvature_at_end,
    fitted,
    free_directions,
    heading,
    joints,
    line,
    turn,
)

number = st.floats(-2000, 2000, allow_nan=False)
angle = st.floats(0, 360, exclude_max=True)
curve = st.builds(Curve, *[number] * 8)


def test_heading_of_the_four_directions() -> None:
    assert [heading((0, 0), p) for p in ((1, 0), (0, 1), (-1, 0), (0, -1))] == [0, 90, 180, 270]


@given(angle, angle)
def test_turn_takes_the_first_direction_to_the_second(a: float, b: float) -> None:
    t = turn(a, b)
    assert -180 < t <= 180
    assert math.isclose(math.cos(math.radians(a + t)), math.cos(math.radians(b)), abs_tol=1e-9)
    assert math.isclose(math.sin(math.radians(a + t)), math.sin(math.radians(b)), abs_tol=1e-9)


@given(curve)
def test_bounds_hold_every_point_and_are_reached(c: Curve) -> None:
    left, bottom, right, top = c.bounds()
    points = c.points(400)
    for x, y in points:
        assert left - 1e-6 <= x <= right + 1e-6
        assert bottom - 1e-6 <= y <= top + 1e-6
    size = max(right - left, top - bottom, 1.0)
    assert min(x for x, _ in points) - left < size / 100
    assert top - max(y for _, y in points) < size / 100


@given(curve, st.floats(-1, 1), st.floats(0, 1))
def test_shearing_moves_points_sideways_by_their_height(c: Curve, slope: float, t: float) -> None:
    x, y = c.at(t)
    sx, sy = c.sheared(slope).at(t)
    assert sy == pytest.approx(y, abs=1e-6)
    assert sx == pytest.approx(x + slope * y, abs=1e-6)


@given(curve)
def test_a_reversed_curve_is_the_same_line(c: Curve) -> None:
    for i in range(5):
        assert c.reversed().at(i / 4) == pytest.approx(c.at(1 - i / 4), abs=1e-6)


def test_a_quarter_of_a_circle_is_round() -> None:
    quarter = fitted((0, 0), 90, (-100, 100), 180)
    for x, y in quarter.points():
        assert math.dist((x, y), (-100, 0)) == pytest.approx(100, abs=0.05)
    assert quarter.length() == pytest.approx(math.pi * 50, rel=2e-3)
    assert curvature_at_end(quarter) == pytest.approx(1 / 100, rel=0.03)


@given(number, number, angle, number, number, angle)
def test_a_fitted_curve_leaves_and_arrives_as_asked(
    x0: float, y0: float, out: float, x1: float, y1: float, into: float
) -> None:
    c = fitted((x0, y0), out, (x1, y1), into)
    assert (c.start, c.end) == ((x0, y0), (x1, y1))
    chord = math.dist(c.start, c.end)
    if chord > 1 and math.dist((c.x0, c.y0), (c.x1, c.y1)) > 1e-3 * chord:
        assert abs(turn(c.direction(0), out)) < 0.01
    if chord > 1 and math.dist((c.x2, c.y2), (c.x3, c.y3)) > 1e-3 * chord:
        assert abs(turn(c.direction(1), into)) < 0.01


def test_the_rough_length_is_near_the_length() -> None:
    for c in (
        fitted((0, 0), 90, (-100, 100), 180),
        line((0, 0), (30, 40)),
        fitted((0, 0), 0, (9, 9), 0),
    ):
        assert c.rough_length() == pytest.approx(c.length(), rel=0.2)


def test_free_directions_pass_a_circle_along_its_tangents() -> None:
    points = [(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in (0, 40, 80, 120)]
    found = free_directions(points, 90, 210)
    assert found == pytest.approx([90, 130, 170, 210], abs=1)


def test_a_free_end_bends_like_its_neighbor() -> None:
    found = free_directions([(0, 0), (1, 1), (2, 0)], None, None)
    assert turn(found[1], 0) == pytest.approx(0, abs=1e-6)
    assert found[0] == pytest.approx(90, abs=1)


def test_bounds_of_several_curves() -> None:
    assert bounds([line((0, 0), (10, 5)), line((-3, 2), (1, 9))]) == (-3, 0, 10, 9)


def test_joints_say_where_and_how_far_the_pen_turns() -> None:
    path = [line((0, 0), (10, 0)), line((10, 0), (10, 10))]
    ((where, angle),) = joints(path)
    assert where == (10.0, 0.0)
    assert angle == pytest.approx(90)
