"""Commands about the installation: serve, doctor."""

from __future__ import annotations

import click

JSON = click.option("--json", "as_json", is_flag=True, help="Answer as documented in docs/json.md.")


@click.command()
@click.option("--port", type=click.IntRange(1, 65535), help="The port; else the first free one.")
@click.option("--no-browser", is_flag=True, help="Open no browser.")
def serve(port: int | None, no_browser: bool) -> int:
    """Open the workbench on this computer. Nothing is reachable from another one."""
    from larkslate.web.serve import serve as run

    run(port, not no_browser, lambda line: click.echo(line, err=True))
    return 0
