"""The opening baseline: 25 words and two sentences that a class can bring from K-2, in two forms.

Every point that a spelling can show has at least three chances. A late start is given the other form.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING

from larkslate.datafile import read_tsv
from larkslate.errors import Missing
from larkslate.school.model import Answer, Item, ItemKind, Sitting, SittingKind
from larkslate.sequence.model import K2

if TYPE_CHECKING:
    from larkslate.school.ledger import Ledger
    from larkslate.school.store import School

FORMS, PARTS = ("A", "B"), (1, 2)
SENTENCE_POINTS = ("K2.capital", "K2.endmarks")


@lru_cache(maxsize=1)
def _table() -> dict[tuple[str, int], tuple[Item, ...]]:
    found: dict[tuple[str, int], list[Item]] = {}
    seen: set[str] = set()
    for row in read_tsv(
        "school", "baseline.tsv", ("form", "sitting", "kind", "target", "sentence")
    ):
        if row["form"] not in FORMS or row["sitting"] not in ("1", "2"):
            raise row.bad("form is A or B, sitting 1 or 2.")
        if row["kind"] not in (ItemKind.WORD, ItemKind.SENTENCE):
            raise row.bad("kind is word or sentence.")
        if row["target"] in seen:
            raise row.bad(f"{row['target']} stands twice.")
        seen.add(row["target"])
        items = found.setdefault((row["form"], int(row["sitting"])), [])
        items.append(
            Item(len(items) + 1, ItemKind(row["kind"]), row["target"], row["sentence"] or None)
        )
    return {key: tuple(items) for key, items in found.items()}


def items(form: str, part: int) -> tuple[Item, ...]:
    """The items of one part of a form, in the order given. Raises Missing."""
    try:
        return _table()[form, part]
    except KeyError:
        raise Missing(
            f"There is no baseline {form}, part {part}: the forms are A and B, the parts 1 and 2."
        ) from None


def words(form: str = "A") -> tuple[Item, ...]:
    """All items of a form, both parts, numbered through: what is printed with its key."""
    every = (i for part in PARTS for i in items(form, part))
    return tuple(Item(n, i.kind, i.target, i.sentence) for n, i in enumerate(every, start=1))


def add(
    school: School,
    class_id: str,
    *,
    form: str = "A",
    part: int | None = None,
    day: date | None = None,
) -> Sitting:
    """A sitting of the baseline, one part or (without ``part``) the whole of it."""
    from larkslate.school.sittings import add as add_sitting  # noqa: PLC0415 - printing needs no database

    return add_sitting(
        school,
        class_id,
        SittingKind.BASELINE,
        items(form, part) if part is not None else words(form),
        through=K2,
        day=day,
        form=form,
    )


def points_of(asked: Iterable[Item], ledger: Ledger) -> dict[str, tuple[str, ...]]:
    """For each point the words that give a chance on it: what a right spelling of each shows."""
    found: dict[str, list[str]] = {}
    for item in asked:
        if item.kind is ItemKind.SENTENCE:
            continue
        shown = ledger.diagnosis(item, Answer("", "", item.number, item.target), through=K2)
        for point in shown.credited:
            found.setdefault(point, []).append(item.target)
    return {p: tuple(found[p]) for p in sorted(found, key=ledger.course.index)}
