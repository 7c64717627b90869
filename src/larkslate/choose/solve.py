"""The choice of words as one model: slots to fill, points to cover, a mixture to keep.

A *task* is candidates (words that may stand in a lesson), slots (places for words), covers (a point needs so
many words over these slots) and balances (no trait more than so often over these slots). Every demand is soft
with a price, so there is always an answer; what could not be had is reported. A greedy start is improved by a
mixed-integer solver (HiGHS), whose answer depends on the task and the seed alone: it runs on one thread and
stops by nodes and by gap, never by the clock.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

EMPTY_PLACE = 100.0  # price of a place left empty
REPEATED_FAMILY = 12.0  # price of a second word of one family (hop, hopped)
NOISE = 0.25  # how far a seed moves values; a word's value lies between 0 and about 2
SHORTLIST = 24  # best words kept for each slot and point before solving
NODES = 400  # branch-and-bound nodes after which the best answer so far is taken
GAP = 0.005  # relative gap at which an answer is good enough


@dataclass(frozen=True, slots=True)
class Candidate:
    """A word that may be chosen.

    ``index`` is the place in the sequence of the last point it needs; ``points`` the points it gives a chance
    on; ``value`` how good it is anywhere (0 to about 2); ``traits`` what is balanced ("vowel:AE", "part:noun");
    ``family`` the base form that related words share; ``settled`` says that a sentence for it is at hand.
    """

    word: str
    index: int
    points: frozenset[str]
    value: float
    traits: frozenset[str] = frozenset()
    family: str = ""
    settled: bool = False


@dataclass(frozen=True, slots=True)
class Slot:
    """``size`` places for words of one role in one lesson.

    A word fits when it needs nothing after ``through``, gives a chance on one of ``points``, is not in ``barred``
    and, where ``only`` is given, is in it. ``prefer`` adds to the value of single words.
    """

    id: str
    size: int
    through: int
    points: frozenset[str]
    barred: frozenset[str] = frozenset()
    only: frozenset[str] | None = None
    prefer: Mapping[str, float] = field(default_factory=dict)
    settled_bonus: float = 0.0  # how much a sentence at hand is worth here
    price: float = (
        EMPTY_PLACE  # what a place left empty costs; small for places that may stay empty
    )

    def fits(self, candidate: Candidate) -> bool:
        """Whether the word may stand here."""
        return (
            candidate.index <= self.through
            and not self.points.isdisjoint(candidate.points)
            and candidate.word not in self.barred
            and (self.only is None or candidate.word in self.only)
        )

    def value(self, candidate: Candidate) -> float:
        """What the word is worth here, before the seed."""
        bonus = self.settled_bonus if candidate.settled else 0.0
        return candidate.value + bonus + self.prefer.get(candidate.word, 0.0)


@dataclass(frozen=True, slots=True)
class Cover:
    """At least ``least`` words that give a chance on ``point`` over the slots named."""

    slots: tuple[str, ...]
    point: str
    least: int
    price: float = 20.0


@dataclass(frozen=True, slots=True)
class Balance:
    """Each trait that begins with ``trait`` stands at most ``most`` times over the slots named."""

    slots: tuple[str, ...]
    trait: str
    most: int
    price: float = 0.5


@dataclass(frozen=True, slots=True)
class Task:
    """Everything the choice depends on."""

    candidates: tuple[Candidate, ...]
    slots: tuple[Slot, ...]
    covers: tuple[Cover, ...] = ()
    balances: tuple[Balance, ...] = ()
    seed: int = 0


@dataclass(frozen=True, slots=True)
class Shortfall:
    """A demand that the choice could not meet: ``slot`` places empty, or ``point`` short of words."""

    missing: int
    slot: str | None = None
    point: str | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """The words chosen for each slot, best first, and how good the answer is.

    ``gap`` is the relative distance to the best answer possible (0 is best; None when only the greedy start
    was used); ``worth`` the sum of values less prices.
    """

    words: dict[str, tuple[str, ...]]
    short: tuple[Shortfall, ...]
    worth: float
    gap: float | None
    method: str


def noise(seed: int, word: str) -> float:
    """A number from 0 to 1 that depends on the seed and the word alone, the same on every machine."""
    digest = hashlib.blake2b(f"{seed}/{word}".encode(), digest_size=4).digest()
    return int.from_bytes(digest, "big") / 2**32


def solve(task: Task, *, greedy_only: bool = False) -> Choice:
    """The best choice found for a task; the same task gives the same choice.

    Raises ValueError when two slots share an id or a cover names a slot that is not there.
    """
    _check(task)
    board = _Board(task)
    start = board.greedy()
    if greedy_only or not board.pairs:
        return board.choice(start, None, "greedy")
    better, gap = board.improve(start)
    if better is None or board.worth(better) < board.worth(start):
        return board.choice(start, gap, "greedy")
    return board.choice(better, gap, "solver")


def _check(task: Task) -> None:
    """Refuse a task that cannot be meant."""
    ids = [s.id for s in task.slots]
    if len(set(ids)) != len(ids):
        raise ValueError(f"two slots share an id: {sorted(ids)}")
    known = set(ids)
    demands: tuple[Cover | Balance, ...] = (*task.covers, *task.balances)
    for demand in demands:
        unknown = set(demand.slots) - known
        if unknown:
            raise ValueError(f"no slot is called {sorted(unknown)}")


class _Board:
    """The pairs of slot and word that may be chosen, with their values."""

    def __init__(self, task: Task) -> None:
        self.task = task
        self.words = {c.word: c for c in task.candidates}
        self.family = {c.word: c.family or c.word for c in task.candidates}
        self.at = {s.id: n for n, s in enumerate(task.slots)}
        self.pairs: list[tuple[int, str]] = []
        self.values: dict[tuple[int, str], float] = {}
        moved = {c.word: NOISE * noise(task.seed, c.word) for c in task.candidates}
        for n, slot in enumerate(task.slots):
            fitting = [c for c in task.candidates if slot.fits(c)]
            ranked = sorted(fitting, key=lambda c: (-slot.value(c) - moved[c.word], c.word))
            for word in self._shortlist(slot, ranked):
                self.pairs.append((n, word))
                self.values[n, word] = slot.value(self.words[word]) + moved[word]

    @staticmethod
    def _shortlist(slot: Slot, ranked: Sequence[Candidate]) -> list[str]:
        """The best words of a slot, some for each of its points, so that a rare point is not crowded out."""
        kept: dict[str, None] = {}
        for point in sorted(slot.points):
            for c in [c for c in ranked if point in c.points][:SHORTLIST]:
                kept[c.word] = None
        return list(kept)

    def greedy(self) -> set[tuple[int, str]]:
        """Fill slot by slot, each time with the word worth most now."""
        chosen: set[tuple[int, str]] = set()
        used: set[str] = set()
        families: set[str] = set()
        by_slot: dict[int, list[str]] = {}
        for n, word in self.pairs:
            by_slot.setdefault(n, []).append(word)
        counts = [0] * len(self.task.covers)
        traits: dict[tuple[int, str], int] = {}
        slots = self.task.slots
        order = sorted(
            range(len(slots)), key=lambda n: (-slots[n].price, len(by_slot.get(n, ())), n)
        )
        for n in order:
            slot = self.task.slots[n]
            for _ in range(slot.size):
                best: tuple[float, str] | None = None
                for word in by_slot.get(n, ()):
                    if word in used:
                        continue
                    gain = self.values[n, word]
                    if self.family[word] in families:
                        gain -= REPEATED_FAMILY
                    for k, cover in enumerate(self.task.covers):
                        if (
                            slot.id in cover.slots
                            and counts[k] < cover.least
                            and cover.point in self.words[word].points
                        ):
                            gain += cover.price
                    for k, balance in enumerate(self.task.balances):
                        if slot.id in balance.slots:
                            for trait in self._traits(word, balance.trait):
                                if traits.get((k, trait), 0) >= balance.most:
                                    gain -= balance.price
                    if best is None or gain > best[0]:
                        best = (gain, word)
                if best is None:
                    break
                word = best[1]
                chosen.add((n, word))
                used.add(word)
                families.add(self.family[word])
                for k, cover in enumerate(self.task.covers):
                    if slot.id in cover.slots and cover.point in self.words[word].points:
                        counts[k] += 1
                for k, balance in enumerate(self.task.balances):
                    if slot.id in balance.slots:
                        for trait in self._traits(word, balance.trait):
                            traits[k, trait] = traits.get((k, trait), 0) + 1
        return chosen

    def _traits(self, word: str, kind: str) -> Iterable[str]:
        return (t for t in self.words[word].traits if t.startswith(kind))

    def shortfalls(self, chosen: set[tuple[int, str]]) -> tuple[Shortfall, ...]:
        """Places left empty and points short of words."""
        found: list[Shortfall] = []
        for n, slot in enumerate(self.task.slots):
            empty = slot.size - sum(1 for m, _ in chosen if m == n)
            if empty:
                found.append(Shortfall(empty, slot=slot.id))
        for cover in self.task.covers:
            places = {self.at[s] for s in cover.slots}
            have = sum(1 for n, w in chosen if n in places and cover.point in self.words[w].points)
            if have < cover.least:
                found.append(Shortfall(cover.least - have, point=cover.point))
        return tuple(found)

    def worth(self, chosen: set[tuple[int, str]]) -> float:
        """Sum of values less the prices of what was not met."""
        total = sum(self.values[pair] for pair in sorted(chosen))
        for short in self.shortfalls(chosen):
            if short.slot:
                total -= self.task.slots[self.at[short.slot]].price * short.missing
        for cover in self.task.covers:
            places = {self.at[s] for s in cover.slots}
            have = sum(1 for n, w in chosen if n in places and cover.point in self.words[w].points)
            total -= cover.price * max(0, cover.least - have)
        for balance in self.task.balances:
            places = {self.at[s] for s in balance.slots}
            tally: dict[str, int] = {}
            for n, word in chosen:
                if n in places:
                    for trait in self._traits(word, balance.trait):
                        tally[trait] = tally.get(trait, 0) + 1
            total -= balance.price * sum(max(0, k - balance.most) for k in tally.values())
        sizes: dict[str, int] = {}
        for _, word in chosen:
            sizes[self.family[word]] = sizes.get(self.family[word], 0) + 1
        return total - REPEATED_FAMILY * sum(k - 1 for k in sizes.values())

    def choice(self, chosen: set[tuple[int, str]], gap: float | None, method: str) -> Choice:
        """The answer as a value."""
        words: dict[str, tuple[str, ...]] = {}
        for n, slot in enumerate(self.task.slots):
            mine = [w for m, w in chosen if m == n]
            words[slot.id] = tuple(sorted(mine, key=lambda w: (-self.values[n, w], w)))
        return Choice(words, self.shortfalls(chosen), round(self.worth(chosen), 6), gap, method)

    def improve(
        self, start: set[tuple[int, str]]
    ) -> tuple[set[tuple[int, str]] | None, float | None]:
        """The solver's answer, started from ``start``; None when it finds none."""
        rows = _Rows(len(self.pairs))
        column = {pair: k for k, pair in enumerate(self.pairs)}
        cost = [-self.values[pair] for pair in self.pairs]
        initial = [1.0 if pair in start else 0.0 for pair in self.pairs]

        def slack(price: float, most: float, at_start: float) -> int:
            cost.append(price)
            rows.upper.append(most)
            initial.append(at_start)
            return len(cost) - 1

        by_word: dict[str, list[int]] = {}
        by_family: dict[str, list[int]] = {}
        by_slot: dict[int, list[int]] = {}
        for (n, word), k in column.items():
            by_word.setdefault(word, []).append(k)
            by_family.setdefault(self.family[word], []).append(k)
            by_slot.setdefault(n, []).append(k)
        for ks in by_word.values():
            if len(ks) > 1:
                rows.add(dict.fromkeys(ks, 1.0), -np.inf, 1.0)
        for ks in by_family.values():
            if len({self.pairs[k][1] for k in ks}) > 1:
                have = sum(initial[k] for k in ks)
                extra = slack(REPEATED_FAMILY, np.inf, max(0.0, have - 1))
                rows.add({**dict.fromkeys(ks, 1.0), extra: -1.0}, -np.inf, 1.0)
        for n, slot in enumerate(self.task.slots):
            ks = by_slot.get(n, [])
            have = sum(initial[k] for k in ks)
            empty = slack(slot.price, float(slot.size), slot.size - have)
            rows.add({**dict.fromkeys(ks, 1.0), empty: 1.0}, float(slot.size), float(slot.size))
        for cover in self.task.covers:
            places = {self.at[s] for s in cover.slots}
            ks = [
                k
                for k, (n, w) in enumerate(self.pairs)
                if n in places and cover.point in self.words[w].points
            ]
            have = sum(initial[k] for k in ks)
            short = slack(cover.price, float(cover.least), max(0.0, cover.least - have))
            rows.add({**dict.fromkeys(ks, 1.0), short: 1.0}, float(cover.least), np.inf)
        for balance in self.task.balances:
            places = {self.at[s] for s in balance.slots}
            by_trait: dict[str, list[int]] = {}
            for k, (n, w) in enumerate(self.pairs):
                if n in places:
                    for trait in self._traits(w, balance.trait):
                        by_trait.setdefault(trait, []).append(k)
            for ks in by_trait.values():
                if len(ks) > balance.most:
                    have = sum(initial[k] for k in ks)
                    over = slack(balance.price, np.inf, max(0.0, have - balance.most))
                    rows.add({**dict.fromkeys(ks, 1.0), over: -1.0}, -np.inf, float(balance.most))
        values, gap = _run(rows, cost, initial, len(self.pairs))
        if values is None:
            return None, gap
        return {pair for k, pair in enumerate(self.pairs) if values[k] > 0.5}, gap


