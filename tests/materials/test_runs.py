from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.errors import Malformed
from larkslate.materials.runs import (
    Style,
    before_joining,
    derived,
    leaving,
    letters,
    plain,
    prose,
    typographic,
)
from larkslate.plan.model import Role, Shown, WordItem
from larkslate.words.contractions import contractions

words = st.text(alphabet="abcdefghijklmnopqrstuvwxyz'", min_size=1, max_size=12)


@given(words, st.data())
def test_marked_letters_spell_the_word(word: str, data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(word) - 1))
    end = data.draw(st.integers(start + 1, len(word)))
    runs = letters(word, ((start, end),))
    assert plain(runs) == typographic(word)
    marked = "".join(text for text, style in runs if style is Style.MARK)
    assert marked == typographic(word[start:end])


@given(st.lists(st.text(alphabet="abcdefgh", min_size=1, max_size=5), min_size=1, max_size=4))
def test_division_puts_one_dot_between_syllables(parts: list[str]) -> None:
    runs = letters("".join(parts), division="-".join(parts))
    assert plain(runs) == "·".join(parts)


@given(st.text(max_size=60))
def test_prose_keeps_the_text(text: str) -> None:
    runs = prose(text)
    assert plain(runs) == typographic(text)
    assert len(typographic(text)) == len(text)  # spans of the plan stay true
    assert all(text for text, _ in runs)


def test_sounds_are_told_from_slashes() -> None:
    def sounds(text: str) -> list[str]:
        return [run for run, style in prose(text) if style is Style.SOUND]

    assert sounds("write ck for /k/, not /ch/.") == ["/k/", "/ch/"]
    assert sounds("his/her and/or 1/2/3") == []
    assert sounds("/er/ (as in her)") == ["/er/"]


def test_quotation_marks_turn_the_right_way() -> None:
    assert typographic('Say "don\'t" (or "won\'t").') == "Say “don’t” (or “won’t”)."


def test_letters_that_leave() -> None:
    def struck(full: str, contraction: str) -> str | None:
        found = leaving(tuple(full.split()), contraction)
        if found is None:
            return None
        return "".join(f"({c})" if gone else c for c, gone in found)

    assert struck("do not", "don't") == "do n(o)t"
    assert struck("I will", "I'll") == "I (w)(i)ll"
    assert struck("she would", "she'd") == "she (w)(o)(u)(l)d"
    assert struck("could have", "could’ve") == "could (h)(a)ve"
    assert struck("of the clock", "o'clock") == "o(f) (t)(h)(e) clock"
    assert struck("cannot", "can't") == "can(n)(o)t"
    assert struck("it was", "'twas") == "(i)t was"
    assert struck("will not", "won't") is None


def test_every_contraction_of_the_table_loses_the_letters_it_says() -> None:
    checked = 0
    for contraction in contractions().values():
        for form in contraction.forms:
            if form.full is None:
                continue
            found = leaving(form.full, contraction.written)
            if found is None:
                assert contraction.irregular, contraction.written
                continue
            kept = "".join(c for c, gone in found if not gone and c.isalpha())
            assert kept.lower() == "".join(c for c in contraction.written if c.isalpha()).lower()
            gone = "".join(c for c, leaves in found if leaves)
            assert gone == "".join(form.dropped).replace(" ", ""), contraction.written
            checked += 1
    assert checked > 50


def test_derived_words() -> None:
    def item(word: str, shown: Shown) -> WordItem:
        return WordItem(word, Role.MODEL, (), "", shown=shown)

    hopped = item("hopped", Shown(((2, 4),), parts=("hop", "ed")))
    assert plain(derived(hopped)) == "hop + ed → hopped"
    assert ("pp", Style.MARK) in derived(hopped)
    dont = item("don't", Shown(full=("do", "not")))
    assert plain(derived(dont)) == "do not → don’t"
    assert ("o", Style.LEAVE) in derived(dont)
    assert ("’", Style.MARK) in derived(dont)
    wont = item("won't", Shown(full=("will", "not")))
    assert plain(derived(wont)) == "will not → won’t"
    assert all(style is not Style.LEAVE for _, style in derived(wont))
    napkin = item("napkin", Shown(division="nap-kin"))
    assert plain(derived(napkin)) == "nap·kin"
    assert before_joining(napkin) == ()
    assert derived(WordItem("cat", Role.MODEL, (), "")) == (("cat", Style.PLAIN),)


@pytest.mark.parametrize("struck", [False, True])
def test_the_printed_prompt_and_the_marked_one_have_the_same_text(struck: bool) -> None:
    item = WordItem("they'll", Role.TOGETHER, (), "", shown=Shown(full=("they", "will")))
    assert plain(before_joining(item, struck=struck)) == "they will"


def test_marks_outside_the_word_and_false_divisions_are_refused() -> None:
    with pytest.raises(Malformed, match="outside the word “cat”"):
        letters("cat", ((1, 4),))
    with pytest.raises(Malformed, match="does not spell"):
        letters("napkin", division="nap-kim")


def test_a_run_is_a_pair_in_json() -> None:
    import msgspec

    assert json.loads(msgspec.json.encode(prose("so /k/"))) == [["so ", ""], ["/k/", "sound"]]
