"""The audit of a plan, done afresh from the finished lessons: nothing is taken from the choice.

Every word that children are asked to write or to read is held against what has been taught by then. A near-miss is
shown and explained, not asked. The irregular words of a unit count as taught from the lesson that shows them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from larkslate.choose.bank import words_in
from larkslate.choose.pool import Stock
from larkslate.plan.model import (
    Audit,
    BlockKind,
    Dictation,
    Lesson,
    LetterItem,
    Rejection,
    Role,
    SortItem,
    SoundItem,
    TextItem,
    UnitPlan,
    WordItem,
)
from larkslate.plan.schedule import CHANCES, PRACTICE, SITTINGS, late_points, sittings, taught_by
from larkslate.plan.wording import line
from larkslate.sequence.model import Sequence, Theme
from larkslate.sequence.reach import Reach
from larkslate.words.suitable import unsuitable

PRACTICE_ROLES = (Role.MODEL, Role.TOGETHER, Role.ALONE)
PRACTICE_BLOCKS = (BlockKind.NEW_POINT, BlockKind.TOGETHER, BlockKind.ALONE)


@dataclass(frozen=True, slots=True)
class Use:
    """A text that children read or write: where, whether it is a fresh dictated word, its form."""

    lesson: Lesson
    block: BlockKind
    text: str
    fresh: bool = False
    form: str = ""
    role: Role | None = None
    single: bool = True  # one word, not a sentence
    again: bool = False  # practiced before, here once more on purpose


def uses(lesson: Lesson) -> Iterator[Use]:
    """Every word and text of a lesson that is asked, in order; near-misses and place-names are not."""
    for block in lesson.blocks:
        for item in block.items:
            if isinstance(item, WordItem):
                if item.role is not Role.NEAR_MISS:
                    again = item.why == line("why", "again")
                    yield Use(lesson, block.kind, item.word, role=item.role, again=again)
            elif isinstance(item, TextItem):
                yield Use(lesson, block.kind, item.text, single=False)
            elif isinstance(item, SortItem | LetterItem):
                for word in item.words:
                    yield Use(lesson, block.kind, word)
            elif isinstance(item, SoundItem):
                for word in item.examples:
                    yield Use(lesson, block.kind, word)
            elif isinstance(item, Dictation):
                yield from _dictated(lesson, block.kind, item)


def _dictated(lesson: Lesson, block: BlockKind, item: Dictation) -> Iterator[Use]:
    for word in item.words:
        yield Use(lesson, block, word.word, True, item.form, word.role)
    for sentence in item.sentences:
        yield Use(lesson, block, sentence.text, False, item.form, None, False)
    if item.passage is not None:
        yield Use(lesson, block, item.passage.text, False, item.form, None, False)
        for gap in item.passage.gaps:
            yield Use(lesson, block, gap.word, True, item.form, gap.role)
    for pair in item.pairs:
        text = " ".join(t for t in (pair.before, pair.answer, pair.after) if t)
        yield Use(lesson, block, text.replace(" .", "."), False, item.form, None, False)
        for choice in pair.choices:
            yield Use(lesson, block, choice, False, item.form)


def audit(unit: UnitPlan, reach: Reach, *, names: Iterable[str] = (), stock: Stock) -> Audit:
    """What a plan asks, held against what is taught; see the model's Audit."""
    sequence = reach.sequence
    theme = sequence.theme(unit.unit)
    allowed = set(names)
    count = 0
    rejected: list[Rejection] = []
    coverage: Counter[str] = Counter()
    for lesson in unit.lessons:
        allowed |= _irregular_of(lesson)
        through = sequence.points[taught_by(theme, sequence, lesson.number)].id
        for use in uses(lesson):
            report = reach.text(use.text, through, allowed)
            count += len(report.words)
            for bad in report.out_of_reach:
                needs = ", ".join(sorted({n.skill for n in bad.missing})) or "no taught reading"
                rejected.append(Rejection(lesson.id, bad.word, f"needs {needs}"))
            for word in report.words:
                reason = unsuitable(word.word)
                if reason is not None:
                    rejected.append(Rejection(lesson.id, word.word, f"not for children: {reason}"))
            if use.fresh:
                found = reach.word(use.text)
                coverage.update({n.skill for n in found.first.needs} if found.readings else ())
    return Audit(
        uses=count,
        out_of_reach=tuple(rejected),
        repeats=tuple(_repeats(unit, stock)),
        coverage=dict(sorted(coverage.items())),
        chances=chances(unit, stock),
        notes=tuple(_notes(unit, sequence, theme, stock)),
    )


def _irregular_of(lesson: Lesson) -> set[str]:
    return {
        item.word
        for block in lesson.blocks
        for item in block.items
        if isinstance(item, WordItem) and item.role is Role.IRREGULAR
    }


