"""What a person may get wrong, each answered in one line that says what to do."""

from __future__ import annotations

import errno
import json
import os
import shutil
import socket
import sqlite3
import subprocess
import sys
from pathlib import Path

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


# ---- commands about words --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("command", "says"),
    [
        (("wurd", "catch"), "No such command 'wurd'"),
        (("word",), "Missing argument 'WORD...'"),
        (("word", ""), "There is no word there"),
        (("word", "two words"), "ask for one at a time"),
        (("word", "catch", "--jason"), "No such option"),
        (("points", "extra"), "unexpected extra argument"),
        (("text", "none.txt", "--through", "3"), "none.txt cannot be read"),
        (("text", "none.txt"), "Missing option '--through'"),
        (("text", "none.txt", "--through", "G9.99"), "There is no point 'G9.99'"),
        (("text", "none.txt", "--through", "99"), "this sequence has units 1 to"),
        (("find",), "Nothing to find"),
        (("find", "--needs", "gp:xx=Q"), "see `larkslate skills`"),
        (("find", "--sounds", "K QQ"), "“QQ” is not an ARPAbet symbol"),
        (("find", "--type", "round"), "no such syllable type"),
        (("find", "--needs", "gp:tch=CH", "--through", "K9"), "There is no point 'K9'"),
        (("spelled", "catch"), "Missing argument 'WRITTEN'"),
        (("spelled", "12", "12"), "has no letter in it"),
        (("serve", "--port", "0"), "Invalid value for '--port'"),
    ],
)
def test_a_wrong_command_is_refused_in_one_line(
    capsys: pytest.CaptureFixture[str], command: tuple[str, ...], says: str
) -> None:
    assert says in refused(capsys, *command)


def test_an_empty_text_and_one_that_is_not_text_are_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "lake.txt"
    for content, says in (
        (b"", "is empty"),
        (b" \n\n", "is empty"),
        (b"?! ...\n", "There is no word in the text"),
        ("one\ntwo caf\u00e9\n".encode("latin-1"), "line 2: this is not UTF-8 text"),
    ):
        file.write_bytes(content)
        assert says in refused(capsys, "text", str(file), "--through", "3")


@pytest.mark.usefixtures("word_list")
def test_typographic_marks_are_no_fault(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "lake.txt"
    file.write_text("“Don’t run,” said the man—‘it’s hot’…", encoding="utf-8")
    code, plain, _ = run(capsys, "text", str(file), "--through", "16", "--json")
    file.write_text("\"Don't run,\" said the man - 'it's hot'...", encoding="utf-8")
    assert run(capsys, "text", str(file), "--through", "16", "--json") == (code, plain, "")
    sentence = ("--sentence", "“The dog wagged it’s tail.”", "--json")
    code, found, _ = run(capsys, "spelled", "its", "it’s", *sentence)
    assert code == 1
    assert '"primary": "A.PRON"' in found


# ---- the word list ---------------------------------------------------------------------------


def test_a_word_list_that_is_not_there_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LARKSLATE_CACHE", str(tmp_path))
    monkeypatch.delenv("LARKSLATE_LAUNCHER", raising=False)
    line = refused(capsys, "word", "catch")
    assert "has not been built yet" in line
    assert "larkslate doctor --build" in line


@pytest.mark.parametrize(
    "content", [b"", b"not a word list at all, but long enough to look like one"]
)
def test_a_word_list_of_another_version_or_damaged_is_told_and_run_py_builds_it(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    word_list: Path,
    content: bytes,
) -> None:
    old = tmp_path / word_list.name
    old.write_bytes(content)
    monkeypatch.setenv("LARKSLATE_CACHE", str(tmp_path))
    monkeypatch.delenv("LARKSLATE_LAUNCHER", raising=False)
    assert "larkslate doctor --build" in refused(capsys, "word", "catch")

    def build(_progress: object) -> None:
        shutil.copy(word_list, old)

    monkeypatch.setenv("LARKSLATE_LAUNCHER", "run.py")
    monkeypatch.setattr("larkslate.desk.build_lexicon", build)
    code, out, err = run(capsys, "word", "catch", "--json")
    assert (code, err) == (0, "Building the word list. This happens once.\n")
    assert '"word": "catch"' in out


def test_a_word_list_by_another_version_is_told(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    word_list: Path,
) -> None:
    old = tmp_path / word_list.name
    shutil.copy(word_list, old)
    with sqlite3.connect(old) as changed:
        changed.execute("UPDATE meta SET value = 'another' WHERE key = 'stamp'")
    changed.close()
    monkeypatch.setenv("LARKSLATE_CACHE", str(tmp_path))
    monkeypatch.delenv("LARKSLATE_LAUNCHER", raising=False)
    assert "another version" in refused(capsys, "word", "catch")


# ---- the workbench ---------------------------------------------------------------------------


def test_a_port_in_use_is_told(
    capsys: pytest.CaptureFixture[str], word_list: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LARKSLATE_CACHE", str(word_list.parent))
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        line = refused(capsys, "serve", "--port", str(port), "--no-browser")
    assert (
        line
        == f"Port {port} cannot be used (another program has it): leave out --port, or name another."
    )


def test_a_reader_that_has_seen_enough_is_no_fault(word_list: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "larkslate", "points", "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "LARKSLATE_CACHE": str(word_list.parent)},
    ) as points:
        assert points.stdout is not None
        assert points.stderr is not None
        assert points.stdout.read(1) == b"["
        points.stdout.close()
        complaint = points.stderr.read()
    assert (points.returncode, complaint) == (0, b"")


# ---- a class's spellings ---------------------------------------------------------------------

ROWS = "student,target,written\nA1,catch,cach\n"


@pytest.mark.usefixtures("word_list")
@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "The file is empty"),
        ("student,target,written\n", "has a header but no rows"),
        ("student,word,written\nA1,catch,cach\n", "target is not there"),
        ("student,target,written,target\nA1,a,a,a\n", "target stands twice"),
        (ROWS + "A1,,napkin\n", "row 3: there is no target"),
        (ROWS + "A1,napkin,nap,kin\n", "row 3: 4 cells, but the header names 3"),
        (ROWS + 'A1,"napkin,napkin\n', "quotation mark that is not closed"),
        ("student,target,written,status\nA1,catch,,gone\n", "row 2: the status 'gone'"),
    ],
)
def test_a_fault_in_a_class_file_names_its_row_and_the_remedy(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, content: str, says: str
) -> None:
    file = tmp_path / "class.csv"
    file.write_text(content, encoding="utf-8")
    assert says in refused(capsys, "mark", str(file))


