from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from larkslate.assess.model import Chance, Channel, Mark, Standing
from larkslate.assess.standings import (
    GROUP_LEAST,
    GROUP_MOST,
    GROUPS_MOST,
    Rule,
    chance_of_passing,
    groups,
    latest_of_each_word,
    likely_above,
    standing,
    standings,
    whole_class,
)
from larkslate.errors import NotAllowed

DAY = date(2026, 11, 2)


@settings(deadline=None)  # the first import of scipy takes a second
@given(st.integers(0, 60), st.data())
def test_the_sum_agrees_with_the_beta_distribution(n: int, data: st.DataObject) -> None:
    stats = pytest.importorskip("scipy.stats", reason="scipy is not installed")
    k = data.draw(st.integers(0, n))
    assert likely_above(k, n) == pytest.approx(stats.beta.sf(0.7, 1 + k, 1 + n - k), abs=1e-9)


@pytest.mark.parametrize(
    ("right", "of", "chances"),
    [  # chance of passing at true rates .6 .7 .8 .9 .95: plain binomial arithmetic, printed to two digits
        (3, 3, (0.22, 0.34, 0.51, 0.73, 0.86)),
        (4, 5, (0.34, 0.53, 0.74, 0.92, 0.98)),
        (5, 5, (0.08, 0.17, 0.33, 0.59, 0.77)),
        (8, 10, (0.17, 0.38, 0.68, 0.93, 0.99)),
        (10, 12, (0.08, 0.25, 0.56, 0.89, 0.98)),
    ],
)
def test_table_of_pass_chances(right: int, of: int, chances: tuple[float, ...]) -> None:
    found = tuple(round(chance_of_passing(p, right, of), 2) for p in (0.6, 0.7, 0.8, 0.9, 0.95))
    assert found == chances


def mark(right: int, of: int, sittings: int = 2) -> Mark:
    return standing(right, of, sittings).mark


def test_where_the_rule_decides() -> None:
    secure = {(k, n) for n in range(13) for k in range(n + 1) if mark(k, n) is Mark.SECURE}
    assert secure == {
        *((n, n) for n in range(4, 13)),
        *((n - 1, n) for n in range(8, 13)),
    }
    worst_reteach = {3: 1, 4: 2, 5: 2, 6: 3, 7: 4, 8: 4, 9: 5, 10: 5, 11: 6, 12: 7}
    for n, most in worst_reteach.items():
        assert {k for k in range(n + 1) if mark(k, n) is Mark.RETEACH} == set(range(most + 1))
    assert mark(10, 12) is Mark.MORE_EVIDENCE
    assert likely_above(10, 12) == pytest.approx(0.798, abs=0.001)


def test_never_secure_from_two_items_nor_from_one_sitting() -> None:
    assert mark(2, 2) is Mark.MORE_EVIDENCE
    assert mark(0, 2) is Mark.MORE_EVIDENCE
    assert mark(6, 6, sittings=1) is Mark.MORE_EVIDENCE
    assert "one more sitting" in standing(6, 6, 1).says


def test_the_stricter_threshold_needs_seven_of_seven() -> None:
    strict = Rule(threshold=0.8)
    assert standing(6, 6, 2, rule=strict).mark is Mark.MORE_EVIDENCE
    assert standing(7, 7, 2, rule=strict).mark is Mark.SECURE


def test_a_teacher_reads_words() -> None:
    assert standing(3, 4, 2).says == "right 3 of 4: not enough to say"
    assert standing(0, 0, 0).says == "no fresh chance yet"


def test_untaught_is_never_reteach() -> None:
    result = standing(0, 6, 2, taught=False)
    assert result.mark is Mark.NOT_YET_TAUGHT
    assert not result.possible


@pytest.mark.parametrize(
    ("right", "of", "possible"), [(0, 2, True), (0, 3, True), (1, 3, True), (1, 2, False)]
)
def test_possible_never_changes_the_mark(right: int, of: int, possible: bool) -> None:
    found = standing(right, of, 1)
    assert found.possible is possible
    assert found.mark is (Mark.RETEACH if of == 3 else Mark.MORE_EVIDENCE)


def test_secure_becomes_due_after_six_weeks() -> None:
    at = {"last_seen": DAY, "right": 5, "chances": 5, "sittings": 2}
    assert standing(**at, today=DAY + timedelta(days=41)).mark is Mark.SECURE  # type: ignore[arg-type]
    assert standing(**at, today=DAY + timedelta(days=42)).mark is Mark.DUE  # type: ignore[arg-type]


@pytest.mark.parametrize(("right", "of"), [(3, 2), (-1, 2)])
def test_counts_that_cannot_be(right: int, of: int) -> None:
    with pytest.raises(NotAllowed, match="cannot be"):
        standing(right, of, 1)


@given(st.integers(1, 40), st.data())
def test_one_more_right_never_hurts(n: int, data: st.DataObject) -> None:
    k = data.draw(st.integers(0, n - 1))
    assert likely_above(k + 1, n) > likely_above(k, n)


