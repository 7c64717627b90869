"""What is kept from children, and what must not be: both sides, word by word."""

from __future__ import annotations

import pytest

from larkslate.words.suitable import REASONS, _lists, allowed, rude_sound, too_near, unsuitable

FINE = """
banana church kiss class bass peacock cockpit cockroach title sextant button butter buttercup assist
grape scrap analyst therapist hello shell document circumstance constitution pheasant peer peering
luster bombard shuttle raccoon cocoon spice spicy japan nip niggle snicker swank bassoon embarrass
compass grass mass passage rapid drape therapy skill skillet begun gunwale gums rumble drum ginger
begin engine dead fight knife ghost fat bet weed pot high joint smoke crack needle
puppy sparrow dam damp hellos crape scrappy butterfly tithe titan entitle attitude assume essay
matchbox pumpkin suckle slow whip hit blood witch monster angel holy duck truck luck
"""


@pytest.mark.parametrize("word", FINE.split())
def test_ordinary_words_are_shown(word: str) -> None:
    assert unsuitable(word) is None


@pytest.mark.parametrize(
    ("word", "reason"),
    [
        ("damn", "rude"),
        ("sucks", "rude"),
        ("gun", "weapon"),
        ("gunning", "weapon"),
        ("gunner", "weapon"),
        ("shooters", "weapon"),
        ("wines", "drink or drugs"),
        ("Beer", "drink or drugs"),
        ("drugged", "drink or drugs"),
        ("gambling", "gambling"),
        ("killed", "frightening or violent"),
        ("murderous", "frightening or violent"),
        ("stupid", "insult"),
        ("slaves", "painful history"),
        ("toilet's", "body or toilet"),
        ("pooped", "body or toilet"),
        ("naked", "adult"),
        ("Bible", "religion-sensitive"),
        ("velcro", "brand name"),
        ("gypsies", "slur"),
        ("beer garden", "drink or drugs"),
        ("gun-shy", "weapon"),
    ],
)
def test_unsuitable_words_and_their_forms_have_a_reason(word: str, reason: str) -> None:
    assert unsuitable(word) == reason


def test_every_reason_is_used_and_no_fine_word_is_on_a_list_of_exact_words() -> None:
    words, _ = _lists()
    assert set(words.values()) == REASONS
    assert "poker" in words
    assert not allowed() & {"poker", "slave", "murder"}


@pytest.mark.parametrize(
    ("sounds", "rude"),
    [
        ("F AH1 K", True),
        ("S AH1 F AH0 K", True),
        ("D IH1 K S", True),
        ("SH IH1 T IH0 NG", True),
        ("P UW1 P IY0", True),
        ("T IH1 T S", True),
        ("F AH1 D", False),
        ("B AA1 K IH0 T", False),
        ("M IH1 K", False),
        ("G L AE1 S", False),
        ("S T IH1 T", False),
        ("P IY1 L", False),
    ],
)
def test_made_up_words_are_judged_by_sound(sounds: str, *, rude: bool) -> None:
    assert rude_sound(sounds.split()) is rude


@pytest.mark.parametrize(
    ("word", "verdict"),
    [
        ("phuck", "rude"),
        ("shitt", "rude"),
        ("dik", "rude"),
        ("damn", "rude"),
        ("blit", None),
        ("frem", None),
    ],
)
def test_made_up_words_are_judged_by_looks(word: str, verdict: str | None) -> None:
    assert too_near(word) == verdict


def test_a_made_up_word_that_is_real_is_refused() -> None:
    assert too_near("Ship", known=("ship", "shop")) == "a real word"
