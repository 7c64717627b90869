"""The command line: shapes, order, exit codes, and a start that loads only what it needs."""

from __future__ import annotations

import io
import json
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from larkslate import cli, cli_plan, cli_serve
from larkslate.words.lexicon import Lexicon
from larkslate.words.model import MorphemeKind, Status, SyllableDetail, SyllableType
from tests.conftest import ROOT

pytestmark = pytest.mark.usefixtures("word_list")
Capture = pytest.CaptureFixture[str]
TYPES = {t.value for t in SyllableType}
DETAILS = {None, *(d.value for d in SyllableDetail)}
KINDS = {k.value for k in MorphemeKind}


def run(capsys: Capture, *arguments: str) -> tuple[int, str]:
    """One command: its exit code and output; errors must be empty."""
    code = cli.main(arguments)
    done = capsys.readouterr()
    assert done.err == ""
    return code, done.out


def answer(capsys: Capture, *arguments: str) -> tuple[int, Any]:
    """One command with --json: its exit code and its one value."""
    code, out = run(capsys, *arguments, "--json")
    (line,) = out.splitlines()
    return code, json.loads(line)


# ---- word ------------------------------------------------------------------------------------


def test_word_answers_one_line_a_word_in_the_order_asked(capsys: Capture) -> None:
    code, out = run(capsys, "word", "napkin", "catch", "napkin", "--json")
    assert code == 0
    assert [json.loads(line)["word"] for line in out.splitlines()] == ["napkin", "catch", "napkin"]


def test_word_has_the_shape_of_the_contract(capsys: Capture) -> None:
    code, catch = answer(capsys, "word", "catch")
    assert code == 0
    assert list(catch) == [
        "word",
        "status",
        "zipf",
        "readings",
        "contraction",
        "homophones",
        "in_reach_from",
    ]
    (reading,) = catch["readings"]
    assert list(reading) == [
        "phonemes",
        "ipa",
        "pos",
        "graphemes",
        "syllables",
        "division",
        "also",
        "morphemes",
        "joins",
        "needs",
        "odd",
        "why",
    ]
    assert reading["phonemes"] == ["K", "AE1", "CH"]
    assert reading["graphemes"][2] == {"letters": "tch", "at": [[2, 5]], "phonemes": ["CH"]}
    assert reading["syllables"] == [
        {"letters": "catch", "at": [0, 5], "type": "closed", "detail": None, "stress": 1}
    ]
    assert {"skill": "gp:tch=CH", "at": [[2, 5]]} in reading["needs"]
    assert catch["contraction"] is None
    assert catch["in_reach_from"] == "G3.01c"


def test_a_split_vowel_has_two_spans(capsys: Capture) -> None:
    _, make = answer(capsys, "word", "make")
    split = [g for g in make["readings"][0]["graphemes"] if "_" in g["letters"]]
    assert split == [{"letters": "a_e", "at": [[1, 2], [3, 4]], "phonemes": ["EY1"]}]


def test_a_join_stands_at_the_first_letter_of_the_ending(capsys: Capture) -> None:
    _, hopping = answer(capsys, "word", "hopping")
    (reading,) = hopping["readings"]
    assert reading["morphemes"] == [
        {"letters": "hopp", "at": [0, 4], "kind": "base", "form": "hop"},
        {"letters": "ing", "at": [4, 7], "kind": "ending", "form": "ing"},
    ]
    assert reading["joins"] == [{"at": 4, "change": "double"}]
    assert reading["division"] == "hop-ping"


def test_a_contraction_tells_its_full_form(capsys: Capture) -> None:
    for asked in ("doesn't", "doesn’t"):
        _, found = answer(capsys, "word", asked)
        assert found["word"] == "doesn't"
        (form,) = found["contraction"]["forms"]
        assert form["full"] == ["does", "not"]
        assert form["dropped"] == ["o"]
        assert form["apostrophe"] == 5
        assert form["steps"]
        assert set(form["steps"][0]) == {"kind", "says", "at"}


def test_an_unknown_word_is_told_and_the_rest_is_answered(capsys: Capture) -> None:
    code, out = run(capsys, "word", "zzyq", "catch", "--json")
    assert code == 1
    unknown, catch = map(json.loads, out.splitlines())
    assert (unknown["word"], unknown["status"], unknown["readings"]) == ("zzyq", "unknown", [])
    assert unknown["in_reach_from"] is None
    assert catch["word"] == "catch"
    code, text = run(capsys, "word", "zzyq")
    assert code == 1
    assert "not in the word list" in text


