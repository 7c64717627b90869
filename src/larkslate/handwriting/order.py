"""Which letters and joins come when in a year of joined writing, and which words they make writable."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from larkslate import datafile
from larkslate.errors import Malformed, Missing
from larkslate.handwriting.joining import usual_form
from larkslate.handwriting.joins import joined_to
from larkslate.handwriting.letters import ROOM, Exit, Hand, letters

COLUMNS = ("step", "letters", "joins", "movement", "reason")
ALL_JOINS = frozenset({Exit.BASE, Exit.TAIL, Exit.TOP})


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the order: what is new, the movement it rests on and why it stands here."""

    number: int
    letters: tuple[str, ...]
    joins: tuple[Exit, ...]
    movement: str
    reason: str


@cache
def order() -> tuple[Step, ...]:
    """The steps of the year. Raises Malformed, naming the row."""
    return read_order(datafile.read_tsv(ROOM, "order.tsv", COLUMNS))


def read_order(rows: Iterable[datafile.Row]) -> tuple[Step, ...]:
    """Steps from the rows of the table. Raises Malformed for a row that cannot stand."""
    table = letters(Hand.JOINED)
    steps: list[Step] = []
    seen: set[str] = set()
    for row in rows:
        if row["step"] != str(len(steps) + 1):
            raise row.bad(f"step {row['step']} should be {len(steps) + 1}; number them in order.")
        new = tuple(row["letters"].split())
        for char in new:
            if char not in table:
                raise row.bad(f"the joined hand has no letter “{char}”.")
            if char in seen:
                raise row.bad(f"“{char}” stands in an earlier step already.")
            seen.add(char)
        try:
            joins = tuple(Exit(j) for j in row["joins"].split())
        except ValueError as error:
            raise row.bad(f"{error}: choose base, tail or top.") from None
        if not row["reason"]:
            raise row.bad("the reason is missing.")
        steps.append(Step(len(steps) + 1, new, joins, row["movement"], row["reason"]))
    missing = sorted(c for c in table if c.isalpha() and c not in seen)
    if missing:
        raise Malformed(f"{ROOM}/order.tsv: no step teaches {', '.join(missing)}.")
    return tuple(steps)


def met(through: int) -> tuple[frozenset[str], frozenset[Exit]]:
    """Letters and joins met when step ``through`` is done (0: none). Raises Missing beyond the last."""
    steps = order()
    if not 0 <= through <= len(steps):
        raise Missing(f"There is no handwriting step {through}: choose 0 to {len(steps)}.")
    done = steps[:through]
    return (
        frozenset(c for s in done for c in s.letters),
        frozenset(j for s in done for j in s.joins),
    )


def joins_in(word: str) -> tuple[tuple[str, Exit], ...]:
    """The joins a word needs in the joined hand: each pair of letters with the exit it leaves from."""
    table = letters(Hand.JOINED)
    found: list[tuple[str, Exit]] = []
    for a, b in pairwise(word):
        if a in table and b in table and joined_to(Hand.JOINED, a, b):
            found.append((a + b, table[a].exit))
    return tuple(found)


def writable(
    word: str, letters_met: Collection[str], joins_met: Collection[Exit | str] = ALL_JOINS
) -> bool:
    """Whether every letter of ``word`` and every join in it has been met.

    Marks (apostrophe, hyphen) and digits need no lesson of the joined hand. A character that the hand does
    not hold makes the word unwritable.
    """
    table = letters(Hand.JOINED)
    chars = [usual_form(c) for c in word]
    for char in chars:
        if char not in table or (char.isalpha() and char not in letters_met):
            return False
    return all(exit_ in joins_met for _, exit_ in joins_in("".join(chars)))


def words_for(
    letters_met: Collection[str],
    candidates: Iterable[str],
    *,
    joins_met: Collection[Exit | str] = ALL_JOINS,
    new: Collection[str] = (),
    limit: int | None = None,
) -> tuple[str, ...]:
    """The candidates that can be written, in their order; words with a ``new`` letter come first.

    Among those, words with more of the new letters come first. Each word once.
    """
    able = dict.fromkeys(w for w in candidates if w and writable(w, letters_met, joins_met))
    ordered = sorted(able, key=lambda w: -len(set(w) & set(new)))
    return tuple(ordered[:limit])
