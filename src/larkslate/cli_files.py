"""Files that a person names at the shell: read and written with a plain word when it cannot be done."""

from __future__ import annotations

import sys
import unicodedata
from pathlib import Path

from larkslate.errors import Malformed, NotAllowed


def read_text(file: str) -> str:
    """The text of a file, or of standard input for "-"; composed (NFC).

    Raises Malformed for an empty file and for one that is not UTF-8.
    """
    name = "standard input" if file == "-" else file
    try:
        raw = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
    except OSError as error:
        raise Malformed(f"{name} cannot be read: {error.strerror}. Check the name.") from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise Malformed(
            f"{name}, line {line}: this is not UTF-8 text. Save the file as UTF-8 and try again."
        ) from None
    if not text.strip():
        raise Malformed(f"{name} is empty: put the text in it and try again.")
    return unicodedata.normalize("NFC", text)


def write_file(path: Path, content: bytes) -> None:
    """Write a file that a person named. Raises NotAllowed with what to do."""
    if path.is_dir():
        raise NotAllowed(f"{path} is a folder: add a file name.")
    if not path.parent.is_dir():
        raise NotAllowed(f"The folder {path.parent} is not there: make it, or choose another.")
    try:
        path.write_bytes(content)
    except OSError as error:
        raise NotAllowed(
            f"{path} cannot be written ({error.strerror}): close the file if it is open, or choose "
            "another folder."
        ) from None
