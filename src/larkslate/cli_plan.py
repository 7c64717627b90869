"""Commands about lessons: plan, make."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from larkslate.cli_files import write_file
from larkslate.cli_words import JSON
from larkslate.desk import DEFAULT_SEED, Desk
from larkslate.errors import LarkslateError, Malformed, Missing, NotAllowed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from larkslate.plan.model import UnitPlan

LESSON = re.compile(r"([1-9]\d?)(?:\.([1-9]\d?))?")


def parse_lesson(text: str) -> tuple[int, int | None]:
    """Unit and lesson of "3.4"; None for the lesson of "3", the whole unit. Raises Malformed."""
    found = LESSON.fullmatch(text.strip())
    if found is None:
        raise Malformed(
            f"“{text}” is not a lesson: write unit and lesson, as in 3.4, or 3 for the whole unit."
        )
    return int(found[1]), int(found[2]) if found[2] else None


# ---- plan ------------------------------------------------------------------------------------


@click.command()
@click.option("--unit", type=int, required=True, metavar="N", help="The unit.")
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=DEFAULT_SEED,
    show_default=True,
    metavar="N",
    help="Another number chooses other words; the same number the same words.",
)
@click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="Store the plan here.")
@JSON
def plan(unit: int, seed: int, out: Path | None, as_json: bool) -> int:
    """Plan a unit: lessons, words, dictations, and the proof that nothing untaught is asked for."""
    from larkslate.plan.codec import to_json

    desk = Desk()
    desk.sequence.theme(unit)
    planned = desk.plan(unit, seed)
    stored = to_json(planned)
    if out is not None:
        write_file(out, stored)
    if as_json:
        click.echo(stored.decode())
    else:
        click.echo("\n".join(_plan_lines(planned)))
        if out is not None:
            click.echo(f"Stored in {out}. Make its pages: larkslate make {unit} --plan {out}")
    return 0


def _plan_lines(planned: UnitPlan) -> Iterator[str]:
    from larkslate.plan.model import WordItem

    yield f"Unit {planned.unit}  {planned.title}"
    yield planned.goal
    for lesson in planned.lessons:
        yield ""
        yield f"{lesson.id}  {lesson.title}  ({lesson.kind}, {lesson.minutes} minutes)"
        for block in lesson.blocks:
            words = [i.word for i in block.items if isinstance(i, WordItem)]
            yield f"  {block.minutes:2} min  {block.title}" + (
                f": {', '.join(words)}" if words else ""
            )
    audit = planned.audit
    yield ""
    yield (
        f"Looked at {audit.uses} uses of words: {len(audit.out_of_reach) or 'none'} out of reach, "
        f"{len(audit.repeats)} repeats."
    )
    yield from (f"  {r.lesson}  {r.text}: {r.reason}" for r in audit.out_of_reach)
    yield from (f"  note: {note}" for note in audit.notes)


# ---- make ------------------------------------------------------------------------------------


@click.command()
@click.argument("lesson", metavar="LESSON")
@click.option("--plan", "stored", type=click.Path(path_type=Path), metavar="FILE", help="A plan.")
@click.option("--kind", required=True, metavar="KIND", help="teacher, student, key, script ...")
@click.option("--to", "form_of_file", default="pdf", metavar="pdf", show_default=True)
@click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="Write it here.")
@click.option("--paper", default="us-letter", show_default=True, help="us-letter or a4.")
@click.option("--size", type=int, default=14, show_default=True, help="14, 18 or 24 points.")
@click.option("--form", metavar="A|B", help="One form of a dictation.")
@click.option("--two-sided", is_flag=True, help="Begin each lesson on a new sheet.")
@click.option("--left-handed", is_flag=True, help="Models at the right.")
@JSON
def make(
    lesson: str,
    stored: Path | None,
    kind: str,
    form_of_file: str,
    out: Path | None,
    paper: str,
    size: int,
    form: str | None,
    two_sided: bool,
    left_handed: bool,
    as_json: bool,
) -> int:
    """Make the pages of a lesson (3.4) or of a whole unit (3) from a stored plan."""
    from larkslate.materials import documents

    unit, number = parse_lesson(lesson)
    if kind not in documents.KINDS:
        raise NotAllowed(f"There is no “{kind}”: choose one of {', '.join(documents.KINDS)}.")
    if form_of_file != "pdf":
        raise NotAllowed(f"“{kind}” is made as pdf, not as {form_of_file}: write --to pdf.")
    if stored is None:
        raise Missing(
            f"There is no plan to make pages from: run `larkslate plan --unit {unit} --out plan.json` "
            "and add --plan plan.json."
        )
    planned = read_plan(stored)
    if planned.unit != unit:
        raise NotAllowed(f"{stored} is the plan of unit {planned.unit}, not of unit {unit}.")
    pdf = documents.make(
        kind,
        planned,
        number,
        paper=paper,
        size=size,
        form=form,
        two_sided=two_sided,
        left_handed=left_handed,
    )
    path = out or Path(f"{lesson}-{kind}.pdf")
    write_file(path, pdf)
    if as_json:
        from larkslate import jsonform

        shape = {"file": str(path), "kind": kind, "unit": unit, "lesson": number, "bytes": len(pdf)}
        click.echo(jsonform.dump(shape))
    else:
        click.echo(f"{path}")
    return 0


def read_plan(path: Path) -> UnitPlan:
    """A stored plan. Raises Missing or Malformed with what to do."""
    from larkslate.plan.codec import from_json

    try:
        stored = path.read_bytes()
    except OSError as error:
        raise Missing(f"{path} cannot be read: {error.strerror}. Check the name.") from None
    try:
        return from_json(stored)
    except LarkslateError as error:
        raise Malformed(f"{path} is not a plan that can be used: {error}") from None
