"""The documents say what is so: licences, commands, options, examples."""

from __future__ import annotations

import ast
import re
import sys
from importlib import metadata
from pathlib import Path

import click
import pytest

from larkslate import cli
from tests.conftest import ROOT
from tests.examples import DOCUMENTS, Example, examples_in, printed, run, values

THIRD_PARTY = (ROOT / "docs" / "third-party.md").read_text(encoding="utf-8")
SECTIONS = {
    "run": "## Packages that run with Larkslate",
    "test": "## Packages for the checks only",
}
# A sentence of each licence, for packages whose metadata name none in SPDX.
SENTENCES = {
    "MIT": "Permission is hereby granted, free of charge",
    "Apache-2.0": "Apache License",
    "BSD-3-Clause": "Redistributions in binary form",
    "BSD-2-Clause": "Redistributions in binary form",
    "MPL-2.0": "Mozilla Public License",
    "GPL-3.0-or-later": "GNU GENERAL PUBLIC LICENSE",
}


def locked(name: str) -> set[str]:
    """The packages a lock file pins."""
    text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    return set(re.findall(r"^([a-z0-9-]+)==", text, re.MULTILINE))


def listed(name: str) -> dict[str, str]:
    """Package and licence in one section of the document."""
    section = THIRD_PARTY.split(SECTIONS[name], 1)[1].split("\n## ", 1)[0]
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \|", section, re.MULTILINE)
    return {package: licence for package, licence in rows if package not in ("package", "---")}


def test_every_locked_package_is_listed_with_its_licence_and_no_other() -> None:
    run, test = locked("run"), locked("test")
    assert set(listed("run")) == run
    assert set(listed("test")) == test - run


def stated(package: str) -> tuple[str | None, str]:
    """What a package's own metadata say: an SPDX expression or None, and all its licence texts."""
    found = metadata.distribution(package)
    texts = [
        Path(str(file.locate())).read_text(encoding="utf-8", errors="replace")
        for file in found.files or []
        if re.search(r"licen[cs]e|copying", file.name, re.IGNORECASE) and file.suffix != ".py"
    ]
    own = found.metadata.json
    fields = [str(own.get("license", "")), *own.get("classifier", [])]
    expression = own.get("license_expression")
    return str(expression) if expression else None, "\n".join([*fields, *texts])


def test_the_licence_listed_is_the_one_the_package_states() -> None:
    checked = 0
    for package, licence in (listed("run") | listed("test")).items():
        try:
            expression, text = stated(package)
        except metadata.PackageNotFoundError:  # a package for another system
            continue
        checked += 1
        if expression is not None:
            assert licence == expression, package
            continue
        for one in re.split(r" AND | OR |, ", licence):
            said = one in text or SENTENCES[one].lower() in text.lower()
            assert said, f"{package} does not say {one}"
    assert checked > 50


def test_nothing_that_runs_with_the_product_is_under_the_gpl() -> None:
    assert not [p for p, licence in listed("run").items() if "GPL" in licence]


def test_the_product_imports_only_what_runs_with_it() -> None:
    owners = metadata.packages_distributions()
    allowed = locked("run")
    for path in sorted((ROOT / "src").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = (
                [a.name for a in node.names]
                if isinstance(node, ast.Import)
                else [node.module or ""]
                if isinstance(node, ast.ImportFrom)
                else []
            )
            for name in names:
                top = name.split(".")[0]
                if top in sys.stdlib_module_names or top == "larkslate":
                    continue
                packages = {p.lower().replace("_", "-") for p in owners.get(top, [])}
                assert packages & allowed, f"{path.name} imports {name}, which is not in run.txt"


# ---- examples and options --------------------------------------------------------------------

EXAMPLES = [
    example
    for document in DOCUMENTS
    for example in examples_in(document.read_text(encoding="utf-8"), document.name)
]


@pytest.mark.usefixtures("word_list")
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: f"{e.document}: {e.command}")
def test_an_example_prints_what_the_document_says(example: Example) -> None:
    fresh = printed(example, run(example))
    remedy = "if the new output is right, run: python -m tests.examples"
    if example.json:
        assert values(example.output) == values(fresh), remedy
    else:
        assert example.output == fresh, remedy


def commands() -> dict[str, click.Command]:
    """Every command by its name."""
    context = click.Context(cli.larkslate)
    return {name: c for name in cli.COMMANDS if (c := cli.larkslate.get_command(context, name))}


def test_every_command_and_option_is_documented() -> None:
    text = "\n".join(d.read_text(encoding="utf-8") for d in DOCUMENTS)
    found = commands()
    assert list(found) == list(cli.COMMANDS)
    for name, command in found.items():
        section = next(
            (s for s in re.split(r"^## ", text, flags=re.MULTILINE) if name in s.split("\n")[0]), ""
        )
        assert f"larkslate {name}" in section, f"{name} has no section"
        for parameter in command.params:
            for option in parameter.opts:
                if option.startswith("--") and option != "--json":  # every command has --json
                    said = re.search(rf"{option}(?![\w-])", section)
                    assert said, f"{name} {option} is not documented"


def test_every_command_says_what_it_does_in_one_line() -> None:
    for name, command in commands().items():
        assert command.help, name
        assert command.get_short_help_str(200).endswith((".", ":")), name


def test_the_commands_in_the_readme_exist() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for line in re.findall(
        r"^(?:\$ )?(?:python3 run\.py|py run\.py|larkslate) ?([a-z-]*)", text, re.MULTILINE
    ):
        assert line in ("", "test", "--", *cli.COMMANDS) or line.startswith("--"), line
