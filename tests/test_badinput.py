"""What a person may get wrong, each answered in one line that says what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from larkslate import cli, cli_csv
from larkslate.errors import Malformed

Fault = tuple[int, str]


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


# ---- a class's spellings ---------------------------------------------------------------------

GOOD = "student,target,written\nA1,catch,cach\n"


def write(folder: Path, content: str | bytes) -> str:
    path = folder / "class.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return str(path)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "class.csv is empty"),
        ("\n \n", "class.csv is empty"),
        ("student,target,written\n", "no rows"),
        ("student,word,written\nA1,catch,cach\n", "line 1: the column “target” is missing"),
        ("student,target,written,mark\nA1,catch,cach,0\n", "line 1: “mark” is not a column"),
        ("student,target,written,target\nA1,a,a,a\n", "line 1: a column stands twice"),
        ("student;target;written\nA1;catch;cach\n", "line 1: the columns are not separated by"),
        (GOOD + ",napkin,napkin\n", "line 3: “student” is empty"),
        (GOOD + "A1,,napkin\n", "line 3: “target” is empty"),
        (GOOD + "A1,napkin,nap,kin\n", "line 3: 4 cells under 3 columns"),
        (GOOD + 'A1,"napkin,napkin\n', "line 3"),
        ("student,target,written,status\nA1,catch,,gone\n", "line 2: “gone” is not a status"),
        ("student,target,written,status\nA1,catch,,written\n", "line 2: the status says written"),
        ("student,target,written,date\nA1,catch,cach,11/25\n", "line 2: “11/25” is not a date"),
        ((GOOD + "José,napkin,napkin\n").encode("latin-1"), "line 3: this is not UTF-8 text"),
    ],
)
def test_a_fault_in_a_class_file_names_its_line_and_the_remedy(
    tmp_path: Path, content: str | bytes, says: str
) -> None:
    with pytest.raises(Malformed) as fault:
        cli_csv.read(write(tmp_path, content))
    message = str(fault.value)
    assert says in message
    assert "\n" not in message


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(Malformed, match="cannot be read"):
        cli_csv.read(str(tmp_path / "none.csv"))


def test_columns_may_stand_in_any_order_and_a_spreadsheet_may_add_its_mark(tmp_path: Path) -> None:
    path = write(
        tmp_path, "\ufeffWritten, Student ,TARGET,Sentence\r\ndon’t,A1,don't,“Don’t go.”\r\n"
    )
    (one,) = cli_csv.read(path)
    assert (one.student, one.target, one.written, one.sentence) == (
        "A1",
        "don't",
        "don't",
        "“Don’t go.”",
    )
    assert one.row == 2


def test_nothing_written_is_blank_and_absent_is_absent(tmp_path: Path) -> None:
    path = write(tmp_path, "student,target,written,status\nA1,catch,\nA2,catch,,absent\n")
    assert [r.status.value for r in cli_csv.read(path)] == ["blank", "absent"]


def test_ten_thousand_rows_are_read_and_a_fault_in_the_last_is_named(tmp_path: Path) -> None:
    rows = "".join(f"S{n % 25},catch,cach\n" for n in range(10_000))
    assert len(cli_csv.read(write(tmp_path, "student,target,written\n" + rows))) == 10_000
    with pytest.raises(Malformed, match="line 10002"):
        cli_csv.read(write(tmp_path, "student,target,written\n" + rows + "S1,,x\n"))