def test_words_come_from_standard_input(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    lines = "catch\n\n  napkin \r\ndoesn’t\n".encode()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(lines)))
    code, out = run(capsys, "word", "make", "-", "--json")
    assert code == 0
    words = [json.loads(line)["word"] for line in out.splitlines()]
    assert words == ["make", "catch", "napkin", "doesn't"]


def spelled_by(word: str, spans: list[list[int]]) -> str:
    return "".join(word[a:b] for a, b in spans)


def test_every_span_of_common_words_is_in_the_word_and_every_name_is_known(
    capsys: Capture, lexicon: Lexicon
) -> None:
    words = [e.word for e in lexicon.entries(3.5)][::40]
    assert len(words) > 200
    code, out = run(capsys, "word", *words, "--json")
    assert code == 0
    for asked, line in zip(words, out.splitlines(), strict=True):
        found = json.loads(line)
        word = found["word"]
        assert word == asked
        assert found["status"] in {s.value for s in Status} - {"unknown"}
        for reading in found["readings"]:
            for g in reading["graphemes"]:
                letters = spelled_by(word, g["at"]).lower()
                assert letters == g["letters"].replace("_", ""), (word, g)
            for s in reading["syllables"]:
                assert word[slice(*s["at"])].lower() == s["letters"].lower(), word
                assert s["type"] in TYPES
                assert s["detail"] in DETAILS
                assert s["stress"] in (0, 1, 2)
            for m in reading["morphemes"]:
                assert word[slice(*m["at"])].lower() == m["letters"].lower(), word
                assert m["kind"] in KINDS
            for need in reading["needs"]:
                assert all(0 <= a < b <= len(word) for a, b in need["at"]), (word, need)
            if reading["syllables"]:
                assert reading["division"] == "-".join(s["letters"] for s in reading["syllables"])
            assert all(isinstance(line, str) and line for line in reading["why"])


# ---- text, find, spelled, tables -------------------------------------------------------------


def test_text_says_what_is_out_of_reach_and_where(capsys: Capture, tmp_path: Path) -> None:
    file = tmp_path / "lake.txt"
    file.write_text("The cat sat.\nThe “bridge” isn’t far, 12 cats thought.\n", encoding="utf-8")
    code, found = answer(capsys, "text", str(file), "--through", "K2")
    assert code == 1
    assert found["words"] == 10
    assert found["in_reach"] == 10 - len(found["out_of_reach"])
    bridge = next(w for w in found["out_of_reach"] if w["word"] == "bridge")
    assert bridge["line"] == 2
    assert file.read_text(encoding="utf-8")[slice(*bridge["at"])] == "bridge"
    assert bridge["in_reach_from"] == "G3.01d"
    assert bridge["missing"] == [{"skill": "gp:dge=JH", "at": [[3, 6]]}]
    assert "G3.01d" in bridge["why"]
    number = next(w for w in found["out_of_reach"] if w["word"] == "12")
    assert number["why"] == "a number in figures: write it in words"
    file.write_text("The cat sat on the mat.\n", encoding="utf-8")
    code, found = answer(capsys, "text", str(file), "--through", "K2")
    assert (code, found["out_of_reach"], found["share"]) == (0, [], 1.0)


def test_find_gives_words_that_need_the_skill_and_are_in_reach(capsys: Capture) -> None:
    code, found = answer(capsys, "find", "--needs", "gp:tch=CH", "--through", "1", "--limit", "5")
    assert code == 0
    assert found["count"] >= len(found["words"]) == 5
    for one in found["words"]:
        assert "tch" in one["word"]
        assert one["in_reach_from"] is not None
    code, none = answer(capsys, "find", "--needs", "gp:tch=CH", "--syllables", "9")
    assert (code, none) == (1, {"count": 0, "words": []})


def test_spelled_has_the_shape_of_the_contract(capsys: Capture) -> None:
    code, found = answer(capsys, "spelled", "catch", "cach")
    assert code == 1
    assert list(found)[:9] == [
        "target",
        "written",
        "right",
        "letter_sequences",
        "elements",
        "primary",
        "findings",
        "credited",
        "missed",
    ]
    assert found["letter_sequences"] == {"right": 4, "of": 6}
    assert found["elements"][-1] == {"target": "tch", "written": "ch", "score": 2}
    assert found["primary"] == "O.FIN"
    assert found["missed"] == ["G3.01c"]
    assert set(found["findings"][0]) == {"code", "target", "written", "says", "alternatives"}
    code, found = answer(capsys, "spelled", "catch", "catch")
    assert (code, found["right"], found["primary"], found["findings"]) == (0, True, None, [])


