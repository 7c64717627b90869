from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.assess.marks import read_marks, read_table
from larkslate.assess.model import Channel, ResponseStatus
from larkslate.errors import LarkslateError, Malformed, Missing

HEAD = "student,target,written\n"


def test_plain_rows() -> None:
    first, second = read_marks((HEAD + "Ann,match,mach\nBo,match,match\n").encode())
    assert (first.student, first.target, first.written, first.row) == ("Ann", "match", "mach", 2)
    assert second.status is ResponseStatus.WRITTEN


def test_all_columns_in_any_order() -> None:
    text = (
        "Date;Written;Target;Student;Sentence;Item;Status;Form;Channel;Practiced\r\n"
        '2026-11-25;"see";sea;Ann;"We swam; it was cold.";3;;B;home;yes\r\n'
    )
    (row,) = read_marks(text.encode())
    assert row.date == date(2026, 11, 25)
    assert row.sentence == "We swam; it was cold."
    assert (row.item, row.form, row.channel, row.practiced) == ("3", "B", Channel.HOME, True)
    assert row.sitting == "2026-11-25"


@pytest.mark.parametrize("text", ["11/25/2026", "11/25/26", "2026-11-25"])
def test_dates(text: str) -> None:
    (row,) = read_marks(f"student,target,written,date\nAnn,a,a,{text}\n".encode())
    assert row.date == date(2026, 11, 25)


def test_byte_order_mark_tabs_and_smart_apostrophes() -> None:
    data = "\ufeffstudent\ttarget\twritten\nAnn\tisn’t\tisn‘t\n".encode()
    (row,) = read_marks(data)
    assert (row.target, row.written) == ("isn't", "isn‘t")


def test_utf_16_from_a_spreadsheet() -> None:
    (row,) = read_marks((HEAD + "Zoë,cat,cat\n").encode("utf-16"))
    assert row.student == "Zoë"


def test_latin_1_is_read_and_said() -> None:
    table = read_table((HEAD + "Zoë,don’t,dont\n").encode("cp1252"))
    assert table.responses[0].student == "Zoë"
    assert "Windows-1252" in table.notes[0]
    assert "Latin-1" in read_table((HEAD + "Zo\x81,cat,cat\n").encode("latin-1")).notes[0]


def test_status_words() -> None:
    text = (
        "student,target,written,status\nA,cat,,blank\nB,cat,c?t,illegible\nC,cat,,absent\nD,cat,,\n"
    )
    table = read_table(text.encode())
    assert [r.status.value for r in table.responses] == ["blank", "illegible", "absent", "blank"]
    assert table.notes == ("1 row with nothing written counted as blank.",)


def test_every_bad_row_is_counted_and_ten_are_named() -> None:
    rows = "".join(f",cat,cat{i}\n" for i in range(14))
    with pytest.raises(Malformed) as caught:
        read_marks((HEAD + rows).encode())
    message = str(caught.value)
    assert message.startswith("14 rows cannot be read.")
    assert "row 2: there is no student" in message
    assert "row 11:" in message
    assert "row 12:" not in message
    assert "and 4 more" in message


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        ("\n\n", "empty"),
        (HEAD, "no rows"),
        ("name,word\nAnn,cat\n", "student and target and written are not there"),
        ("student,target,target,written\n", "stands twice"),
        (HEAD + "Ann,,cat\n", "row 2: there is no target"),
        (HEAD + "Ann,...,cat\n", "has no letter"),
        (HEAD + "Ann,cat,cat,cat\n", "4 cells"),
        (HEAD + 'Ann,cat,"cat\nBo,cat,cat\n', "quotation mark"),
        ("student,target,written,status\nAnn,cat,cat,gone\n", "use written, blank"),
        ("student,target,written,status\nAnn,cat,cat,absent\n", "keep one of the two"),
        ("student,target,written,status\nAnn,cat,,written\n", "nothing is"),
        ("student,target,written,date\nAnn,cat,cat,soon\n", "write it as 2026-11-25"),
        ("student,target,written,channel\nAnn,cat,cat,bus\n", "class or home"),
        ("student,target,written,practiced\nAnn,cat,cat,maybe\n", "yes or no"),
        (HEAD + f"Ann,cat,{'c' * 201}\n", "longer than 200"),
        (HEAD + "Ann,cat,c\x00t\n", "not a table of text"),
    ],
)
def test_errors_say_where_and_what_to_do(text: str, says: str) -> None:
    with pytest.raises(Malformed, match=says):
        read_marks(text.encode())


def test_missing_file(tmp_path: Path) -> None:
    with pytest.raises(Missing, match="There is no file"):
        read_marks(tmp_path / "none.csv")
    with pytest.raises(Missing, match="cannot be read"):
        read_marks(tmp_path)


def test_ten_thousand_rows(tmp_path: Path) -> None:
    path = tmp_path / "marks.csv"
    path.write_text(HEAD + "".join(f"s{i % 25},cat,cat\n" for i in range(10_000)), encoding="utf-8")
    assert len(read_marks(path)) == 10_000


def test_unused_columns_are_named() -> None:
    table = read_table(b"student,target,written,seat\nAnn,cat,cat,4\n")
    assert table.notes == ("These columns are not used: seat.",)


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused_in_words(data: bytes) -> None:
    for content in (data, HEAD.encode() + data):
        try:
            rows = read_marks(content)
        except LarkslateError as error:
            said = str(error)
        else:
            said = "."
            assert rows
        assert said.endswith(".")
