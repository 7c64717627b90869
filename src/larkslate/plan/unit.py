"""A unit planned: the lessons of a theme with their words, sentences, dictations and reasons."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from larkslate.choose.bank import FORMS, Bank, Line, PassageText, shipped_bank, words_in
from larkslate.choose.pool import Catalog, Stock, stock
from larkslate.plan.audit import audit
from larkslate.plan.blocks import Blocks
from larkslate.plan.choice import Chooser, Chosen, held_back, words_of
from larkslate.plan.dictations import Dictations
from larkslate.plan.items import Maker
from larkslate.plan.model import Audit, Dictation, Lesson, LessonKind, TextItem, UnitPlan
from larkslate.plan.schedule import (
    Sitting,
    late_points,
    lesson_shape,
    review_order,
    sittings,
    taught_by,
)
from larkslate.plan.texts import Texts
from larkslate.plan.wording import line, listed, shape
from larkslate.sequence.model import LessonSlot, Sequence, Theme
from larkslate.sequence.reach import Reach

REVIEWED = 14  # points in the review queue of a unit
NEAR = 3  # units whose sentences may be used: this one and the two before
FILLERS = 2  # sentences of a mixed lesson


@dataclass(slots=True)
class Planner:
    """Plans one unit; made anew for each."""

    theme: Theme
    here: Stock
    bank: Bank
    seed: int
    standings: Mapping[str, str]
    used: frozenset[str]
    notes: list[str] = field(default_factory=list)
    texts: Texts = field(init=False)
    maker: Maker = field(init=False)

    def __post_init__(self) -> None:
        """Make what picks the texts and builds the items."""
        self.texts = Texts(self.bank, self.here, self.seed)
        self.maker = Maker(self.here, self.theme, self.seed, tuple(sorted(self.bank.names)))

    @property
    def sequence(self) -> Sequence:
        """The sequence planned from."""
        return self.here.sequence

    def plan(self) -> UnitPlan:
        """The unit, audited."""
        theme = self.theme
        passages = {form: self.texts.passage(theme.number, form) for form in FORMS}
        gaps = {form: p.gaps if p else () for form, p in passages.items()}
        kept = self._kept(gaps)
        by_lesson, by_sitting = self._lines(kept, passages)
        review = review_order(self.sequence, theme, self.standings)[:REVIEWED]
        chooser = Chooser(
            stock=self.here,
            theme=theme,
            seed=self.seed,
            review=review,
            used=self.used,
            gaps={form: self._dictated(p) for form, p in passages.items()},
            exposed=words_of(x.text for found in by_lesson.values() for x in found),
            busy=self._busy(theme.number),
            busy_before=self._busy(theme.number - 1),
            reteach=tuple(p for p, s in self.standings.items() if s == "reteach"),
        )
        chosen = chooser.run()
        dictations = Dictations(self.maker, self.texts, theme, passages, by_sitting)
        made = {
            s.lesson: dictations.make(s, chosen.fresh, self._through(s.lesson))
            for s in sittings(self.sequence, theme)
        }
        self._say_what_is_missing(passages)
        lessons = self._lessons(chosen, by_lesson, made)
        return self._audited(lessons)

    def _audited(self, lessons: tuple[Lesson, ...]) -> UnitPlan:
        theme = self.theme
        unit = UnitPlan(
            unit=theme.number,
            title=theme.title,
            goal=theme.goal,
            points=theme.points,
            irregular=theme.irregular,
            seed=self.seed,
            lessons=lessons,
            audit=Audit(0, (), (), {}, {}),
        )
        found = audit(unit, self.here.reach, names=self.bank.names, stock=self.here)
        return replace(unit, audit=replace(found, notes=(*self.notes, *found.notes)))

    def _through(self, lesson: int) -> int:
        return taught_by(self.theme, self.sequence, lesson)

    def _busy(self, unit: int) -> frozenset[str]:
        """Every word of every text written for a unit: none of them is held back for later."""
        lines = (line.text for line in self.bank.lines if line.unit == unit)
        passages = (p.text for p in self.bank.passages if p.unit == unit)
        return words_of((*lines, *passages))

    def _dictated(self, passage: PassageText | None) -> tuple[str, ...]:
        """Gap words, and the words of the sentences written whole that show a point of the unit."""
        if passage is None:
            return ()
        whole = (w for s in passage.write for w in words_in(s.text))
        own = frozenset(self.theme.points)
        return (*passage.gaps, *(w for w in whole if self.here.points_shown(w) & own))

    def _kept(self, gaps: Mapping[str, tuple[str, ...]]) -> frozenset[str]:
        """Words that no lesson may show before they are dictated."""
        held = [
            held_back(self.here, self.theme, p, self._busy(self.theme.number))
            for p in late_points(self.theme)
        ]
        if self.theme.number > 1:
            before = self.sequence.theme(self.theme.number - 1)
            busy = self._busy(before.number)
            held += [held_back(self.here, before, p, busy) for p in late_points(before)]
        closed = {
            w
            for p in self.theme.points
            if self.here.rule(p).closed
            for w in (i.word for i in self.here.items(p))
        }
        fresh = {w for found in (*gaps.values(), *held) for w in found}
        return frozenset(fresh - closed)

    def _lines(
        self, kept: frozenset[str], passages: Mapping[str, PassageText | None]
    ) -> tuple[dict[int, tuple[TextItem, ...]], dict[tuple[int, str], Line | None]]:
        """The sentences of every lesson and of every sitting, each used once."""
        used: set[str] = {s.text for p in passages.values() if p for s in p.write}
        lessons: dict[int, tuple[TextItem, ...]] = {}
        tested: dict[tuple[int, str], Line | None] = {}
        units = tuple(range(self.theme.number, max(0, self.theme.number - NEAR), -1))
        by_lesson = {s.lesson: s for s in sittings(self.sequence, self.theme)}

        def pick(points: Iterable[str], through: int, *, sentence: bool) -> Line | None:
            found = self.texts.pick(
                tuple(points), through, units=units, used=used, without=kept, sentence=sentence
            )
            if found is not None:
                used.add(found.text)
            return found

        for number, slot in enumerate(self.theme.lessons, start=1):
            through = self._through(number)
            sitting = by_lesson.get(number)
            if sitting is not None:
                if sitting.kind != "dictation" or not all(passages.values()):
                    for form in FORMS:
                        tested[number, form] = pick(slot.points, through, sentence=True)
                continue
            found: list[Line] = []
            phrase = pick(slot.points, through, sentence=False)
            if phrase is not None and slot.kind != "respond":
                found.append(phrase)
            for points in self._turns(number, slot):
                sentence = pick(points, through, sentence=True)
                if sentence is not None:
                    found.append(sentence)
            if not any(f.is_sentence for f in found):
                point = listed([self.sequence.point(p).name for p in slot.points[:2]], "or")
                self.notes.append(line("audit", "no-line", lesson=number, point=point))
            lessons[number] = tuple(self.texts.item(f, through) for f in found)
        return lessons, tested

    def _turns(self, number: int, slot: LessonSlot) -> list[tuple[str, ...]]:
        """The points each sentence of a lesson is for: the new one, or those of a mixed lesson in turn."""
        if slot.kind != "mix":
            return [slot.points]
        start = number % len(slot.points)
        turned = slot.points[start:] + slot.points[:start]
        return [(p,) for p in turned[:FILLERS]]

    def _say_what_is_missing(self, passages: Mapping[str, PassageText | None]) -> None:
        for form, passage in passages.items():
            if passage is None:
                self.notes.append(line("audit", "no-passage", form=form))
        for sitting in sittings(self.sequence, self.theme):
            if sitting.kind == "short":
                self.notes.append(line("audit", "no-checkpoint", lesson=sitting.lesson))

    def _lessons(
        self,
        chosen: Chosen,
        texts: Mapping[int, tuple[TextItem, ...]],
        dictations: Mapping[int, tuple[Dictation, ...]],
    ) -> tuple[Lesson, ...]:
        blocks = Blocks(self.theme, self.here, self.maker, chosen, texts, dictations, self.seed)
        by_lesson = {s.lesson: s for s in sittings(self.sequence, self.theme)}
        lessons = []
        for number, slot in enumerate(self.theme.lessons, start=1):
            kind = lesson_shape(self.theme, number, slot)
            made = tuple(blocks.make(number, slot, part) for part in shape(kind))
            new = self.sequence.point(slot.points[0]) if slot.kind == "new" else None
            lessons.append(
                Lesson(
                    id=f"{self.theme.number}.{number}",
                    unit=self.theme.number,
                    number=number,
                    title=self._title(slot, by_lesson.get(number)),
                    kind=LessonKind(slot.kind),
                    points=slot.points,
                    rule=new.rule if new else None,
                    exception=new.exception if new else None,
                    blocks=made,
                )
            )
        self.notes += blocks.notes
        return tuple(lessons)

    def _title(self, slot: LessonSlot, sitting: Sitting | None) -> str:
        if slot.kind == "new":
            return line("lesson", "new", name=self.sequence.point(slot.points[0]).name)
        if slot.kind == "mix":
            columns = listed([self.here.rule(p).column for p in slot.points])
            key = "mix" if len(slot.points) > 1 else "mix-one"
            if len(slot.points) > 2:
                key, columns = "mix-all", self.theme.title
            return line("lesson", key, columns=columns)
        return line("lesson", sitting.kind if sitting else slot.kind)


def plan_unit(
    unit: int,
    *,
    sequence: Sequence,
    reach: Reach,
    lexicon: Catalog,
    bank: Bank | None = None,
    seed: int = 0,
    standings: Mapping[str, str] | None = None,
    used: Iterable[str] = (),
) -> UnitPlan:
    """The plan of a unit: the same unit, seed, standings and used words give the same plan.

    ``standings`` maps a point to what the class has shown on it (reteach, due, more, secure) and moves review;
    ``used`` are words of earlier units that are not to come again. Raises Missing for a unit that is not there.
    """
    theme = sequence.theme(unit)
    planner = Planner(
        theme=theme,
        here=stock(reach, lexicon),
        bank=bank if bank is not None else shipped_bank(),
        seed=seed,
        standings=dict(standings or {}),
        used=frozenset(used),
    )
    return planner.plan()
