from __future__ import annotations

import copy
import math
import string
from typing import Any

import pytest

from larkslate import datafile
from larkslate.errors import Malformed
from larkslate.handwriting.curves import curvature_at_end, fitted
from larkslate.handwriting.joins import arrival, fitted_join, joined_to, read_joins
from larkslate.handwriting.letters import Exit, Hand, letter
from larkslate.handwriting.notation import Knot


def table() -> dict[str, Any]:
    return copy.deepcopy(datafile.read_toml("handwriting", "joins.toml"))


def test_small_letters_all_join() -> None:
    assert all(
        joined_to("joined", a, b) for a in string.ascii_lowercase for b in string.ascii_lowercase
    )


def test_capitals_that_end_low_join_on_and_the_others_do_not() -> None:
    joining = {c for c in string.ascii_uppercase if joined_to("joined", c, "a")}
    assert joining == set("ACEHJKLMNQRUXYZ")


@pytest.mark.parametrize("pair", ["n'", "'t", "a-", "-b", "aB", "1a", "a.", "a@"])
def test_what_never_joins(pair: str) -> None:
    assert not joined_to("joined", pair[0], pair[1])


def test_print_never_joins() -> None:
    assert not joined_to("print", "a", "b")


def test_a_missing_gap_is_named() -> None:
    broken = table()
    del broken["gap"]["top"]["small"]
    with pytest.raises(Malformed, match=r"gap\.top has no entry small"):
        read_joins(broken)


@pytest.mark.parametrize(
    ("path", "value", "named"),
    [
        (("gap", "side"), {"up": 1}, "side"),
        (("gap", "base", "up"), "wide", "wide"),
        (("end", "base"), {"far": 1}, "far"),
    ],
)
def test_a_wrong_entry_is_named(path: tuple[str, ...], value: object, named: str) -> None:
    broken = table()
    place = broken
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    with pytest.raises(Malformed, match=named):
        read_joins(broken)


def test_a_join_from_the_top_reaches_e_another_way() -> None:
    e = letter("e", Hand.JOINED)
    assert arrival(e, Exit.TOP)[0].point != arrival(e, Exit.BASE)[0].point
    assert arrival(e, Exit.TOP)[-1] == arrival(e, Exit.BASE)[-1]


def test_a_join_keeps_the_bend_of_the_foot_it_leaves() -> None:
    foot = fitted((0, 100), 270, (100, 0), 0)
    join = fitted_join(foot, Knot(100, 0, 0, 0), (350, 500), Knot(350, 500, 66, 270))
    # Radius at the start of a cubic: 3/2 of the squared handle over the second handle's height.
    handle = math.dist((join.x0, join.y0), (join.x1, join.y1))
    assert 1.5 * handle**2 / join.y2 == pytest.approx(1 / curvature_at_end(foot), rel=0.01)
