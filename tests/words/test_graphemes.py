"""The grapheme table and the aligner: hard words, table errors, properties."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from larkslate.errors import Malformed
from larkslate.words.graphemes import (
    COMMON_SHARE,
    align,
    can_spell,
    sounds_of,
    spellings_of,
    table,
)
from larkslate.words.model import Grapheme
from larkslate.words.reviewed import format_graphemes, overrides, parse_graphemes, read_overrides
from larkslate.words.sounds import parse
from larkslate.words.spellings import COLUMNS, DEAREST, read_table

TRUTH = Path(__file__).parents[2].parent / "shared" / "truth" / "letter_phoneme_alignment.tsv"


def shown(word: str, phonemes: str, seams: tuple[int, ...] = ()) -> str:
    found = align(word, parse(phonemes), seams)
    assert not found.fallback, word
    return format_graphemes(found.graphemes)


def by_table(word: str, phonemes: str, seams: tuple[int, ...] = ()) -> str:
    """As ``shown``, without the override table."""
    found = table().align(word, parse(phonemes), seams)
    assert not found.fallback, word
    return format_graphemes(found.graphemes)


@pytest.mark.parametrize(
    ("word", "phonemes", "graphemes"),
    [
        # Words of the project's list of hard words, checked by hand.
        ("thought", "TH AO1 T", "th=TH ough=AO t=T"),
        ("people", "P IY1 P AH0 L", "p=P eo=IY p=P le=AH0.L"),
        ("one", "W AH1 N", "o=W.AH ne=N"),
        ("two", "T UW1", "tw=T o=UW"),
        ("island", "AY1 L AH0 N D", "is=AY l=L a=AH0 n=N d=D"),
        ("autumn", "AO1 T AH0 M", "au=AO t=T u=AH0 mn=M"),
        ("build", "B IH1 L D", "b=B ui=IH l=L d=D"),
        ("language", "L AE1 NG G W IH0 JH", "l=L a=AE n=NG gu=G.W a=IH ge=JH"),
        ("hopping", "HH AA1 P IH0 NG", "h=HH o=AA pp=P i=IH ng=NG"),
        ("makes", "M EY1 K S", "m=M a_e=EY k=K s=S"),
        ("cried", "K R AY1 D", "c=K r=R i=AY ed=D"),
        ("pickle", "P IH1 K AH0 L", "p=P i=IH ck=K le=AH0.L"),
        ("fire", "F AY1 R", "f=F ire=AY.R"),
        ("kind", "K AY1 N D", "k=K i=AY n=N d=D"),
        ("ocean", "OW1 SH AH0 N", "o=OW ce=SH a=AH0 n=N"),
        ("listened", "L IH1 S AH0 N D", "l=L i=IH st=S e=AH0 n=N ed=D"),
        ("choir", "K W AY1 R", "ch=K oir=W.AY.R"),
        # The policy of the units, a line each.
        ("catch", "K AE1 CH", "c=K a=AE tch=CH"),
        ("bridge", "B R IH1 JH", "b=B r=R i=IH dge=JH"),
        ("taste", "T EY1 S T", "t=T a_e=EY s=S t=T"),
        ("bathe", "B EY1 DH", "b=B a_e=EY th=DH"),
        ("have", "HH AE1 V", "h=HH a=AE ve=V"),
        ("dance", "D AE1 N S", "d=D a=AE n=N ce=S"),
        ("large", "L AA1 R JH", "l=L ar=AA.R ge=JH"),
        ("house", "HH AW1 S", "h=HH ou=AW se=S"),
        ("come", "K AH1 M", "c=K o_e=AH m=M"),
        ("jumped", "JH AH1 M P T", "j=JH u=AH m=M p=P ed=T"),
        ("wanted", "W AA1 N T IH0 D", "w=W a=AA n=N t=T e=IH d=D"),
        ("goes", "G OW1 Z", "g=G o=OW es=Z"),
        ("horses", "HH AO1 R S IH0 Z", "h=HH or=AO.R s=S e=IH s=Z"),
        ("quick", "K W IH1 K", "qu=K.W i=IH ck=K"),
        ("box", "B AA1 K S", "b=B o=AA x=K.S"),
        ("exam", "IH0 G Z AE1 M", "e=IH x=G.Z a=AE m=M"),
        ("think", "TH IH1 NG K", "th=TH i=IH n=NG k=K"),
        ("castle", "K AE1 S AH0 L", "c=K a=AE st=S le=AH0.L"),
        ("music", "M Y UW1 Z IH0 K", "m=M u=Y.UW s=Z i=IH c=K"),
        ("nature", "N EY1 CH ER0", "n=N a=EY t=CH ure=ER"),
        ("nation", "N EY1 SH AH0 N", "n=N a=EY ti=SH o=AH0 n=N"),
        ("story", "S T AO1 R IY0", "s=S t=T o=AO r=R y=IY"),
        ("research", "R IH0 S ER1 CH", "r=R e=IH s=S ear=ER ch=CH"),
        ("safety", "S EY1 F T IY0", "s=S a_e=EY f=F t=T y=IY"),
        ("honest", "AA1 N AH0 S T", "h= o=AA n=N e=AH0 s=S t=T"),
        ("didn't", "D IH1 D AH0 N T", "d=D i=IH d=D n=AH0.N t=T"),
    ],
)
def test_graphemes_of_words_checked_by_hand(word: str, phonemes: str, graphemes: str) -> None:
    assert shown(word, phonemes) == graphemes


def test_seams_decide_what_the_letters_leave_open() -> None:
    assert by_table("starry", "S T AA1 R IY0") == "s=S t=T arr=AA.R y=IY"
    assert by_table("boring", "B AO1 R IH0 NG", (3,)) == "b=B or=AO.R i=IH ng=NG"
    assert by_table("boring", "B AO1 R IH0 NG") == "b=B o=AO r=R i=IH ng=NG"
    assert by_table("studies", "S T AH1 D IY0 Z", (5,)) == "s=S t=T u=AH d=D i=IY es=Z"
    assert by_table("cookies", "K UH1 K IY0 Z", (6,)) == "c=K oo=UH k=K ie=IY s=Z"
    assert by_table("makeup", "M EY1 K AH2 P", (4,)) == "m=M a_e=EY k=K u=AH p=P"


def test_a_split_vowel_has_two_spans() -> None:
    make = align("make", parse("M EY1 K")).graphemes
    assert make[1] == Grapheme("a_e", ((1, 2), (3, 4)), ("EY1",))
    assert make[2] == Grapheme("k", ((2, 3),), ("K",))


def test_what_does_not_fit_is_marked_as_fallback() -> None:
    found = align("zqx", parse("B AE1"))
    assert found.fallback
    assert [p for g in found.graphemes for p in g.phonemes] == ["B", "AE1"]
    assert align("", ()).fallback


words = st.text("abcdefghijklmnopqrstuvwxyz'", min_size=1, max_size=12)
sounds = st.lists(
    st.sampled_from(
        ["AE1", "AH0", "EY1", "IY0", "ER0", "K", "S", "T", "N", "R", "L", "DH", "W", "Y"]
    ),
    max_size=10,
).map(tuple)


@settings(max_examples=150, deadline=None)
@given(words, sounds)
def test_an_alignment_covers_every_letter_once_and_every_sound_in_order(
    word: str, phonemes: tuple[str, ...]
) -> None:
    found = align(word, phonemes)
    if not found.graphemes:
        assert found.fallback or not word.strip("'")
        return
    covered = Counter(i for g in found.graphemes for a, b in g.spans for i in range(a, b))
    letters = [i for i, c in enumerate(word) if c != "'"]
    assert sorted(covered.elements()) == letters
    assert tuple(p for g in found.graphemes for p in g.phonemes) == phonemes


def test_every_example_of_the_table_is_spelled_with_its_grapheme() -> None:
    for row in table().rows:
        if row.example:
            first, _, e = row.letters.partition("_")
            assert first in row.example.lower(), row.key
            assert not e or "e" in row.example.lower(), row.key


def test_costs_and_shares_are_sound() -> None:
    totals: Counter[tuple[str, ...]] = Counter()
    for row in table().rows:
        assert 0 < row.cost < DEAREST
        totals[row.phonemes] += round(row.share * 10000)
    assert all(total <= 10050 for total in totals.values())  # shares of one sound, rounded


HEADER = "\t".join(COLUMNS) + "\n"


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("t1\tT\t\t\t\t2\t0", "line 2.*letters"),
        ("t\tQQ\t\t\t\t2\t0", "line 2.*sound"),
        ("t\tT\tmiddle\t\t\t2\t0", "line 2.*place"),
        ("t\tT\t\t\t\tcheap\t0", "line 2.*numbers"),
        ("t\tT\t\t\t\t99\t0", "line 2.*cost"),
        ("t\tT\t\t\t\t2\t0\nt\tT\t\t\t\t3\t0", "line 3.*already in line 2"),
        ("", "empty"),
    ],
)
def test_a_wrong_row_is_named(row: str, says: str) -> None:
    with pytest.raises(Malformed, match=says):
        read_table(HEADER + row)


def test_spellings_and_sounds_are_looked_up_from_the_same_table() -> None:
    assert spellings_of("F")[0][0] == "f"
    assert dict(spellings_of("F"))["ph"] > dict(spellings_of("F"))["gh"]
    assert spellings_of(("K", "W"))[0][0] == "qu"
    assert sounds_of("tch")[0][0] == ("CH",)
    assert can_spell("tch", ("CH",), "final") == "common"
    assert can_spell("ed", ("T",)) is not None
    assert can_spell("gh", ("F",)) == "rare"
    assert can_spell("k", ("T",)) is None
    assert can_spell("ay", ("IY0",), "initial") is None  # Monday ends in it
    assert 0 < COMMON_SHARE < 1


# ---- the override table -------------------------------------------------------------------------


def test_every_override_reads_and_holds_in_the_aligner() -> None:
    rows = [o for readings in overrides().values() for o in readings]
    assert len(rows) > 700
    for row in rows:
        if row.graphemes:
            assert align(row.word, row.phonemes).graphemes == row.graphemes
            notation = format_graphemes(row.graphemes)
            assert parse_graphemes(row.word, notation, row.phonemes) == row.graphemes


def test_a_regular_form_takes_the_graphemes_of_its_reviewed_base() -> None:
    assert shown("answered", "AE1 N S ER0 D") == "a=AE n=N sw=S er=ER ed=D"
    assert shown("friend's", "F R EH1 N D Z") == "f=F r=R ie=EH n=N d=D s=Z"
    assert shown("choirs", "K W AY1 R Z") == "ch=K oir=W.AY.R s=Z"


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(overrides())))
def test_grapheme_notation_comes_back(word: str) -> None:
    for row in overrides()[word]:
        found = table().align(word, row.phonemes)
        if not found.fallback:
            notation = format_graphemes(found.graphemes)
            assert parse_graphemes(word, notation, row.phonemes) == found.graphemes


REVIEWED = "word\tpos\tphonemes\tgraphemes\tdivision\tmorphemes\tnote\tstatus\tby\tdate\n"
GOOD = "done\tverb\tD AH1 N\td=D o_e=AH n=N\t\t\t\treviewed\teditor\t2026-11-25"


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("Done\tverb", "line 2.*lower case"),
        ("done\tverb\tD AH N", "line 2.*stress digit"),
        ("done\tverb\tD AH1 N\td=D o=AH", "line 2.*over"),
        ("done\tverb\tD AH1 N\td=D o=OW ne=N", "line 2.*sounds"),
        ("done\tverb\tD AH1 N\td=D u=AH ne=N", "line 2.*letters"),
        ("done\tverb\t\td=D o_e=AH n=N", "line 2.*phonemes"),
        (GOOD.replace("\t\t\t\treviewed", "\tdo-nne\t\t\treviewed"), "line 2.*division"),
        (GOOD.replace("reviewed", "sure"), "line 2.*status"),
        (GOOD.replace("2026-11-25", "lately"), "line 2.*date"),
        (GOOD.replace("editor", ""), "line 2.*who read it"),
        (GOOD + "\n" + GOOD, "line 3.*twice"),
    ],
)
def test_a_wrong_override_is_named(row: str, says: str) -> None:
    with pytest.raises(Malformed, match=says):
        read_overrides(REVIEWED + row)


def test_a_good_override_reads() -> None:
    assert read_overrides(REVIEWED + GOOD)["done"][0].by == "editor"


# ---- an outside reference -----------------------------------------------------------------------

NETTALK = {
    "a": "AA", "c": "AO", "e": "EY", "h": "HH", "i": "IY", "o": "OW", "u": "UW", "x": "AH", "y": "Y",
    "A": "AY", "C": "CH", "D": "DH", "E": "EH", "G": "NG", "I": "IH", "J": "JH", "K": "K SH",
    "L": "AH L", "M": "AH M", "N": "AH N", "O": "OY", "Q": "K W", "R": "ER", "S": "SH", "T": "TH",
    "U": "UH", "W": "AW", "X": "K S", "Y": "Y UW", "Z": "ZH", "@": "AE", "!": "T S", "#": "G Z",
    "*": "W", "^": "AH", "+": "W AA", "-": "",
} | {c: c.upper() for c in "bdfgklmnprstvwz"}  # fmt: skip
"""The symbols of NETtalk (Sejnowski and Rosenberg 1988), as the phoneme of each letter."""


def same_sound(sounds: list[str]) -> list[str]:
    """Sounds with the two dictionaries' differences of notation taken out: weak vowels, open o's, y + oo."""
    out = []
    for p in sounds:
        symbol = p.rstrip("012")
        if symbol in {"AH", "IH", "UH", "EH", "IY"}:
            symbol = "@"
        elif symbol in {"AO", "AA", "OW"}:
            symbol = "O"
        elif symbol in {"UW", "Y"}:
            symbol = "U"
        out.append(symbol)
    return out


def nettalk_sounds(word: str, marks: str) -> list[list[str]]:
    """The sounds of each letter; the vowel of a syllabic l, m or n goes to the vowel letter before it."""
    said = [NETTALK[c].split() for c in marks]
    for i, c in enumerate(marks):
        back = 1
        while c in "LMN" and back <= min(i, 2) and marks[i - back] == "-":
            if word[i - back] in "aeiou":
                said[i - back], said[i] = ["AH"], [c]
                break
            back += 1
    return said


@pytest.mark.skipif(not TRUTH.exists(), reason="the outside reference is not beside the project")
def test_boundaries_agree_with_an_independent_alignment() -> None:
    from larkslate.words.pronounce import read_dictionary, seams_of

    dictionary = read_dictionary()
    compared = agreed = 0
    for line in TRUTH.read_text(encoding="utf-8").splitlines():
        word, marks, _, kind = line.split("\t")
        if kind != "0" or len(word) != len(marks):
            continue
        said = nettalk_sounds(word, marks)
        flat = same_sound([p for letter in said for p in letter])
        for reading in dictionary.pronunciations(word):
            if same_sound(list(reading.phonemes)) != flat:
                continue
            compared += 1
            found = align(word, reading.phonemes, seams_of(word, reading.parts))
            agreed += all(
                same_sound(list(g.phonemes))
                == same_sound([p for a, b in g.spans for i in range(a, b) for p in said[i]])
                for g in found.graphemes
            )
            break
    assert compared > 8000
    assert agreed / compared >= 0.99
