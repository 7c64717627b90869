"""A plan as JSON and back."""

from __future__ import annotations

import json

import pytest

from larkslate.errors import Malformed, OutOfDate
from larkslate.plan.codec import VERSION, from_json, to_json
from larkslate.plan.unit import plan_unit
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon
from tests.materials.sample import UNIT


def test_the_round_trip_of_a_plan_made_by_hand_and_of_planned_units(
    lexicon: Lexicon, reach: Reach
) -> None:
    planned = [
        plan_unit(u, sequence=shipped(), reach=reach, lexicon=lexicon) for u in (1, 6, 13, 16)
    ]
    for plan in (UNIT, *planned):
        assert from_json(to_json(plan)) == plan
        assert from_json(to_json(plan, indent=2)) == plan
        assert to_json(plan) == to_json(from_json(to_json(plan)))


def test_version_first_and_audit_last() -> None:
    found = json.loads(to_json(UNIT))
    assert next(iter(found)) == "version"
    assert list(found)[-1] == "audit"
    assert found["version"] == VERSION
    kinds = {i["item"] for x in found["lessons"] for b in x["blocks"] for i in b["items"]}
    assert kinds == {"word", "sound", "text", "sort", "letters", "dictation"}
    assert set(found["audit"]) == {
        "uses", "out_of_reach", "repeats", "coverage", "chances", "notes",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"{", "not JSON"),
        (b"[]", "not a plan"),
        (b'{"unit": 1}', "no version"),
        (b'{"version": 1, "unit": 1}', "cannot be read"),
    ],
)
def test_what_is_no_plan_says_so(data: bytes, says: str) -> None:
    with pytest.raises(Malformed, match=says):
        from_json(data)


def test_an_unknown_kind_of_item() -> None:
    found = json.loads(to_json(UNIT))
    found["lessons"][0]["blocks"][0]["items"][0]["item"] = "song"
    with pytest.raises(Malformed, match="'song' is not a kind of item"):
        from_json(json.dumps(found))


def test_a_plan_of_another_version() -> None:
    found = json.loads(to_json(UNIT)) | {"version": 99}
    with pytest.raises(OutOfDate, match="version 99"):
        from_json(json.dumps(found))