def test_points_and_skills_are_two_sides_of_one_table(capsys: Capture) -> None:
    _, points = answer(capsys, "points")
    _, skills = answer(capsys, "skills")
    taught = {(p["point"], s) for p in points for s in p["skills"]}
    assert taught == {(p, s["skill"]) for s in skills for p in s["points"]}
    assert [p["unit"] for p in points if p["unit"]] == sorted(
        p["unit"] for p in points if p["unit"]
    )


def test_doctor_finds_this_installation_well(capsys: Capture) -> None:
    code, found = answer(capsys, "doctor")
    assert code == 0
    assert found["well"] is True
    assert all(c["well"] and c["found"] for c in found["checks"])


@pytest.mark.parametrize(
    "command",
    [
        ("word", "catch", "doesn't", "record"),
        ("find", "--needs", "gp:tch=CH"),
        ("spelled", "catch", "cach"),
        ("points",),
        ("skills",),
        ("doctor",),
        ("--help",),
        ("word", "--help"),
    ],
    ids=" ".join,
)
def test_text_for_people_is_aligned_and_has_no_trailing_blanks(
    capsys: Capture, command: tuple[str, ...]
) -> None:
    _, out = run(capsys, *command)
    assert out.endswith("\n")
    assert not [line for line in out.splitlines() if line != line.rstrip()]


# ---- plan, make, mark, pen -------------------------------------------------------------------


