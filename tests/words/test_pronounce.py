"""Pronunciations read from the open dictionary: the notation made one, the careful form first."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from larkslate.errors import Missing
from larkslate.words import pronounce
from larkslate.words.pronounce import Dictionary, convert, read_dictionary, seams_of
from larkslate.words.sounds import SYMBOLS, bare, spell_out


@cache
def dictionary() -> Dictionary:
    return read_dictionary()


def first(word: str) -> str:
    return spell_out(dictionary().pronunciations(word)[0].phonemes)


@pytest.mark.parametrize(
    ("word", "phonemes"),
    [
        ("button", "B AH1 T AH0 N"),  # t, not a tap
        ("ladder", "L AE1 D ER0"),  # the letters decide the tap
        ("better", "B EH1 T ER0"),
        ("family", "F AE1 M AH0 L IY0"),  # three syllables
        ("camera", "K AE1 M ER0 AH0"),
        ("water", "W AO1 T ER0"),
        ("always", "AO1 L W EY0 Z"),
        ("singing", "S IH1 NG IH0 NG"),
        ("oil", "OY1 L"),
        ("hour", "AW1 R"),  # one written syllable
        ("flower", "F L AW1 ER0"),  # two
        ("tire", "T AY1 R"),
        ("liar", "L AY1 ER0"),
        ("parade", "P AH0 R EY1 D"),
        ("operate", "AA1 P ER0 EY2 T"),
        ("hero", "HH IY1 R OW0"),
        ("near", "N IH1 R"),
        ("story", "S T AO1 R IY0"),
        ("which", "W IH1 CH"),
        ("whisker", "W IH1 S K ER0"),
        ("news", "N UW1 Z"),
        ("wanted", "W AA1 N T IH0 D"),
        ("finally", "F AY1 N AH0 L IY0"),
        ("gobbler", "G AA1 B L ER0"),
        ("months", "M AH1 N TH S"),  # as month
        ("particularly", "P ER0 T IH1 K Y AH0 L ER0 L IY0"),
        ("graduating", "G R AE1 JH UW0 EY2 T IH0 NG"),
    ],
)
def test_the_reading_shown_first(word: str, phonemes: str) -> None:
    assert first(word) == phonemes


@pytest.mark.parametrize("word", ["read", "live", "wind", "record", "present", "use", "lead"])
def test_readings_that_differ_by_use_are_kept_apart(word: str) -> None:
    readings = dictionary().pronunciations(word)
    assert len(readings) >= 2
    assert len({r.phonemes for r in readings}) == len(readings)


def test_variants_of_one_reading_are_merged() -> None:
    for word in ("family", "every", "congress", "interest"):
        assert len(dictionary().pronunciations(word)) == 1, word


def test_parts_of_speech_are_plain_words() -> None:
    reading = dictionary().pronunciations("mice")[0]
    assert reading.pos == ("noun", "plural")
    assert "past" in dictionary().pronunciations("jumped")[0].pos
    assert dictionary().is_name("john")
    assert not dictionary().is_name("table")


def test_every_sound_of_the_commonest_words_is_arpabet() -> None:
    from wordfreq import top_n_list

    seen = 0
    for word in top_n_list("en", 3000):
        for reading in dictionary().pronunciations(word):
            seen += 1
            assert all(bare(p) in SYMBOLS for p in reading.phonemes), word
            stresses = [p[-1] for p in reading.phonemes if p[-1].isdigit()]
            assert stresses.count("1") == 1, (word, reading.phonemes)
    assert seen > 2500


def test_symbols_become_arpabet() -> None:
    assert convert(["b", "ˈʌ", "ɾ", "n̩"]) == ("B", "AH1", "T/D", "AH0", "N")
    assert convert(["h", "w", "ˈɪ", "tʃ"]) == ("W", "IH1", "CH")
    assert convert(["k", "ˈɑ", "ʘ"]) is None


@pytest.mark.parametrize(
    ("word", "parts", "seams"),
    [
        ("hopping", ("hop", "ing"), (4,)),
        ("making", ("make", "ing"), (3,)),
        ("boxes", ("box", "s"), (3,)),
        ("studies", ("study", "s"), (5,)),
        ("happier", ("happy", "er"), (5,)),
        ("better", ("good", "er"), ()),
        ("cat", ("cat",), ()),
    ],
)
def test_seams(word: str, parts: tuple[str, ...], seams: tuple[int, ...]) -> None:
    assert seams_of(word, parts) == seams


def test_a_missing_dictionary_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pronounce, "_PACKAGE", "no_such_package_of_words")
    with pytest.raises(Missing, match="install"):
        pronounce.dictionary_file()


def test_damaged_lines_are_dropped(tmp_path: Path) -> None:
    file = tmp_path / "small.txt"
    file.write_text(
        "cat(nn) # k ˈæ t #\ncat(nn) # k ʘ t #\nice_cream(nn) # ˈɑɪ s # k ɹ ˈi m #\nhm(uh) # h m #\n",
        encoding="utf-8",
    )
    small = read_dictionary(path=file)
    assert [spell_out(r.phonemes) for r in small.pronunciations("cat")] == ["K AE1 T"]
    assert small.pronunciations("hm") == ()
    assert small.pronunciations("nothere") == ()
    assert "ice_cream" not in small
