"""Draw the pictures of the gallery from the sample unit of the tests. Run by hand from the repository's folder.

``python docs/gallery/make_gallery.py`` writes one small PNG for each document beside this file (needs Pillow).
"""

from __future__ import annotations

import sys
from pathlib import Path

import pypdfium2
from PIL import Image

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parents[1]))

from tests.materials.sample import UNIT  # noqa: E402

from larkslate.materials.documents import make  # noqa: E402

DOTS = 84  # dots an inch
SHADES = 24  # enough for ink, accent and their edges
GAP = 14
# name -> kind, lesson, pages
PICTURES = {
    "student": ("student", 4, (0, 1)),
    "key": ("key", 3, (0, 1)),
    "teacher": ("teacher", 6, (0,)),
    "script": ("script", 9, (0,)),
    "paper": ("paper", 9, (0, 1)),
    "reference": ("reference", 2, (0,)),
    "strip": ("strip", 2, (0,)),
    "cards": ("cards", 4, (0, 1)),
    "handwriting": ("handwriting", 4, (0,)),
}


def picture(kind: str, lesson: int, pages: tuple[int, ...]) -> Image.Image:
    """Pages of a document side by side."""
    document = pypdfium2.PdfDocument(make(kind, UNIT, lesson))
    drawn = [document[n].render(scale=DOTS / 72).to_pil().convert("RGB") for n in pages]
    width = sum(page.width for page in drawn) + GAP * (len(drawn) + 1)
    sheet = Image.new("RGB", (width, drawn[0].height + 2 * GAP), "#c9cecf")
    at = GAP
    for page in drawn:
        sheet.paste(page, (at, GAP))
        at += page.width + GAP
    return sheet.quantize(SHADES)


def main() -> None:
    """Write all pictures."""
    for name, (kind, lesson, pages) in PICTURES.items():
        picture(kind, lesson, pages).save(HERE / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