@pytest.fixture(scope="module")
def plan_file(word_list: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A stored plan of the first unit."""
    assert word_list.exists()
    path = tmp_path_factory.mktemp("plan") / "unit-1.json"
    assert cli.main(["plan", "--unit", "1", "--out", str(path)]) == 0
    return path


def test_a_plan_ends_with_its_proof_and_is_the_same_again(
    capsys: Capture, plan_file: Path, tmp_path: Path
) -> None:
    code, found = answer(capsys, "plan", "--unit", "1")
    assert code == 0
    assert list(found)[-1] == "audit"
    audit = found["audit"]
    assert audit["uses"] > 100
    assert audit["out_of_reach"] == []
    assert isinstance(audit["repeats"], list)
    assert audit["coverage"]
    assert all(isinstance(n, int) for n in audit["coverage"].values())
    assert json.loads(plan_file.read_text(encoding="utf-8")) == found
    other = tmp_path / "other.json"
    code, out = run(capsys, "plan", "--unit", "1", "--seed", "7", "--out", str(other))
    assert code == 0
    assert out.splitlines()[-1].startswith(f"Stored in {other}.")
    assert json.loads(other.read_text(encoding="utf-8"))["seed"] == 7


def test_make_writes_the_pages_of_a_lesson_and_of_a_unit(
    capsys: Capture, plan_file: Path, tmp_path: Path
) -> None:
    for lesson in ("1.1", "1"):
        path = tmp_path / f"{lesson}.pdf"
        code, found = answer(
            capsys,
            "make",
            lesson,
            "--plan",
            str(plan_file),
            "--kind",
            "teacher",
            "--out",
            str(path),
        )
        assert code == 0
        assert found["file"] == str(path)
        assert found["bytes"] == path.stat().st_size
        assert path.read_bytes().startswith(b"%PDF")
    assert len(pypdfium2.PdfDocument(tmp_path / "1.pdf")) > len(
        pypdfium2.PdfDocument(tmp_path / "1.1.pdf")
    )


def test_mark_marks_a_class_and_exits_0_whatever_it_finds(capsys: Capture) -> None:
    file = str(ROOT / "docs" / "examples" / "class.csv")
    code, found = answer(capsys, "mark", file, "--through", "16")
    assert code == 0
    assert found["through"] == "16"
    first, second = found["students"]
    assert (first["student"], first["words"]) == ("A1", {"right": 1, "of": 3})
    assert (second["student"], second["words"]) == ("B2", {"right": 2, "of": 3})
    assert [i["primary"] for i in first["items"]] == [None, "M.JCT.DBL", "A.PRON"]
    code, early = answer(capsys, "mark", file, "--through", "K2")
    assert code == 0
    assert not [i for s in early["students"] for i in s["items"] if set(i["missed"]) & {"G3.01c"}]


def test_pen_draws_a_line_of_writing(capsys: Capture, tmp_path: Path) -> None:
    code, out = run(capsys, "pen", "Lake day", "--path")
    assert code == 0
    assert out.startswith("<svg ")
    assert "Lake day in joined writing" in out
    code, found = answer(capsys, "pen", "it", "--hand", "print")
    assert code == 0
    assert (found["text"], found["hand"]) == ("it", "print")
    assert {(s["from"], s["to"]) for s in found["strokes"]} == {(0, 1), (1, 2)}
    assert all(len(c) == 8 for s in found["strokes"] for c in s["curves"])
    path = tmp_path / "lake.pdf"
    code, out = run(capsys, "pen", "Lake day", "--to", "pdf", "--out", str(path))
    assert (code, out) == (0, f"{path}\n")
    assert len(pypdfium2.PdfDocument(path)) == 1


def test_pen_takes_ruling_size_slant_and_makes_sheets(capsys: Capture, tmp_path: Path) -> None:
    _, plain = run(capsys, "pen", "lake", "--size", "10", "--ruling", "baseline")
    assert plain.count("<line ") == 1
    _, three = run(
        capsys, "pen", "lake", "--size", "10mm", "--ruling", "three-line", "--slant", "8"
    )
    assert three.count("<line ") == 3
    assert 'height="21mm"' in plain  # one and a half times 10 mm, and 3 mm on both sides
    assert cli.main(("pen", "lake", "--size", "huge")) == 2
    assert capsys.readouterr().err.startswith("There is no size “huge”: choose grade 1")
    path = tmp_path / "names.pdf"
    code, out = run(
        capsys, "pen", "Ada, Ben", "--sheet", "name", "--paper", "a4", "--out", str(path)
    )
    assert (code, out) == (0, f"{path}\n")
    assert len(pypdfium2.PdfDocument(path)) == 2
    assert cli.main(("pen", "a", "--sheet", "letter", "--to", "svg")) == 2
    assert capsys.readouterr().err.startswith("A sheet is a PDF")


@pytest.mark.parametrize(
    ("text", "is_lesson"),
    [("3.4", (3, 4)), ("3", (3, None)), (" 12.10 ", (12, 10)), ("16", (16, None))],
)
def test_a_lesson_is_unit_and_lesson_or_a_whole_unit(
    text: str, is_lesson: tuple[int, int | None]
) -> None:
    assert cli_plan.parse_lesson(text) == is_lesson


def test_the_invented_class_is_put_into_a_folder_once(tmp_path: Path, capsys: Capture) -> None:
    folder = cli_serve.demo_folder(tmp_path / "demo")
    database = folder / "school.db"
    with closing(sqlite3.connect(database)) as connection:
        first = connection.execute("SELECT id, invented FROM class").fetchall()
    assert [invented for _, invented in first] == [1]
    again = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from pathlib import Path; from larkslate import cli_serve;"
            "cli_serve.demo_folder(Path(sys.argv[1])); print('sqlalchemy' in sys.modules)",
            str(folder),
        ],
        capture_output=True,
        text=True,
        check=True,
    )
    assert again.stdout == "False\n", "a second start must not wait for the database's tools"
    with closing(sqlite3.connect(database)) as connection:
        assert connection.execute("SELECT id, invented FROM class").fetchall() == first
    assert "invented class" in capsys.readouterr().err


# ---- a start that loads only what it needs ---------------------------------------------------

HEAVY = {
    "starlette",
    "uvicorn",
    "jinja2",
    "typst",
    "highspy",
    "numpy",
    "wordfreq",
    "lemminflect",
    "multiprocessing",
    "larkslate.words.building",
    "larkslate.plan",
    "larkslate.materials",
}


@pytest.mark.parametrize(
    "command", [["word", "catch", "--json"], ["points"], ["--help"]], ids=" ".join
)
def test_a_look_up_loads_nothing_heavy(command: list[str]) -> None:
    program = (
        "import sys; from larkslate import cli; cli.main(sys.argv[1:]);"
        "print(*sys.modules, sep='\\n', file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, *command], capture_output=True, text=True, check=True
    )
    assert not HEAVY & set(done.stderr.splitlines())
