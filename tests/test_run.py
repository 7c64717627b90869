"""The launcher: what it says on a machine that lacks something, and that it recovers."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT

LAUNCHER = ROOT / "run.py"


def launch(
    tree: Path, *arguments: str, before: str = "", env: dict[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Start a tree's run.py in a Python where ``before`` has been run first."""
    base = getattr(sys, "_base_executable", sys.executable)
    program = f"import sys, runpy\n{before}\nsys.argv = sys.argv[1:]\nrunpy.run_path(sys.argv[0], run_name='__main__')"
    return subprocess.run(
        [base, "-c", program, str(tree / "run.py"), *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=tree,
        env={**os.environ, **(env or {})},
    )


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """A checkout that needs no packages and whose command line prints its arguments."""
    shutil.copy(LAUNCHER, tmp_path)
    (tmp_path / "requirements").mkdir()
    (tmp_path / "requirements" / "run.txt").write_text("# nothing\n", encoding="utf-8")
    package = tmp_path / "src" / "larkslate"
    package.mkdir(parents=True)
    (package / "__init__.py").write_text("", encoding="utf-8")
    (package / "__main__.py").write_text(
        "import sys\nprint(sys.argv[1:])\nsys.exit(7)\n", encoding="utf-8"
    )
    return tmp_path


def test_an_older_python_is_told_in_one_line(tree: Path) -> None:
    done = launch(tree, before="sys.version_info = (3, 9, 2, 'final', 0)")
    assert done.returncode == 1
    assert done.stderr.splitlines() == [
        "Larkslate needs Python 3.11 or newer, and this is Python 3.9: install a newer one and start run.py with it."
    ]
    assert not (tree / ".venv").exists()


def test_a_missing_venv_module_is_named_with_its_package(tree: Path) -> None:
    done = launch(tree, before="sys.modules['ensurepip'] = None")
    assert done.returncode == 1
    assert "python3-venv" in done.stderr
    assert "Traceback" not in done.stderr


def test_arguments_and_exit_code_pass_through_and_a_second_start_checks_nothing(tree: Path) -> None:
    first = launch(tree, "word", "catch", "--json")
    assert first.returncode == 7, first.stderr
    assert first.stdout.splitlines() == ["['word', 'catch', '--json']"]
    second = launch(tree, "--port", "9")
    assert (second.returncode, second.stderr) == (7, "")
    assert second.stdout.splitlines() == ["['serve', '--demo', '--port', '9']"]

    # an install that was broken off leaves no stamp: the next start mends it
    (tree / ".venv" / "installed-run").unlink()
    next((tree / ".venv").rglob("larkslate.pth")).unlink()
    third = launch(tree)
    assert third.returncode == 7, third.stderr
    assert third.stdout.splitlines() == ["['serve', '--demo']"]

    # an environment that no longer works is made anew
    (tree / ".venv" / "installed-run").unlink()
    shutil.rmtree(next((tree / ".venv").rglob("site-packages")) / "pip")
    fourth = launch(tree)
    assert fourth.returncode == 7, fourth.stderr

    # a changed lock file is installed
    (tree / "requirements" / "run.txt").write_text("# nothing more\n", encoding="utf-8")
    fifth = launch(tree)
    assert fifth.returncode == 7
    assert "quick start" in fifth.stderr
    assert launch(tree).stderr == ""


def test_a_package_that_cannot_be_had_is_a_plain_failure(tree: Path) -> None:
    (tree / "requirements" / "run.txt").write_text(
        "nothing-of-this-name==1 --hash=sha256:" + "0" * 64 + "\n", encoding="utf-8"
    )
    done = launch(
        tree, env={"PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(tree), "PIP_CONFIG_FILE": os.devnull}
    )
    assert done.returncode == 1
    assert done.stderr.splitlines()[-1].startswith("Larkslate could not install what it needs")
    assert not (tree / ".venv" / "installed-run").exists()


def test_the_lock_files_name_no_registry_and_hash_everything() -> None:
    for name in ("run", "test"):
        text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
        assert "://" not in text
        assert "index-url" not in text
        blocks = text.split("\n    --hash=sha256:")
        assert len(blocks) > 20
        pins = [line for line in text.splitlines() if "==" in line and not line.startswith(" ")]
        assert all(line.endswith("\\") for line in pins), "a package without a hash"
