"""The command line: the same functions as the pages, from a shell.

Each command lives in a module of its own kind and is loaded when it is asked for, so that a look-up of one word
does not wait for the typesetter. Exit codes: 0 done; 1 an unknown word, a text with words out of reach, nothing
found, a spelling that is not right; 2 bad input, with one line on standard error that says what to do.
"""

from __future__ import annotations

import importlib
import os
import sys
from typing import TYPE_CHECKING, Any

import click

from larkslate import __version__
from larkslate.desk import one_line
from larkslate.errors import LarkslateError

if TYPE_CHECKING:
    from collections.abc import Sequence

# name -> module, one line for the list of commands. The order is the order of the list.
COMMANDS = {
    "serve": ("cli_serve", "Open the workbench in the browser."),
    "word": ("cli_words", "Everything known about a word."),
    "text": ("cli_words", "What in a text is out of reach after a point, and why."),
    "find": ("cli_words", "Words by structure."),
    "plan": ("cli_plan", "Plan a unit and prove that nothing untaught is asked for."),
    "make": ("cli_plan", "Make the pages of a lesson or a unit."),
    "pen": ("cli_pen", "Write a line by hand, as the class is taught to."),
    "spelled": ("cli_marks", "Diagnose one spelling."),
    "mark": ("cli_marks", "Diagnose a class from a file."),
    "skills": ("cli_words", "The skills, as a table."),
    "points": ("cli_words", "The teaching points in order, as a table."),
    "doctor": ("cli_serve", "Check the installation, the data and the fonts."),
}


class Commands(click.Group):
    """The commands, each loaded when asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The names in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The command of that name, or None."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"larkslate.{COMMANDS[cmd_name][0]}")
        command: click.Command = getattr(module, cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """The list for --help, without loading any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, about) for name, (_, about) in COMMANDS.items()])


@click.command(cls=Commands, no_args_is_help=False, invoke_without_command=False)
@click.version_option(__version__, prog_name="larkslate", message="%(prog)s %(version)s")
def larkslate() -> None:
    """Word study, spelling and handwriting for a classroom of grades 2 to 4.

    Answers come as text, or with --json as documented in docs/json.md.
    """


def complaint(error: click.ClickException) -> str:
    """What Click found wrong, as one line that says what to do."""
    text = " ".join(error.format_message().split())
    if not text.endswith((".", "?", "!")):
        text += "."
    if isinstance(error, click.UsageError):
        text += f" See: {error.ctx.command_path if error.ctx else 'larkslate'} --help"
    return text


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # sounds are written in letters that old code pages lack
            stream.reconfigure(encoding="utf-8")
    try:
        result: Any = larkslate.main(
            args=list(arguments) if arguments is not None else None,
            prog_name="larkslate",
            standalone_mode=False,
        )
        sys.stdout.flush()
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.ClickException as error:
        click.echo(complaint(error), err=True)
        return 2
    except click.Abort:
        return 130
    except LarkslateError as error:
        click.echo(one_line(str(error)), err=True)
        return 2
    except BrokenPipeError:  # the reader of our output has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return result if isinstance(result, int) else 0


if __name__ == "__main__":
    sys.exit(main())
