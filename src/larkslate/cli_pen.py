"""The command about handwriting: pen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from larkslate.cli_files import write_file
from larkslate.cli_words import JSON
from larkslate.errors import NotAllowed

if TYPE_CHECKING:
    from larkslate.handwriting import Written

# A page as large as the drawing. The drawing comes in as data, so that no text is read as markup.
PAGE = b"""\
#set document(title: sys.inputs.title)
#set page(width: auto, height: auto, margin: 0mm)
#image(bytes(sys.inputs.drawing), format: "svg", alt: sys.inputs.alt)
"""


@click.command()
@click.argument("text")
@click.option("--hand", type=click.Choice(["joined", "print"]), default="joined", show_default=True)
@click.option("--slant", type=float, default=0.0, metavar="DEGREES", help="To the right, 0 to 20.")
@click.option(
    "--line",
    "--size",
    "size",
    default="grade 3",
    metavar="SIZE",
    show_default=True,
    help="A named size, or millimeters from baseline to top line.",
)
@click.option(
    "--ruling",
    "lines",
    type=click.Choice(["four-line", "three-line", "baseline"]),
    default="four-line",
    show_default=True,
)
@click.option(
    "--no-lead-in", "bare", is_flag=True, help="No stroke from the baseline before a word."
)
@click.option(
    "--left-handed",
    is_flag=True,
    help="Crossbars from right to left; models of a sheet at the right.",
)
@click.option(
    "--sheet",
    type=click.Choice(
        ["letter", "group", "joins", "words", "sentence", "name", "numbers", "writing"]
    ),
    help="A PDF to practice on, made of the text.",
)
@click.option(
    "--paper", type=click.Choice(["us-letter", "a4"]), default="us-letter", show_default=True
)
@click.option(
    "--trace",
    type=click.Choice(["solid", "dotted", "outlined", "faded"]),
    help="How strokes are drawn: solid, on a sheet dotted, unless said.",
)
@click.option("--path", "guided", is_flag=True, help="Start dots, arrows and numbers.")
@click.option(
    "--to", type=click.Choice(["svg", "pdf", "json"]), help="svg, unless a sheet is asked for."
)
@click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="Write it here.")
@JSON
def pen(
    text: str,
    hand: str,
    slant: float,
    size: str,
    lines: str,
    bare: bool,
    left_handed: bool,
    sheet: str | None,
    paper: str,
    trace: str | None,
    guided: bool,
    to: str | None,
    out: Path | None,
    as_json: bool,
) -> int:
    """Write one line of text as a class is taught to write it.

    SVG and JSON go to standard output without --out; a PDF is then pen.pdf. --json is short for --to json.
    With --sheet the text is what the sheet is made of: letters, pairs, words, a sentence, names with commas.
    """
    from larkslate.handwriting import ruling, svg, to_json, write

    rule = ruling(lines, measure(size))
    if sheet is not None:
        if as_json or to in ("svg", "json"):
            raise NotAllowed("A sheet is a PDF: leave out --to and --json, or leave out --sheet.")
        from larkslate.handwriting import paper as space
        from larkslate.materials.hand_sheets import pack, pdf

        on = space(
            rule=rule,
            slant=slant,
            lead_in=not bare,
            pulled_bars=left_handed,
            trace=trace or "dotted",
        )
        made = pack(
            sheet, text, hand=hand, on=on, size=paper, model="right" if left_handed else "left"
        )
        for notice in made.notices:
            click.echo(f"note: {notice}", err=True)
        out = out or Path(f"{sheet}.pdf")
        write_file(out, pdf(made, paper))
        click.echo(str(out))
        return 0
    written = write(text, hand, slant=slant, lead_in=not bare, pulled_bars=left_handed)
    if not written.strokes:
        why = " ".join(written.notices) or "There is nothing to write in that text."
        raise NotAllowed(f"{why} Use letters, digits and marks.")
    for notice in written.notices:
        click.echo(f"note: {notice}", err=True)
    if as_json or to == "json":
        from larkslate import jsonform

        content = (jsonform.dump(to_json(written)) + "\n").encode()
    else:
        drawing = svg(
            written,
            ruling=rule,
            trace=trace or "solid",
            arrows=guided,
            numbers=guided,
            start_dot=guided,
        )
        content = f"{drawing}\n".encode() if to != "pdf" else page(drawing, written)
        if to == "pdf":
            out = out or Path("pen.pdf")
    if out is None:
        click.echo(content.decode(), nl=False)
    else:
        write_file(out, content)
        click.echo(str(out))
    return 0


def measure(size: str) -> str | float:
    """A size as it was typed: millimeters where it is a number, else a name."""
    try:
        return float(size.removesuffix("mm"))
    except ValueError:
        return size


def page(drawing: str, written: Written) -> bytes:
    """The drawing as a tagged PDF of its own size."""
    import typst

    from larkslate.handwriting import describe

    return typst.compile(
        PAGE,
        format="pdf",
        ignore_system_fonts=True,
        pdf_standards=["ua-1"],
        sys_inputs={"drawing": drawing, "title": written.text, "alt": describe(written)},
    )