class _Rows:
    """The rows of the model, gathered sparsely."""

    def __init__(self, binaries: int) -> None:
        self.upper: list[float] = [1.0] * binaries
        self.entries: list[dict[int, float]] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, entries: dict[int, float], low: float, high: float) -> None:
        """One row: low <= sum of coefficient times column <= high."""
        self.entries.append(entries)
        self.low.append(low)
        self.high.append(high)


def _run(
    rows: _Rows, cost: list[float], initial: list[float], binaries: int
) -> tuple[list[float] | None, float | None]:
    """Hand the model to HiGHS; its answer and its gap, or None."""
    import highspy  # noqa: PLC0415 - loaded only when a unit is planned

    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(cost), len(rows.entries)
    lp.col_cost_ = np.array(cost)
    lp.col_lower_ = np.zeros(len(cost))
    lp.col_upper_ = np.array(rows.upper)
    lp.row_lower_, lp.row_upper_ = np.array(rows.low), np.array(rows.high)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0, *(len(r) for r in rows.entries)])
    lp.a_matrix_.index_ = np.array([k for r in rows.entries for k in sorted(r)])
    lp.a_matrix_.value_ = np.array([r[k] for r in rows.entries for k in sorted(r)])
    whole, real = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
    lp.integrality_ = [whole if k < binaries else real for k in range(len(cost))]
    # The public class prints a banner when it is made, which would stand before a plan's JSON; its base does not.
    solver = getattr(highspy, "_Highs", highspy.Highs)()
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("parallel", "off"),
        ("random_seed", 0),
        ("mip_rel_gap", GAP),
        ("mip_max_nodes", NODES),
    ):
        solver.setOptionValue(option, value)
    solver.passModel(lp)
    solution = highspy.HighsSolution()
    solution.col_value = list(initial)
    solver.setSolution(solution)
    solver.run()
    info = solver.getInfo()
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None, None
    gap = float(info.mip_gap)
    return list(solver.getSolution().col_value), (gap if np.isfinite(gap) else None)
