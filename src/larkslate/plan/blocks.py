"""The blocks of a lesson: what is said and done in each, and its items."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from larkslate.choose.pool import Stock
from larkslate.choose.solve import noise
from larkslate.plan.choice import Chosen
from larkslate.plan.items import Maker
from larkslate.plan.model import (
    Block,
    BlockKind,
    Dictation,
    Item,
    Role,
    SortItem,
    TextItem,
    WordItem,
)
from larkslate.plan.schedule import DICTATION, lesson_shape, taught_by
from larkslate.plan.wording import Part, line, lines, listed
from larkslate.sequence.model import LessonSlot, Theme

WARM_UP = 5
NEAR_MISSES = 2
IRREGULAR_LESSONS, IRREGULAR_EACH = 2, 2
SORT_COLUMNS, SORT_WORDS = 4, 12
LEAST_TOGETHER, LEAST_ALONE = 3, 2
CLOSED_MODELS, CLOSED_TOGETHER, CLOSED_ALONE = 3, 4, 3


_Texts = tuple[str, ...] | list[str]
_Made = tuple[_Texts, _Texts, Sequence[Item]]


@dataclass(slots=True)
class Blocks:
    """Makes the blocks of one unit's lessons, in order."""

    theme: Theme
    stock: Stock
    maker: Maker
    chosen: Chosen
    texts: Mapping[int, tuple[TextItem, ...]]
    dictations: Mapping[int, tuple[Dictation, ...]]
    seed: int
    notes: list[str] = field(default_factory=list)
    _repeated: dict[int, set[str]] = field(default_factory=dict)
    _written: int = 0  # handwriting blocks made so far

    def make(self, number: int, slot: LessonSlot, part: Part) -> Block:
        """One block of a lesson."""
        maker = {
            BlockKind.RECALL: self._recall,
            BlockKind.HEAR: self._hear,
            BlockKind.NEW_POINT: self._new_point,
            BlockKind.TOGETHER: self._together,
            BlockKind.ALONE: self._alone,
            BlockKind.SORT: self._sort,
            BlockKind.DICTATION: self._dictation,
            BlockKind.CHECK: self._check,
            BlockKind.GROUPS: self._groups,
            BlockKind.HANDWRITING: self._handwriting,
            BlockKind.CLOSE: self._close,
        }[part.kind]
        say, do, items = maker(number, slot)
        title = line("title", part.kind.value)
        return Block(part.kind, part.minutes, title, tuple(say), tuple(do), tuple(items))

    # What each block is made of: lines to say, lines to do, items.

    def _through(self, number: int) -> int:
        return taught_by(self.theme, self.stock.sequence, number)

    def _recall(self, number: int, slot: LessonSlot) -> _Made:
        # The new point of today is not asked yet; what was taught yesterday is.
        before = self._through(number - 1) if number > 1 else self._before_unit()
        known = [p for p in slot.points if self.stock.sequence.index(p) <= before]
        earlier = [p for p in self.theme.points if self.stock.sequence.index(p) <= before]
        items = self.maker.sounds((*known, *reversed(earlier)), before, WARM_UP, number)
        return lines("recall", "say"), lines("recall", "do"), items

    def _before_unit(self) -> int:
        return self.stock.sequence.index(self.theme.points[0]) - 1

    def _hear(self, number: int, slot: LessonSlot) -> _Made:
        point = slot.points[0]
        form = self.maker.form(point)
        items = [self.maker.heard(w, point) for w in self._models(number, point)]
        return lines("hear", f"{form}-say"), lines("hear", f"{form}-do"), items

    def _models(self, number: int, point: str) -> tuple[str, ...]:
        if self.stock.rule(point).closed:
            return self._closed_words(point)[:CLOSED_MODELS]
        return self.chosen.words(number, "model")

    def _closed_words(self, point: str) -> tuple[str, ...]:
        return tuple(i.word for i in self.stock.items(point))

    def _new_point(self, number: int, slot: LessonSlot) -> _Made:
        point = self.stock.sequence.point(slot.points[0])
        form = self.maker.form(point.id)
        models = self._models(number, point.id)
        why = line("why", "model", label=self.maker.label(point.id))
        items: list[Item] = [
            self.maker.word(w, Role.MODEL, (point.id,), why, show=point.id) for w in models
        ]
        near = self._near_misses(point.id)
        items += near
        do = [line("new-point", "do-models", models=listed(models))]
        if near:
            key = "do-near" if len(near) == 1 else "do-near-more"
            do.append(line("new-point", key, near=listed([n.word for n in near])))
        key = "say-look" if form in ("sounds", "syllables") else f"say-look-{form}"
        say = [line("new-point", key), point.rule]
        if point.exception:
            say.append(line("new-point", "say-exception", exception=point.exception))
        irregular = self._irregular(number)
        if irregular:
            items += irregular
            words = listed([i.word for i in irregular])
            do.append(line("new-point", "do-irregular", words=words))
        return say, do, items

    def _near_misses(self, point: str) -> list[WordItem]:
        """Two near-misses with their reasons, mixed by the seed."""
        found = self.stock.sequence.point(point).near_misses
        ranked = sorted(found, key=lambda n: (noise(self.seed, f"near/{point}/{n.word}"), n.word))
        why = line("why", "near-miss")
        return [
            WordItem(n.word, Role.NEAR_MISS, (point,), why, note=n.why)
            for n in ranked[:NEAR_MISSES]
        ]

    def _irregular(self, number: int) -> list[WordItem]:
        """The irregular words of the unit: two in its first new lesson, two in the second."""
        new = [n for n, s in enumerate(self.theme.lessons, start=1) if s.kind == "new"]
        place = new.index(number) if number in new else len(new)
        if place >= IRREGULAR_LESSONS:
            return []
        words = self.theme.irregular[place * IRREGULAR_EACH : (place + 1) * IRREGULAR_EACH]
        return [self.maker.irregular(w) for w in words]

    def _together(self, number: int, slot: LessonSlot) -> _Made:
        items: list[WordItem] = []
        if slot.kind == "new" and self.stock.rule(slot.points[0]).closed:
            words = self._closed_words(slot.points[0])
            items = self._cycle(
                slot.points[0], words, CLOSED_MODELS, CLOSED_TOGETHER, Role.TOGETHER
            )
        else:
            items = [
                self._practiced(w, slot, Role.TOGETHER, "together")
                for w in self.chosen.words(number, "together")
            ]
        items += self._closed_again(slot, Role.TOGETHER)
        items += self._filled(number, slot, Role.TOGETHER, LEAST_TOGETHER - len(items))
        do = list(lines("together", "do"))
        contrast = self.chosen.words(number, "contrast")
        for word in contrast:
            points = self._points(word, number)
            show = next((p for p in points if p in self.theme.points), None)
            items.append(
                self.maker.word(word, Role.REVIEW, points, line("why", "contrast"),
                                show=show, said=True)
            )  # fmt: skip
        if contrast:
            do.append(line("together", "do-contrast", words=listed(contrast)))
        mixed = sorted(items, key=lambda i: (noise(self.seed + number, i.word), i.word))
        return lines("together", "say"), do, mixed

    def _filled(self, number: int, slot: LessonSlot, role: Role, count: int) -> list[WordItem]:
        """Words practiced before in the unit, once more on purpose, where a point has too few words."""
        if count <= 0:
            return []
        now = {w for p in self.chosen.places if p.lesson == number and p.use in ("together", "alone")
               for w in self.chosen.practice[p.id]}  # fmt: skip
        now |= self._repeated.setdefault(number, set())
        found: list[str] = []
        for point in slot.points:
            if not self.stock.rule(point).closed:
                found += [w for w in self._seen(number, point, set()) if w not in now]
        taken = list(dict.fromkeys(found))[:count]
        self._repeated[number] |= set(taken)
        why = line("why", "again")
        return [
            self.maker.word(w, role, self._points(w, number), why,
                            show=next(p for p in reversed(slot.points)
                                      if p in self.stock.points_shown(w)), said=True)
            for w in taken
        ]  # fmt: skip

    def _closed_again(self, slot: LessonSlot, role: Role) -> list[WordItem]:
        """In a mixed lesson the closed points among its points come with two of their words."""
        if slot.kind == "new":
            return []
        found: list[WordItem] = []
        for point in slot.points:
            if self.stock.rule(point).closed:
                start = int(noise(self.seed, f"{point}/{role}") * 4)
                found += self._cycle(point, self._closed_words(point), start, 2, role)
        return found

    def _cycle(
        self, point: str, words: tuple[str, ...], start: int, count: int, role: Role
    ) -> list[WordItem]:
        why = line("why", "again") if start + count > len(words) else line(
            "why", "together", label=self.maker.label(point)
        )  # fmt: skip
        taken = [words[(start + k) % len(words)] for k in range(min(count, len(words)))]
        return [self.maker.word(w, role, (point,), why, show=point, said=True) for w in taken]

    def _points(self, word: str, number: int) -> tuple[str, ...]:
        """The points taught by then that a word shows."""
        sequence = self.stock.sequence
        through = self._through(number)
        found = (p for p in self.stock.points_shown(word) if sequence.index(p) <= through)
        return tuple(sorted(found, key=sequence.index))

    def _practiced(self, word: str, slot: LessonSlot, role: Role, why: str) -> WordItem:
        points = self._points(word, self._number_of(slot))
        own = next((p for p in reversed(slot.points) if p in points), slot.points[0])
        label = self.maker.label(own)
        return self.maker.word(word, role, points, line("why", why, label=label), show=own,
                               said=True)  # fmt: skip

    def _number_of(self, slot: LessonSlot) -> int:
        return next(n for n, s in enumerate(self.theme.lessons, start=1) if s is slot)

    def _alone(self, number: int, slot: LessonSlot) -> _Made:
        items: list[Item] = []
        if slot.kind == "new" and self.stock.rule(slot.points[0]).closed:
            words = self._closed_words(slot.points[0])
            start = CLOSED_MODELS + CLOSED_TOGETHER
            items += self._cycle(slot.points[0], words, start, CLOSED_ALONE, Role.ALONE)
        else:
            items += [
                self._practiced(w, slot, Role.ALONE, "alone")
                for w in self.chosen.words(number, "alone")
            ]
        items += self._closed_again(slot, Role.ALONE)
        items += self._filled(number, slot, Role.ALONE, LEAST_ALONE - len(items))
        items += self._review(number)
        items += self.texts.get(number, ())
        do = [*lines("alone", "do"), line("alone", "do-early")]
        return lines("alone", "say"), do, items

    def _review(self, number: int) -> list[WordItem]:
        found: list[WordItem] = []
        for place in self.chosen.places:
            if place.lesson != number or not place.use.startswith("review"):
                continue
            for word in self.chosen.practice[place.id]:
                point = place.points[0]
                theme = self.stock.sequence.theme_of(point)
                label = self.maker.label(point)
                why = (
                    line("why", "review", label=label, unit=theme.number)
                    if theme
                    else line("why", "review-k2", label=label)
                )
                points = self._points(word, number)
                found.append(self.maker.word(word, Role.REVIEW, points, why, show=point, said=True))
        return found

    def _sort(self, number: int, slot: LessonSlot) -> _Made:
        columns = slot.points
        if len(columns) > SORT_COLUMNS:  # the newest are the ones to be told apart
            columns = columns[-SORT_COLUMNS:]
        words: list[tuple[str, int]] = []
        if len(columns) > 1:
            heads = tuple(self.stock.rule(p).column for p in columns)
            for place, point in enumerate(columns):
                others = set(columns) - {point}
                seen = self._seen(number, point, others)
                words += [(w, place) for w in seen[: max(3, SORT_WORDS // len(columns))]]
        else:
            heads, words = self._sort_against(number, columns[0])
        words.sort(key=lambda w: (noise(self.seed + number, f"sort/{w[0]}"), w[0]))
        item = SortItem(heads, tuple(w for w, _ in words), tuple(c for _, c in words))
        return lines("sort", "say"), lines("sort", "do"), [item]

    def _seen(self, number: int, point: str, others: set[str]) -> list[str]:
        """Words of a point practiced up to this lesson that show none of the others."""
        found: dict[str, None] = {}
        if self.stock.rule(point).closed:
            return list(self._closed_words(point))
        for use in ("alone", "together", "model"):
            for place in self.chosen.places:
                if place.lesson <= number and place.use == use:
                    for word in self.chosen.practice[place.id]:
                        shown = self.stock.points_shown(word)
                        if point in shown and not shown & others:
                            found[word] = None
        return sorted(found, key=lambda w: (noise(self.seed + number, w), w))

    def _sort_against(
        self, number: int, point: str
    ) -> tuple[tuple[str, ...], list[tuple[str, int]]]:
        """One point against its near-misses, or its words by their first part."""
        rule = self.stock.rule(point)
        through = self._through(number)
        near = [n.word for n in self.stock.sequence.point(point).near_misses
                if self.stock.reaches(n.word, through)]  # fmt: skip
        own = self._seen(number, point, set())
        heads = (rule.column, line("sort", "other"))
        return heads, [(w, 0) for w in own[:8]] + [(w, 1) for w in near]

    def _dictation(self, number: int, slot: LessonSlot) -> _Made:
        kind = "unit" if slot.kind == DICTATION else "checkpoint"
        items = self.dictations[number]
        return lines("dictation", f"{kind}-say"), lines("dictation", f"{kind}-do"), items

    def _check(self, _number: int, slot: LessonSlot) -> _Made:
        key = "respond-do" if slot.kind == "respond" else "do"
        return lines("check", "say"), lines("check", key), ()

    def _groups(self, number: int, slot: LessonSlot) -> _Made:
        items: list[Item] = []
        labels: list[str] = []
        for place in self.chosen.places:
            if place.lesson != number or not place.use.startswith("reteach"):
                continue
            label = self.maker.label(place.points[0])
            labels.append(label)
            why = line("why", "reteach", label=label)
            items += [
                self.maker.word(w, Role.REVIEW, self._points(w, number), why,
                                show=place.points[0], said=True)
                for w in self.chosen.practice[place.id]
            ]  # fmt: skip
        for point in slot.points:
            if self.stock.rule(point).closed:
                labels.append(self.maker.label(point))
                items += self._cycle(point, self._closed_words(point), 0, 3, Role.REVIEW)
        longer = self.chosen.words(number, "extend")
        do = list(lines("groups", "do", label=listed(labels, "or")))
        if longer:
            do.append(line("groups", "do-extend", words=listed(longer)))
            for word in longer:
                points = self._points(word, number)
                own = next((p for p in slot.points if p in points), slot.points[0])
                why = line("why", "extend", label=self.maker.label(own))
                items.append(self.maker.word(word, Role.ALONE, points, why, show=own))
        items += self.texts.get(number, ())
        return lines("groups", "say"), do, items

    def _handwriting(self, number: int, _slot: LessonSlot) -> _Made:
        item = self.maker.letters(self._written, self._through(number))
        self._written += 1
        do = "do" if item.letters else "do-words"
        return lines("handwriting", "say"), lines("handwriting", do), [item]

    def _close(self, number: int, slot: LessonSlot) -> _Made:
        kind = lesson_shape(self.theme, number, slot)
        if kind != "new":
            return [line("close", kind)], (), ()
        form = self.maker.form(slot.points[0])
        key = "new" if form in ("sounds", "syllables") else f"new-{form}"
        return [line("close", key, label=self.maker.label(slot.points[0]))], (), ()
