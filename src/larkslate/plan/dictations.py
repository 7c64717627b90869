"""The dictations of a unit, in two forms that test the same points with other words.

Shape of the unit's dictation: a passage with about ten gaps and one or two sentences to write, invented place-names,
two choices with a reason. A checkpoint or short dictation has single words and one sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from larkslate.choose.bank import FORMS, Line, PassageText
from larkslate.choose.places import legal_spellings
from larkslate.plan.items import Maker
from larkslate.plan.model import (
    ChoosePair,
    Dictation,
    Passage,
    PlaceName,
    Role,
    WordItem,
)
from larkslate.plan.schedule import DICTATION, Sitting
from larkslate.plan.texts import Texts
from larkslate.plan.wording import line
from larkslate.sequence.model import Theme


@dataclass(slots=True)
class Dictations:
    """Makes the dictations of one unit."""

    maker: Maker
    texts: Texts
    theme: Theme
    passages: Mapping[str, PassageText | None]
    lines: Mapping[tuple[int, str], Line | None]  # the sentence of a sitting, by lesson and form

    def make(
        self, sitting: Sitting, fresh: Mapping[tuple[str, int], tuple[str, ...]], through: int
    ) -> tuple[Dictation, ...]:
        """Both forms of a sitting."""
        return tuple(
            self._form(sitting, form, fresh.get((form, sitting.lesson), ()), through)
            for form in FORMS
        )

    def _form(self, sitting: Sitting, form: str, words: tuple[str, ...], through: int) -> Dictation:
        items = tuple(self._fresh(w, sitting, through) for w in words)
        items += self._closed(sitting, form)
        sentence = self.lines.get((sitting.lesson, form))
        sentences = (self.texts.item(sentence, through),) if sentence else ()
        if sitting.kind != DICTATION:
            return Dictation(form, items, sentences)
        passage = self.passages.get(form)
        return Dictation(
            form=form,
            words=items,
            sentences=() if passage else sentences,
            passage=self._passage(passage, through) if passage else None,
            places=self._places(form, through),
            pairs=self._pairs(form),
        )

    def _points(self, word: str, through: int) -> tuple[str, ...]:
        sequence = self.maker.stock.sequence
        shown = self.maker.stock.points_shown(word)
        return tuple(sorted((p for p in shown if sequence.index(p) <= through), key=sequence.index))

    def _fresh(self, word: str, sitting: Sitting, through: int) -> WordItem:
        points = self._points(word, through)
        own = [p for p in points if p in sitting.points]
        late = [p for p in points if p in sitting.late]
        if own:
            why = line("why", "fresh", label=self.maker.label(own[0]))
        else:
            unit = self.theme.number - 1
            why = line("why", "fresh-late", label=self.maker.label((late or points)[0]), unit=unit)
        show = (own or late or list(points))[:1]
        return self.maker.word(word, Role.FRESH, points, why, show=show[0] if show else None,
                               said=True)  # fmt: skip

    def _closed(self, sitting: Sitting, form: str) -> tuple[WordItem, ...]:
        """Words of points whose every word is taught: two of each, with sentences of their own."""
        items: list[WordItem] = []
        for point in (*sitting.points, *sitting.late):
            if not self.maker.stock.rule(point).closed:
                continue
            found = [i.word for i in self.maker.stock.items(point)]
            # Both forms and both sittings take the words in turn, so that all come round.
            start = 2 * FORMS.index(form) + (4 if sitting.kind == DICTATION else 0)
            passage = self.passages.get(form) if sitting.kind == DICTATION else None
            if passage and sum(point in self.maker.stock.points_shown(g) for g in passage.gaps) > 1:
                continue
            for k in range(min(2, len(found))):
                word = found[(start + k) % len(found)]
                why = line("why", "fresh-closed", label=self.maker.label(point))
                items.append(
                    self.maker.word(word, Role.FRESH, (point,), why, show=point, said=True)
                )
        return tuple(items)

    def _passage(self, found: PassageText, through: int) -> Passage:
        gaps = tuple(self._gap(word, through) for word in found.gaps)
        write = tuple(self.texts.item(sentence, through) for sentence in found.write)
        return Passage(found.title, found.text, gaps, write, found.phrases)

    def _gap(self, word: str, through: int) -> WordItem:
        points = self._points(word, through)
        own = [p for p in points if p in self.theme.points] or list(points)
        why = line("why", "gap", label=self.maker.label(own[0]) if own else "the words known")
        return self.maker.word(word, Role.FRESH, points, why, show=own[0] if own else None)

    def _places(self, form: str, through: int) -> tuple[PlaceName, ...]:
        bank = self.texts.bank
        found = []
        for place in bank.places:
            if place.unit != self.theme.number or place.form != form:
                continue
            legal = legal_spellings(self.maker.stock.reach, place.phonemes, through)
            if place.name in legal:
                ordered = (place.name, *(s for s in legal if s != place.name))
                found.append(
                    PlaceName(place.name, place.phonemes, place.say, ordered, place.points)
                )
        return tuple(found)

    def _pairs(self, form: str) -> tuple[ChoosePair, ...]:
        return tuple(
            ChoosePair(p.before, p.choices, p.after, p.answer, p.reason, p.points)
            for p in self.texts.bank.pairs
            if p.unit == self.theme.number and p.form == form
        )


def answers(dictations: Iterable[Dictation]) -> tuple[str, ...]:
    """The single words and gaps that children write, of all forms."""
    return tuple(
        item.word for d in dictations for item in (*d.words, *(d.passage.gaps if d.passage else ()))
    )
