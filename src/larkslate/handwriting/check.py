"""The validator of the letter data: what is wrong with a letter, in words that lead to its row.

Every check returns sentences; none means the data are sound. ``check_all`` raises for a broken file.
"""

from __future__ import annotations

import math
import string
from collections.abc import Iterable, Iterator
from itertools import pairwise

from larkslate.errors import Malformed
from larkslate.handwriting.curves import Curve, bounds, joints, turn
from larkslate.handwriting.joins import arrival
from larkslate.handwriting.letters import Entry, Exit, Hand, Letter, Path, letters
from larkslate.handwriting.notation import Knot, curves, sharp

# How far from its line a letter may end, in em units: half a percent of the height of a capital.
LINE_TOLERANCE = 5.0
# How far the pen may turn between two curves that are meant to run on, in degrees.
KINK = 1.0
NAMED_LINES = (1000.0, 500.0, 0.0, -500.0)
# Heights between the lines that belong to letters of both hands: the dot of i and j, t, the point of r.
OWN_HEIGHTS = {"i": 720.0, "j": 720.0, "t": 750.0, "r": 525.0}
DELAYED_JOINED = frozenset("ijtxHX")
MARKS = frozenset(".,?!'-\"“”")
# How near to itself and for how long a stroke may run where no turning back explains it, em units.
OVERLAP_WIDTH = 7.0
OVERLAP_LENGTH = 60.0


def check_all() -> None:
    """Read and check both hands. Raises Malformed with everything that is wrong."""
    faults = [fault for hand in Hand for fault in check_hand(hand)]
    if faults:
        raise Malformed("The letter data have faults:\n" + "\n".join(faults))


def check_hand(hand: Hand) -> list[str]:
    """What is wrong with a hand: missing characters and every fault of its letters."""
    table = letters(hand)
    wanted = {*string.ascii_letters, *string.digits, *MARKS}
    faults = [f"The {hand} hand has no “{c}”." for c in sorted(wanted - set(table))]
    for letter in table.values():
        faults += check_letter(letter)
    return faults


def check_letter(letter: Letter) -> list[str]:
    """What is wrong with one letter, each fault beginning with its hand and character."""
    found: list[str] = []
    for knots, path in _strokes(letter):
        found += _gaps(path)
        found += _kinks(path, sharp(knots))
    found += _off_the_lines(letter)
    found += _directions(letter)
    found += _joining(letter)
    found += _overlaps(letter)
    spoken, drawn = len(letter.say), len(letter.strokes) + len(letter.delayed)
    if spoken != drawn:
        found.append(f"has {drawn} strokes but {spoken} sentences to say with them.")
    if not letter.source:
        found.append("names no source for its order and direction.")
    return [f"{letter.hand} “{letter.char}” {fault}" for fault in found]


def _strokes(letter: Letter) -> Iterator[tuple[tuple[Knot, ...], Path]]:
    yield from zip(letter.strokes, letter.paths, strict=True)
    yield from zip(letter.delayed, letter.delayed_paths, strict=True)
    for way in (Exit.BASE, Exit.TOP):
        if letter.entry is not Entry.NONE:
            knots = arrival(letter, way)
            yield knots, curves(knots)


def _gaps(path: Path) -> Iterator[str]:
    for a, b in pairwise(path):
        if a.end != b.start:
            yield f"has a gap at {_place(a.end)}: the next curve begins at {_place(b.start)}."


def _kinks(path: Path, allowed: Iterable[int]) -> Iterator[str]:
    for index, (where, angle) in enumerate(joints(path)):
        if abs(angle) > KINK and index not in allowed:
            yield f"turns by {angle:.0f} degrees at {_place(where)}, which is no named cusp."


def _off_the_lines(letter: Letter) -> Iterator[str]:
    every = [c for path in (*letter.paths, *letter.delayed_paths) for c in path]
    _, low, _, high = bounds(every)
    for name, value, wanted in (("bottom", low, letter.reach[0]), ("top", high, letter.reach[1])):
        if abs(value - wanted) > LINE_TOLERANCE:
            yield f"has its {name} at {value:.0f} instead of {wanted:.0f}."
    if letter.char.isalnum():
        for wanted in letter.reach:
            if wanted not in NAMED_LINES and wanted != OWN_HEIGHTS.get(letter.char.lower()):
                yield f"reaches to {wanted:.0f}, which is no line."


