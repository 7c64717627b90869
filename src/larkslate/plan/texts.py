"""Which sentences and passages of the bank a unit uses, and where each is in reach."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from larkslate.choose.bank import Bank, Line, PassageText, words_in
from larkslate.choose.pool import Stock
from larkslate.choose.solve import noise
from larkslate.plan.model import TextItem
from larkslate.sequence.reach import MODAL_HAVE

IDEAL = (
    1,
    3,
)  # words of the newest point in a sentence: at least, at most (ASSESSMENT of the trade: 1 to 3)


@dataclass(slots=True)
class Texts:
    """The bank held against what is taught."""

    bank: Bank
    stock: Stock
    seed: int

    def points_of(self, text: str) -> frozenset[str]:
        """The taught points that some word of a text shows."""
        return frozenset(p for shown in self.stock.shown_in(text) for p in shown)

    def shows(self, text: str, point: str) -> int:
        """How many words of a text show a point."""
        return sum(self.stock.shows(w, point) for w in words_in(text))

    def in_reach(self, text: str, through: int) -> bool:
        """True if every word of a text is in reach after a place in the sequence."""
        names = self.bank.names
        if not all(
            w in names or w.removesuffix("'s") in names or self.stock.reaches(w, through)
            for w in words_in(text)
        ):
            return False
        if MODAL_HAVE.search(text) is None:
            return True  # have after could is the one thing that single words do not tell
        reach = self.stock.reach
        point = reach.sequence.points[through].id
        return not reach.text(text, point, self.bank.names).out_of_reach

    def pick(
        self,
        points: Sequence[str],
        through: int,
        *,
        units: Iterable[int],
        used: Iterable[str] = (),
        without: frozenset[str] = frozenset(),
        sentence: bool = True,
    ) -> Line | None:
        """The best line for some points: in reach, not used, free of ``without``; None where there is none.

        Lines of the unit named first win over those of others; among equals the seed decides.
        """
        order = {unit: place for place, unit in enumerate(units)}
        gone = set(used)
        best: tuple[float, str, Line] | None = None
        for line in self.bank.lines:
            if line.unit not in order or line.text in gone or line.is_sentence is not sentence:
                continue
            if not self.in_reach(line.text, through):
                continue
            shown = sum(self.shows(line.text, p) for p in points)
            if not shown or not without.isdisjoint(words_in(line.text)):
                continue
            score = -2.0 * order[line.unit] + noise(self.seed, line.text)
            score += 1.0 if IDEAL[0] <= shown <= IDEAL[1] else 0.5
            if best is None or (score, line.text) > best[:2]:
                best = (score, line.text, line)
        return best[2] if best else None

    def passage(self, unit: int, form: str) -> PassageText | None:
        """A passage for a form, by the seed where there are several; None where nobody has written one."""
        found = [p for p in self.bank.passages if p.unit == unit and p.form == form]
        if not found:
            return None
        return max(found, key=lambda p: (noise(self.seed, p.title + p.text), p.text))

    def item(self, line: Line, through: int) -> TextItem:
        """A line as an item of a lesson, with the points taught by then that it gives chances on."""
        sequence = self.stock.sequence
        points = sorted(
            (p for p in self.points_of(line.text) if sequence.index(p) <= through),
            key=sequence.index,
        )
        return TextItem(line.text, tuple(points), line.chunks, line.source)
