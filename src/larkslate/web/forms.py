"""What a form of a page sends: plain fields, and files read in memory."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from larkslate.errors import Malformed, NotAllowed

if TYPE_CHECKING:
    from starlette.requests import Request

MOST = 200_000_000  # bytes: an export of several years is far below it
PLAIN, FILES = "application/x-www-form-urlencoded", "multipart/form-data"
_PARAMETER = re.compile(r';\s*([a-z]+\*?)=(?:"((?:[^"\\]|\\.)*)"|([^;\s]+))', re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of a form by name, the last value of each, and its files that are not empty."""

    fields: dict[str, str] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """A field without blanks at its ends, empty where it was not sent."""
        return self.fields.get(name, "").strip()

    def number(self, name: str, what: str) -> int | None:
        """A whole number, None for an empty field. Raises Malformed naming what it is for."""
        text = self.text(name)
        if not text:
            return None
        if not re.fullmatch(r"[0-9]{1,6}", text):
            raise Malformed(f"{what}: “{text[:20]}” is not a number. Write digits only.")
        return int(text)

    def day(self, name: str, what: str) -> date | None:
        """A day as a date field sends it, None for an empty one. Raises Malformed."""
        text = self.text(name)
        if not text:
            return None
        try:
            return date.fromisoformat(text)
        except ValueError:
            raise Malformed(
                f"{what}: “{text[:20]}” is not a date. Write it as 2026-11-25."
            ) from None


async def read_form(request: Request) -> Form:
    """The form of a request; empty for one without a body. Raises Malformed, NotAllowed for one too large."""
    length = request.headers.get("content-length", "0")
    if length.isdigit() and int(length) > MOST:
        raise NotAllowed("This file is too large to be one of ours: choose another.")
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > MOST:
            raise NotAllowed("This file is too large to be one of ours: choose another.")
    kind, _, rest = request.headers.get("content-type", "").partition(";")
    if kind.strip().lower() == FILES:
        return parse_files(bytes(body), _parameters(";" + rest).get("boundary", ""))
    if kind.strip().lower() == PLAIN:
        return Form(dict(parse_qsl(_decoded(bytes(body)), keep_blank_values=True)))
    return Form()


def _decoded(value: bytes) -> str:
    try:
        return value.decode("utf-8")
    except UnicodeDecodeError:
        raise Malformed("The form was not sent as UTF-8: reload the page and try again.") from None


def _parameters(text: str) -> dict[str, str]:
    return {
        name.lower(): re.sub(r"\\(.)", r"\1", quoted) if quoted else plain
        for name, quoted, plain in _PARAMETER.findall(text)
    }


def parse_files(body: bytes, boundary: str) -> Form:
    """The parts of a form with files (RFC 7578). Raises Malformed where it is cut off."""
    mark = b"--" + boundary.encode()
    cut = (b"\r\n" + body).split(b"\r\n" + mark)
    if not boundary or len(cut) < 2 or not cut[-1].startswith(b"--"):
        raise Malformed("The form arrived incomplete: reload the page and try again.")
    form = Form()
    for part in cut[1:-1]:
        head, found, content = part.partition(b"\r\n\r\n")
        if not found:
            raise Malformed("The form arrived incomplete: reload the page and try again.")
        disposition = next(
            (
                line
                for line in _decoded(head).split("\r\n")
                if line.lower().startswith("content-disposition:")
            ),
            "",
        )
        named = _parameters(disposition)
        name = named.get("name", "")
        if "filename" in named or "filename*" in named:
            if content:
                form.files[name] = content
        else:
            form.fields[name] = _decoded(content)
    return form
