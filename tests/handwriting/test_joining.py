from __future__ import annotations

import itertools
import json
import string
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from larkslate.errors import NotAllowed
from larkslate.handwriting.curves import bounds, joints
from larkslate.handwriting.joining import Stroke, Written, to_json, write
from larkslate.handwriting.letters import Hand, letters

PAIRS = [a + b for a, b in itertools.product(string.ascii_letters, string.ascii_lowercase)]
WORDS = [
    "the",
    "quick",
    "brown",
    "fox",
    "jumps",
    "over",
    "lazy",
    "dogs",
    "because",
    "would",
    "little",
    "people",
    "friend",
    "enough",
    "heart",
    "twelve",
    "island",
    "autumn",
    "hopping",
    "pizza",
    "juggle",
    "sphinx",
    "bubble",
    "sessions",
    "giraffe",
    "wavy",
    "quiz",
]
LINE = 5.0


def faults(written: Written) -> list[str]:
    """What a page must never show: gaps, kinks, ink off its lines, crossbars too early."""
    found: list[str] = []
    late = False
    for stroke in written.strokes:
        for a, b in pairwise(stroke.curves):
            if a.end != b.start:
                found.append(f"gap at {a.end}")
        for index, (where, angle) in enumerate(joints(stroke.curves)):
            if abs(angle) > 1 and index not in stroke.sharp:
                found.append(f"kink of {angle:.1f} at {where}")
        _, low, _, high = bounds(stroke.curves)
        if low < -500 - LINE or high > 1000 + LINE:
            found.append(f"off the lines: {low:.0f} to {high:.0f}")
        if late and not stroke.delayed and written.hand is Hand.JOINED and " " not in written.text:
            found.append("a stroke after a delayed one")
        late = late or stroke.delayed
    return found


@pytest.mark.parametrize("lead_in", [True, False])
@pytest.mark.parametrize("hand", list(Hand))
def test_every_pair_is_written_without_a_gap_or_kink(hand: Hand, lead_in: bool) -> None:
    for pair in PAIRS:
        written = write(pair, hand, lead_in=lead_in)
        assert written.notices == ()
        assert faults(written) == [], pair
        covered = {i for s in written.strokes for i in range(s.start, s.end)}
        assert covered == {0, 1}, pair


def test_joined_pairs_are_one_stroke() -> None:
    for pair in PAIRS:
        if pair.islower():
            body = [s for s in write(pair).strokes if not s.delayed]
            assert [(s.start, s.end) for s in body] == [(0, 2)], pair


def test_the_ink_of_a_pair_rises_and_falls_to_its_lines() -> None:
    table = letters(Hand.JOINED)
    for pair in PAIRS:
        written = write(pair)
        _, low, _, high = bounds(c for s in written.strokes for c in s.curves)
        reaches = [table[c].reach for c in pair]
        assert low == pytest.approx(min(r[0] for r in reaches), abs=LINE), pair
        assert high == pytest.approx(max(r[1] for r in reaches), abs=LINE), pair


@pytest.mark.parametrize("slant", [0, 7, 20])
def test_words_are_sound_at_every_slant(slant: float) -> None:
    for word in WORDS:
        written = write(word, slant=slant)
        assert faults(written) == [], word
        left, _, right, _ = bounds(c for s in written.strokes for c in s.curves)
        assert left == pytest.approx(0, abs=1e-6)
        assert right == pytest.approx(written.width)


def test_slant_leans_a_stem_by_its_angle() -> None:
    for slant, lean in ((0, 0.0), (10, 176.33), (20, 363.97)):
        stem = write("l", "print", slant=slant).strokes[0].curves[0]
        assert stem.x0 - stem.x3 == pytest.approx(lean, abs=0.01)


def test_crossbars_and_dots_wait_for_the_end_of_the_word() -> None:
    written = write("titanic it")
    order = [(s.start, s.end, s.delayed) for s in written.strokes]
    assert order == [
        (0, 7, False),
        (0, 1, True),
        (1, 2, True),
        (2, 3, True),
        (5, 6, True),
        (8, 10, False),
        (8, 9, True),
        (9, 10, True),
    ]


def test_print_finishes_each_letter_before_the_next() -> None:
    written = write("it", "print")
    assert [(s.start, s.end) for s in written.strokes] == [(0, 1), (0, 1), (1, 2), (1, 2)]


def test_an_apostrophe_breaks_the_join() -> None:
    body = [(s.start, s.end) for s in write("don't").strokes if not s.delayed]
    assert body == [(0, 3), (3, 4), (4, 5)]


def test_a_curly_apostrophe_is_written_like_a_straight_one() -> None:
    curly, straight = write("don’t"), write("don't")
    assert curly.strokes == straight.strokes
    assert curly.notices == ()
    assert curly.text == "don’t"


def test_a_hyphen_breaks_the_join() -> None:
    body = [(s.start, s.end) for s in write("up-on").strokes]
    assert body == [(0, 2), (2, 3), (3, 5)]


def test_a_capital_with_two_strokes_joins_from_its_last() -> None:
    assert [(s.start, s.end) for s in write("Ka").strokes] == [(0, 1), (0, 2)]
    assert [(s.start, s.end) for s in write("Ba").strokes] == [(0, 1), (1, 2)]


def test_words_stand_apart() -> None:
    for hand in Hand:
        alone, two = write("at", hand), write("at at", hand)
        gap = two.width - 2 * alone.width
        assert gap == pytest.approx(430, abs=1), hand


