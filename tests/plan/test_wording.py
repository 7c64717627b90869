"""The texts of a plan: filled in, named when missing, free of words we do not use."""

from __future__ import annotations

import re

import pytest

from larkslate.datafile import read_toml
from larkslate.errors import Malformed, Missing
from larkslate.plan.wording import line, lines, listed, shape

UNWANTED = re.compile(
    r"colour|practise|grey|recognise|protect|\bjob\b|\btap\b|spoon|dyslexi|risk", re.I
)


def test_a_text_is_filled_in() -> None:
    assert line("why", "together", label="ck") == "Shows ck."
    assert lines("recall", "say")


def test_what_is_missing_or_not_filled_in_is_named() -> None:
    with pytest.raises(Missing, match=r"why\.song"):
        line("why", "song")
    with pytest.raises(Malformed, match=r"why\.together names something"):
        line("why", "together")
    with pytest.raises(Malformed, match="a list of texts"):
        lines("why", "together")
    with pytest.raises(Missing, match="no such shape"):
        shape("party")


def test_listing_words() -> None:
    assert listed([]) == ""
    assert listed(["a"]) == "a"
    assert listed(["a", "b"]) == "a and b"
    assert listed(["a", "b", "c"], "or") == "a, b or c"


def test_no_text_uses_a_word_we_do_not_use() -> None:
    def texts(found: object) -> list[str]:
        if isinstance(found, str):
            return [found]
        if isinstance(found, dict):
            return [t for v in found.values() for t in texts(v)]
        return [t for v in found for t in texts(v)] if isinstance(found, list) else []

    for text in texts(read_toml("plan", "wording.toml")):
        assert not UNWANTED.search(text), text
        assert (
            text[0].isupper()
            or text[0] in "{123456789"
            or text.startswith(("base", "owner", "something"))
        )
