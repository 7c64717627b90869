"""The typesetter: a template and its data in, a tagged PDF out.

Data reach the template as JSON, so a teacher's text is never read as markup. The PDF meets PDF/UA-1
(ISO 14289-1): the typesetter refuses a letter that no font has, a document without a title, and a
picture without alternative text. Nothing in it depends on the clock: same data, same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from importlib import resources
from pathlib import Path

import msgspec
import typst

from larkslate.errors import Malformed, NotAllowed
from larkslate.materials import fonts

_UNPRINTABLE = re.compile(r'the text `"(.+)"` could not be displayed')


def templates() -> Path:
    """The folder of the templates; they can be read and edited there."""
    return Path(str(resources.files("larkslate") / "materials" / "templates"))


@lru_cache(maxsize=1)
def _fonts() -> typst.Fonts:
    """The opened fonts: our two families and no others."""
    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(folder) for folder in fonts.folders()],
    )


def typeset(template: str, data: object) -> bytes:
    """A tagged PDF from ``templates/<template>.typ`` and its data.

    Raises NotAllowed if a letter is in neither font, Malformed if an edited template does not compile.
    """
    folder = templates()
    with _told(template):
        return typst.compile(
            str(folder / f"{template}.typ"),
            root=str(folder),
            font_paths=_fonts(),
            format="pdf",
            sys_inputs={"data": msgspec.json.encode(data).decode()},
            pdf_standards=["ua-1"],
        )


def page_counts(template: str, data: object) -> tuple[int, ...]:
    """How many pages each lesson (or form) of a document takes; raises what typeset raises."""
    folder = templates()
    with _told(template):
        found = typst.query(
            str(folder / f"{template}.typ"),
            "<lesson-pages>",
            field="value",
            root=str(folder),
            font_paths=_fonts(),
            sys_inputs={"data": msgspec.json.encode(data).decode()},
        )
    return msgspec.json.decode(found, type=tuple[int, ...])


@contextmanager
def _told(template: str) -> Iterator[None]:
    """The typesetter's errors as ours, with what to do."""
    try:
        yield
    except typst.TypstError as error:
        unprintable = _UNPRINTABLE.search(str(error))
        if unprintable:
            raise NotAllowed(
                f"“{unprintable.group(1)}” cannot be printed: neither typeface has it. "
                "Take it out or write it in another way."
            ) from None
        raise Malformed(
            f"The template {template}.typ does not compile: {getattr(error, 'message', error)}"
        ) from None
