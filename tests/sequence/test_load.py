"""The shipped sequence and its validator."""

from __future__ import annotations

from dataclasses import replace

import pytest

from larkslate.errors import Malformed, Missing
from larkslate.sequence.load import check, shipped
from larkslate.sequence.model import Sequence


@pytest.fixture(scope="module")
def sequence() -> Sequence:
    return shipped()


def test_holds_the_points_and_themes(sequence: Sequence) -> None:
    assert len(sequence.taught_points) == 62
    assert len(sequence.k2) == 17
    assert all(5 <= len(t.lessons) <= 15 for t in sequence.themes)
    assert len({t.title for t in sequence.themes}) == len(sequence.themes)


def test_every_point_teaches_a_skill_and_every_skill_has_a_point(sequence: Sequence) -> None:
    taught = {s for p in sequence.points for s in p.skills}
    assert all(p.skills for p in sequence.points)
    assert taught == set(sequence.teaches)


def test_every_point_has_a_rule_an_exception_examples_and_near_misses(sequence: Sequence) -> None:
    for point in sequence.taught_points:
        assert point.rule.endswith("."), point.id
        assert point.exception is not None, point.id
        assert point.exception.endswith("."), point.id
        assert len(point.examples) >= 12, point.id
        assert len(point.near_misses) >= 4, point.id
        assert not {e.word for e in point.examples} & {n.word for n in point.near_misses}


def test_prerequisites_come_first(sequence: Sequence) -> None:
    for point in sequence.points:
        for needed in point.prerequisites:
            assert sequence.index(needed) < sequence.index(point.id)


def test_a_prerequisite_that_comes_later_is_named(sequence: Sequence) -> None:
    points = list(sequence.points)
    late = sequence.index("G3.01b")
    points[late - 1], points[late + 1] = points[late + 1], points[late - 1]
    with pytest.raises(Malformed, match=r"G3\.01c builds on G3\.01b"):
        check(replace(sequence, points=tuple(points), _index={}))


def test_end_of_takes_k2_a_point_and_a_unit(sequence: Sequence) -> None:
    assert sequence.points[sequence.end_of("K2")].id.startswith("K2.")
    assert sequence.points[sequence.end_of("G3.03b")].id == "G3.03b"
    assert sequence.points[sequence.end_of(2)].id == "G3.02d"
    assert sequence.end_of("2") == sequence.end_of(2)


@pytest.mark.parametrize("wrong", ["G3.99z", "0", "99", "unit"])
def test_end_of_names_what_is_missing(sequence: Sequence, wrong: str) -> None:
    with pytest.raises(Missing):
        sequence.end_of(wrong)


def test_irregular_words_are_known_from_their_theme(sequence: Sequence) -> None:
    theme = sequence.theme(4)
    assert "friend" in theme.irregular
    assert sequence.known_words["friend"] in theme.points
    assert sequence.known_words["said"] == "K2.hfw"
