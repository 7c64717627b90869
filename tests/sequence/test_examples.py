"""The points' own examples, held against the words room and the lexicon."""

from __future__ import annotations

import pytest

from larkslate.sequence.load import shipped
from larkslate.sequence.model import Point
from larkslate.sequence.reach import Reach

POINTS = shipped().taught_points
EVERY = pytest.mark.parametrize("point", POINTS, ids=[p.id for p in POINTS])


@EVERY
def test_examples_show_their_point(point: Point, reach: Reach) -> None:
    missing = [
        e.word
        for e in point.examples
        if " " not in e.word and point.id not in reach.points_of(e.word)
    ]
    assert not missing


@EVERY
def test_examples_are_in_reach_unless_they_hold_a_later_point(point: Point, reach: Reach) -> None:
    out = {
        e.word: [n.skill for n in reach.missing(e.word, point.id)]
        for e in point.examples
        if not e.later and not all(w.in_reach for w in reach.text(e.word, point.id).words)
    }
    assert not out


@EVERY
def test_near_misses_are_not_taken_for_the_point(point: Point, reach: Reach) -> None:
    taken = [
        n.word
        for n in point.near_misses
        if " " not in n.word and point.id in reach.points_of(n.word)
    ]
    assert not taken
