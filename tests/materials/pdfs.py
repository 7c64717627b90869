"""What the tests read back from a PDF."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pypdfium2
from pypdfium2 import raw

POINTS_A_MM = 72 / 25.4


@dataclass(frozen=True)
class Letter:
    """A letter on a page: left, bottom, right, top in points."""

    page: int
    char: str
    box: tuple[float, float, float, float]


class Pdf:
    """An opened PDF."""

    def __init__(self, content: bytes) -> None:
        self.document = pypdfium2.PdfDocument(content)

    def __len__(self) -> int:
        return len(self.document)

    @property
    def tagged(self) -> bool:
        return bool(self.document.is_tagged())

    @property
    def title(self) -> str:
        return str(self.document.get_metadata_dict()["Title"])

    @property
    def language(self) -> str:
        return _string(
            lambda buffer, size: raw.FPDFCatalog_GetLanguage(
                self.document, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), size
            )
        )

    def size(self, page: int = 0) -> tuple[float, float]:
        width, height = self.document.get_page_size(page)
        return float(width), float(height)

    def text(self, page: int | None = None) -> str:
        """The text with line ends as blanks."""
        pages = range(len(self)) if page is None else [page]
        return " ".join(
            " ".join(self.document[n].get_textpage().get_text_range().split()) for n in pages
        )

    def letters(self) -> list[Letter]:
        """Every letter that leaves ink."""
        found: list[Letter] = []
        for number in range(len(self)):
            page = self.document[number].get_textpage()
            content = page.get_text_range()
            for index in range(page.count_chars()):
                code = raw.FPDFText_GetUnicode(page, index)
                if chr(code).strip():
                    found.append(Letter(number, chr(code), page.get_charbox(index)))
            del content
        return found

    def fonts(self) -> dict[str, bool]:
        """Each font used and whether it is embedded."""
        found: dict[str, bool] = {}
        for number in range(len(self)):
            for item in self.document[number].get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
                font = raw.FPDFTextObj_GetFont(item)
                size = raw.FPDFFont_GetBaseFontName(font, None, 0)
                buffer = ctypes.create_string_buffer(size)
                raw.FPDFFont_GetBaseFontName(font, buffer, size)
                found[buffer.value.decode()] = bool(raw.FPDFFont_GetIsEmbedded(font))
        return found

    def tags(self) -> list[tuple[str, str]]:
        """Every structure element: its type and its alternative text."""
        found: list[tuple[str, str]] = []
        for number in range(len(self)):
            tree = raw.FPDF_StructTree_GetForPage(self.document[number])
            for index in range(raw.FPDF_StructTree_CountChildren(tree)):
                _walk(raw.FPDF_StructTree_GetChildAtIndex(tree, index), found)
            raw.FPDF_StructTree_Close(tree)
        return found


def _walk(element: object, found: list[tuple[str, str]]) -> None:
    if not element:
        return
    kind = _string(lambda b, n: raw.FPDF_StructElement_GetType(element, b, n))
    spoken = _string(lambda b, n: raw.FPDF_StructElement_GetAltText(element, b, n))
    found.append((kind, spoken))
    for index in range(raw.FPDF_StructElement_CountChildren(element)):
        _walk(raw.FPDF_StructElement_GetChildAtIndex(element, index), found)


def _string(call: Callable[[Any, int], int]) -> str:
    """A UTF-16 string from one of the library's fill-the-buffer calls."""
    size = call(None, 0)
    if size <= 2:
        return ""
    buffer = ctypes.create_string_buffer(size)
    call(buffer, size)
    return buffer.raw[:size].decode("utf-16-le").rstrip("\0")
