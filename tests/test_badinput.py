"""What a person may get wrong, each answered in one line that says what to do."""

from __future__ import annotations

import pytest

from larkslate import cli


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """One command: its exit code, output and errors."""
    code = cli.main(arguments)
    done = capsys.readouterr()
    return code, done.out, done.err


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """The one line that refuses a command."""
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    lines = err.splitlines()
    assert len(lines) == 1, err
    assert lines[0].endswith((".", "--help"))
    return lines[0]
