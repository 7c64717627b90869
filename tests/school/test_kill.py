"""Failure 9, lost work: a program that is killed while it saves loses nothing that was answered."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.school.kills import kills, prepared


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL there")
def test_failure_9_twenty_kills_lose_no_answered_save(tmp_path: Path) -> None:
    prepared(tmp_path / "data")
    done = list(kills(tmp_path / "data", 20, seed=9))
    assert [fault for kill in done for fault in kill.faults] == []
    assert sum(kill.answered for kill in done) > 100
