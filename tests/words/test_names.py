"""The list of words that are only names."""

from __future__ import annotations

import pytest

from larkslate.errors import Malformed
from larkslate.words.names import names, read_names, with_capital


def test_the_list_reads_and_leaves_common_words_alone() -> None:
    assert len(names()) > 300
    kept_small = {"rose", "mark", "bill", "turkey", "may", "march", "china", "will", "jack"}
    assert not kept_small & set(names())


def test_a_name_is_written_with_its_capitals() -> None:
    assert with_capital("london") == "London"
    assert with_capital("mcdonald") == "McDonald"
    assert with_capital("mack") == "Mack"


def test_a_wrong_row_is_named() -> None:
    with pytest.raises(Malformed, match=r"line 2.*lower-case"):
        read_names("kind\twords\nplace\tParis")
    with pytest.raises(Malformed, match=r"line 3.*twice"):
        read_names("kind\twords\nplace\tparis\nplace\tparis")
