"""Contractions: each put together again another way, its steps, and composing from two words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.datafile import Row
from larkslate.errors import Malformed, NotAllowed
from larkslate.words import contractions as room
from larkslate.words.contractions import (
    APOSTROPHES,
    compose,
    contraction,
    contractions,
    printed,
    straight,
)
from larkslate.words.model import Contraction

ALL = list(contractions().values())


def strikings(full: str, runs: tuple[str, ...]) -> set[str]:
    """Every string left when the runs are struck out of the full form in order, wherever they stand."""
    if not runs:
        return {full}
    first, *rest = runs
    left = set()
    for at in range(len(full)):
        if full.startswith(first, at):
            tail = full[at + len(first) :]
            left |= {full[:at] + one for one in strikings(tail, tuple(rest))}
    return left


@pytest.mark.parametrize("item", ALL, ids=lambda c: c.written)
def test_striking_the_dropped_letters_from_the_full_form_gives_the_contraction(
    item: Contraction,
) -> None:
    for form in item.forms:
        if form.full is None:
            assert item.written == "ain't"
            continue
        full = " ".join(form.full) if " " in item.written else "".join(form.full)
        letters = item.written.replace("'", "")
        if item.written == "won't":
            letters = "wnt"  # will gives up ill for an o
        assert letters in strikings(full, tuple(r.replace(" ", "") for r in form.dropped))


@pytest.mark.parametrize("item", ALL, ids=lambda c: c.written)
def test_marks_steps_and_fields(item: Contraction) -> None:
    for form in item.forms:
        assert form.apostrophes
        assert all(item.written[i] == "'" for i in form.apostrophes)
        assert len(form.apostrophes) == item.written.count("'")
        kinds = [s.kind for s in form.steps]
        assert "contract-done" in kinds
        assert all(s.teacher and s.child for s in form.steps)
        if form.full is None:
            continue
        full = " ".join(form.full)
        closed = full if " " in item.written else full.replace(" ", "")
        room_of = {
            "contract-words": full,
            "contract-close": closed,
            "contract-drop": closed,
            "contract-change": closed,
            "contract-apostrophe": item.written,
            "contract-done": item.written,
        }
        gone = []
        for step in form.steps:
            for a, b in step.spans:
                assert 0 <= a < b <= len(room_of[step.kind])
                if step.kind in {"contract-drop", "contract-change"}:
                    gone.append(closed[a:b])
                if step.kind == "contract-apostrophe":
                    assert item.written[a:b] == "'"
        assert gone == [r.replace(" ", "") for r in form.dropped]


def test_groups_levels_and_skills() -> None:
    assert {c.group for c in ALL} <= room.GROUPS
    assert sum(c.level == "write" for c in ALL) == 55
    assert len(ALL) >= 116
    skills = {c.written: c.skill for c in ALL}
    assert skills["don't"] == "con:not"
    assert skills["I'm"] == skills["they're"] == skills["he's"] == "con:be"
    assert skills["we'll"] == "con:will"
    assert skills["I've"] == "con:have"
    assert skills["could've"] == "con:modal-have"
    assert skills["she'd"] == "con:had-would"
    for whole in (
        "won't",
        "can't",
        "let's",
        "o'clock",
        "shan't",
        "ma'am",
        "y'all",
        "'tis",
        "ain't",
    ):
        assert skills[whole] == "con:irregular"
        assert contractions()[whole].irregular


@pytest.mark.parametrize("mark", list(APOSTROPHES))
def test_any_apostrophe_and_any_capitals_are_understood(mark: str) -> None:
    found = contraction(f"DON{mark}T")
    assert found is not None
    assert found.written == "don't"
    assert contraction(f"i{mark}m") is contractions()["I'm"]


def test_what_is_no_contraction() -> None:
    for word in ("dog's", "its", "dont", "", "hers"):
        assert contraction(word) is None


def test_the_walk_for_does_not() -> None:
    steps = contractions()["doesn't"].forms[0].steps
    assert [s.teacher for s in steps] == [
        "Write the two words side by side: does not.",
        "Close the gap: doesnot.",
        "The letter o leaves.",
        "The apostrophe stands where o was.",
        "does not is written doesn't.",
    ]
    assert steps[2].spans == ((5, 6),)
    assert steps[3].spans == ((5, 6),)


def test_readings() -> None:
    assert [f.full for f in contractions()["he'd"].forms] == [("he", "had"), ("he", "would")]
    assert [f.dropped for f in contractions()["he'd"].forms] == [("ha",), ("woul",)]
    assert contractions()["couldn't've"].forms[0].apostrophes == (6, 8)


@pytest.mark.parametrize(
    ("words", "written", "first"),
    [
        (("do", "not"), "don't", ("do", "not")),
        (("I", "would"), "I'd", ("I", "would")),
        (("she", "has"), "she's", ("she", "has")),
        (("can", "not"), "can't", ("cannot",)),
        (("will", "not"), "won't", ("will", "not")),
        (("could", "not", "have"), "couldn't've", ("could", "not", "have")),
        (("dog", "is"), "dog's", ("dog", "is")),
        (("Maria", "has"), "Maria's", ("Maria", "has")),
    ],
)
def test_composing(words: tuple[str, ...], written: str, first: tuple[str, ...]) -> None:
    made = compose(words)
    assert made.written == written
    assert made.forms[0].full == first


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("am", "not"), "I'm not"),
        (("bus", "is"), "hissing"),
        (("go", "not"), "both words"),
        (("one", "two", "three"), "two words"),
    ],
)
def test_what_is_not_composed(words: tuple[str, ...], says: str) -> None:
    with pytest.raises(NotAllowed, match=says):
        compose(words)


def test_every_listed_form_composes_to_itself() -> None:
    for item in ALL:
        for form in item.forms:
            if form.full is not None:
                made = compose(form.full)
                assert made.forms[0].full == form.full
                assert made.written.lower() == item.written.lower() or " ".join(form.full) in {
                    "it is", "it was", "do you", "rock and roll",
                }  # fmt: skip


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        (("dont't", "not", "con:not", "write", "standard", "do n[o]t", ""), "makes don't"),
        (("don't", "nope", "con:not", "write", "standard", "do n[o]t", ""), "group"),
        (("don't", "not", "con:not", "sing", "standard", "do n[o]t", ""), "level"),
        (("don't", "not", "con:not", "write", "standard", "do n[o", ""), "bracket"),
        (("don't", "not", "affix:x", "write", "standard", "do n[o]t", ""), "skill"),
    ],
)
def test_a_bad_row_is_named(cells: tuple[str, ...], says: str) -> None:
    row = Row("contractions.tsv", 7, dict(zip(room.COLUMNS, cells, strict=True)))
    with pytest.raises(Malformed, match=f"line 7.*{says}"):
        room._read(row)


@given(st.text(alphabet="ab'’‘ʼ`´ ", max_size=20))
def test_printing_and_straightening(text: str) -> None:
    assert straight(printed(text)) == straight(text)
    assert printed(printed(text)) == printed(text)
    assert len(straight(text)) == len(text)
