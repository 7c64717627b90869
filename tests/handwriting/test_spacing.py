from __future__ import annotations

import itertools
import string

from larkslate.handwriting.joining import write
from larkslate.handwriting.letters import Hand, letter
from larkslate.handwriting.spacing import LEAST, OVERLAP, distance, profile


def room(left: str, right: str) -> float:
    a, b = letter(left, Hand.PRINT), letter(right, Hand.PRINT)
    return distance(profile(a.paths), profile(b.paths))


def test_straight_letters_stand_further_apart_than_round_ones() -> None:
    def between(left: str, right: str) -> float:
        a = profile(letter(left, Hand.PRINT).paths).edges[1]
        b = profile(letter(right, Hand.PRINT).paths).edges[0]
        return room(left, right) - a + b

    assert between("n", "n") > between("n", "o") > between("o", "o")


def test_print_letters_never_touch() -> None:
    for pair in itertools.product(string.ascii_letters, string.ascii_lowercase):
        strokes = write("".join(pair), "print").strokes
        first = [c for s in strokes if s.start == 0 for c in s.curves]
        second = [c for s in strokes if s.start == 1 for c in s.curves]
        near = min(
            (x0 - x1) ** 2 + (y0 - y1) ** 2
            for a in first
            for b in second
            for x0, y0 in a.points(8)
            for x1, y1 in b.points(8)
        )
        assert near > 75**2, pair


def test_a_letter_reaches_only_a_little_over_its_neighbor() -> None:
    for left, right in ("To", "AV", "fa", "Lj"):
        a, b = letter(left, Hand.PRINT), letter(right, Hand.PRINT)
        over = profile(a.paths).edges[1] - profile(b.paths).edges[0] - room(left, right)
        assert over <= OVERLAP + 1e-6, left + right


def test_marks_keep_the_least_room() -> None:
    a, b = letter("n", Hand.PRINT), letter("'", Hand.PRINT)
    gap = room("n", "'") - profile(a.paths).edges[1] + profile(b.paths).edges[0]
    assert gap >= LEAST
