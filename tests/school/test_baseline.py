"""The opening baseline: words in reach, three chances for each point, two forms that do not share a word."""

from __future__ import annotations

import pytest

from larkslate.errors import Missing
from larkslate.school import baseline
from larkslate.school.ledger import Ledger
from larkslate.school.model import Classroom, ItemKind
from larkslate.school.store import School
from larkslate.sequence.reach import Reach

NAMES = ("Ben", "Meg")
# What a K-2 spelling can show apart from the rest; single consonants count only where nothing harder is shown.
SHOWN = {
    "K2.short",
    "K2.blend",
    "K2.digraph",
    "K2.open",
    "K2.teams",
    "K2.infl",
    "K2.compound",
    "K2.hfw",
}


@pytest.mark.parametrize("form", baseline.FORMS)
def test_a_form_has_25_words_and_two_sentences(form: str) -> None:
    found = baseline.words(form)
    assert sum(i.kind is ItemKind.WORD for i in found) == 25
    assert sum(i.kind is ItemKind.SENTENCE for i in found) == 2
    assert [i.number for i in found] == list(range(1, 28))
    assert all(i.sentence for i in found if i.kind is ItemKind.WORD)
    for item in found:
        if item.sentence:
            assert item.target in item.sentence.lower().replace(".", " ").replace("?", " ").split()


@pytest.mark.parametrize("form", baseline.FORMS)
def test_failure_1_nothing_untaught_is_dictated(form: str, reach: Reach) -> None:
    for item in baseline.words(form):
        for text in (item.target, item.sentence or ""):
            assert reach.text(text, "K2", NAMES).out_of_reach == (), text


@pytest.mark.parametrize("form", baseline.FORMS)
def test_each_point_that_can_be_shown_has_three_chances(form: str, ledger: Ledger) -> None:
    found = baseline.points_of(baseline.words(form), ledger)
    assert set(found) == SHOWN
    assert min(len(words) for words in found.values()) >= 3


def test_the_forms_share_no_word() -> None:
    first, second = ({i.target for i in baseline.words(f)} for f in baseline.FORMS)
    assert not first & second


def test_it_is_given_in_one_or_two_sittings(school: School, room: Classroom) -> None:
    part = baseline.add(school, room.id, part=1)
    whole = baseline.add(school, room.id, form="B")
    assert (part.through, len(part.items)) == ("K2", 14)
    assert len(whole.items) == 27
    with pytest.raises(Missing, match="forms are A and B"):
        baseline.items("C", 1)
