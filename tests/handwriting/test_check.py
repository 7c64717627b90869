from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from larkslate.handwriting.check import check_all, check_hand, check_letter
from larkslate.handwriting.curves import Curve
from larkslate.handwriting.letters import Exit, Hand, Letter, letter, read


def made(hand: Hand = Hand.PRINT, **change: object) -> Letter:
    row: dict[str, Any] = {
        "char": "l",
        "strokes": ["0,1000 - 0,0"],
        "reach": [0, 1000],
        "group": "straight down",
        "say": ["Go down."],
        "source": "common practice",
        **change,
    }
    return read({"letter": [row]}, hand, "file")[0]


@pytest.mark.parametrize("hand", list(Hand))
def test_the_shipped_hands_have_no_fault(hand: Hand) -> None:
    assert check_hand(hand) == []


def test_check_all_accepts_the_shipped_data() -> None:
    check_all()


def test_a_sound_letter_passes() -> None:
    assert check_letter(made()) == []


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"strokes": ["0,990 - 0,0"]}, "top at 990"),
        ({"reach": [0, 900], "strokes": ["0,900 - 0,0"]}, "reaches to 900"),
        ({"strokes": ["0,0 - 0,1000"]}, "goes up"),
        ({"strokes": ["0,1000 - 0,0", "300,500 - 0,500"], "say": ["a", "b"]}, "to the left"),
        ({"say": ["One.", "Two."]}, "1 strokes but 2 sentences"),
        ({"source": ""}, "no source"),
        ({"exit": "base"}, "print hand and cannot join"),
        (
            {
                "group": "round to the left",
                "strokes": ["0,900:u ~ 300,1000:r ~ 500,500:d ~ 300,0:l"],
            },
            "begin round to the left",
        ),
        (
            {"strokes": ["0,900:d - 0,300:d ~ 150,0:r ~ 300,500:u ~ 150,1000:l ~ 0,900:d - 0,300"]},
            "runs along itself",
        ),
    ],
)
def test_a_fault_is_found(change: dict[str, Any], fault: str) -> None:
    assert any(fault in f for f in check_letter(made(**change))), check_letter(made(**change))


@pytest.mark.parametrize(
    ("char", "change", "fault"),
    [
        ("a", {"exit": "none"}, "must join on both sides"),
        ("a", {"entry": "none"}, "must join on both sides"),
        ("a", {"strokes": ["0,500 - 0,0", "9,500 - 9,0"], "say": ["a", "b"]}, "must be one stroke"),
        ("a", {"strokes": ["0,500:d - 0,0"]}, "does not end level"),
        ("a", {"exit": "top"}, "does not end under the midline"),
        ("a", {"exit": "tail"}, "does not end rising"),
        ("a", {"delayed": ["0,700 - 0,690"], "say": ["a", "b"]}, "delayed"),
        ("n", {"group": "over a hump"}, "begin over to the right"),
    ],
)
def test_a_fault_of_a_joined_letter_is_found(char: str, change: dict[str, Any], fault: str) -> None:
    base = {
        "char": char,
        "reach": [0, 500],
        "entry": "up",
        "exit": "base",
        "strokes": ["0,500:66/d - 0,150:d ~ 120,0:r"],
    }
    found = check_letter(made(Hand.JOINED, **{**base, **change}))
    assert any(fault in f for f in found), found


def test_a_gap_and_a_kink_are_found() -> None:
    sound = letter("a", Hand.JOINED)
    path = list(sound.paths[0])
    path[2] = path[2].moved(3)
    broken = dataclasses.replace(sound, paths=(tuple(path),))
    assert any("gap" in f for f in check_letter(broken))
    path = list(sound.paths[0])
    c = path[2]
    path[2] = Curve(c.x0, c.y0, c.x1 + 30, c.y1, c.x2, c.y2, c.x3, c.y3)
    broken = dataclasses.replace(sound, paths=(tuple(path),))
    assert any("no named cusp" in f for f in check_letter(broken))


def test_the_exit_decides_what_is_checked() -> None:
    assert letter("o", Hand.JOINED).exit is Exit.TOP
    assert check_letter(letter("o", Hand.JOINED)) == []