def chance(word: str, right: bool, day: int = 0, point: str = "p", **more: object) -> Chance:
    when = DAY + timedelta(days=day)
    return Chance(point, word, right, when.isoformat(), when, **more)  # type: ignore[arg-type]


def test_a_repeated_word_counts_once_and_the_latest_counts() -> None:
    kept = latest_of_each_word(
        [chance("match", False, 7), chance("match", True, 0), chance("Match", True, 3)]
    )
    assert [(c.word, c.right) for c in kept] == [("match", False)]


def test_home_and_practiced_are_kept_apart() -> None:
    found = standings(
        [
            chance("match", True),
            chance("fetch", False, practiced=True),
            chance("pitch", False, channel=Channel.HOME),
        ]
    ).by_point["p"]
    assert (found.right, found.chances, found.practiced) == (1, 1, (0, 1))


def secure_points() -> list[Chance]:
    words = ("one", "two", "six", "ten")
    return [chance(w, True, day, p) for p in "abc" for day, w in enumerate(words)]


def test_an_unusual_sitting_does_not_count_until_the_teacher_says_so() -> None:
    bad = [chance("new", False, 30, p) for p in "abc"]
    found = standings([*secure_points(), *bad])
    assert found.unusual == ((DAY + timedelta(days=30)).isoformat(),)
    assert {s.mark for s in found.by_point.values()} == {Mark.SECURE}
    counted = standings([*secure_points(), *bad], count_anyway=frozenset(found.unusual))
    assert counted.unusual == ()
    assert {s.mark for s in counted.by_point.values()} == {Mark.MORE_EVIDENCE}


def test_one_secure_point_missed_is_not_an_unusual_sitting() -> None:
    found = standings([*secure_points(), chance("new", False, 30, "a")])
    assert found.unusual == ()
    assert found.by_point["a"].chances == 5


def test_window_leaves_old_chances_out() -> None:
    rule = Rule(window_days=56)
    old = [chance(w, False, 0) for w in ("one", "two", "six")]
    new = [chance("ten", True, 100)]
    found = standings([*old, *new], today=DAY + timedelta(days=101), rule=rule)
    assert (found.by_point["p"].right, found.by_point["p"].chances) == (1, 1)


@pytest.mark.parametrize(
    "settings", [{"threshold": 1.0}, {"secure": 0.1}, {"least": 0}, {"sittings": 0}]
)
def test_a_rule_that_cannot_decide_is_refused(settings: dict[str, float]) -> None:
    with pytest.raises(NotAllowed):
        Rule(**settings)  # type: ignore[arg-type]


def test_whole_class_needs_half_of_the_class() -> None:
    assert whole_class([(1, 3)] * 10)
    assert not whole_class([(3, 3)] * 10)
    assert not whole_class([(0, 3)] * 4 + [(0, 0)] * 6)
    assert not whole_class([])


ORDER = ("a", "b", "c", "d")
NEEDS = {"b": ("a",), "d": ("c",)}


def low(point: str) -> Standing:
    return standing(0, 4, 2, point=point)


def test_the_earliest_unmet_prerequisite_comes_first() -> None:
    marks = {s: {"a": low("a"), "b": low("b")} for s in ("ann", "bo", "cy")}
    found = groups(marks, order=ORDER, prerequisites=NEEDS)
    assert [(g.point, g.students) for g in found] == [("a", ("ann", "bo", "cy"))]


def test_a_possible_need_is_labelled() -> None:
    marks = {"ann": {"a": low("a")}, "bo": {"a": standing(0, 2, 1, point="a")}}
    (group,) = groups(marks, order=ORDER, prerequisites=NEEDS)
    assert group.possible == ("bo",)
    assert "possible" in group.says


def test_a_point_for_the_whole_class_makes_no_group() -> None:
    marks = {s: {"a": low("a")} for s in ("ann", "bo")}
    assert groups(marks, order=ORDER, prerequisites=NEEDS, skip=frozenset("a")) == ()


@given(
    st.dictionaries(
        st.sampled_from([f"s{i:02}" for i in range(26)]),
        st.dictionaries(
            st.sampled_from(ORDER), st.tuples(st.integers(0, 4), st.integers(1, 3)), max_size=4
        ),
        max_size=26,
    )
)
def test_groups_keep_their_limits(data: dict[str, dict[str, tuple[int, int]]]) -> None:
    marks = {
        s: {p: standing(k, 4, n, point=p) for p, (k, n) in points.items()}
        for s, points in data.items()
    }
    found = groups(marks, order=ORDER, prerequisites=NEEDS)
    assert found == groups(dict(reversed(marks.items())), order=ORDER, prerequisites=NEEDS)
    assert len(found) <= GROUPS_MOST
    assert all(GROUP_LEAST <= len(g.students) <= GROUP_MOST for g in found)
    students = [s for g in found for s in g.students]
    assert len(students) == len(set(students))
    for group in found:
        for student in group.students:
            assert marks[student][group.point].mark is Mark.RETEACH
            for needed in NEEDS.get(group.point, ()):
                assert (
                    needed not in marks[student] or marks[student][needed].mark is not Mark.RETEACH
                )
