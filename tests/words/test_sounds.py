"""Sounds: the symbols, their features and the three notations."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.errors import Malformed
from larkslate.words.sounds import (
    CONSONANTS,
    SYMBOLS,
    VOWELS,
    ConsonantFeatures,
    Manner,
    Place,
    VowelFeatures,
    bare,
    distance,
    features,
    is_vowel,
    parse,
    respell,
    spell_out,
    stress_of,
    syllable_count,
    to_ipa,
    unit,
)

phoneme = st.one_of(
    st.sampled_from(sorted(CONSONANTS)),
    st.builds(lambda v, d: v + d, st.sampled_from(sorted(VOWELS)), st.sampled_from("012")),
)
phonemes = st.lists(phoneme, max_size=12).map(tuple)


def test_there_are_39_sounds_15_of_them_vowels() -> None:
    assert len(SYMBOLS) == 39
    assert len(VOWELS) == 15
    assert not VOWELS & CONSONANTS


def test_bare_and_stress() -> None:
    assert bare("AE1") == "AE"
    assert bare("CH") == "CH"
    assert stress_of("AE2") == 2
    assert stress_of("CH") is None
    assert is_vowel("ER0")
    assert not is_vowel("R")
    assert unit("AH0") == "AH0"
    assert unit("AH1") == "AH"
    assert unit("IH0") == "IH"


@given(phonemes)
def test_the_arpabet_text_comes_back(sounds: tuple[str, ...]) -> None:
    assert parse(spell_out(sounds)) == sounds


@given(phonemes.filter(bool))
def test_every_sound_has_ipa_and_a_plain_name(sounds: tuple[str, ...]) -> None:
    assert to_ipa(sounds)
    assert respell(sounds).startswith("/")
    assert syllable_count(sounds) == sum(map(is_vowel, sounds))


@pytest.mark.parametrize("text", ["K AE CH", "K1 AE1", "K QQ1", "ae1", "AE3"])
def test_parse_names_a_wrong_symbol(text: str) -> None:
    with pytest.raises(Malformed, match="Sound"):
        parse(text)


@pytest.mark.parametrize(
    ("text", "ipa"),
    [
        ("K AE1 CH", "kætʃ"),
        ("AH0 B AW1 T", "əˈbaʊt"),
        ("B AH1 T AH0 N", "ˈbʌtən"),
        ("M AH1 DH ER0", "ˈmʌðɚ"),
        ("IH0 K S P L EY1 N", "ɪkˈspleɪn"),  # onsets as large as English allows
        ("B ER1 D", "bɝd"),
        ("F IH1 NG G ER0", "ˈfɪŋɡɚ"),
    ],
)
def test_ipa(text: str, ipa: str) -> None:
    assert to_ipa(parse(text)) == ipa


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("CH", "/ch/"),
        ("K S", "/ks/"),
        ("AH0 L", "/ul/"),
        ("AA1 R", "/ar/"),
        ("Y UW1", "/long u/"),
        ("K AE1 CH", "/k/ /short a/ /ch/"),
        ("AH0 B AW1 T", "/uh/ /b/ /ow/ /t/"),
        ("", "(no sound)"),
    ],
)
def test_the_teachers_notation(text: str, shown: str) -> None:
    assert respell(parse(text)) == shown


def test_each_sound_has_a_name_of_its_own() -> None:
    names = [respell((s,)) for s in sorted(SYMBOLS)] + [respell(("AH0",))]
    assert len(set(names)) == len(names)


def test_features_of_well_known_pairs() -> None:
    # Voiced and voiceless pairs: any textbook of phonetics.
    for voiceless, voiced in [
        "PB",
        "TD",
        "KG",
        "FV",
        "SZ",
        ("SH", "ZH"),
        ("TH", "DH"),
        ("CH", "JH"),
    ]:
        a, b = features(voiceless), features(voiced)
        assert isinstance(a, ConsonantFeatures)
        assert isinstance(b, ConsonantFeatures)
        assert (a.place, a.manner, a.voiced, b.voiced) == (b.place, b.manner, False, True)
    m = features("M")
    assert isinstance(m, ConsonantFeatures)
    assert (m.place, m.manner) == (Place.LIPS, Manner.NASAL)
    iy, aa = features("IY1"), features("AA1")
    assert isinstance(iy, VowelFeatures)
    assert isinstance(aa, VowelFeatures)
    assert iy.height > aa.height
    assert iy.backness < aa.backness
    with pytest.raises(Malformed):
        features("QQ")


@given(st.sampled_from(sorted(SYMBOLS)), st.sampled_from(sorted(SYMBOLS)))
def test_distance_is_a_symmetric_measure(one: str, other: str) -> None:
    assert distance(one, other) == distance(other, one)
    assert (distance(one, other) == 0) == (one == other)
    assert distance(one, other) <= 1


def test_confusable_sounds_lie_near() -> None:
    assert distance("B", "P") < distance("B", "K")
    assert distance("EH1", "IH1") < distance("EH1", "OW1")
    assert distance("B", "AE1") == 1
