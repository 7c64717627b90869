"""What the evidence on a point says about one student, and who may be taught together.

The rule is ours. With ``k`` right of ``n`` fresh chances and a flat prior, ``q`` is the chance that the
student's true rate is above .7. Secure from q = .8, reteach up to q = .2, else more evidence; nothing is
decided with fewer than three chances, and nobody is secure on one sitting. Each word counts once, its latest
response. Practiced words and work from home are kept apart. A teacher is shown words, never q.

A flat prior is Beta(1, 1); the chance is exact, a finite binomial sum:
P(p > x | k of n) = P(Binomial(n + 1, x) <= k).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from itertools import combinations
from math import comb, exp, fsum, lgamma, log, log1p

from larkslate.assess.model import Chance, Channel, Mark, Standing
from larkslate.errors import NotAllowed


@dataclass(frozen=True, slots=True)
class Rule:
    """The settings of the rule; the shipped values are those of the module's first lines.

    ``window_days`` leaves chances older than that out of a standing (None: all count). A secure point not
    seen for ``due_days`` is due. A sitting in which at least ``unusual_least`` secure points were seen and
    more than half of them missed is unusual: it does not count until the teacher says so.
    """

    threshold: float = 0.7
    secure: float = 0.8
    reteach: float = 0.2
    least: int = 3
    sittings: int = 2
    window_days: int | None = None
    due_days: int = 42
    unusual_least: int = 3

    def __post_init__(self) -> None:
        """Refuse settings that decide nothing or both ways."""
        if not (0 < self.threshold < 1 and 0 < self.reteach < self.secure < 1):
            raise NotAllowed(
                "A rule needs a threshold between 0 and 1, and reteach below secure, both between 0 and 1."
            )
        if self.least < 1 or self.sittings < 1:
            raise NotAllowed("A rule needs at least one chance and one sitting.")


SHIPPED = Rule()
GROUP_LEAST, GROUP_MOST, GROUPS_MOST = 2, 6, 3


@lru_cache(maxsize=4096)
def likely_above(right: int, chances: int, threshold: float = SHIPPED.threshold) -> float:
    """P(true rate > threshold) after ``right`` of ``chances``, flat prior; exact up to rounding."""
    if not 0 <= right <= chances:
        raise NotAllowed(f"{right} right of {chances} chances cannot be.")
    n = chances + 1
    # A whole class added up: the coefficients are too large for a float, their logarithms are not.
    if n > 500:
        yes, no = log(threshold), log1p(-threshold)
        return min(
            1.0,
            fsum(
                exp(lgamma(n + 1) - lgamma(i + 1) - lgamma(n - i + 1) + i * yes + (n - i) * no)
                for i in range(right + 1)
            ),
        )
    return sum(comb(n, i) * threshold**i * (1.0 - threshold) ** (n - i) for i in range(right + 1))


def chance_of_passing(true_rate: float, least_right: int, of: int) -> float:
    """The chance that a student with this true rate gets at least ``least_right`` of ``of``."""
    return sum(
        comb(of, i) * true_rate**i * (1.0 - true_rate) ** (of - i)
        for i in range(least_right, of + 1)
    )


def _said(mark: Mark, right: int, chances: int, sittings: int, rule: Rule) -> str:
    count = f"right {right} of {chances}"
    if chances == 0:
        return "no fresh chance yet"
    if mark is Mark.SECURE:
        return f"{count}: secure"
    if mark is Mark.DUE:
        return f"{count}, not seen for {rule.due_days // 7} weeks: due"
    if mark is Mark.RETEACH:
        return f"{count}: teach it again"
    if mark is Mark.NOT_YET_TAUGHT:
        return f"{count}: not yet taught, so it does not count"
    if chances >= rule.least and sittings < rule.sittings:
        return f"{count} in one sitting: one more sitting is needed"
    return f"{count}: not enough to say"


def standing(
    right: int,
    chances: int,
    sittings: int,
    *,
    point: str = "",
    taught: bool = True,
    last_seen: date | None = None,
    today: date | None = None,
    practiced: tuple[int, int] = (0, 0),
    rule: Rule = SHIPPED,
) -> Standing:
    """The standing for ``right`` of ``chances`` fresh chances over ``sittings`` sittings.

    Without ``today`` nothing becomes due. Raises NotAllowed for counts that cannot be.
    """
    likely = likely_above(right, chances, rule.threshold)
    if not taught:
        mark = Mark.NOT_YET_TAUGHT
    elif chances < rule.least:
        mark = Mark.MORE_EVIDENCE
    elif likely >= rule.secure and sittings >= rule.sittings:
        seen_lately = (
            today is None or last_seen is None or today - last_seen < timedelta(days=rule.due_days)
        )
        mark = Mark.SECURE if seen_lately else Mark.DUE
    elif likely <= rule.reteach:
        mark = Mark.RETEACH
    else:
        mark = Mark.MORE_EVIDENCE
    possible = taught and (right, chances) in ((0, 2), (0, 3), (1, 3))
    return Standing(
        point=point,
        mark=mark,
        right=right,
        chances=chances,
        sittings=sittings,
        practiced=practiced,
        likely=likely,
        possible=possible,
        says=_said(mark, right, chances, sittings, rule),
        last_seen=last_seen,
    )


def latest_of_each_word(chances: Iterable[Chance]) -> list[Chance]:
    """One chance for each point and word, the latest; undated ones count as earlier than dated ones.

    Among chances of one date the last given wins.
    """
    kept: dict[tuple[str, str], Chance] = {}
    for chance in chances:
        key = (chance.point, chance.word.lower())
        old = kept.get(key)
        if old is None or (chance.date or date.min) >= (old.date or date.min):
            kept[key] = chance
    return list(kept.values())


def _of_point(
    point: str,
    chances: Sequence[Chance],
    taught: bool,
    today: date | None,
    rule: Rule,
) -> Standing:
    counted = [c for c in chances if c.channel is Channel.CLASS]
    if rule.window_days is not None and today is not None:
        first = today - timedelta(days=rule.window_days)
        counted = [c for c in counted if c.date is None or c.date >= first]
    fresh = latest_of_each_word(c for c in counted if not c.practiced)
    practiced = latest_of_each_word(c for c in counted if c.practiced)
    return standing(
        sum(c.right for c in fresh),
        len(fresh),
        len({c.sitting for c in fresh}),
        point=point,
        taught=taught,
        last_seen=max((c.date for c in fresh if c.date), default=None),
        today=today,
        practiced=(sum(c.right for c in practiced), len(practiced)),
        rule=rule,
    )


@dataclass(frozen=True, slots=True)
class StudentStandings:
    """The standings of one student by point, and the sittings left out as unusual."""

    by_point: dict[str, Standing]
    unusual: tuple[str, ...] = ()


def standings(
    chances: Iterable[Chance],
    *,
    taught: Callable[[str], bool] = lambda _point: True,
    today: date | None = None,
    count_anyway: frozenset[str] = frozenset(),
    rule: Rule = SHIPPED,
) -> StudentStandings:
    """The standings of one student from all chances, earliest sitting first.

    A sitting that turns out unusual (see Rule) is left out and named, unless it is in ``count_anyway``.
    """
    by_sitting: dict[str, list[Chance]] = defaultdict(list)
    for chance in chances:
        by_sitting[chance.sitting].append(chance)
    order = sorted(by_sitting, key=lambda s: (min(c.date or date.min for c in by_sitting[s]), s))
    kept: dict[str, list[Chance]] = defaultdict(list)
    unusual: list[str] = []
    for number, sitting in enumerate(order):
        if number - len(unusual) < rule.sittings:  # nothing can be secure before
            for chance in by_sitting[sitting]:
                kept[chance.point].append(chance)
            continue
        seen: dict[str, list[bool]] = defaultdict(list)
        for chance in by_sitting[sitting]:
            if not chance.practiced and chance.channel is Channel.CLASS:
                seen[chance.point].append(chance.right)
        secure = [
            point
            for point in seen
            if _of_point(point, kept[point], True, None, rule).mark is Mark.SECURE
        ]
        missed = sum(1 for point in secure if not all(seen[point]))
        if (
            sitting not in count_anyway
            and len(secure) >= rule.unusual_least
            and missed * 2 > len(secure)
        ):
            unusual.append(sitting)
            continue
        for chance in by_sitting[sitting]:
            kept[chance.point].append(chance)
    points = dict.fromkeys(c.point for s in order for c in by_sitting[s])
    return StudentStandings(
        {p: _of_point(p, kept.get(p, []), taught(p), today, rule) for p in points},
        tuple(unusual),
    )


def whole_class(rates: Iterable[tuple[int, int]], rule: Rule = SHIPPED) -> bool:
    """True where a point should go back to the whole class.

    ``rates`` are (right, chances) of the students. The class's mean rate is below the threshold with a chance
    of at least .8, all chances pooled; half of the students or more must have had a chance.
    """
    pairs = list(rates)
    right, chances = sum(k for k, _ in pairs), sum(n for _, n in pairs)
    if chances < rule.least or 2 * sum(1 for _, n in pairs if n) < len(pairs):
        return False
    return 1.0 - likely_above(right, chances, rule.threshold) >= rule.secure


@dataclass(frozen=True, slots=True)
class Group:
    """Students to teach one point together. ``possible`` names those for whom it is only possible.

    Dissolve it after the recheck.
    """

    point: str
    students: tuple[str, ...]
    possible: tuple[str, ...]
    says: str


def _wants(
    marks: Mapping[str, Standing],
    order: Mapping[str, int],
    prerequisites: Mapping[str, Sequence[str]],
) -> dict[str, bool]:
    """Points one student could be grouped on, and whether that is only possible.

    A point whose needed earlier point is wanted too waits: the earliest unmet one comes first.
    """
    wanted = {
        point: s.mark is not Mark.RETEACH or (s.possible and s.sittings < 2)
        for point, s in marks.items()
        if point in order
        and s.mark is not Mark.NOT_YET_TAUGHT
        and (s.mark is Mark.RETEACH or s.possible)
    }

    def waits(point: str) -> bool:
        before = list(prerequisites.get(point, ()))
        seen = set()
        while before:
            earlier = before.pop()
            if earlier in wanted:
                return True
            if earlier not in seen:
                seen.add(earlier)
                before.extend(prerequisites.get(earlier, ()))
        return False

    return {p: v for p, v in wanted.items() if not waits(p)}


def _seat(points: Sequence[str], wants: Mapping[str, Mapping[str, bool]]) -> dict[str, str]:
    """Students to points, as many as possible with at most six each; earlier points are filled first.

    A student who finds a group full asks whether one of its members can move to another (augmenting paths).
    """
    seated: dict[str, str] = {}
    members: dict[str, list[str]] = {p: [] for p in points}

    def place(student: str, tried: set[str]) -> bool:
        for point in points:
            if point not in wants[student] or point in tried:
                continue
            tried.add(point)
            if len(members[point]) < GROUP_MOST:
                members[point].append(student)
                seated[student] = point
                return True
            for other in list(members[point]):
                members[point].remove(other)
                if place(other, tried):
                    members[point].append(student)
                    seated[student] = point
                    return True
                members[point].append(other)
        return False

    # Those with a clear need are seated before those for whom it is only possible.
    clear_first = sorted(wants, key=lambda s: (all(wants[s].get(p, True) for p in points), s))
    for student in clear_first:
        place(student, set())
    return seated


def groups(
    marks: Mapping[str, Mapping[str, Standing]],
    *,
    order: Sequence[str],
    prerequisites: Mapping[str, Sequence[str]],
    skip: frozenset[str] = frozenset(),
    most: int = GROUPS_MOST,
) -> tuple[Group, ...]:
    """At most three groups of two to six students, each on one point, no student in two.

    ``marks`` are the standings by student and point, ``order`` the points as taught, ``skip`` the points
    that go back to the whole class. The same input gives the same groups: as many students as possible are
    placed, then as many clear needs, then the earliest points.
    """
    place = {p: i for i, p in enumerate(order) if p not in skip}
    wants = {s: _wants(m, place, prerequisites) for s, m in sorted(marks.items())}
    wants = {s: w for s, w in wants.items() if w}
    asked: dict[str, int] = defaultdict(int)
    for wanted in wants.values():
        for point in wanted:
            asked[point] += 1
    worth = [p for p in sorted(asked, key=place.__getitem__) if asked[p] >= GROUP_LEAST]
    # Beyond a dozen points a class cannot be served in three groups better than by the most asked for.
    worth = sorted(sorted(worth, key=lambda p: (-asked[p], place[p]))[:12], key=place.__getitem__)
    best: tuple[tuple[int, int, tuple[int, ...]], dict[str, str]] | None = None
    for size in range(1, most + 1):
        for points in combinations(worth, size):
            seated = _seat(points, wants)
            counts = [sum(1 for p in seated.values() if p == point) for point in points]
            if min(counts, default=0) < GROUP_LEAST:
                continue
            clear = sum(1 for s, p in seated.items() if not wants[s][p])
            score = (-len(seated), -clear, tuple(place[p] for p in points))
            if best is None or score < best[0]:
                best = (score, seated)
    if best is None:
        return ()
    out = []
    for point in sorted(set(best[1].values()), key=place.__getitem__):
        students = tuple(sorted(s for s, p in best[1].items() if p == point))
        possible = tuple(s for s in students if wants[s][point])
        says = f"{len(students)} students on {point}"
        if possible:
            says += f"; for {len(possible)} of them it is only possible"
        out.append(Group(point, students, possible, says + "."))
    return tuple(out)