def test_spaces_around_and_between_change_nothing() -> None:
    assert [s.curves for s in write("  at   at ").strokes] == [
        s.curves for s in write("at at").strokes
    ]


def test_nothing_is_written_for_nothing() -> None:
    for text in ("", " ", "\n"):
        written = write(text)
        assert (written.strokes, written.width, written.notices) == ((), 0.0, ())


def test_lead_in_can_be_left_out() -> None:
    with_lead, without = write("it"), write("it", lead_in=False)
    assert with_lead.strokes[0].curves[0].y0 == 0
    assert without.strokes[0].curves[0].y0 == 500
    assert write("at", lead_in=True) == write("at", lead_in=False)


def test_pulled_bars_run_from_right_to_left() -> None:
    for word, hand in (("tot", Hand.JOINED), ("fat", Hand.PRINT), ("Hat", Hand.JOINED)):
        usual, pulled = write(word, hand), write(word, hand, pulled_bars=True)
        bars = [
            (a.curves[0], b.curves[0])
            for a, b in zip(usual.strokes, pulled.strokes, strict=True)
            if a.delayed
        ]
        assert bars
        for a, b in bars:
            assert a.x0 < a.x3
            assert b == a.reversed()


@pytest.mark.parametrize("char", ["é", "@", "漢", "🙂", "ß", "\u0334", "\x07"])
def test_an_unknown_character_is_named_and_left_out(char: str) -> None:
    for hand in Hand:
        written = write(f"c{char}t", hand)
        assert len(written.notices) == 1
        shown = f"“{char}”" if char.isprintable() and char != "\u0334" else f"U+{ord(char):04X}"
        assert shown in written.notices[0]
        assert "left out" in written.notices[0]
        body = write("ct", hand)
        assert [s.curves for s in written.strokes] == [s.curves for s in body.strokes]


def test_an_accent_can_be_dropped_by_choice() -> None:
    written = write("café", unknown="plain")
    assert [s.curves for s in written.strokes] == [s.curves for s in write("cafe").strokes]
    assert written.notices == ("The joined hand has no letter for “é”: “e” is written instead.",)
    assert "left out" in write("漢", unknown="plain").notices[0]


def test_a_character_can_be_replaced_by_choice() -> None:
    written = write("a@b", substitutes={"@": "at"})
    assert [s.curves for s in written.strokes if not s.delayed] == [
        s.curves for s in write("aatb").strokes if not s.delayed
    ]
    assert written.notices == ("The joined hand has no letter for “@”: “at” is written instead.",)
    assert (1, 2) in [(s.start, s.end) for s in written.strokes if s.delayed]


def test_a_composed_and_a_decomposed_accent_are_the_same() -> None:
    assert write("cafe\u0301").text == "café"


@pytest.mark.parametrize(
    "options", [{"slant": -1}, {"slant": 20.1}, {"slant": float("nan")}, {"unknown": "guess"}]
)
def test_what_cannot_be_chosen_is_refused(options: dict[str, object]) -> None:
    with pytest.raises(NotAllowed, match="choose"):
        write("a", **options)  # type: ignore[arg-type]
    with pytest.raises(NotAllowed, match="choose joined or print"):
        write("a", "italic")


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=25), st.sampled_from(list(Hand)), st.booleans())
def test_no_text_crashes_it(text: str, hand: Hand, lead_in: bool) -> None:
    written = write(text, hand, lead_in=lead_in, unknown="plain")
    for stroke in written.strokes:
        assert 0 <= stroke.start < stroke.end <= len(written.text)
        assert stroke.curves


@settings(max_examples=60, deadline=None)
@given(st.text(alphabet=string.ascii_letters + "'-,.?! 0123456789", max_size=18))
def test_any_writable_text_is_sound(text: str) -> None:
    for hand in Hand:
        written = write(text, hand)
        assert written.notices == ()
        assert faults(written) == []


def test_the_exchange_form() -> None:
    written = write("cat")
    data = json.loads(json.dumps(to_json(written)))
    assert set(data) == {"text", "hand", "lines", "strokes"}
    assert (data["text"], data["hand"]) == ("cat", "joined")
    assert data["lines"] == {"top": 1000, "mid": 500, "base": 0, "descender": -500}
    assert [set(s) for s in data["strokes"]] == [{"from", "to", "curves"}] * 2
    assert [(s["from"], s["to"]) for s in data["strokes"]] == [(0, 3), (2, 3)]
    for stroke in data["strokes"]:
        for curve in stroke["curves"]:
            assert len(curve) == 8
        for a, b in pairwise(stroke["curves"]):
            assert a[6:] == b[:2]


def test_writing_is_the_same_every_time() -> None:
    assert to_json(write("Every word.")) == to_json(write("Every word."))


def test_double_letters_have_even_steps() -> None:
    # The third of three like letters stands as far from the second as the second from the first.
    for char in string.ascii_lowercase:
        one, two, three = (write(char * n).width for n in (2, 3, 4))
        assert three - two == pytest.approx(two - one, abs=0.01), char


def test_a_stroke_can_be_changed_as_a_whole() -> None:
    stroke = write("i").strokes[0]
    moved = stroke.changed(lambda c: c.moved(5))
    assert isinstance(moved, Stroke)
    assert moved.curves[0].x0 == stroke.curves[0].x0 + 5
    assert (moved.start, moved.end, moved.sharp) == (stroke.start, stroke.end, stroke.sharp)
