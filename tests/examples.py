"""The examples in the documents: found, run, and compared with what the program says.

A fenced ``console`` block holds commands after ``$`` and what each prints. JSON is printed over several lines
there and compared as values; ``"..."`` at the end of a list, or as a key, stands for what is left out.
``python -m tests.examples`` writes the present output into the documents, leaving out what they leave out.
"""

from __future__ import annotations

import atexit
import contextlib
import io
import json
import os
import re
import shlex
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from larkslate import cli

ROOT = Path(__file__).resolve().parent.parent
DOCUMENTS = (ROOT / "README.md", ROOT / "docs" / "json.md")
FILES = Path("docs") / "examples"
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)
MORE = "..."
WIDTH = 100


@dataclass(frozen=True, slots=True)
class Example:
    """A command of a document and the output printed there."""

    document: str
    command: str
    output: str

    @property
    def arguments(self) -> list[str]:
        """The command as the program gets it, without its name."""
        words = shlex.split(self.command)
        start = 2 if words[:2] == ["python3", "run.py"] else 1
        return words[start:]

    @property
    def json(self) -> bool:
        """Whether the output is JSON, one value or one a line."""
        return "--json" in self.arguments


def examples_in(text: str, document: str) -> Iterator[Example]:
    """Every command in the console blocks of a text."""
    for block in BLOCK.finditer(text):
        for part in re.split(r"^\$ ", block[1], flags=re.MULTILINE)[1:]:
            command, _, output = part.partition("\n")
            yield Example(document, command.strip(), output)


@cache
def folder() -> Path:
    """A folder with the files of the examples, where commands may write; it goes when the program ends."""
    made = Path(tempfile.mkdtemp(prefix="larkslate-examples-"))
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    shutil.copytree(ROOT / FILES, made / FILES)
    return made


def run(example: Example) -> str:
    """What the program prints, run as if in the checkout."""
    out = io.StringIO()
    before = Path.cwd()
    os.chdir(folder())
    try:
        with contextlib.redirect_stdout(out):
            cli.main(example.arguments)
    finally:
        os.chdir(before)
    return out.getvalue()


def values(text: str) -> list[object]:
    """The JSON values in a text, one after another."""
    decoder, found, place = json.JSONDecoder(), [], 0
    while text[place:].strip():
        place += len(text[place:]) - len(text[place:].lstrip())
        value, place = decoder.raw_decode(text, place)
        found.append(value)
    return found


def shortened(full: object, like: object) -> object:
    """A value with left out what the document's value leaves out."""
    if isinstance(full, list) and isinstance(like, list):
        if like and like[-1] == MORE:
            kept = [shortened(f, x) for f, x in zip(full, like[:-1], strict=False)]
            return [*kept, MORE] if len(full) > len(kept) else kept
        patterns = like + like[-1:] * (len(full) - len(like)) if like else full
        return [shortened(f, x) for f, x in zip(full, patterns, strict=False)]
    if isinstance(full, dict) and isinstance(like, dict):
        keys = [k for k in full if k in like] if MORE in like else list(full)
        short = {k: shortened(full[k], like.get(k)) for k in keys}
        return short | {MORE: MORE} if MORE in like else short
    return full


def pretty(value: object, indent: str = "", lead: int = 0) -> str:
    """JSON over as few lines as fit the page."""
    line = json.dumps(value, ensure_ascii=False)
    if len(indent) + lead + len(line) <= WIDTH or not isinstance(value, dict | list) or not value:
        return line
    inner = indent + " "
    if isinstance(value, dict):
        parts = [
            f"{inner}{(name := json.dumps(k, ensure_ascii=False))}: {pretty(v, inner, len(name) + 3)}"
            for k, v in value.items()
        ]
        return "{\n" + ",\n".join(parts) + f"\n{indent}}}"
    return "[\n" + ",\n".join(f"{inner}{pretty(v, inner)}" for v in value) + f"\n{indent}]"


def printed(example: Example, output: str) -> str:
    """Output as it stands in a document."""
    if not example.json:
        return output
    like = values(example.output) if example.output.strip() else []
    fresh = values(output)
    like += [None] * (len(fresh) - len(like))
    return "".join(f"{pretty(shortened(f, x))}\n" for f, x in zip(fresh, like, strict=False))


def rewrite(path: Path) -> None:
    """Write the present output of every example into a document."""
    text = path.read_text(encoding="utf-8")

    def block(found: re.Match[str]) -> str:
        parts = []
        for example in examples_in(found[0], path.name):
            parts.append(f"$ {example.command}\n{printed(example, run(example))}")
        return "```console\n" + "".join(parts) + "```"

    path.write_text(BLOCK.sub(block, text), encoding="utf-8")


if __name__ == "__main__":
    for one in DOCUMENTS:
        rewrite(one)
        sys.stderr.write(f"{one}\n")
