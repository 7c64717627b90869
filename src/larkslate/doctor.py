"""Checks of an installation, each with what was found and what to do."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import metadata, resources
from pathlib import Path

from larkslate.desk import Desk
from larkslate.errors import LarkslateError

ROOM_ENOUGH = 200_000_000  # bytes: a rebuild of the word list with its working file
FONTS = {"Lexend": "fontpkg_lexend", "Source Sans 3": "fontpkg_source_sans_3"}
PACKAGES = (
    "click",
    "starlette",
    "uvicorn",
    "jinja2",
    "msgspec",
    "sqlalchemy",
    "typst",
    "highspy",
    "numpy",
)


@dataclass(frozen=True, slots=True)
class Finding:
    """One check: what was looked at, whether it is well, what was found, what to do if not."""

    check: str
    well: bool
    found: str
    do: str = ""


def python() -> Finding:
    """The Python that runs this."""
    version = "{}.{}.{}".format(*sys.version_info[:3])
    return Finding("Python", sys.version_info >= (3, 11), version, "Install Python 3.11 or newer.")


def packages() -> Finding:
    """The packages, by their own versions."""
    versions, missing = [], []
    for name in PACKAGES:
        try:
            versions.append(f"{name} {metadata.version(name)}")
        except metadata.PackageNotFoundError:
            missing.append(name)
    return Finding(
        "packages",
        not missing,
        f"missing: {', '.join(missing)}" if missing else ", ".join(versions),
        "Delete the folder .venv and start `python3 run.py` again.",
    )


def tables() -> Finding:
    """The data tables that the sequence is made from; reading them checks them."""
    sequence = Desk().sequence
    found = f"{len(sequence.points)} points in {len(sequence.themes)} units, {len(sequence.teaches)} skills"
    return Finding("sequence", True, found)


def word_list() -> Finding:
    """The built word list."""
    lexicon = Desk().lexicon
    sources = ", ".join(f"{name} {version}" for name, version in lexicon.sources.items())
    found = f"{len(lexicon)} words in {lexicon.path} (from {sources})"
    return Finding("word list", len(lexicon) > 0, found, "Run `larkslate doctor --build`.")


def fonts() -> Finding:
    """The font files that pages and print use."""
    missing = []
    for family, package in FONTS.items():
        try:
            folder = Path(str(resources.files(package))) / "files"
        except ModuleNotFoundError:
            folder = Path()
        if not any(folder.glob("*.ttf")):
            missing.append(family)
    return Finding(
        "fonts",
        not missing,
        f"missing: {', '.join(missing)}" if missing else ", ".join(FONTS),
        "Delete the folder .venv and start `python3 run.py` again.",
    )


def typesetter() -> Finding:
    """The typesetter, by setting one line."""
    import typst

    pdf = typst.compile(b"sound, spelling, syllable")
    well = isinstance(pdf, bytes) and pdf.startswith(b"%PDF")
    return Finding("typesetter", well, f"typst {metadata.version('typst')} sets a page")


def optimizer() -> Finding:
    """The optimizer that chooses words, by one small choice."""
    from larkslate.choose.solve import Candidate, Slot, Task, solve

    words = tuple(Candidate(w, 0, frozenset({"p"}), v) for w, v in (("cat", 1.0), ("mat", 0.5)))
    task = Task(candidates=words, slots=(Slot("s", 1, 0, frozenset({"p"})),), covers=())
    chosen = solve(task).words["s"]
    found = f"highspy {metadata.version('highspy')} chooses"
    return Finding("optimizer", chosen == ("cat",), found)


def teachers_data() -> Finding:
    """The folder of the teacher's own data: where it lies, and whether its database is whole."""
    from larkslate.school import backup
    from larkslate.school import folder as places

    place = places.data_folder()
    if warning := places.warning(place):
        return Finding("data", False, f"at risk in {place}", warning)
    database = place / places.DATABASE
    if not database.exists():
        return Finding("data", True, f"none yet; it will be kept in {place}")
    return Finding(
        "data",
        backup.sound(database),
        f"{database}, {len(backup.listed(place))} backups",
        "The database is damaged: open the workbench and take the newest backup back.",
    )


def room() -> Finding:
    """The free space where the word list lies."""
    from larkslate.words.store import cache_folder

    folder = cache_folder()
    place = next(p for p in (folder, *folder.absolute().parents) if p.exists())
    free = shutil.disk_usage(place).free
    return Finding(
        "disk", free > ROOM_ENOUGH, f"{free // 1_000_000} MB free at {place}", "Free some space."
    )


CHECKS: tuple[tuple[str, Callable[[], Finding]], ...] = (
    ("Python", python),
    ("packages", packages),
    ("sequence", tables),
    ("word list", word_list),
    ("fonts", fonts),
    ("typesetter", typesetter),
    ("optimizer", optimizer),
    ("data", teachers_data),
    ("disk", room),
)


def examine() -> Iterator[Finding]:
    """Every check in order; one that cannot run is a finding too."""
    for name, check in CHECKS:
        try:
            yield check()
        except LarkslateError as error:
            yield Finding(name, False, "not usable", str(error))
        except Exception as error:  # noqa: BLE001 - whatever is broken, the doctor says so and goes on
            yield Finding(
                name,
                False,
                f"{type(error).__name__}: {error}",
                "Delete the folder .venv and start `python3 run.py` again.",
            )
