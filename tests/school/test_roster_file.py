"""A class list from a file or a paste: every bad input has a row, a cause and a remedy."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.errors import Malformed, NotAllowed
from larkslate.school import roster, roster_file
from larkslate.school.model import Classroom, Hand, Student
from larkslate.school.roster_file import read, shortened
from larkslate.school.store import School


def labels(source: bytes | str) -> list[str]:
    found = read(source)
    assert found.faults == ()
    return [r.label for r in found.rows]


def test_a_full_list_is_read() -> None:
    found = read(
        "Student,Seat,Hand,Larger print,Extra time,Joined\n"
        "Ada Q.,1,left,18,yes,9/14/2026\n"
        "Ben T.,2,R,,no,\n"
    )
    ada, ben = found.rows
    assert (ada.label, ada.seat, ada.hand, ada.larger_print) == ("Ada Q.", 1, Hand.LEFT, 18)
    assert ada.extra_time is True
    assert ada.joined == date(2026, 9, 14)
    assert (ben.hand, ben.larger_print, ben.extra_time, ben.joined) == (
        Hand.RIGHT,
        None,
        False,
        None,
    )
    assert found.faults == ()
    assert found.notes == ()


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_marks_encodings_and_line_ends(mark: str, encoding: str, end: str) -> None:
    text = end.join([f"student{mark}seat", f"Zoë Q.{mark}3", ""])
    (row,) = read(text.encode(encoding)).rows
    assert (row.label, row.seat) == ("Zoë Q.", 3)


def test_latin_1_is_read_and_told() -> None:
    found = read("student\nJosé Q.\n".encode("latin-1"))
    assert found.rows[0].label == "José Q."
    assert "not UTF-8" in found.notes[0]


def test_a_plain_paste_needs_no_header() -> None:
    assert labels("Ada Q.\nBen T.\n\nCleo M.\n") == ["Ada Q.", "Ben T.", "Cleo M."]


def test_only_the_first_letter_of_a_last_name_is_kept() -> None:
    found = read("First name,Last name\nMia,Lindgren\nTom,\n")
    assert [r.label for r in found.rows] == ["Mia L.", "Tom"]
    assert found.notes == ("Only the first letter was kept of 1 last name.",)
    assert labels('student\n"Lindgren, Mia"\n') == ["Mia L."]
    assert labels("student\nMia Lindgren\nS-07\n") == ["Mia L.", "S-07"]


def test_columns_that_are_not_kept_are_not_read_and_named() -> None:
    found = read("student,birth date,IEP,favorite color\nAda Q.,2017-01-01,yes,red\n")
    assert found.rows[0].joined is None
    assert "birth date, IEP" in found.notes[0]
    assert "favorite color" in found.notes[1]


@pytest.mark.parametrize("source", ["", "  \n \n", b"", b"\xef\xbb\xbf"])
def test_an_empty_file(source: bytes | str) -> None:
    with pytest.raises(Malformed, match="nothing in the list"):
        read(source)


def test_a_header_without_students() -> None:
    with pytest.raises(Malformed, match="header but no students"):
        read("student,seat\n")


@pytest.mark.parametrize("header", ["foo,bar", "alumno;asiento", "1,2"])
def test_a_wrong_header_is_shown_with_what_is_wanted(header: str) -> None:
    with pytest.raises(Malformed, match=r"Row 1: the header is not known .*Name the columns"):
        read(f"{header}\nAda Q.,1\n")


def test_a_header_without_the_student() -> None:
    with pytest.raises(Malformed, match="no column names the student"):
        read("seat,hand\n1,left\n")


def test_two_columns_that_say_the_same() -> None:
    with pytest.raises(Malformed, match="student, name say the same thing"):
        read("student,name\nAda Q.,Ada\n")


def test_a_duplicate_student_names_both_rows() -> None:
    (fault,) = read("student\nAda Q.\nBen T.\nada q\n").faults
    assert (fault.row, fault.value) == (4, "ada q.")
    assert "stands in row 2 already" in fault.says
    assert str(fault).startswith("Row 4: ")


def test_every_bad_row_is_named() -> None:
    found = read(
        "student,seat,hand,larger print,extra time,joined\n"
        ",1,,,,\n"
        "Ben T.,first,,,,\n"
        "Cleo M.,2,both,,,\n"
        "Dov K.,3,left,200,,\n"
        "Elia S.,4,left,18,perhaps,\n"
        "Finn O.,5,left,18,yes,yesterday\n"
        "Gwen L.,6,left,18,yes,2026-09-14,extra\n"
        f"{'x' * 50},7,,,,\n"
        "Hal B.,8,,,,\n"
        "Ines V.,8,,,,\n"
    )
    assert [f.row for f in found.faults] == [2, 3, 4, 5, 6, 7, 8, 9, 11]
    told = " ".join(f.says for f in found.faults)
    for part in ("empty", "not a number", "left or right", "12 to 72", "yes or no", "2026-11-25"):
        assert part in told
    assert "given to Hal B. in row 10" in found.faults[-1].says
    assert [r.label for r in found.rows] == ["Hal B."]


def test_a_quotation_mark_left_open_names_its_row() -> None:
    with pytest.raises(Malformed, match="Row 3: a quotation mark"):
        read('student,seat\nAda Q.,1\n"Ben T.,2\nCleo M.,3\n')


def test_ten_thousand_rows_are_refused_at_once() -> None:
    text = "student\n" + "".join(f"S{n}\n" for n in range(10_000))
    with pytest.raises(Malformed, match=r"10,000 rows, a class at most 100 .*row 102"):
        read(text)
    with pytest.raises(Malformed, match="too long for a class list"):
        read(b"x" * 3_000_000)


@pytest.mark.parametrize(
    "data", [b"PK\x03\x04rest", b"%PDF-1.7", b"\xd0\xcf\x11\xe0old", b"a\x00b"]
)
def test_a_file_that_is_no_table(data: bytes) -> None:
    with pytest.raises(Malformed, match=r"save it as CSV"):
        read(data)


def test_who_is_there_already_is_brought_up_to_date(
    school: School, room: Classroom, students: tuple[Student, ...]
) -> None:
    found = roster_file.preview(school, room.id, "student,hand\nAda Q.,left\nNew N.,right\n")
    assert [r.known for r in found.rows] == [students[0].id, None]
    assert "1 is in the class already" in found.notes[0]
    done = roster.add_students(school, room.id, found)
    assert done[0].id == students[0].id
    assert done[0].hand is Hand.LEFT
    assert done[1].seat == 4
    assert len(roster.students(school, room.id)) == 4


@pytest.mark.usefixtures("students")
def test_a_seat_of_another_student_is_a_fault(school: School, room: Classroom) -> None:
    (fault,) = roster_file.preview(school, room.id, "student,seat\nNew N.,2\n").faults
    assert "seat 2 is Ben Q.’s in this class" in fault.says


def test_a_list_with_faults_is_not_added(school: School, room: Classroom) -> None:
    found = roster_file.preview(school, room.id, "student\nAda Q.\nAda Q.\n")
    with pytest.raises(NotAllowed, match="Nothing was added: Row 3"):
        roster.add_students(school, room.id, found)
    assert roster.students(school, room.id) == ()


NAMES = st.text(st.characters(categories=("Lu", "Ll", "Nd", "Zs", "Pd")), min_size=1, max_size=30)


@given(NAMES)
def test_shortening_twice_is_shortening_once(name: str) -> None:
    plain = " ".join(name.split())
    assert shortened(shortened(plain)) == shortened(plain)


CODES = st.from_regex(r"[A-Z]{1,3}-?[0-9]{1,4}", fullmatch=True)


@given(
    st.lists(CODES, min_size=1, max_size=30, unique_by=roster.same_label), st.sampled_from(",;\t")
)
def test_a_list_of_codes_comes_back_as_written(codes: list[str], mark: str) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=mark)
    writer.writerow(["student", "seat"])
    writer.writerows([code, n] for n, code in enumerate(codes, start=1))
    found = read(out.getvalue())
    assert found.faults == ()
    assert [(r.label, r.seat) for r in found.rows] == [(c, n) for n, c in enumerate(codes, start=1)]