def practiced(unit: UnitPlan) -> dict[str, list[str]]:
    """Words practiced alone or together, each with the lessons, without what repeats on purpose."""
    found: dict[str, list[str]] = {}
    for lesson in unit.lessons:
        for use in uses(lesson):
            asked = use.role in (*PRACTICE_ROLES, Role.REVIEW) and use.block is not BlockKind.HEAR
            if asked and not use.again:
                found.setdefault(use.text, []).append(lesson.id)
    return found


def fresh_words(unit: UnitPlan) -> dict[str, list[tuple[str, str]]]:
    """Words dictated as fresh, each with its lessons and forms."""
    found: dict[str, list[tuple[str, str]]] = {}
    for lesson in unit.lessons:
        for use in uses(lesson):
            if use.fresh:
                found.setdefault(use.text, []).append((lesson.id, use.form))
    return found


def _is_closed(word: str, stock: Stock) -> bool:
    shown = stock.points_shown(word)
    return bool(shown) and any(stock.rule(p).closed for p in shown)


def _repeats(unit: UnitPlan, stock: Stock) -> Iterator[Rejection]:
    """Words that come twice without a reason: practiced twice, or fresh though practiced."""
    before = practiced(unit)
    for word, lessons in before.items():
        if len(lessons) > 1 and not _is_closed(word, stock):
            yield Rejection(lessons[-1], word, f"practiced in {', '.join(lessons)}")
    texts: dict[str, str] = {}
    for lesson in unit.lessons:
        for use in uses(lesson):
            if not use.single and not use.form:
                for word in words_in(use.text):
                    texts.setdefault(word, lesson.id)
    for word, places in fresh_words(unit).items():
        if _is_closed(word, stock):
            continue
        if word in before:
            yield Rejection(places[0][0], word, f"fresh, but practiced in {before[word][0]}")
        elif word in texts:
            yield Rejection(
                places[0][0], word, f"fresh, but written in a sentence of {texts[word]}"
            )


def chances(unit: UnitPlan, stock: Stock) -> dict[str, tuple[int, int, int]]:
    """For each point of the unit: practice words, fresh chances and sittings, of the form with fewer."""
    practice: dict[str, set[str]] = {p: set() for p in unit.points}
    fresh: dict[str, dict[str, set[tuple[str, str]]]] = {
        p: {"A": set(), "B": set()} for p in unit.points
    }
    for lesson in unit.lessons:
        for use in uses(lesson):
            if not use.single:
                continue
            shown = stock.points_shown(use.text)
            for point in unit.points:
                if point not in shown:
                    continue
                if use.fresh:
                    fresh[point][use.form].add((lesson.id, use.text))
                elif use.role in PRACTICE_ROLES and use.block in PRACTICE_BLOCKS:
                    practice[point].add(use.text)
    return {
        point: (
            len(practice[point]),
            min(len(v) for v in fresh[point].values()),
            min(len({at for at, _ in v}) for v in fresh[point].values()),
        )
        for point in unit.points
    }


def _notes(unit: UnitPlan, sequence: Sequence, theme: Theme, stock: Stock) -> Iterator[str]:
    late = late_points(theme)
    last = theme.number == len(sequence.themes)
    for point, (practice, fresh, sat) in chances(unit, stock).items():
        name = sequence.point(point).name
        rule = stock.rule(point)
        if rule.closed:
            yield line("audit", "closed", point=name, count=len(stock.items(point)))
        if point in late:
            key = "no-next" if last else "second-sitting"
            yield line("audit", key, point=name, unit=theme.number + 1)
        if practice < PRACTICE:
            yield line("audit", "short-practice", point=name, have=practice, want=PRACTICE)
        want = CHANCES // SITTINGS if point in late else CHANCES
        if fresh < want:
            yield line("audit", "short-fresh", point=name, have=fresh, want=want)
        if sat < (1 if point in late else SITTINGS):
            yield line("audit", "few-sittings", point=name, have=sat)
    for sitting in sittings(sequence, theme):
        if sitting.late:
            names = [sequence.point(p).name for p in sitting.late]
            yield line("audit", "late-here", lesson=f"{unit.unit}.{sitting.lesson}",
                       points="; ".join(names))  # fmt: skip
    unsettled: dict[str, list[str]] = {}
    for lesson in unit.lessons:
        for block in lesson.blocks:
            for item in _word_items(block.items):
                if (
                    item.role is Role.FRESH
                    and item.sentence is None
                    and _may_be_mistaken(item.word, stock)
                ):
                    unsettled.setdefault(lesson.id, []).append(item.word)
    for lesson_id, words in unsettled.items():
        yield line("audit", "heard", lesson=lesson_id, words=", ".join(sorted(set(words))))


def _word_items(items: Iterable[object]) -> Iterator[WordItem]:
    for item in items:
        if isinstance(item, WordItem):
            yield item
        elif isinstance(item, Dictation):
            yield from item.words


def _may_be_mistaken(word: str, stock: Stock) -> bool:
    found = stock.reach.word(word)
    return bool(found.homophones) or "heteronym" in found.flags
