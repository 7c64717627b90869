"""Bringing the tables up to date with Alembic, inside the transaction of the caller."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config


def config(connection: sa.Connection | None = None) -> Config:
    """Alembic's settings for our migrations; no file is read."""
    made = Config()
    made.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    made.attributes["connection"] = connection
    return made


def upgrade(connection: sa.Connection, to: str = "head") -> None:
    """Run the migrations that are missing. Nothing is stored until the caller's transaction ends."""
    command.upgrade(config(connection), to)
