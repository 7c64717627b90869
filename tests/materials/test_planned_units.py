"""The printed pages of planned units: what the plan says is what the paper says."""

from __future__ import annotations

import re

import pytest

from larkslate import datafile
from larkslate.errors import Missing
from larkslate.materials.documents import KINDS, make
from larkslate.materials.paper import dictations
from larkslate.materials.runs import typographic
from larkslate.plan.model import BlockKind, LessonKind, TextItem, UnitPlan, WordItem
from larkslate.plan.unit import plan_unit
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon
from tests.materials.pdfs import Pdf

UNITS = (1, 6, 13)  # spellings, contractions, owners and plurals


@pytest.fixture(scope="module")
def plans(reach: Reach, lexicon: Lexicon) -> dict[int, UnitPlan]:
    return {
        unit: plan_unit(unit, sequence=reach.sequence, reach=reach, lexicon=lexicon)
        for unit in UNITS
    }


@pytest.mark.parametrize("unit", UNITS)
def test_every_document_of_every_lesson_is_made(plans: dict[int, UnitPlan], unit: int) -> None:
    plan = plans[unit]
    for kind, own in KINDS.items():
        pdf = Pdf(make(kind, plan))
        assert pdf.tagged
        assert pdf.title.endswith(typographic(plan.title))
        for lesson in plan.lessons:
            try:
                pages = len(Pdf(make(kind, plan, lesson.number)))
            except Missing:
                assert kind not in {"teacher", "script"} or lesson.kind is LessonKind.RESPOND
                continue
            if own.fits is not None and kind in {"student", "reference"}:
                assert pages <= own.fits, (kind, lesson.id)
            if kind == "teacher":
                assert pages <= 2, lesson.id
            if kind == "paper":
                assert pages <= 2 * len(dictations(lesson)), lesson.id


@pytest.mark.parametrize("unit", UNITS)
def test_the_key_has_every_word_that_is_written(plans: dict[int, UnitPlan], unit: int) -> None:
    plan = plans[unit]
    for lesson in plan.lessons:
        text = Pdf(make("key", plan, lesson.number)).text().replace("|", "")
        for block in lesson.blocks:
            if block.kind in {BlockKind.TOGETHER, BlockKind.ALONE}:
                for item in block.items:
                    if isinstance(item, WordItem):
                        assert typographic(item.word) in text, (lesson.id, item.word)
                    if isinstance(item, TextItem):
                        assert typographic(item.text) in text, (lesson.id, item.text)
        for dictation in dictations(lesson):
            for word in dictation.words:
                assert typographic(word.word) in text, (lesson.id, word.word)


@pytest.mark.parametrize("unit", UNITS)
def test_no_dictated_word_is_on_the_paper_the_child_gets(
    plans: dict[int, UnitPlan], unit: int
) -> None:
    instructions = set(re.findall(r"\w+", datafile.text("materials", "wording.toml").lower()))
    for lesson in plans[unit].lessons:
        for dictation in dictations(lesson):
            text = Pdf(make("paper", plans[unit], lesson.number, form=dictation.form)).text()
            shown = {word.strip(".,:;!?").lower() for word in text.split()}
            for word in dictation.words:
                if (
                    word.word not in instructions
                ):  # "word" may be dictated and be in "Write the word."
                    assert typographic(word.word).lower() not in shown


@pytest.mark.parametrize("unit", UNITS)
def test_rule_and_exception_stand_together(plans: dict[int, UnitPlan], unit: int) -> None:
    for lesson in plans[unit].lessons:
        if lesson.kind is LessonKind.NEW and lesson.rule and lesson.exception:
            for kind in ("student", "reference", "teacher"):
                text = Pdf(make(kind, plans[unit], lesson.number)).text()
                assert typographic(lesson.rule) in text, (kind, lesson.id)
                assert typographic(lesson.exception) in text, (kind, lesson.id)
