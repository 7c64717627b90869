from __future__ import annotations

import math
import string

import pytest

from larkslate.handwriting.curves import bounds, turn
from larkslate.handwriting.guides import guides, movements
from larkslate.handwriting.joining import write
from larkslate.handwriting.letters import Hand


def test_a_stroke_is_cut_where_the_pen_turns_back() -> None:
    (stroke,) = write("a", "print").strokes
    round_part, down = movements(stroke)
    assert round_part[-1].end == down[0].start
    assert down[0].start == (425.0, 500.0)
    assert [len(movements(s)) for s in write("w", "print").strokes] == [4]
    assert [len(movements(s)) for s in write("o", "print").strokes] == [1]


@pytest.mark.parametrize("hand", list(Hand))
def test_every_letter_has_a_first_arrow_and_numbers_in_order(hand: Hand) -> None:
    for char in string.ascii_letters:
        found = guides(write(char, hand).strokes)
        assert [g.number for g in found] == list(range(1, len(found) + 1)), char
        assert found, char


@pytest.mark.parametrize("hand", list(Hand))
def test_arrows_keep_clear_of_the_ink(hand: Hand) -> None:
    for char in string.ascii_letters:
        strokes = write(char, hand).strokes
        ink = [p for s in strokes for c in s.curves for p in c.points(30)]
        for guide in guides(strokes):
            near = min(math.dist(p, q) for p in guide.arrow for q in ink)
            assert near > 25, (char, guide.number)


def test_an_arrow_runs_with_its_movement() -> None:
    strokes = write("a", "print").strokes
    down = guides(strokes)[1].arrow
    assert down[0][1] > down[-1][1]
    assert (
        abs(turn(270, math.degrees(math.atan2(down[-1][1] - down[0][1], down[-1][0] - down[0][0]))))
        < 5
    )


def test_guides_stay_near_the_letter() -> None:
    for char in "abkmQ":
        strokes = write(char).strokes
        left, low, right, high = bounds(c for s in strokes for c in s.curves)
        for guide in guides(strokes):
            for x, y in (guide.label, *guide.arrow):
                assert left - 160 < x < right + 160
                assert low - 160 < y < high + 160


def test_nothing_has_no_guides() -> None:
    assert guides(()) == ()
    assert guides(write(".").strokes) == ()
