"""The pool of a point: who is in, and why each of the others is not."""

from __future__ import annotations

import pytest

from larkslate.choose.pool import Reason, candidates, pool, stock
from larkslate.choose.supply import familiar, left_out, owners, sentences_of
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon
from larkslate.words.suitable import unsuitable

POINTS = [p.id for p in shipped().taught_points]


@pytest.mark.parametrize("point", POINTS)
def test_every_candidate_is_in_reach_shows_the_point_and_is_fit_for_children(
    point: str, lexicon: Lexicon, reach: Reach
) -> None:
    here = stock(reach, lexicon)
    end = shipped().index(point)
    found = candidates(here, point, end)
    for c in found:
        assert reach.in_reach(c.word, point), c.word
        assert point in here.points_shown(c.word), c.word
        assert unsuitable(c.word) is None
    assert len(found) >= (3 if here.rule(point).closed else 8), [c.word for c in found]


@pytest.mark.parametrize("point", ["G3.01c", "G3.03b", "G3.06b", "G3.09d"])
def test_every_word_that_shows_a_point_is_in_or_out_with_a_reason(
    point: str, lexicon: Lexicon, reach: Reach
) -> None:
    found = pool(reach, lexicon, point, point)
    inside = {c.word for c in found.candidates}
    outside = {r.word for r in found.rejected}
    assert inside.isdisjoint(outside)
    assert inside | outside == {i.word for i in stock(reach, lexicon).items(point)}
    assert all(r.says.endswith((".", "!")) for r in found.rejected)
    ranked = [c.value for c in found.candidates]
    assert ranked == sorted(ranked, reverse=True)


def test_the_reasons(lexicon: Lexicon, reach: Reach) -> None:
    def why(point: str, through: str) -> dict[str, Reason]:
        found = pool(reach, lexicon, point, through, settled={})
        return {r.word: r.reason for r in found.rejected}

    assert why("G3.01a", "G3.01a")["bell"] is Reason.HOMOPHONE
    assert why("G3.06b", "G3.06a")["green"] is Reason.KNOWN_WHOLE
    assert why("G3.06b", "G3.06a")["stream"] is Reason.OUT_OF_REACH
    assert why("G3.02a", "G3.02a")["wine"] is Reason.UNSUITABLE


def test_a_sentence_settles_a_homophone_and_words_used_lately_stay_out(
    lexicon: Lexicon, reach: Reach
) -> None:
    settled = pool(reach, lexicon, "G3.01a", "G3.01a", settled={"bell": ("The bell rang.",)})
    assert "bell" in {c.word for c in settled.candidates}
    later = pool(reach, lexicon, "G3.01a", "G3.01a", used={"glass"})
    assert "glass" not in {c.word for c in later.candidates}
    assert {r.word: r.reason for r in later.rejected}["glass"] is Reason.USED


def test_the_short_way_and_the_full_way_agree(lexicon: Lexicon, reach: Reach) -> None:
    here = stock(reach, lexicon)
    for point in ("G3.01d", "G3.10d", "G3.11e", "G3.13e"):
        full = pool(reach, lexicon, point, point).candidates
        assert candidates(here, point, shipped().index(point)) == full


def test_the_word_lists_are_clean(reach: Reach) -> None:
    assert not familiar() & left_out()
    for word in familiar():
        assert unsuitable(word) is None, word
        assert reach.word(word).readings, word
    for owner in owners():
        assert unsuitable(owner.noun) is None


def test_sentences_said_with_words_have_the_word_and_fit_children() -> None:
    for word, sentences in sentences_of().items():
        for sentence in sentences:
            assert sentence[0].isupper(), sentence
            for part in sentence.split():
                assert unsuitable(part.strip(".,?!’'")) is None, (word, sentence)
