"""Every unit planned with three seeds: reach held afresh, chances, minutes, disjoint words, one seed one plan."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from larkslate.choose.bank import shipped_bank
from larkslate.choose.pool import stock
from larkslate.errors import Missing
from larkslate.plan.audit import fresh_words, practiced
from larkslate.plan.model import (
    Block,
    BlockKind,
    Dictation,
    Lesson,
    LessonKind,
    LetterItem,
    Role,
    SortItem,
    SoundItem,
    TextItem,
    UnitPlan,
    WordItem,
)
from larkslate.plan.schedule import late_points
from larkslate.plan.unit import plan_unit
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon
from larkslate.words.suitable import unsuitable

UNITS = [t.number for t in shipped().themes]
SEEDS = (0, 1, 2)
CASES = [(u, s) for u in UNITS for s in SEEDS]


@pytest.fixture(scope="module")
def plans(lexicon: Lexicon, reach: Reach) -> dict[tuple[int, int], UnitPlan]:
    return {
        (u, s): plan_unit(u, sequence=shipped(), reach=reach, lexicon=lexicon, seed=s)
        for u, s in CASES
    }


def blocks(plan: UnitPlan) -> Iterator[tuple[Lesson, Block]]:
    for lesson in plan.lessons:
        for block in lesson.blocks:
            yield lesson, block


def taught_point(plan: UnitPlan, lesson: Lesson) -> str:
    """The last point taught by the end of a lesson, worked out from the plan alone."""
    order = [p.id for p in shipped().points]
    done = [x.points[0] for x in plan.lessons[: lesson.number] if x.kind is LessonKind.NEW]
    before = order[order.index(plan.points[0]) - 1]
    return max([before, *done], key=order.index)


def asked(block: Block) -> Iterator[str]:
    """What children write or read in a block, collected without the audit."""
    for item in block.items:
        match item:
            case WordItem() if item.role is not Role.NEAR_MISS:
                yield item.word
            case TextItem():
                yield item.text
            case SortItem() | LetterItem():
                yield from item.words
            case SoundItem():
                yield from item.examples
            case Dictation():
                yield from (w.word for w in item.words)
                yield from (t.text for t in item.sentences)
                if item.passage:
                    yield item.passage.text
                for pair in item.pairs:
                    yield from pair.choices
                    yield f"{pair.before} {pair.answer} {pair.after}"
            case _:
                pass


@pytest.mark.parametrize(("unit", "seed"), CASES)
def test_failure_1_no_untaught_feature_is_asked_for(
    unit: int, seed: int, plans: dict[tuple[int, int], UnitPlan], reach: Reach
) -> None:
    plan = plans[unit, seed]
    assert plan.audit.out_of_reach == ()
    known = set(shipped_bank().names)
    for _, block in blocks(plan):
        known |= {
            i.word for i in block.items if isinstance(i, WordItem) and i.role is Role.IRREGULAR
        }
    for lesson, block in blocks(plan):
        for text in asked(block):
            report = reach.text(text, taught_point(plan, lesson), known)
            assert [w.word for w in report.out_of_reach] == [], (lesson.id, block.kind, text)


@pytest.mark.parametrize(("unit", "seed"), CASES)
def test_failure_11_a_rule_is_never_shown_without_its_exception(
    unit: int, seed: int, plans: dict[tuple[int, int], UnitPlan]
) -> None:
    for lesson in plans[unit, seed].lessons:
        if lesson.kind is not LessonKind.NEW:
            continue
        point = shipped().point(lesson.points[0])
        new = next(b for b in lesson.blocks if b.kind is BlockKind.NEW_POINT)
        assert lesson.rule == point.rule
        assert point.rule in new.say
        if point.exception:
            assert lesson.exception == point.exception
            assert any(point.exception in said for said in new.say)
        near = [i for i in new.items if isinstance(i, WordItem) and i.role is Role.NEAR_MISS]
        assert all(i.note for i in near)


@pytest.mark.parametrize(("unit", "seed"), CASES)
def test_chances_are_met_or_the_audit_says_so(
    unit: int, seed: int, plans: dict[tuple[int, int], UnitPlan]
) -> None:
    plan = plans[unit, seed]
    late = late_points(shipped().theme(unit))
    for point, (practice, fresh, sittings) in plan.audit.chances.items():
        name = shipped().point(point).name
        said = [n for n in plan.audit.notes if name in n]
        want = (3, 2, 1) if point in late else (3, 4, 2)
        if (practice, fresh, sittings) < want or point in late:
            assert said, (point, practice, fresh, sittings)
        assert fresh >= want[1] or any(str(fresh) in n for n in said)
        assert practice >= want[0] or any(str(practice) in n for n in said)
        assert sittings >= want[2]


@pytest.mark.parametrize(("unit", "seed"), CASES)
def test_a_lesson_has_thirty_minutes_and_items_worth_them(
    unit: int, seed: int, plans: dict[tuple[int, int], UnitPlan]
) -> None:
    for lesson in plans[unit, seed].lessons:
        assert lesson.minutes == 30
        assert lesson.blocks[-1].kind is BlockKind.CLOSE
        for block in lesson.blocks:
            assert block.say or block.do
            if block.kind not in (BlockKind.CHECK, BlockKind.CLOSE):
                assert block.items, (lesson.id, block.kind)
        if lesson.kind is LessonKind.NEW:
            roles = [i.role for b in lesson.blocks for i in b.items if isinstance(i, WordItem)]
            assert roles.count(Role.MODEL) >= 5  # three shown, heard before
            assert roles.count(Role.TOGETHER) + roles.count(Role.ALONE) >= 4 or unit == 13


@pytest.mark.parametrize(("unit", "seed"), CASES)
def test_practice_and_fresh_words_are_disjoint(
    unit: int, seed: int, plans: dict[tuple[int, int], UnitPlan], lexicon: Lexicon, reach: Reach
) -> None:
    plan = plans[unit, seed]
    here = stock(reach, lexicon)
    open_words = {
        w for w in fresh_words(plan) if not any(here.rule(p).closed for p in here.points_shown(w))
    }
    assert open_words.isdisjoint(practiced(plan))
    assert plan.audit.repeats == ()


@pytest.mark.parametrize(("unit", "seed"), CASES)
def test_no_word_is_unsuitable(
    unit: int, seed: int, plans: dict[tuple[int, int], UnitPlan]
) -> None:
    for lesson, block in blocks(plans[unit, seed]):
        for text in asked(block):
            for word in text.replace(".", " ").replace(",", " ").split():
                assert unsuitable(word.strip("?!")) is None, (lesson.id, word)


@pytest.mark.parametrize("unit", UNITS)
def test_both_forms_test_the_same_points(unit: int, plans: dict[tuple[int, int], UnitPlan]) -> None:
    order = {p.id for p in shipped().points}
    for _, block in blocks(plans[unit, 0]):
        for item in block.items:
            if isinstance(item, Dictation) and item.passage:
                assert [d.form for d in block.items if isinstance(d, Dictation)] == ["A", "B"]
                assert len(item.places) == 3
                assert len(item.pairs) == 2
                assert all(p.name == p.legal[0] for p in item.places)
                assert 8 <= len(item.passage.gaps) <= 12
                gapped = {p for g in item.passage.gaps for p in g.points}
                assert set(plans[unit, 0].points) <= gapped <= order


def test_one_seed_makes_one_plan_and_another_seed_another(
    lexicon: Lexicon, plans: dict[tuple[int, int], UnitPlan]
) -> None:
    fresh = Reach(shipped(), lexicon)  # nothing remembered from the plans above
    again = plan_unit(3, sequence=shipped(), reach=fresh, lexicon=lexicon, seed=1)
    assert again == plans[3, 1]
    assert plans[3, 0].lessons != plans[3, 1].lessons


def test_standings_bring_a_point_back(lexicon: Lexicon, reach: Reach) -> None:
    def reviewed(standings: dict[str, str]) -> set[str]:
        plan = plan_unit(9, sequence=shipped(), reach=reach, lexicon=lexicon, standings=standings)
        return {
            p
            for _, block in blocks(plan)
            if block.kind is BlockKind.ALONE
            for i in block.items
            if isinstance(i, WordItem) and i.role is Role.REVIEW
            for p in i.points
        }

    assert "G3.01c" in reviewed({"G3.01c": "reteach"})
    earlier = [p for t in shipped().themes[1:8] for p in t.points]
    assert "G3.01c" not in reviewed(dict.fromkeys(earlier, "due"))


def test_words_used_lately_do_not_come_again(lexicon: Lexicon, reach: Reach) -> None:
    first = plan_unit(4, sequence=shipped(), reach=reach, lexicon=lexicon)
    used = set(practiced(first))
    again = plan_unit(4, sequence=shipped(), reach=reach, lexicon=lexicon, used=used)
    alone = {
        i.word
        for _, b in blocks(again)
        if b.kind in (BlockKind.TOGETHER, BlockKind.ALONE)
        for i in b.items
        if isinstance(i, WordItem)
    }
    assert alone.isdisjoint(used)


def test_what_is_kept_for_the_next_unit_is_not_shown_before(
    plans: dict[tuple[int, int], UnitPlan],
) -> None:
    for unit in UNITS[1:]:
        late = set(late_points(shipped().theme(unit - 1)))
        first = next(
            i for _, b in blocks(plans[unit, 0]) for i in b.items if isinstance(i, Dictation)
        )
        kept = {w.word for w in first.words if late & set(w.points) and "second sitting" in w.why}
        for seed in SEEDS:
            assert kept.isdisjoint(practiced(plans[unit - 1, seed]))
            assert kept.isdisjoint(fresh_words(plans[unit - 1, seed]))


def test_a_unit_that_is_not_there(lexicon: Lexicon, reach: Reach) -> None:
    with pytest.raises(Missing, match="units 1 to"):
        plan_unit(99, sequence=shipped(), reach=reach, lexicon=lexicon)
