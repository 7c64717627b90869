"""Commands about what children wrote: spelled, mark."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from larkslate.cli_words import JSON, NOTHING, table
from larkslate.desk import Desk

if TYPE_CHECKING:
    from collections.abc import Iterator

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
