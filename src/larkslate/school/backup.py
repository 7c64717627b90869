"""Backups."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from larkslate.school.store import School


class Why(StrEnum):
    """Why a backup was made."""

    DAY = "day"
    MIGRATION = "before-migration"
    RESTORE = "before-restore"
    ASKED = "asked"


def make(school: School, why: Why) -> Path:
    raise NotImplementedError


def daily(school: School) -> Path | None:
    return None
