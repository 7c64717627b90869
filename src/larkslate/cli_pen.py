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
@click.option("--line", "size", default="grade 3", metavar="SIZE", show_default=True)
@click.option(
    "--trace",
    type=click.Choice(["solid", "dotted", "outlined", "faded"]),
    default="solid",
    show_default=True,
)
@click.option("--path", "guided", is_flag=True, help="Start dots, arrows and numbers.")
@click.option("--to", type=click.Choice(["svg", "pdf", "json"]), default="svg", show_default=True)
@click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="Write it here.")
@JSON
def pen(
    text: str,
    hand: str,
    slant: float,
    size: str,
    trace: str,
    guided: bool,
    to: str,
    out: Path | None,
    as_json: bool,
) -> int:
    """Write one line of text as a class is taught to write it.

    SVG and JSON go to standard output without --out; a PDF is then pen.pdf. --json is short for --to json.
    """
    from larkslate.handwriting import ruling, svg, to_json, write

    written = write(text, hand, slant=slant)
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
            ruling=ruling(size=size),
            trace=trace,
            arrows=guided,
            numbers=guided,
            start_dot=guided,
        )
        content = f"{drawing}\n".encode() if to == "svg" else page(drawing, written)
        if to == "pdf":
            out = out or Path("pen.pdf")
    if out is None:
        click.echo(content.decode(), nl=False)
    else:
        write_file(out, content)
        click.echo(str(out))
    return 0


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
