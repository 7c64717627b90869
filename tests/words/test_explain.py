"""Why a word is written as it is: the right sentence for the right word, and none where none is true."""

from __future__ import annotations

import pytest

from larkslate.words.explain import rules, why
from larkslate.words.graphemes import align
from larkslate.words.joins import join
from larkslate.words.model import Join, Morpheme, MorphemeKind, Reading, Step
from larkslate.words.needs import odd_words
from larkslate.words.sounds import parse
from larkslate.words.syllables import divide


def explained(word: str, sounds: str, base: str = "", ending: str = "") -> tuple[Step, ...]:
    """The sentences for a word; ``base`` and ``ending`` where it has two parts."""
    phonemes = parse(sounds)
    morphemes: tuple[Morpheme, ...] = ()
    joins: tuple[Join, ...] = ()
    seams: list[int] = []
    if base:
        made = join(base, ending)
        assert made.word == word
        morphemes = (
            Morpheme(word[: made.at], (0, made.at), MorphemeKind.BASE, base),
            Morpheme(word[made.at :], (made.at, len(word)), MorphemeKind.ENDING, word[made.at :]),
        )
        joins = (Join(made.at, made.change, base, ending),)
        seams = [made.at]
    graphemes = align(word, phonemes, seams).graphemes
    odd = odd_words().get(word)
    return why(
        word,
        Reading(
            phonemes=phonemes,
            graphemes=graphemes,
            syllables=divide(word, graphemes, phonemes, morphemes).syllables,
            morphemes=morphemes,
            joins=joins,
            odd=odd.odd if odd else (),
        ),
    )


def names(steps: tuple[Step, ...]) -> set[str]:
    return {s.kind.removeprefix("spell:") for s in steps}


@pytest.mark.parametrize(
    ("word", "sounds", "rule"),
    [
        ("catch", "K AE1 CH", "end-tch"),
        ("lunch", "L AH1 N CH", "end-ch"),
        ("beach", "B IY1 CH", "end-ch"),
        ("rich", "R IH1 CH", "end-ch-odd"),
        ("bridge", "B R IH1 JH", "end-dge"),
        ("large", "L AA1 R JH", "end-ge"),
        ("duck", "D AH1 K", "end-ck"),
        ("milk", "M IH1 L K", "end-k"),
        ("book", "B UH1 K", "end-k"),
        ("make", "M EY1 K", "end-k-split"),
        ("make", "M EY1 K", "e-marks-long"),
        ("music", "M Y UW1 Z IH0 K", "end-c"),
        ("grass", "G R AE1 S", "end-double"),
        ("bus", "B AH1 S", "end-double-odd"),
        ("give", "G IH1 V", "end-ve"),
        ("give", "G IH1 V", "hard-g"),
        ("five", "F AY1 V", "end-ve-split"),
        ("dance", "D AE1 N S", "end-ce"),
        ("horse", "HH AO1 R S", "end-se"),
        ("table", "T EY1 B AH0 L", "end-le"),
        ("day", "D EY1", "end-ay"),
        ("rain", "R EY1 N", "in-ai"),
        ("boy", "B OY1", "end-oy"),
        ("cow", "K AW1", "end-ow"),
        ("down", "D AW1 N", "in-ow"),
        ("snow", "S N OW1", "end-ow-long"),
        ("kind", "K AY1 N D", "in-i-long"),
        ("old", "OW1 L D", "in-o-long"),
        ("month", "M AH1 N TH", "in-o-short-u"),
        ("reward", "R IH0 W AO1 R D", "in-ar-after-w"),
        ("city", "S IH1 T IY0", "soft-c"),
        ("giant", "JH AY1 AH0 N T", "soft-g"),
        ("guess", "G EH1 S", "odd"),
        ("quick", "K W IH1 K", "qu"),
        ("box", "B AA1 K S", "x-ks"),
        ("knee", "N IY1", "silent-kn"),
        ("station", "S T EY1 SH AH0 N", "ti-shun"),
        ("lemon", "L EH1 M AH0 N", "weak"),
    ],
)
def test_the_rule_that_fits_is_said(word: str, sounds: str, rule: str) -> None:
    assert rule in names(explained(word, sounds))


