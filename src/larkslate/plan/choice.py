"""The choice of a unit's words as one task: places for every lesson, fresh words for every sitting.

Fresh words and practiced words are disjoint. Where a point is taught after the checkpoint, four of its words are
held back for its second sitting in the next unit; both units work out the same words, whatever their seeds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from larkslate.choose.bank import words_in
from larkslate.choose.pool import SHIPPED, Settings, Stock, candidates
from larkslate.choose.solve import Balance, Candidate, Choice, Cover, Slot, Task, noise, solve
from larkslate.plan.schedule import (
    CHANCES,
    DICTATION,
    PRACTICE,
    WORDS_EACH,
    Sitting,
    introduced,
    late_points,
    lesson_shape,
    sittings,
    taught_by,
)
from larkslate.sequence.model import Theme

HELD_BACK = 4  # words kept for the second sitting of a late point: two for each form
REVIEW_WORDS = Settings(most=24, enough=6)
FEW = 18  # with fewer words than this both forms share two
PRICE = {"fresh": 100.0, "model": 60.0, "together": 30.0, "alone": 10.0, "mix": 8.0,
         "reteach": 4.0, "review": 5.0, "contrast": 3.0, "extend": 2.0}  # fmt: skip
SAID = (
    "together",
    "alone",
    "review",
    "contrast",
    "reteach",
)  # dictated with a sentence where there is one
EXAMPLE_BONUS = 0.6  # a model is best one of the examples that the sequence names
LONGER_BONUS = 0.12  # for each letter of an extension word
OTHER_FORM = -1.0  # a word of form A in form B
MODELS, TOGETHER, ALONE, CONTRAST, REVIEWS = 3, 4, 4, 2, 2
MIX_TOGETHER, MIX_ALONE, RETEACH_EACH, EXTEND = 4, 5, 3, 3
RETEACH_POINTS = 3


@dataclass(frozen=True, slots=True)
class Places:
    """The places of one lesson by their use, each with its points."""

    lesson: int
    use: str
    points: tuple[str, ...]

    @property
    def id(self) -> str:
        """The slot's id."""
        return f"{self.lesson}.{self.use}"


@dataclass(slots=True)
class Chosen:
    """The words of a unit: practice by slot id, fresh words by form and sitting."""

    practice: dict[str, tuple[str, ...]] = field(default_factory=dict)
    fresh: dict[tuple[str, int], tuple[str, ...]] = field(default_factory=dict)
    places: tuple[Places, ...] = ()
    gap: float | None = None
    candidates: dict[str, Candidate] = field(default_factory=dict)

    def words(self, lesson: int, use: str) -> tuple[str, ...]:
        """The words of a use in a lesson."""
        return self.practice.get(f"{lesson}.{use}", ())

    @property
    def practiced(self) -> frozenset[str]:
        """Every word that is practiced."""
        return frozenset(w for words in self.practice.values() for w in words)


