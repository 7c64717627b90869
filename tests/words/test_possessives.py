"""Owners: one, many, many without s, names in s, and what is no owner."""

from __future__ import annotations

import pytest

from larkslate.errors import Malformed, NotAllowed
from larkslate.words.possessives import irregular_plural, possessive, split_possessive


@pytest.mark.parametrize(
    ("noun", "owners", "written", "also", "kind"),
    [
        ("dog", "one", "dog's", (), "singular"),
        ("baby", "one", "baby's", (), "singular"),
        ("boss", "one", "boss's", (), "singular"),
        ("James", "one", "James's", ("James'",), "singular"),
        ("dogs", "many", "dogs'", (), "plural"),
        ("babies", "many", "babies'", (), "plural"),
        ("children", "many", "children's", (), "plural-irregular"),
        ("snowmen", "many", "snowmen's", (), "plural-irregular"),
        ("sheep", "many", "sheep's", (), "plural-irregular"),
        ("Kellys", "many", "Kellys'", (), "plural"),
    ],
)
def test_owners(noun: str, owners: str, written: str, also: tuple[str, ...], kind: str) -> None:
    made = possessive(noun, owners)
    assert (made.written, made.also, made.kind) == (written, also, kind)
    assert made.skill == f"poss:{kind}"
    assert made.written[made.mark] == "'"
    assert [s.kind for s in made.steps] == ["poss-owner", "poss-write", "poss-mark"]
    found = split_possessive(written)
    assert found is not None
    assert found[0] == noun


def test_the_mark_stands_after_the_whole_owner() -> None:
    for noun, owners in (("James", "one"), ("dogs", "many"), ("children", "many")):
        made = possessive(noun, owners)
        assert made.written.startswith(noun)
        assert made.mark == len(noun)


@pytest.mark.parametrize(
    ("noun", "owners", "error", "says"),
    [
        ("it", "one", NotAllowed, "its"),
        ("who", "one", NotAllowed, "whose"),
        ("hers", "one", NotAllowed, "no apostrophe"),
        ("dog", "many", NotAllowed, "plural first"),
        ("specimen", "many", NotAllowed, "plural first"),
        ("dog", "three", Malformed, "one or many"),
        ("d0g", "one", Malformed, "letters"),
    ],
)
def test_what_has_no_owning_form(noun: str, owners: str, error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        possessive(noun, owners)


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("dog’s", ("dog", "singular")),
        ("James'", ("James", "singular")),
        ("girls'", ("girls", "plural")),
        ("women's", ("women", "plural-irregular")),
        ("someone's", ("someone", "singular")),
        ("sister-in-law's", ("sister-in-law", "singular")),
        ("it's", None),
        ("let's", None),
        ("he's", None),
        ("its", None),
        ("hers'", None),
        ("don't", None),
    ],
)
def test_splitting(written: str, found: tuple[str, str] | None) -> None:
    assert split_possessive(written) == found


def test_irregular_plurals_in_compounds() -> None:
    assert irregular_plural("snowmen") is not None
    assert irregular_plural("specimen") is None
    assert irregular_plural("dogs") is None
