"""Commands about what children wrote: spelled, mark."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from larkslate.assess.model import Mark
from larkslate.cli_words import JSON, NOTHING, table
from larkslate.desk import Desk

if TYPE_CHECKING:
    from collections.abc import Iterator

    from larkslate.assess.mark import ClassResult
    from larkslate.assess.model import Diagnosis

THROUGH = click.option(
    "--through", metavar="POINT", help="What has been taught: K2, a point, or a unit (its end)."
)


@click.command()
@click.argument("target")
@click.argument("written")
@click.option("--sentence", metavar="TEXT", help="The sentence it was dictated in.")
@THROUGH
@JSON
def spelled(
    target: str, written: str, sentence: str | None, through: str | None, as_json: bool
) -> int:
    """Diagnose one spelling: what was TARGET is WRITTEN like this."""
    from larkslate.assess import diagnose

    desk = Desk()
    found = diagnose.spelled(
        target,
        written,
        sentence=sentence,
        lexicon=desk.lexicon,
        reach=desk.reach,
        through=through,
    )
    if as_json:
        from larkslate import jsonform

        click.echo(jsonform.dump(jsonform.diagnosis(found)))
    else:
        click.echo("\n".join(_lines(found)))
    return 0 if found.right else NOTHING


def _lines(found: Diagnosis) -> Iterator[str]:
    right, of = found.letter_sequences
    if found.right:
        yield f"{found.written}: right"
    else:
        yield f"{found.written} for {found.target}: letter sequences right {right} of {of}"
        rows = [("part", "written", "score")]
        rows += [(e.target, e.written or "–", f"{e.score} of 3") for e in found.elements]
        yield from table(rows, "  ")
    for finding in found.findings:
        yield f"  {finding.code}  {finding.says}"
        for other in finding.alternatives:
            yield f"    or {other}"
    for name, points in (
        ("credited", found.credited),
        ("missed", found.missed),
        ("not yet taught", found.not_yet_taught),
    ):
        if points:
            yield f"  {name}: {', '.join(points)}"


@click.command()
@click.argument("file", metavar="FILE.csv")
@THROUGH
@JSON
def mark(file: str, through: str | None, as_json: bool) -> int:
    """Mark a class from a table with the columns student, target, written[, sentence][, item].

    It may also have status (written, blank, illegible, absent), date, form, channel (class, home), practiced.
    """
    from datetime import date

    from larkslate.assess import mark as marking
    from larkslate.assess.marks import read_table

    desk = Desk()
    if through is not None:
        desk.sequence.end_of(through)  # a point that does not exist is told before the file is read
    rows = read_table(file)
    result = marking.mark(
        rows.responses,
        lexicon=desk.lexicon,
        reach=desk.reach,
        through=through,
        today=date.today(),
    )
    if as_json:
        from larkslate import jsonform

        shape = marking.to_json(result)
        shape["notes"] = [*rows.notes, *shape["notes"]]
        click.echo(jsonform.dump({"through": through, **shape}))
    else:
        click.echo("\n".join(_class_lines(result, rows.notes, desk)))
    return 0


def _class_lines(result: ClassResult, notes: tuple[str, ...], desk: Desk) -> Iterator[str]:
    yield from (f"note: {note}" for note in (*notes, *result.notes))
    rows = [("student", "words", "teach again", "more evidence needed")]
    for student in result.students:
        right, of = student.words
        again = [p for p, s in student.standings.items() if s.mark is Mark.RETEACH]
        more = [p for p, s in student.standings.items() if s.mark is Mark.MORE_EVIDENCE]
        rows.append((student.student, f"{right} of {of}", ", ".join(again) or "–", str(len(more))))
    yield from table(rows)
    yield ""
    rows = [("word", "right", "written instead", "")]
    for word in result.words:
        wrong = ", ".join(f"{w.written} ({len(w.students)})" for w in word.wrong)
        rows.append((word.target, f"{word.right} of {word.of}", wrong or "–", ""))
    yield from table(rows)
    yield ""
    rows = [("point", "right", "name", "")]
    for point in result.points:
        name = desk.sequence.point(point.point).name
        all_of_it = "teach it to the whole class again" if point.whole_class else ""
        rows.append((point.point, f"{point.right} of {point.chances}", name, all_of_it))
    yield from table(rows)
    for group in result.groups:
        yield ""
        yield f"group on {group.point}: {', '.join(group.students)}. {group.says}"
