"""Commands about the installation: serve, doctor."""

from __future__ import annotations

from pathlib import Path

import click

JSON = click.option("--json", "as_json", is_flag=True, help="Answer as documented in docs/json.md.")


@click.command()
@click.option("--port", type=click.IntRange(1, 65535), help="The port; else the first free one.")
@click.option("--no-browser", is_flag=True, help="Open no browser.")
@click.option(
    "--data",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="The folder for classes and answers; else the usual one of this computer.",
)
@click.option(
    "--demo", is_flag=True, help="Open the invented class, in a folder of its own beside yours."
)
def serve(port: int | None, no_browser: bool, data: Path | None, demo: bool) -> int:
    """Open the workbench on this computer. Nothing is reachable from another one."""
    from larkslate.desk import Desk
    from larkslate.web.serve import serve as run

    if demo:
        data = demo_folder(data)
    run(port, not no_browser, Desk(), lambda line: click.echo(line, err=True), data)
    return 0


def demo_folder(chosen: Path | None) -> Path:
    """The folder of the invented class, filled where it is empty; never one with a real class in it."""
    from larkslate.school.folder import DATABASE, data_folder

    folder = chosen or data_folder() / "demo"
    if not _holds_demo(folder / DATABASE):
        from larkslate.school import demo
        from larkslate.school.store import School

        school = School.open(folder)
        try:
            demo.load(school)
        finally:
            school.close()
    click.echo(
        "This is an invented class, for looking around. Your own: `larkslate serve`, or with the launcher "
        "`python3 run.py serve`.",
        err=True,
    )
    return folder


def _holds_demo(database: Path) -> bool:
    """Whether the invented class is there already; asked without the parts that make the first page wait."""
    import sqlite3
    from contextlib import closing

    if not database.exists():
        return False
    try:
        address = f"{database.absolute().as_uri()}?mode=ro"
        with closing(sqlite3.connect(address, uri=True)) as connection:
            return connection.execute("SELECT 1 FROM class WHERE invented").fetchone() is not None
    except sqlite3.Error:  # an older or damaged file: opening it properly says what to do
        return False


@click.command()
@click.option("--build", is_flag=True, help="Build the word list anew first.")
@JSON
def doctor(build: bool, as_json: bool) -> int:
    """Check the installation, the data and the fonts; say what to do about what is wrong."""
    from larkslate.desk import bar, build_lexicon
    from larkslate.doctor import examine

    if build:
        build_lexicon(bar)
    findings = tuple(examine())
    if as_json:
        from larkslate import jsonform

        click.echo(
            jsonform.dump(
                {
                    "well": all(f.well for f in findings),
                    "checks": [
                        {"check": f.check, "well": f.well, "found": f.found, "do": f.do or None}
                        for f in findings
                    ],
                }
            )
        )
    else:
        for f in findings:
            click.echo(f"{'well ' if f.well else 'WRONG'}  {f.check:10}  {f.found}")
            if not f.well and f.do:
                click.echo(f"{'':19}{f.do}")
    wrong = [f.check for f in findings if not f.well]
    if wrong:
        raise click.ClickException(f"Something is wrong with: {', '.join(wrong)}; see above.")
    return 0
