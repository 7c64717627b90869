"""The two type families of the printed pages, found in their packages, never among system fonts."""

from __future__ import annotations

from functools import lru_cache
from importlib import resources
from pathlib import Path

from larkslate.errors import Missing

# Lexend for what children read, Source Sans 3 for all else and for sound notation (both SIL OFL 1.1).
PACKAGES = {"Lexend": "fontpkg_lexend", "Source Sans 3": "fontpkg_source_sans_3"}


def folder(family: str) -> Path:
    """The folder with the TrueType files of a family. Raises Missing with the package to install."""
    package = PACKAGES[family]
    try:
        found = Path(str(resources.files(package))) / "files"
    except ModuleNotFoundError:
        found = Path()
    if not any(found.glob("*.ttf")):
        raise Missing(
            f"The typeface {family} is not installed: run "
            f"pip install {package.replace('_', '-')} and try again."
        )
    return found


@lru_cache(maxsize=1)
def folders() -> tuple[Path, ...]:
    """The font folders for the typesetter, one for each family."""
    return tuple(folder(family) for family in PACKAGES)
