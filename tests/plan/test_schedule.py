"""Sittings, late points, and what comes back when."""

from __future__ import annotations

import pytest

from larkslate.plan.schedule import (
    SITTINGS,
    introduced,
    late_points,
    lesson_shape,
    review_order,
    sittings,
    taught_by,
)
from larkslate.plan.wording import shape
from larkslate.sequence.load import shipped
from larkslate.sequence.model import Theme

THEMES = shipped().themes


@pytest.mark.parametrize("theme", THEMES, ids=lambda t: t.title)
def test_every_point_has_two_sittings_here_or_one_here_and_one_in_the_next_unit(
    theme: Theme,
) -> None:
    own = sittings(shipped(), theme)
    following = THEMES[theme.number : theme.number + 1]
    after = sittings(shipped(), following[0]) if following else ()
    for point in theme.points:
        here = sum(point in s.points for s in own)
        there = sum(point in s.late for s in after)
        assert here >= 1
        if following:
            assert here + there == SITTINGS
            assert (there == 1) == (point in late_points(theme))


@pytest.mark.parametrize("theme", THEMES, ids=lambda t: t.title)
def test_nothing_is_dictated_before_its_lesson(theme: Theme) -> None:
    new_in = introduced(theme)
    for sitting in sittings(shipped(), theme):
        assert all(new_in[p] < sitting.lesson for p in sitting.points)


@pytest.mark.parametrize("theme", THEMES, ids=lambda t: t.title)
def test_a_theme_without_a_checkpoint_has_a_short_dictation(theme: Theme) -> None:
    kinds = [s.kind for s in sittings(shipped(), theme)]
    assert kinds in (["checkpoint", "dictation"], ["short", "dictation"])
    assert ("short" in kinds) == all(s.kind != "checkpoint" for s in theme.lessons)


def test_what_is_taught_by_a_lesson() -> None:
    first = shipped().theme(1)
    points = [shipped().points[taught_by(first, shipped(), n)].id for n in range(1, 8)]
    assert points == ["G3.01a", "G3.01b", "G3.01b", "G3.01c", "G3.01c", "G3.01d", "G3.01d"]


def test_review_is_spread_over_near_and_far_and_standings_move_it() -> None:
    order = review_order(shipped(), shipped().theme(9))
    unit = {p: t.number for t in THEMES for p in t.points}
    first = {unit[p] for p in order[:3]}
    assert 8 in first  # the unit before
    assert first & {6, 7}  # two or three units before
    assert first & {1, 2, 3, 4, 5}  # long ago
    assert len(order) == len(set(order)) == sum(len(t.points) for t in THEMES[:8])
    moved = review_order(shipped(), shipped().theme(9), {order[-1]: "reteach", order[0]: "secure"})
    assert moved[0] == order[-1]
    assert moved[-1] == order[0]


@pytest.mark.parametrize("theme", THEMES, ids=lambda t: t.title)
def test_every_lesson_has_a_shape_of_thirty_minutes(theme: Theme) -> None:
    for number, slot in enumerate(theme.lessons, start=1):
        parts = shape(lesson_shape(theme, number, slot))
        assert sum(p.minutes for p in parts) == 30
