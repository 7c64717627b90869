"""Forms as a browser sends them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.errors import Malformed
from larkslate.web.forms import Form, parse_files


def packed(fields: dict[str, str], files: dict[str, bytes], boundary: str) -> bytes:
    """A form with files (RFC 7578)."""
    out = b""
    for name, text in fields.items():
        head = f'--{boundary}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n'
        out += head.encode() + text.encode() + b"\r\n"
    for name, content in files.items():
        head = (
            f'--{boundary}\r\nContent-Disposition: form-data; name="{name}"; filename="a.csv"\r\n'
        )
        out += head.encode() + b"Content-Type: text/csv\r\n\r\n" + content + b"\r\n"
    return out + f"--{boundary}--\r\n".encode()


NAMES = st.text("abcxyz", min_size=1, max_size=6)


@given(
    fields=st.dictionaries(NAMES, st.text(max_size=40)),
    files=st.dictionaries(NAMES, st.binary(min_size=1, max_size=80)),
)
def test_a_form_with_files_comes_back_as_it_was(
    fields: dict[str, str], files: dict[str, bytes]
) -> None:
    found = parse_files(packed(fields, files, "xXboundaryXx"), "xXboundaryXx")
    assert found.fields == fields
    assert found.files == files


def test_a_file_that_was_not_chosen_is_no_file() -> None:
    assert parse_files(packed({"a": "1"}, {"file": b""}, "b"), "b").files == {}


@pytest.mark.parametrize("body", [b"", b"--b\r\nhead only\r\n--b--\r\n", b"--b\r\nx"])
def test_a_form_that_was_cut_off_is_refused(body: bytes) -> None:
    with pytest.raises(Malformed, match="incomplete"):
        parse_files(body, "b")


def test_fields_are_read_as_what_they_are_for() -> None:
    form = Form({"seat": " 4 ", "bad": "four", "day": "2026-11-25", "other": "11/25"})
    assert form.number("seat", "Seat") == 4
    assert form.number("none", "Seat") is None
    assert str(form.day("day", "Day")) == "2026-11-25"
    with pytest.raises(Malformed, match="Seat: “four” is not a number"):
        form.number("bad", "Seat")
    with pytest.raises(Malformed, match="not a date"):
        form.day("other", "Day")
