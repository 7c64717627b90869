"""Making ``data/demo_items.tsv``: what the demo class was dictated, and the wrong forms its invented students write.

Run by hand, ``python -m larkslate.school.demo_forms``, when the words of the first units have changed. The items are those
of the planned dictations; the wrong forms are those that ``assess.likely`` finds likely, each with the points that the
marking counts it against. The file is read by ``larkslate.school.demo``; nobody's writing is in it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path

from larkslate.assess.likely import likely_forms
from larkslate.plan.model import LessonKind, UnitPlan
from larkslate.plan.schedule import taught_by
from larkslate.plan.unit import plan_unit
from larkslate.school import baseline
from larkslate.school.demo import COLUMNS
from larkslate.school.ledger import Ledger
from larkslate.school.model import Answer, Item, ItemKind
from larkslate.school.sittings import dictation_of, items_of, practiced_words
from larkslate.sequence.load import shipped
from larkslate.sequence.model import K2
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon

UNITS, LAST_UNIT_LESSON = (1, 2, 3, 4), 5
FORMS_MOST = 5
FILE = Path(__file__).parent / "data" / "demo_items.tsv"


def _forms(item: Item, through: str, ledger: Ledger) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Wrong answers to an item, the likeliest first, with the points each counts against."""
    if item.kind is ItemKind.CHOICE:
        yield from ((c, item.points) for c in item.choices if c != item.target)
        return
    if item.kind is ItemKind.PLACE:
        return
    if item.kind is ItemKind.SENTENCE:
        yield from _sentence_forms(item, through, ledger)
        return
    for written, _code in likely_forms(item.target, ledger.lexicon, most=FORMS_MOST):
        found = ledger.diagnosis(item, Answer("", "", 1, written), through=through)
        if not found.right:
            yield written, (*found.missed, *found.not_yet_taught)


def _sentence_forms(
    item: Item, through: str, ledger: Ledger
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """A sentence with one word written in a likely wrong form, without its capital, without its end mark."""
    words = item.target.split(" ")
    count = 0
    for at, word in enumerate(words):
        plain = word.strip(".,!?")
        if len(plain) < 4 or plain != plain.lower() or count == FORMS_MOST - 2:
            continue
        best: tuple[int, str, frozenset[str]] | None = None
        for written, code in likely_forms(plain, ledger.lexicon, most=FORMS_MOST):
            new = " ".join([*words[:at], word.replace(plain, written), *words[at + 1 :]])
            marks = ledger.sentence(item, Answer("", "", 1, new), through=through)
            missed = frozenset(p for w in marks.words if w.diagnosis for p in w.diagnosis.missed)
            if not missed or code.startswith("S."):
                continue
            # What the sentence is there for first, then what says more than one consonant.
            rank = 0 if missed & set(item.points) else 2 if missed == {"K2.cons"} else 1
            if best is None or rank < best[0]:
                best = (rank, new, missed)
        if best is not None:
            count += 1
            yield best[1], tuple(sorted(best[2]))
    yield item.target[:1].lower() + item.target[1:], ()
    yield item.target.rstrip(".!?"), ()


def _rows(
    name: str,
    kind: str,
    unit: int,
    lesson: int,
    through: str,
    items: Iterable[Item],
    ledger: Ledger,
) -> Iterator[str]:
    for item in items:
        forms = " | ".join(
            f"{written} > {' '.join(points)}".strip()
            for written, points in _forms(item, through, ledger)
        )
        more = {
            "known": list(item.known),
            "legal": list(item.legal),
            "phonemes": list(item.phonemes),
            "choices": list(item.choices),
        }
        kept = {k: v for k, v in more.items() if v}
        cells = (
            name,
            kind,
            str(unit or ""),
            str(lesson or ""),
            through,
            item.kind.value,
            item.target,
            item.sentence or "",
            " ".join(item.points),
            "yes" if item.practiced else "",
            json.dumps(kept, ensure_ascii=False) if kept else "",
            forms,
        )
        yield "\t".join(cells)


def _dictated(plan: UnitPlan) -> Iterator[int]:
    for lesson in plan.lessons:
        late = plan.unit == UNITS[-1] and lesson.number > LAST_UNIT_LESSON
        if lesson.kind in (LessonKind.CHECKPOINT, LessonKind.DICTATION) and not late:
            yield lesson.number


def lines(ledger: Ledger) -> Iterator[str]:
    """The lines of the file."""
    yield "# Made by `python -m larkslate.school.demo_forms`: the dictations of the demo class and the wrong forms that its"
    yield "# invented students may write, each with the points it counts against. Nobody has written any of it."
    yield "\t".join(COLUMNS)
    for part in baseline.PARTS:
        name = f"baseline {part}"
        yield from _rows(name, "baseline", 0, 0, K2, baseline.items("A", part), ledger)
    for unit in UNITS:
        plan = plan_unit(
            unit, sequence=ledger.course, reach=ledger.reach, lexicon=ledger.lexicon, seed=0
        )
        for lesson in _dictated(plan):
            through = ledger.course.points[
                taught_by(ledger.course.theme(unit), ledger.course, lesson)
            ].id
            dictation = dictation_of(plan, lesson)
            kind = "dictation" if dictation.passage else "checkpoint"
            items = items_of(dictation, practiced=practiced_words(plan, lesson))
            yield from _rows(f"{unit}.{lesson}", kind, unit, lesson, through, items, ledger)


def main(lexicon: Lexicon | None = None) -> None:
    """Write the file."""
    words = lexicon or Lexicon.open()
    ledger = Ledger(words, Reach(shipped(), words))
    FILE.write_text("".join(f"{line}\n" for line in lines(ledger)), encoding="utf-8")


if __name__ == "__main__":
    main()
