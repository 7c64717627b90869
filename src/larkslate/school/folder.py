"""The data folder: where it is, who has it open, and whether another program copies it about.

Nothing here needs the database, so a shell can ask before it opens anything.
"""

from __future__ import annotations

import json
import os
import sys
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePath

from larkslate.datafile import read_tsv
from larkslate.errors import LarkslateError, NotAllowed

ENVIRONMENT = "LARKSLATE_DATA"
DATABASE = "school.db"
BACKUPS, EXPORTS = "backups", "exports"
LOCK = "in-use"
ERASED = "erased.txt"
_NETWORK_FILE_SYSTEMS = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "afpfs", "fuse.sshfs", "9p"}
)


def data_folder(chosen: str | os.PathLike[str] | None = None) -> Path:
    """The teacher's data folder: the chosen one, else LARKSLATE_DATA, else the user's data folder."""
    if chosen:
        return Path(chosen).expanduser()
    if named := os.environ.get(ENVIRONMENT):
        return Path(named).expanduser()
    from platformdirs import user_data_dir  # noqa: PLC0415 - a chosen folder does not need it

    return Path(user_data_dir("larkslate", appauthor=False))


def make(folder: Path) -> None:
    """Make the folder and its two parts where they are missing. Raises LarkslateError with what to do."""
    try:
        new = not folder.exists()
        folder.mkdir(parents=True, exist_ok=True)
        if new and os.name == "posix":
            folder.chmod(0o700)  # nobody else on this machine needs to read it
        for part in (BACKUPS, EXPORTS):
            (folder / part).mkdir(exist_ok=True)
    except FileExistsError:
        raise NotAllowed(
            f"{folder} is a file, not a folder: choose a folder for the data."
        ) from None
    except OSError as error:
        raise LarkslateError(
            f"The data folder {folder} cannot be made ({error.strerror}). Choose another with --data, "
            "or ask for the right to write there."
        ) from None


@dataclass(frozen=True, slots=True)
class SyncSign:
    """A part of a path that shows a synced folder: ``name`` as a teacher knows it."""

    part: str
    whole: bool
    name: str


def sync_signs() -> tuple[SyncSign, ...]:
    """The table of path parts, checked."""
    found = []
    for row in read_tsv("school", "synced_folders.tsv", ("part", "match", "name")):
        if row["match"] not in ("whole", "start"):
            raise row.bad("match must be whole or start.")
        found.append(SyncSign(row["part"].casefold(), row["match"] == "whole", row["name"]))
    return tuple(found)


def _network_mount(path: Path, mounts: str) -> str | None:
    """The file system of the mount that holds a path, if it is on another machine."""
    best, kind = "", None
    for line in mounts.splitlines():
        fields = line.split()
        if len(fields) < 3:
            continue
        place = fields[1].replace("\\040", " ")
        inside = str(path) == place or str(path).startswith(place.rstrip("/") + "/")
        if inside and len(place) >= len(best):
            best, kind = place, fields[2]
    return kind if kind in _NETWORK_FILE_SYSTEMS else None


def warning(folder: PurePath, *, mounts: str | None = None) -> str | None:
    """Why this folder is a risky place for the data, in one or two sentences; None where it is not.

    ``mounts`` is the text of the table of mounts (read from the system where it is None and there is one).
    """
    text = str(folder)
    if text.startswith(("\\\\", "//")):
        return (
            f"The data folder {text} is on another machine. A cut connection can damage it, and others may read "
            "it. Choose a folder on this machine, and move work with one file."
        )
    parts = [p.casefold() for p in folder.parts]
    for sign in sync_signs():
        if any(p == sign.part if sign.whole else p.startswith(sign.part) for p in parts):
            return (
                f"The data folder {text} lies in a folder that is copied to other machines ({sign.name}). That "
                "can damage it, and student data leaves this machine. Choose another folder, and move work with "
                "one file."
            )
    if mounts is None and sys.platform.startswith("linux"):
        with suppress(OSError):
            mounts = Path("/proc/mounts").read_text(encoding="utf-8", errors="replace")
    if mounts and isinstance(folder, Path) and (kind := _network_mount(folder.absolute(), mounts)):
        return (
            f"The data folder {text} is on a network drive ({kind}). A cut connection can damage it. Choose a "
            "folder on this machine, and move work with one file."
        )
    return None


class InUse:
    """The lock on a data folder. The system gives it up when the process ends, killed or not."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / LOCK
        self._held: int | None = None

    @property
    def held(self) -> bool:
        """True while this process has it."""
        return self._held is not None

    def take(self, what: str) -> None:
        """Hold the folder. Raises NotAllowed if another process does, saying which."""
        try:
            held = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as error:
            raise LarkslateError(
                f"The data folder {self.path.parent} cannot be written ({error.strerror}): "
                "choose another with --data, or ask for the right to write there."
            ) from None
        try:
            _lock(held)
        except OSError:
            os.close(held)
            raise NotAllowed(
                f"The data folder {self.path.parent} is open already{self._by()}. Use that window, or "
                "close it first; another folder is chosen with --data."
            ) from None
        said = json.dumps({"process": os.getpid(), "what": what}).encode()
        os.ftruncate(held, 0)
        os.pwrite(held, said, 0) if hasattr(os, "pwrite") else os.write(held, said)
        self._held = held

    def _by(self) -> str:
        with suppress(OSError, ValueError, KeyError, TypeError):
            found = json.loads(self.path.read_text(encoding="utf-8"))
            return f" ({found['what']}, process {found['process']})"
        return ""

    def give_up(self) -> None:
        """Let go; nothing happens if it is not held."""
        if self._held is not None:
            os.close(self._held)
            self._held = None


def _lock(held: int) -> None:
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415 - only there

        os.lseek(held, 4096, os.SEEK_SET)  # past the text, so that others may read who holds it
        msvcrt.locking(held, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl  # noqa: PLC0415 - not on Windows

        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