def test_a_class_file_that_is_not_there_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert "There is no file none.csv" in refused(capsys, "mark", "none.csv")
    assert "There is no point" in refused(capsys, "mark", "none.csv", "--through", "G9.99")


@pytest.mark.usefixtures("word_list")
def test_a_class_file_in_an_old_code_page_is_read_and_the_teacher_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "class.csv"
    file.write_bytes((ROWS + "José,don't,don\u2019t\n").encode("cp1252"))
    code, out, err = run(capsys, "mark", str(file), "--json")
    assert (code, err) == (0, "")
    found = json.loads(out)
    assert [s["student"] for s in found["students"]] == ["A1", "José"]
    assert found["students"][1]["items"][0]["right"] is True
    assert "not UTF-8" in found["notes"][0]


@pytest.mark.usefixtures("word_list")
def test_ten_thousand_rows_are_marked(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    words = ("catch,cach", "napkin,napkin", "hopping,hoping", "don't,dont")
    rows = [f"S{n % 25},{words[n % 4]}\n" for n in range(10_000)]
    file = tmp_path / "class.csv"
    file.write_text("student,target,written\n" + "".join(rows), encoding="utf-8")
    code, out, _ = run(capsys, "mark", str(file), "--json")
    assert code == 0
    found = json.loads(out)
    assert sum(len(s["items"]) for s in found["students"]) == 10_000
    file.write_text("student,target,written\n" + "".join(rows) + "S1,,x\n", encoding="utf-8")
    assert "row 10002" in refused(capsys, "mark", str(file))


# ---- writing by hand -------------------------------------------------------------------------


def test_what_cannot_be_written_is_told(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert "no letter for" in refused(capsys, "pen", "é")
    assert "nothing to write" in refused(capsys, "pen", " ")
    assert "is a folder" in refused(capsys, "pen", "lake", "--out", str(tmp_path))
    missing = tmp_path / "none" / "lake.svg"
    assert "is not there: make it" in refused(capsys, "pen", "lake", "--out", str(missing))
    code, out, err = run(capsys, "pen", "café")
    assert (code, out[:4]) == (0, "<svg")
    assert err.startswith("note: ")


# ---- lessons ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("command", "says"),
    [
        (("plan",), "Missing option '--unit'"),
        (("plan", "--unit", "99"), "this sequence has units 1 to"),
        (("plan", "--unit", "x"), "'x' is not a valid integer"),
        (("make", "3.4"), "Missing option '--kind'"),
        (("make", "3.x", "--kind", "teacher"), "write unit and lesson, as in 3.4"),
        (("make", "0", "--kind", "teacher"), "write unit and lesson, as in 3.4"),
        (("make", "3.4", "--kind", "song"), "There is no “song”: choose one of"),
        (("make", "3.4", "--kind", "teacher", "--to", "gif"), "made as pdf, not as gif"),
        (("make", "3.4", "--kind", "teacher"), "run `larkslate plan --unit 3 --out plan.json`"),
        (("make", "3.4", "--kind", "teacher", "--plan", "none.json"), "none.json cannot be read"),
    ],
)
def test_a_wrong_lesson_is_refused(
    capsys: pytest.CaptureFixture[str], command: tuple[str, ...], says: str
) -> None:
    assert says in refused(capsys, *command)


@pytest.mark.usefixtures("word_list")
def test_a_plan_that_does_not_fit_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    plan = tmp_path / "plan.json"
    assert run(capsys, "plan", "--unit", "1", "--out", str(plan))[0] == 0
    make = ("--kind", "teacher", "--plan", str(plan))
    assert "has no lesson 99" in refused(capsys, "make", "1.99", *make)
    assert "is the plan of unit 1, not of unit 2" in refused(capsys, "make", "2.1", *make)
    missing = ("--out", str(tmp_path / "none" / "x.pdf"))
    assert "is not there: make it" in refused(capsys, "make", "1.1", *make, *missing)
    plan.write_text("{}", encoding="utf-8")
    assert "is not a plan" in refused(capsys, "make", "1.1", *make)
    plan.write_text("not JSON", encoding="utf-8")
    assert "not JSON" in refused(capsys, "make", "1.1", *make)
    plan.write_text('{"version": 999}', encoding="utf-8")
    assert "make the plan again" in refused(capsys, "make", "1.1", *make)


def test_a_folder_that_may_not_be_written_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def denied(path: Path, _content: bytes) -> int:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    monkeypatch.setattr(Path, "write_bytes", denied)  # root may write anywhere, so it is played
    line = refused(capsys, "pen", "lake", "--out", str(tmp_path / "lake.svg"))
    assert "cannot be written (Permission denied): close the file if it is open" in line
