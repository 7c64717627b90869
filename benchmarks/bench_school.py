"""What is stored: time to open, to save an answer, to see a class, and two hundred kills during saves.

Run by hand: ``python benchmarks/bench_school.py [--kills 200]``. Prints tables.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.school.kills import kills, prepared

from larkslate.assess.model import ResponseStatus
from larkslate.errors import Missing, OutOfDate
from larkslate.school import backup, demo, erase, responses, roster, sittings, transfer
from larkslate.school.ledger import Ledger
from larkslate.school.model import Answer, Item, ItemKind, Saved, SittingKind
from larkslate.school.store import School
from larkslate.sequence.load import shipped
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon

IMPORT = "import time; t = time.perf_counter(); {}; print(time.perf_counter() - t)"
OPEN = (
    "import sys, time; t = time.perf_counter(); from larkslate.school.store import School; "
    "School.open(sys.argv[1]).close(); print(time.perf_counter() - t)"
)
SAVES, YEAR_SITTINGS, WORDS = 500, 30, 20


def row(what: str, seconds: float, note: str = "") -> None:
    print(f"{what:58} {1000 * seconds:9.1f} ms  {note}")


def timed(work: Callable[[], object], times: int = 1) -> float:
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return statistics.median(found)


def in_process(code: str, *arguments: str, times: int = 5) -> float:
    """The median of what a fresh process prints."""
    found = [
        float(
            subprocess.run(
                [sys.executable, "-c", code, *arguments],
                check=True,
                capture_output=True,
                text=True,
            ).stdout
        )
        for _ in range(times)
    ]
    return statistics.median(found)


def starting(place: Path) -> None:
    print("\nStarting (fresh processes, median of five)")
    row("import sqlalchemy", in_process(IMPORT.format("import sqlalchemy")))
    row("import larkslate.school.store", in_process(IMPORT.format("import larkslate.school.store")))
    folders = iter(place / f"new-{n}" for n in range(5))
    found = [in_process(OPEN, str(f), times=1) for f in folders]
    row("import and open a new folder (runs the migrations)", statistics.median(found))
    row("import and open a folder again", in_process(OPEN, str(place / "new-0")))


def saving(place: Path) -> None:
    print(f"\nSaving one answer, {SAVES} times, each on the disk before it is acknowledged")
    with School.open(place / "saving") as school:
        room = roster.add_class(school, "Room 12")
        who = [roster.add_student(school, room.id, f"S-{n:02}") for n in range(24)]
        items = [Item(n, ItemKind.WORD, f"word{n}") for n in range(1, WORDS + 1)]
        given = sittings.add(school, room.id, SittingKind.DICTATION, items, through="K2")
        found = []
        for n in range(SAVES):
            answer = Answer(given.id, who[n % 24].id, n // 24 % WORDS + 1, f"written{n}")
            start = time.perf_counter()
            done = responses.save(school, answer)
            found.append(time.perf_counter() - start)
            assert isinstance(done, (Saved,)) or n >= 24 * WORDS
        found.sort()
        row("median", statistics.median(found))
        row("95 of 100", found[int(0.95 * len(found))])
        row("slowest", found[-1])
        row("the grid of the sitting", timed(lambda: responses.grid(school, given.id), 5))


def demo_class(place: Path, ledger: Ledger) -> None:
    print("\nThe demo class: 24 students, one term")
    with School.open(place / "demo") as school:
        row("load it", timed(lambda: demo.load(school)))
        room = roster.classes(school)[0]
        count = len(responses.answers_of_class(school, room.id))
        row(
            "see the class, nothing marked before",
            timed(lambda: ledger.view(school, room.id)),
            f"{count} answers",
        )
        again = Ledger(ledger.lexicon, ledger.reach)
        row("see the class after a restart", timed(lambda: again.view(school, room.id)))
        given = sittings.sittings(school, room.id)[-1]
        student = roster.students(school, room.id)[0]
        stored = next(a for a in responses.answers(school, given.id) if a.student_id == student.id)
        changed = Answer(
            given.id, student.id, stored.item, "", ResponseStatus.BLANK, revision=stored.revision
        )
        assert isinstance(responses.save(school, changed), Saved)
        row("see the class after one more answer", timed(lambda: again.view(school, room.id)))
        row("see the class unchanged", timed(lambda: again.view(school, room.id), 5))
        row("a backup, checked", timed(lambda: backup.make(school), 3))
        path = place / "all.zip"
        row("export everything", timed(lambda: transfer.export_all(school, path), 3),
            f"{path.stat().st_size // 1000} KB")  # fmt: skip
        row("look into an export", timed(lambda: transfer.look(school, path), 3))
        with School.open(place / "other") as other:
            row("import it elsewhere", timed(lambda: transfer.bring_in(other, path)))
        row(
            "erase a student, three backups rewritten",
            timed(lambda: erase.student(school, student.id)),
        )


def a_year(place: Path, ledger: Ledger) -> None:
    """A year of answers: the dictations of the demo term over and over, so few new spellings to mark."""
    with School.open(place / "year") as school:
        made = demo.load(school)
        people = roster.students(school, made.id)
        term = sittings.sittings(school, made.id)
        wrote = {
            s.id: {(a.student_id, a.item): a for a in responses.answers(school, s.id)} for s in term
        }
        for n in range(YEAR_SITTINGS - len(term)):
            old = term[2 + n % (len(term) - 2)]
            new = sittings.add(
                school, made.id, old.kind, old.items, through=old.through, day=old.day
            )
            responses.save_all(
                school,
                (
                    Answer(new.id, s.id, i.number, a.written, a.status)
                    for s in people
                    for i in old.items
                    if (a := wrote[old.id].get((s.id, i.number))) is not None
                ),
            )
        count = len(responses.answers_of_class(school, made.id))
        print(f"\nA year: {count} answers in {YEAR_SITTINGS} sittings")
        row("see the class, nothing marked before", timed(lambda: ledger.view(school, made.id)))
        again = Ledger(ledger.lexicon, ledger.reach)
        row("see the class after a restart", timed(lambda: again.view(school, made.id)))
        roster.change_student(school, people[0].id, extra_time=True)
        row("see the class after a change", timed(lambda: again.view(school, made.id)))
        print(f"{'the database':58} {school.path.stat().st_size / 1e6:9.1f} MB")


def killing(place: Path, count: int) -> None:
    print(f"\n{count} kills (SIGKILL) at random moments during saves")
    prepared(place / "kills")
    done = list(kills(place / "kills", count, seed=200))
    print(f"  saves that were answered: {sum(k.answered for k in done)}")
    print(f"  kills before the first answer: {sum(k.answered == 0 for k in done)}")
    print(f"  lost, changed or broken afterwards: {sum(len(k.faults) for k in done)}")
    for kill in done:
        for fault in kill.faults:
            print(f"    {fault}")


def open_words(path: str | None) -> Lexicon:
    try:
        return Lexicon.open(Path(path) if path else None, check=path is None)
    except (Missing, OutOfDate) as error:
        raise SystemExit(str(error)) from None


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--lexicon", help="a built word list; without it the usual one")
    chosen = parser.parse_args()
    words = open_words(chosen.lexicon)
    reach = Reach(shipped(), words)
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        starting(place)
        saving(place)
        demo_class(place, Ledger(words, reach))
        a_year(place, Ledger(words, reach))
        killing(place, chosen.kills)


if __name__ == "__main__":
    main()
