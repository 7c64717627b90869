"""Where the data is, who has it open, and risky places."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest

from larkslate.errors import NotAllowed
from larkslate.school import folder
from larkslate.school.folder import InUse
from larkslate.school.store import School
from tests.school.conftest import Opener

HOLD = """
import sys, time
from larkslate.school.folder import InUse
from pathlib import Path
one = InUse(Path(sys.argv[1]))
one.take("a test")
print("held", flush=True)
time.sleep(60)
"""


def test_the_chosen_folder_comes_before_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(folder.ENVIRONMENT, "/named")
    assert folder.data_folder("/chosen") == Path("/chosen")
    assert folder.data_folder() == Path("/named")
    monkeypatch.delenv(folder.ENVIRONMENT)
    assert folder.data_folder().name == "larkslate"


@pytest.mark.parametrize(
    ("path", "named"),
    [
        (PureWindowsPath(r"C:\Users\t\OneDrive - District\larkslate"), "OneDrive"),
        (PurePosixPath("/home/t/Dropbox/larkslate"), "Dropbox"),
        (PurePosixPath("/Users/t/Library/Mobile Documents/com~apple~CloudDocs/l"), "iCloud"),
        (PurePosixPath("/Users/t/Library/CloudStorage/Drive-t/larkslate"), "cloud"),
        (PureWindowsPath(r"G:\Google Drive\larkslate"), "Google Drive"),
    ],
)
def test_a_synced_folder_is_named(path: PurePosixPath, named: str) -> None:
    said = folder.warning(path, mounts="")
    assert said is not None
    assert named in said
    assert "one file" in said


@pytest.mark.parametrize("path", [r"\\server\share\larkslate", "//server/share/larkslate"])
def test_a_network_path_is_named(path: str) -> None:
    said = folder.warning(PureWindowsPath(path), mounts="")
    assert said is not None
    assert "another machine" in said


def test_a_network_mount_is_found_by_the_longest_mount_point() -> None:
    mounts = "disk / ext4 rw 0 0\nserver:/home /home nfs4 rw 0 0\ndisk /home/t/own ext4 rw 0 0\n"
    said = folder.warning(Path("/home/t/larkslate"), mounts=mounts)
    assert said is not None
    assert "nfs4" in said
    assert folder.warning(Path("/home/t/own/larkslate"), mounts=mounts) is None
    assert folder.warning(Path("/homework/larkslate"), mounts=mounts) is None


def test_an_own_folder_is_no_risk() -> None:
    for path in ("/home/t/.local/share/larkslate", "/home/t/boxes/drive/larkslate"):
        assert folder.warning(PurePosixPath(path), mounts="") is None


def test_the_warning_comes_when_a_folder_is_opened(tmp_path: Path, opener: Opener) -> None:
    school = opener(tmp_path / "Dropbox" / "larkslate")
    assert len(school.opened.warnings) == 1
    assert "Dropbox" in school.opened.warnings[0]


def test_two_servers_do_not_open_one_folder(school: School) -> None:
    with pytest.raises(NotAllowed, match=r"open already \(the workbench, process \d+\)"):
        School.open(school.folder)
    with School.open(school.folder, hold=False) as reader:  # reading beside it is fine
        assert not reader.holds


def test_a_killed_process_lets_go(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        with pytest.raises(NotAllowed, match="a test"):
            InUse(tmp_path).take("me")
        holder.kill()
    mine = InUse(tmp_path)
    mine.take("me")
    assert mine.held
    mine.give_up()
    assert not mine.held


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("x")
    with pytest.raises(NotAllowed, match="is a file"):
        School.open(tmp_path / "data")


def test_nobody_else_may_read_a_new_folder(school: School) -> None:
    if sys.platform == "win32":
        pytest.skip("rights are kept otherwise there")
    assert school.folder.stat().st_mode & 0o077 == 0
    assert school.path.stat().st_mode & 0o077 == 0
