"""A room imports only rooms below it, and only the shells may reach outside."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.conftest import ROOT

SOURCE = ROOT / "src" / "larkslate"
# From the ground up; rooms on one floor do not know each other. The command line starts the pages.
FLOORS = (
    {"errors"},
    {"datafile"},
    {"words", "handwriting"},
    {"sequence"},
    {"choose", "assess"},
    {"plan"},
    {"materials"},
    {"school"},
    {"desk", "jsonform"},
    {"doctor"},
    {"web"},
    {"cli"},
    {"__main__"},
)
FLOOR = {room: height for height, rooms in enumerate(FLOORS) for room in rooms}
SHELLS = {"school", "desk", "doctor", "web", "cli", "__main__"}
# What a pure room may not touch: the clock, chance without a seed, the network, other programs.
IMPURE = {"datetime": {"now", "today", "utcnow"}, "time": {"time", "time_ns"}}
NETWORK = {
    "socket",
    "urllib",
    "http",
    "ssl",
    "ftplib",
    "smtplib",
    "httpx",
    "requests",
    "webbrowser",
}


def modules() -> Iterator[Path]:
    yield from sorted(SOURCE.rglob("*.py"))


def room_of(path: Path) -> str:
    """The room a file belongs to; cli_words belongs to cli, the package itself to no room."""
    first = path.relative_to(SOURCE).parts[0].removesuffix(".py")
    return "cli" if first.startswith("cli_") else first


def imports(tree: ast.Module) -> Iterator[tuple[str, int]]:
    """Every module imported, wherever it stands, with its line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name, node.lineno
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "write imports in full"
            yield node.module or "", node.lineno
            if node.module == "larkslate":
                for alias in node.names:
                    yield f"larkslate.{alias.name}", node.lineno


@pytest.mark.parametrize("path", list(modules()), ids=lambda p: p.relative_to(SOURCE).as_posix())
def test_a_room_imports_only_rooms_below(path: Path) -> None:
    room = room_of(path)
    if room == "__init__":
        return
    assert room in FLOOR, f"{room} has no floor: give it one in FLOORS and in docs/architecture.md"
    faults = []
    for name, line in imports(ast.parse(path.read_text(encoding="utf-8"))):
        parts = name.split(".")
        if parts[0] != "larkslate" or len(parts) < 2 or parts[1] == "__version__":
            continue
        other = "cli" if parts[1].startswith("cli_") else parts[1]
        assert other in FLOOR, f"line {line} imports {name}, which has no floor"
        if other != room and FLOOR[other] >= FLOOR[room]:
            faults.append(f"line {line}: {room} imports {name}, which is not below it")
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("path", list(modules()), ids=lambda p: p.relative_to(SOURCE).as_posix())
def test_a_pure_room_reaches_nothing_outside(path: Path) -> None:
    if room_of(path) in SHELLS:
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    outside = [(n, line) for n, line in imports(tree) if n.split(".")[0] in NETWORK]
    assert not outside, f"a pure room uses the network: {outside}"
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            owner = node.func.value
            name = owner.attr if isinstance(owner, ast.Attribute) else getattr(owner, "id", "")
            assert node.func.attr not in IMPURE.get(name, set()), (
                f"line {node.lineno}: a pure room reads the clock"
            )
            assert not (name == "random" and node.func.attr != "Random"), (
                f"line {node.lineno}: chance without a seed"
            )
