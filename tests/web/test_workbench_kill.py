"""A server killed while it saves loses nothing that it answered. The benchmark does it 200 times."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.web.killing import Victim


@pytest.mark.browser
def test_what_was_answered_is_there_after_a_kill(tmp_path: Path, word_list: Path) -> None:
    victim = Victim(tmp_path / "school", word_list.parent)
    victim.start()
    victim.prepare()
    chance = random.Random(1)
    answered = 0
    for _ in range(3):
        answered += victim.save_until_killed(chance)
        victim.check()
        victim.start()
    assert answered > 0
    assert victim.process is not None
    victim.process.kill()
    victim.process.wait()