def _directions(letter: Letter) -> Iterator[str]:
    """Straight strokes of their own go down or to the right; round ones to the left, humps to the right."""
    for path in (*letter.paths, *letter.delayed_paths):
        if len(path) == 1 and _straight(path[0]):
            dx, dy = path[0].x3 - path[0].x0, path[0].y3 - path[0].y0
            if dy > 1 or (abs(dy) <= 1 and dx <= 0):
                yield "has a straight stroke that goes up or to the left."
    first = letter.paths[0]
    if letter.group == "round to the left" and letter.char not in "eEf":
        swept = sum(_sweep(c) for c in first[:3])
        if swept < 120:
            yield "belongs to the round letters but does not begin round to the left."
    if letter.group == "over a hump" and letter.hand is Hand.JOINED:
        swept = _sweep(first[0]) + (0 if letter.char.islower() else _sweep(first[1]))
        if swept > -60:
            yield "belongs to the humps but does not begin over to the right."


def _joining(letter: Letter) -> Iterator[str]:
    if letter.hand is Hand.PRINT:
        if letter.entry is not Entry.NONE or letter.exit is not Exit.NONE:
            yield "belongs to a print hand and cannot join."
        return
    last = letter.strokes[-1][-1]
    out = letter.paths[-1][-1].direction(1.0) if last.out is None else last.out
    if letter.exit is Exit.BASE and (abs(last.y) > 1 or abs(turn(out, 0)) > 1):
        yield "joins from the baseline but does not end level on it."
    if letter.exit is Exit.TAIL and (abs(last.y) > 30 or not 20 <= out <= 70):
        yield "joins from a loop below but does not end rising at the baseline."
    if letter.exit is Exit.TOP and not 350 <= last.y <= 500:
        yield "joins from the top but does not end under the midline."
    small = letter.char in string.ascii_lowercase
    if small and (letter.entry is Entry.NONE or letter.exit is Exit.NONE):
        yield "is a small letter and must join on both sides."
    if small and len(letter.strokes) != 1:
        yield "is a small letter and must be one stroke before what is delayed."
    if bool(letter.delayed) != (letter.char in DELAYED_JOINED) and letter.char.isalpha():
        yield "has delayed strokes where none are usual, or none where they are."


def _overlaps(letter: Letter) -> Iterator[str]:
    """Places where a stroke runs along itself without having turned back, closed or begun there."""
    for knots, path in zip(letter.strokes, letter.paths, strict=True):
        backs = [
            i
            for i in sharp(knots)
            if abs(turn(path[i].direction(1.0), path[i + 1].direction(0.0))) > 150
        ]
        if backs:
            continue  # retracing is how these letters are made
        run = _longest_run(path)
        closes = letter.char in "oO0Q8"  # closed along their own beginning
        if run > OVERLAP_LENGTH and not closes:
            yield f"runs along itself for {run:.0f} units without turning back."


def _longest_run(path: Path) -> float:
    """The longest stretch in which a stroke lies on an earlier part of itself, in em units."""
    points = [p for curve in path for p in curve.points(24)[:-1]]
    along = [0.0]
    for a, b in pairwise(points):
        along.append(along[-1] + math.dist(a, b))
    longest = run = 0.0
    for i, p in enumerate(points[1:], start=1):
        near = any(
            along[i] - along[j] > 150 and math.dist(p, points[j]) < OVERLAP_WIDTH for j in range(i)
        )
        run = run + along[i] - along[i - 1] if near else 0.0
        longest = max(longest, run)
    return longest


def _sweep(curve: Curve) -> float:
    """How far the pen turns along a curve, left positive, in degrees."""
    directions = [curve.direction(t / 8) for t in range(9)]
    return sum(turn(a, b) for a, b in pairwise(directions))


def _straight(curve: Curve) -> bool:
    return abs(_sweep(curve)) < 0.5 and abs(turn(curve.direction(0), curve.direction(1))) < 0.5


def _place(point: tuple[float, float]) -> str:
    return f"{point[0]:.0f},{point[1]:.0f}"
