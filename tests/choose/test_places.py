"""Invented names: every legal spelling, none that a taught rule forbids, no real or rude word."""

from __future__ import annotations

import pytest

from larkslate.choose.bank import shipped_bank
from larkslate.choose.places import laws, legal_spellings, wrong_with
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.graphemes import align
from larkslate.words.sounds import parse


def legal(reach: Reach, sounds: str, unit: int) -> tuple[str, ...]:
    return legal_spellings(reach, parse(sounds), shipped().end_of(unit))


@pytest.mark.parametrize(
    ("sounds", "unit", "spellings"),
    [
        ("P L IH1 K", 1, {"Plick"}),
        ("D R AE1 CH", 1, {"Dratch"}),
        ("T R AA1 JH", 1, {"Trodge"}),
        ("B R AH1 F", 1, {"Bruff"}),
        ("B R AA1 L V", 2, {"Brolve"}),
        ("R AE1 M IH2 SH", 5, {"Ramish", "Rammish"}),  # one letter or two after a short vowel
        ("S N EY1", 7, {"Snay"}),  # ai does not end a base
        ("P L ER1 T", 9, {"Plert", "Plirt", "Plurt"}),
        ("B L EH1 K SH AH0 N", 15, {"Blection", "Blektion"}),
        ("D R AE1 N CH ER0", 15, {"Dranture"}),
        ("R AA1 S P", 16, {"Rosp", "Wrosp"}),
    ],
)
def test_failure_3_every_legal_spelling_is_right_and_no_other(
    sounds: str, unit: int, spellings: set[str], reach: Reach
) -> None:
    assert set(legal(reach, sounds, unit)) == spellings


def test_what_is_legal_grows_with_what_is_taught(reach: Reach) -> None:
    assert legal(reach, "B L IY1 M", 1) == ()
    assert legal(reach, "B L IY1 M", 2) == ("Bleme",)
    assert set(legal(reach, "B L IY1 M", 7)) == {"Bleme", "Bleem", "Bleam"}


def test_the_shipped_names_stand_and_read_back_as_their_sounds(reach: Reach) -> None:
    for place in shipped_bank().places:
        end = shipped().end_of(place.unit)
        assert wrong_with(reach, place.name, place.phonemes, end) is None, place
        for spelling in legal_spellings(reach, place.phonemes, end):
            assert not align(spelling.lower(), place.phonemes).fallback


@pytest.mark.parametrize(
    ("name", "sounds", "says"),
    [
        ("Plik", "P L IH1 K", "not a legal spelling"),
        ("Drain", "D R EY1 N", "a real word"),
        ("Shill", "SH IH1 L", "a real word"),
        ("Bick", "B IH1 CH", "legal"),
    ],
)
def test_what_is_wrong_with_a_name(name: str, sounds: str, says: str, reach: Reach) -> None:
    wrong = wrong_with(reach, name, parse(sounds), shipped().end_of(7))
    assert wrong is not None
    assert says in wrong


def test_laws_name_spellings_of_the_grapheme_table() -> None:
    from larkslate.words.graphemes import table

    assert set(laws()) <= {row.key for row in table().rows}
