"""What shows a point: the table holds for the sequence, its examples show their points, near-misses do not."""

from __future__ import annotations

import pytest

from larkslate.choose import shows
from larkslate.choose.shows import pattern, spans_showing, table
from larkslate.choose.supply import supplied
from larkslate.errors import Malformed
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach

POINTS = [p.id for p in shipped().taught_points]


def test_every_taught_point_has_an_entry_and_no_other() -> None:
    assert set(table()) == set(POINTS)


@pytest.mark.parametrize("point", POINTS)
def test_a_pattern_is_made_of_skills_that_the_point_teaches(point: str) -> None:
    rule = pattern(shipped(), point)
    assert rule.column
    assert rule.label
    taught = shipped().teaches
    for skill in rule.skills:
        if skill.endswith("*"):
            assert any(s.startswith(skill[:-1]) and point in ps for s, ps in taught.items())
        else:
            assert point in taught[skill], skill


@pytest.mark.parametrize("point", POINTS)
def test_most_examples_show_their_point(point: str, reach: Reach) -> None:
    rule = pattern(shipped(), point)
    words = [e.word for e in shipped().point(point).examples if " " not in e.word]
    names = supplied(rule)
    shown = [w for w in words if spans_showing(reach.word(w), rule) or w in names]
    known = [w for w in words if reach.word(w).readings]
    assert len(shown) >= 0.75 * len(known), sorted(set(known) - set(shown))


def test_the_letters_that_show_a_point(reach: Reach) -> None:
    def letters(point: str, word: str) -> list[str]:
        spans = spans_showing(reach.word(word), pattern(shipped(), point))
        return [word[a:b] for a, b in spans]

    assert letters("G3.01c", "catch") == ["tch"]
    assert letters("G3.01a", "yellow") == []  # ll is not at the end of a base
    assert letters("G3.01a", "small") == []  # a does not have its short sound
    assert letters("G3.01b", "chicken") == []  # the base has two syllables
    assert letters("G3.02a", "make") == ["a", "e"]
    assert letters("G3.09e", "kitten") == ["en"]
    assert letters("G3.04c", "hopped") == ["p"]
    assert letters("G3.04a", "goes") == []  # no hissing sound
    assert letters("G3.12a", "under") == []


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ({}, "skills is missing"),
        ({"skills": ["gp:ck=K"], "where": "middle"}, "where must be one of"),
        ({"skills": ["gp:ck=K"], "only": "verb"}, "only must be one of"),
        ({"skills": ["gp:ck=K"], "colour": "red"}, "colour is not a key"),
    ],
)
def test_a_bad_entry_is_named(entry: dict[str, object], says: str) -> None:
    with pytest.raises(Malformed, match=rf"G3\.01b.*{says}"):
        shows._pattern("G3.01b", entry)
