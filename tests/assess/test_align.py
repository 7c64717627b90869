from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate import datafile
from larkslate.assess import align, codes, sounds_near, tables
from larkslate.assess.align import Relation, explain, fit
from larkslate.assess.slots import Kind, Slot
from larkslate.errors import Malformed

# shape: sh a_e p, with the e of the split vowel as a slot of its own.
SHAPE = (
    Slot("sh", (0, 2), ("SH",)),
    Slot("a", (2, 3), ("EY1",), split=True),
    Slot("p", (3, 4), ("P",)),
    Slot("e", (4, 5), (), Kind.MARKER),
)
RAIN = (Slot("r", (0, 1), ("R",)), Slot("ai", (1, 3), ("EY1",)), Slot("n", (3, 4), ("N",)))
WANTED = (
    Slot("w", (0, 1), ("W",)),
    Slot("a", (1, 2), ("AA1",)),
    Slot("n", (2, 3), ("N",)),
    Slot("t", (3, 4), ("T",), Kind.SEAM),
    Slot("ed", (4, 6), ("IH0", "D"), Kind.ENDING),
)
ISNT = (
    Slot("i", (0, 1), ("IH1",)),
    Slot("s", (1, 2), ("Z",)),
    Slot("n", (2, 3), ("AH0", "N")),
    Slot("'", (3, 4), (), Kind.MARK),
    Slot("t", (4, 5), ("T",)),
)


def relations(slots: tuple[Slot, ...], written: str) -> list[tuple[str, str]]:
    return [
        (p.written, p.relation.value)
        for p in explain(slots, written).pieces
        if p.relation is not Relation.SAME
    ]


@pytest.mark.parametrize(
    ("slots", "written", "found"),
    [
        (SHAPE, "shape", []),
        (SHAPE, "shap", [("", "omitted-e")]),
        (SHAPE, "shaip", [("ai", "alternative"), ("", "omitted-e")]),
        (SHAPE, "sape", [("s", "part")]),
        (SHAPE, "hsape", [("hs", "order")]),
        (RAIN, "rane", [("a", "unmarked"), ("e", "added-e")]),
        (RAIN, "ran", [("a", "unmarked")]),
        (RAIN, "rian", [("ia", "order")]),
        (RAIN, "rai", [("", "omitted")]),
        (WANTED, "wantid", [("id", "form")]),
        (WANTED, "want", [("", "omitted-affix")]),
        (WANTED, "wantted", [("tt", "seam")]),
        (ISNT, "isnt", [("", "mark-omitted")]),
        (ISNT, "is'nt", [("'n", "swapped")]),
    ],
)
def test_what_stands_for_what(
    slots: tuple[Slot, ...], written: str, found: list[tuple[str, str]]
) -> None:
    assert relations(slots, written) == found


@given(st.sampled_from([SHAPE, RAIN, WANTED, ISNT]), st.text("aeinprstw'h ", max_size=9))
def test_every_letter_and_every_slot_is_used_once(slots: tuple[Slot, ...], written: str) -> None:
    explained = explain(slots, written)
    assert "".join(p.written for p in explained.pieces) == written
    assert [i for p in explained.pieces for i in p.slots] == list(range(len(slots)))
    assert explained.cost == pytest.approx(sum(p.cost for p in explained.pieces))
    assert (explained.cost < 0.01) == (written == "".join(s.letters for s in slots))


@given(st.text("aeinprstwh", max_size=6))
def test_no_explanation_is_cheaper_than_leaving_all_out_and_putting_all_in(written: str) -> None:
    table = align.costs()
    most = sum(f.cost for s in RAIN if (f := fit(s, ""))) + len(written) * max(
        table[Relation.ADDED_VOWEL], table[Relation.ADDED_CONSONANT]
    )
    assert explain(RAIN, written).cost <= most


@pytest.mark.parametrize(
    ("one", "other", "kind"),
    [
        ("B", "P", "voice"),
        ("B", "V", "voice"),
        ("TH", "F", "near"),
        ("S", "SH", "near"),
        ("R", "W", "near"),
        ("M", "K", None),
        ("T", "T", None),
    ],
)
def test_consonants_near(one: str, other: str, kind: str | None) -> None:
    assert sounds_near.consonants_near(one, other) == kind
    assert sounds_near.consonants_near(other, one) == kind


@pytest.mark.parametrize(
    ("letters", "sounds", "how"),
    [
        ("tch", ("CH",), True),
        ("ks", ("K", "S"), True),
        ("u", ("IH0",), True),  # any vowel letter may stand for a weak vowel
        ("el", ("AH0", "L"), True),
        ("f", ("TH",), False),
        ("", ("TH",), False),
    ],
)
def test_spells(letters: str, sounds: tuple[str, ...], how: bool) -> None:
    assert (sounds_near.spells(letters, sounds) is not None) is how


TABLES = [
    (align.costs, "relation\tcost\tnote\nsame\tx\t", "line 2"),
    (align.costs, "relation\tcost\tnote\nsame\t0\t", "no row for"),
    (align.costs, "relation\tcost\tnote\nsame\t-1\t", "below 0"),
    (align.affix_forms, "affix\tforms\ned\ted t", "not the affix itself"),
    (sounds_near._pairs, "one\tother\tkind\tnote\nB\tAE\tvoice\t", "two consonants"),
    (sounds_near._pairs, "one\tother\tkind\tnote\nB\tV\tvoice\t\nV\tB\tnear\t", "stands twice"),
    (codes.codes, "code\tname\tblame\nX\tname\tsite", "which is no rule"),
    (tables.near_words, "one\tother\nthen\tthan\nthan\tthen", "line 3"),
    (tables.letter_names, "letter\tsounds\nb\tB QQ", "ARPAbet"),
    (tables.silent_letters, "letters\theard\nkn\tkna", "less is heard"),
    (tables._positions, "letters\tsounds\twhere\tnote\nai\tEY\tinside\t", "place of a base"),
]


@pytest.mark.parametrize(("read", "content", "says"), TABLES)
def test_a_bad_row_is_named(
    read: object, content: str, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(datafile, "text", lambda _room, _name: content)
    raw = getattr(read, "__wrapped__")  # noqa: B009 - past the cache, which mypy does not know
    with pytest.raises(Malformed, match=says):
        raw()


def test_every_code_has_a_sentence_and_a_rank() -> None:
    filled = dict.fromkeys(codes.FIELDS, "x")
    for rank, (name, code) in enumerate(codes.codes().items()):
        assert code.rank == rank
        cases = [case for one, case in codes._says() if one == name]
        assert cases
        assert all(codes.sentence(name, case, filled).endswith(".") for case in cases)