@pytest.mark.parametrize(
    ("word", "sounds", "rules_that_would_be_false"),
    [
        ("sandwich", "S AE1 N D W IH0 CH", {"end-ch", "end-tch", "end-ch-odd"}),
        ("is", "IH1 Z", {"end-double-odd", "end-double"}),
        ("move", "M UW1 V", {"e-marks-long", "end-ve-split"}),
        ("come", "K AH1 M", {"e-marks-long"}),
        ("cab", "K AE1 B", {"soft-c"}),
        ("garage", "G ER0 AA1 ZH", {"end-ge"}),
        ("wagon", "W AE1 G AH0 N", {"in-a-after-w"}),
        ("glass", "G L AE1 S", {"in-al"}),
    ],
)
def test_a_false_rule_is_not_said(
    word: str, sounds: str, rules_that_would_be_false: set[str]
) -> None:
    assert not names(explained(word, sounds)) & rules_that_would_be_false


def test_parts_and_joins_come_first_with_their_reasons() -> None:
    steps = explained("hopping", "HH AA1 P IH0 NG", "hop", "ing")
    assert [s.kind for s in steps[:4]] == ["part", "part", "join-look", "join-write"]
    assert "double the consonant" in steps[3].teacher
    assert steps[3].child == "Double the p, then write ing: hopping."


def test_a_base_that_an_ending_changed_is_read_as_it_is_alone() -> None:
    assert "end-k-split" not in names(explained("making", "M EY1 K IH0 NG", "make", "ing"))
    assert "in-o-long" not in names(explained("controlled", "K AH0 N T R OW1 L D", "control", "ed"))


@pytest.mark.parametrize(
    ("word", "sounds", "base", "ending", "says"),
    [
        ("jumped", "JH AH1 M P T", "jump", "ed", "-ed says /t/"),
        ("played", "P L EY1 D", "play", "ed", "-ed says /d/"),
        ("wanted", "W AA1 N T IH0 D", "want", "ed", "-ed says /id/"),
        ("cats", "K AE1 T S", "cat", "s", "-s says /s/"),
        ("dogs", "D AO1 G Z", "dog", "s", "-s says /z/"),
        ("boxes", "B AA1 K S IH0 Z", "box", "es", "-es says /iz/"),
    ],
)
def test_the_sound_of_an_ending_is_told(
    word: str, sounds: str, base: str, ending: str, says: str
) -> None:
    told = [s for s in explained(word, sounds, base, ending) if s.kind == "ending"]
    assert len(told) == 1
    assert told[0].teacher.startswith(says)


def test_odd_letters_take_no_rule_and_are_told_last() -> None:
    steps = explained("said", "S EH1 D")
    assert steps[-1].kind == "odd"
    assert steps[-1].spans == ((1, 3),)
    assert not any(s.kind.startswith("spell:") and (1, 3) in s.spans for s in steps)


def test_every_sentence_is_plain_and_complete() -> None:
    for rule in rules():
        for sentence in (rule.teacher, rule.child):
            assert sentence.endswith(".")
            filled = sentence.format(word="w", base="b", letters="l")
            assert "{" not in filled
            # wording rules of the house: letters do not guard, protect or have jobs
            assert not {"protect", "guard", "job", "jobs", "bossy", "magic"} & set(
                filled.lower().split()
            )


def test_spans_lie_in_the_word() -> None:
    for word, sounds in (("kitchen", "K IH1 CH AH0 N"), ("people", "P IY1 P AH0 L")):
        for step in explained(word, sounds):
            assert all(0 <= a < b <= len(word) for a, b in step.spans)