def held_back(stock: Stock, theme: Theme, point: str, busy: frozenset[str]) -> tuple[str, ...]:
    """Words of a late point kept for the next unit; the same whoever asks. ``busy`` stand in texts of the unit."""
    if stock.rule(point).closed:
        return ()
    end = stock.sequence.end_of(theme.number)
    found = [c for c in candidates(stock, point, end) if c.word not in busy]
    if not found:
        return ()
    # Good words, but not the best: those are for teaching. Every third from the third on.
    most = HELD_BACK if len(found) >= FEW else WORDS_EACH
    spread = found[2::3] if len(found) >= 3 * HELD_BACK else found[len(found) // 2 :]
    kept: list[str] = []
    families: set[str] = set()
    for c in spread:
        if c.family not in families and len(kept) < most:
            kept.append(c.word)
            families.add(c.family)
    return tuple(kept)


@dataclass(slots=True)
class Chooser:
    """Makes and solves the task of one unit."""

    stock: Stock
    theme: Theme
    seed: int
    review: tuple[str, ...]
    used: frozenset[str]
    gaps: Mapping[str, tuple[str, ...]]  # by form: words dictated in the passage
    exposed: frozenset[str]  # words of the sentences children write in lessons
    busy_before: frozenset[str] = frozenset()  # words in texts of the unit before
    busy: frozenset[str] = frozenset()  # words in texts of this unit
    reteach: tuple[str, ...] = ()

    def run(self) -> Chosen:
        """The words of the unit."""
        held = {p: held_back(self.stock, self.theme, p, self.busy)
                for p in late_points(self.theme)}  # fmt: skip
        before = self._held_before()
        found = self._candidates(before)
        reserved = frozenset(w for words in (*held.values(), *before.values()) for w in words)
        all_gaps = frozenset(w for words in self.gaps.values() for w in words)
        places = self._places()
        slots = [self._practice_slot(p, found, reserved | all_gaps) for p in places]
        fresh, covers = self._fresh_slots("A", before, reserved, all_gaps)
        covers += self._practice_covers(places)
        task = Task(
            tuple(found.values()), (*slots, *fresh), tuple(covers),
            self._balances(places, fresh), self.seed,
        )  # fmt: skip
        first = solve(task)
        chosen = Chosen(places=places, gap=first.gap, candidates=found)
        for place in places:
            chosen.practice[place.id] = first.words[place.id]
        self._keep_fresh(chosen, "A", first)
        self._form_b(chosen, found, before, reserved, all_gaps)
        return chosen

    def _form_b(
        self,
        chosen: Chosen,
        found: dict[str, Candidate],
        before: Mapping[str, tuple[str, ...]],
        reserved: frozenset[str],
        all_gaps: frozenset[str],
    ) -> None:
        """Other words for the same points; a word of form A only where there is no other."""
        other = dict.fromkeys(
            (w for (form, _), words in chosen.fresh.items() if form == "A" for w in words),
            OTHER_FORM,
        )
        fresh, covers = self._fresh_slots("B", before, reserved, all_gaps, chosen.practiced, other)
        task = Task(tuple(found.values()), tuple(fresh), tuple(covers), (), self.seed)
        self._keep_fresh(chosen, "B", solve(task))

    def _keep_fresh(self, chosen: Chosen, form: str, choice: Choice) -> None:
        for sitting in sittings(self.stock.sequence, self.theme):
            own = choice.words.get(f"{form}.{sitting.lesson}.fresh", ())
            late = choice.words.get(f"{form}.{sitting.lesson}.late", ())
            chosen.fresh[form, sitting.lesson] = (*own, *late)

    def _held_before(self) -> dict[str, tuple[str, ...]]:
        if self.theme.number == 1:
            return {}
        theme = self.stock.sequence.theme(self.theme.number - 1)
        return {p: held_back(self.stock, theme, p, self.busy_before) for p in late_points(theme)}

    def _candidates(self, before: Mapping[str, tuple[str, ...]]) -> dict[str, Candidate]:
        """Every word that may stand in the unit, once, with all the points it shows."""
        end = self.stock.sequence.end_of(self.theme.number)
        found: dict[str, Candidate] = {}
        for point in (*self.theme.points, *before, *self.review):
            if self.stock.rule(point).closed:
                continue
            settings = REVIEW_WORDS if point in self.review else SHIPPED
            for c in candidates(self.stock, point, end, used=self.used, settings=settings):
                found.setdefault(c.word, c)
        return found

    def _places(self) -> tuple[Places, ...]:
        """The places of every lesson; points with a closed set of words are filled elsewhere."""
        places: list[Places] = []
        queue = [p for p in self.review if not self.stock.rule(p).closed]
        turn = 0

        def review(number: int, count: int) -> None:
            nonlocal turn
            for k in range(min(count, len(queue))):
                places.append(Places(number, f"review{k}", (queue[(turn + k) % len(queue)],)))
            turn += count

        for number, slot in enumerate(self.theme.lessons, start=1):
            shape = lesson_shape(self.theme, number, slot)
            open_points = tuple(p for p in slot.points if not self.stock.rule(p).closed)
            if shape == "new":
                if open_points:
                    for use in ("model", "together", "alone"):
                        places.append(Places(number, use, open_points[:1]))
                    earlier = self._contrast(number, open_points[0])
                    if earlier:
                        places.append(Places(number, "contrast", earlier))
                review(number, REVIEWS)
            elif shape == "mix":
                if open_points:
                    places.append(Places(number, "together", open_points))
                    places.append(Places(number, "alone", open_points))
                review(number, REVIEWS)
            elif shape == "respond":
                if open_points:
                    worst = [p for p in self.reteach if p in open_points]
                    chosen = (*worst, *(p for p in open_points if p not in worst))
                    for k, point in enumerate(chosen[:RETEACH_POINTS]):
                        places.append(Places(number, f"reteach{k}", (point,)))
                    places.append(Places(number, "extend", open_points))
        return tuple(places)

    def _contrast(self, number: int, point: str) -> tuple[str, ...]:
        """Points of the theme taught before a lesson that the new one can be mixed up with."""
        new_in = introduced(self.theme)
        kind = self._kind(point)
        return tuple(
            p
            for p, at in new_in.items()
            if at < number and self._kind(p) == kind and not self.stock.rule(p).closed
        )

    def _kind(self, point: str) -> str:
        """Points of one kind can be set against each other: the family of their first skill."""
        rule = self.stock.rule(point)
        family = rule.skills[0].partition(":")[0]
        return f"{rule.only}/{'parts' if family in ('affix', 'join') else family}"

    def _practice_slot(
        self, place: Places, found: Mapping[str, Candidate], barred: frozenset[str]
    ) -> Slot:
        use = place.use.rstrip("0123456789")
        mixed = self.theme.lessons[place.lesson - 1].kind == "mix"
        size = {"model": MODELS, "together": MIX_TOGETHER if mixed else TOGETHER,
                "alone": MIX_ALONE if mixed else ALONE, "contrast": CONTRAST, "review": 1,
                "reteach": RETEACH_EACH, "extend": EXTEND}[use]  # fmt: skip
        price = PRICE["mix" if mixed and use in ("together", "alone") else use]
        prefer: dict[str, float] = {}
        if use == "model":
            for example in self.stock.sequence.point(place.points[0]).examples:
                prefer[example.word] = EXAMPLE_BONUS
        if use == "extend":
            prefer = {w: LONGER_BONUS * (len(w) - 5) for w in found}
        through = taught_by(self.theme, self.stock.sequence, place.lesson)
        return Slot(
            id=place.id, size=size, through=through, points=frozenset(place.points),
            barred=barred, prefer=prefer, price=price,
            settled_bonus=0.3 if use in SAID else 0.0,
        )  # fmt: skip

    def _fresh_slots(
        self,
        form: str,
        before: Mapping[str, tuple[str, ...]],
        reserved: frozenset[str],
        all_gaps: frozenset[str],
        practiced: frozenset[str] = frozenset(),
        prefer: Mapping[str, float] | None = None,
    ) -> tuple[list[Slot], list[Cover]]:
        """The places for single fresh words in the sittings of a form, and how many each point needs."""
        slots: list[Slot] = []
        covers: list[Cover] = []
        in_passage = self._in_passage(form)
        barred = reserved | all_gaps | self.exposed | practiced
        for sitting in sittings(self.stock.sequence, self.theme):
            own = tuple(p for p in sitting.points if not self.stock.rule(p).closed)
            late = tuple(p for p in sitting.late if before.get(p))
            room = sitting.size - WORDS_EACH * len(sitting.late)
            needs = {p: self._needed(p, sitting, in_passage) for p in own}
            total = sum(needs.values())
            through = taught_by(self.theme, self.stock.sequence, sitting.lesson)
            # A point with few words gives no more than it must, so that there is something to practice.
            most = sum(max(n, self._plenty(p, through)) for p, n in needs.items())
            size = total if sitting.kind == DICTATION else min(max(total, room), most)
            if own and size:
                slot = f"{form}.{sitting.lesson}.fresh"
                slots.append(
                    Slot(slot, size, through, frozenset(own), barred=barred,
                         prefer=prefer or {}, settled_bonus=0.5, price=PRICE["fresh"])
                )  # fmt: skip
                covers += [Cover((slot,), p, n, price=60.0) for p, n in needs.items() if n]
                fair = size // len(own)
                covers += [Cover((slot,), p, fair, price=4.0) for p in own if fair > needs[p]]
            if late:
                only = frozenset(w for p in late for w in before[p])
                slot = f"{form}.{sitting.lesson}.late"
                slots.append(
                    Slot(slot, WORDS_EACH * len(late), through, frozenset(late), only=only,
                         barred=practiced | self.exposed | all_gaps, prefer=prefer or {},
                         price=PRICE["fresh"])
                )  # fmt: skip
                covers += [Cover((slot,), p, WORDS_EACH, price=60.0) for p in late]
        return slots, covers

    def _plenty(self, point: str, through: int) -> int:
        """How many words of a point a sitting may take: one in five of those there are."""
        return len(candidates(self.stock, point, through, used=self.used)) // 5

    def _in_passage(self, form: str) -> dict[str, int]:
        return {
            p: sum(p in self.stock.points_shown(w) for w in self.gaps.get(form, ()))
            for p in self.theme.points
        }

    def _needed(self, point: str, sitting: Sitting, in_passage: Mapping[str, int]) -> int:
        """Single fresh words of a point in a sitting, so that four chances in two sittings come together."""
        have = in_passage[point]
        late = point in late_points(self.theme)
        if sitting.kind == DICTATION:
            return max(0, WORDS_EACH - have)
        return WORDS_EACH if late else max(WORDS_EACH, CHANCES - max(have, WORDS_EACH))

    def _practice_covers(self, places: Iterable[Places]) -> list[Cover]:
        """At least three practice words for every point, and each point of a mixed lesson once."""
        covers: list[Cover] = []
        listed = list(places)
        for point in self.theme.points:
            if self.stock.rule(point).closed:
                continue
            ids = tuple(
                p.id for p in listed
                if point in p.points and p.use in ("model", "together", "alone")
            )  # fmt: skip
            if ids:
                covers.append(Cover(ids, point, PRACTICE, price=80.0))
        for number, slot in enumerate(self.theme.lessons, start=1):
            if slot.kind != "mix":
                continue
            ids = tuple(
                p.id for p in listed if p.lesson == number and p.use in ("together", "alone")
            )
            if ids:
                open_points = [p for p in slot.points if not self.stock.rule(p).closed]
                covers += [Cover(ids, p, 1, price=10.0) for p in open_points]
                if len(open_points) <= MIX_TOGETHER:
                    covers += [Cover((i,), p, 1, price=3.0) for i in ids for p in open_points]
        return covers

    def _balances(self, places: Iterable[Places], fresh: Iterable[Slot]) -> tuple[Balance, ...]:
        """No vowel, part of speech, ending, first letter or spelling too often side by side."""
        found: list[Balance] = []
        by_lesson: dict[int, list[str]] = {}
        for place in places:
            if place.use in ("model", "together", "alone"):
                by_lesson.setdefault(place.lesson, []).append(place.id)
        for ids in by_lesson.values():
            found.append(Balance(tuple(ids), "vowel:", 4, 0.4))
            found.append(Balance(tuple(ids), "part:", 6, 0.3))
            found.append(Balance(tuple(ids), "first:", 3, 0.3))
            found.append(Balance(tuple(ids), "ending:", 3, 0.5))
            found.append(Balance(tuple(ids), "shows:", 4, 0.5))
            found.append(Balance(tuple(ids), "tail:", 1, 0.4))
            models = tuple(i for i in ids if i.endswith(".model"))
            if models:
                found.append(Balance(models, "vowel:", 1, 0.5))
                found.append(Balance(models, "ending:", 2, 0.5))
                found.append(Balance(models, "shows:", 1, 0.6))
        for slot in fresh:
            found.append(Balance((slot.id,), "vowel:", 3, 0.4))
            found.append(Balance((slot.id,), "first:", 2, 0.3))
            found.append(Balance((slot.id,), "ending:", 3, 0.4))
            found.append(Balance((slot.id,), "shows:", 2, 0.4))
        return tuple(found)


def words_of(texts: Iterable[str]) -> frozenset[str]:
    """All words of some texts."""
    return frozenset(w for text in texts for w in words_in(text))


def in_turn(words: Iterable[str], seed: int) -> tuple[str, ...]:
    """Words mixed by the seed."""
    return tuple(sorted(words, key=lambda w: (noise(seed, f"turn/{w}"), w)))
