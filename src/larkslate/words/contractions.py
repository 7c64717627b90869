"""Contractions: which there are, how each is made, and making one from its words by the rule.

The rule: write the two words side by side, close the gap, take out the listed letters, put one
apostrophe where they were. The table ``contractions.tsv`` marks the letters that leave in the full form,
so that every row is checked by putting it together again. Source: common practice, any college dictionary.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from larkslate.datafile import Row, read_tsv
from larkslate.errors import Malformed, NotAllowed
from larkslate.words.model import Contraction, ContractionForm, Span, Step

APOSTROPHES = "'’‘`´ʼ＇"
"""Characters that a keyboard or a program may put for an apostrophe."""
PRINTED = "’"
GROUPS = frozenset(
    {"not", "am", "are", "is", "will", "have", "had-would", "us", "double", "irregular"}
)
REGISTERS = frozenset({"standard", "informal", "regional", "rare", "old"})
COLUMNS = ("written", "group", "skill", "level", "register", "marked", "note")


def straight(text: str) -> str:
    """The text with every apostrophe variant written as the straight one."""
    for mark in APOSTROPHES[1:]:
        text = text.replace(mark, "'")
    return text


def printed(text: str) -> str:
    """The text with every apostrophe as it is printed, also at the front of a word: ’tis."""
    return straight(text).replace("'", PRINTED)


@dataclass(frozen=True, slots=True)
class _Run:
    """Letters of the full form that leave: span, whether an apostrophe takes their place, what else does."""

    span: Span
    marked: bool
    instead: str


def _parse(marked: str) -> tuple[str, tuple[_Run, ...]]:
    """The full form and its leaving runs: ``does n[o]t`` is "does not" and the run (6, 7)."""
    full = ""
    runs: list[_Run] = []
    start = -1
    rest = iter(marked)
    for character in rest:
        if character in "[(":
            if start >= 0:
                raise Malformed(f"{marked!r}: a bracket opens inside another.")
            start = len(full)
        elif character in "])":
            if start < 0 or start == len(full):
                raise Malformed(f"{marked!r}: a bracket closes that holds no letters.")
            runs.append(_Run((start, len(full)), character == "]", ""))
            start = -1
        elif character == ">":
            instead = ""
            for character_after in rest:
                if character_after == ")":
                    break
                instead += character_after
            runs.append(_Run((start, len(full)), marked=False, instead=instead))
            start = -1
        else:
            full += character
    if start >= 0:
        raise Malformed(f"{marked!r}: a bracket does not close.")
    return full, tuple(runs)


def _shorten(full: str, runs: tuple[_Run, ...], keep_gaps: bool) -> tuple[str, tuple[int, ...]]:
    """The contraction that a full form and its runs make, and the places of its apostrophes."""
    written = ""
    marks: list[int] = []
    by_start = {r.span[0]: r for r in runs}
    at = 0
    while at < len(full):
        run = by_start.get(at)
        if run is not None:
            if run.marked:
                marks.append(len(written))
                written += "'"
            written += run.instead
            at = run.span[1]
            continue
        if full[at] != " " or keep_gaps:
            written += full[at]
        at += 1
    return written, tuple(marks)


def _closed(full: str, span: Span, keep_gaps: bool) -> Span:
    """A span of the full form, counted without the gaps between its words."""
    if keep_gaps:
        return span
    start = span[0] - full[: span[0]].count(" ")
    return start, start + len(full[span[0] : span[1]].replace(" ", ""))


def _letters(run: str) -> str:
    """The letters of a run as a sentence names them: ``o``, ``w and i``, ``w, o, u and l``."""
    letters = [c for c in run if c != " "]
    if len(letters) == 1:
        return letters[0]
    return f"{', '.join(letters[:-1])} and {letters[-1]}"


def _leave(run: str) -> str:
    if len(run.replace(" ", "")) > 1:
        return f"The letters {_letters(run)} leave"
    return f"The letter {_letters(run)} leaves"


def _steps(
    full: str, runs: tuple[_Run, ...], written: str, marks: tuple[int, ...], note: str
) -> tuple[Step, ...]:
    """The walk from the full form to the contraction.

    Spans of ``contract-words`` are in the full form with its gaps, those of ``contract-close``,
    ``contract-drop`` and ``contract-change`` in the full form without gaps, those of
    ``contract-apostrophe`` and ``contract-done`` in the contraction.
    """
    keep = " " in written
    words = full.split(" ")
    closed = full if keep else full.replace(" ", "")
    steps: list[Step] = []
    if len(words) > 1:
        spans: list[Span] = []
        at = 0
        for word in words:
            spans.append((at, at + len(word)))
            at += len(word) + 1
        many = "two words" if len(words) == 2 else f"{('three', 'four')[len(words) - 3]} words"
        steps.append(
            Step(
                "contract-words",
                f"Write the {many} side by side: {full}.",
                f"Write the words: {full}.",
                tuple(spans),
            )
        )
        if not keep:
            inside = tuple(_closed(full, s, keep) for s in spans)
            steps.append(
                Step(
                    "contract-close",
                    f"Close the gap: {closed}.",
                    "Close the gap.",
                    inside,
                )
            )
    else:
        steps.append(
            Step(
                "contract-words",
                f"Write the full word: {full}.",
                f"Write the word: {full}.",
                ((0, len(full)),),
            )
        )
    for run in runs:
        gone = full[run.span[0] : run.span[1]]
        place = (_closed(full, run.span, keep),)
        if run.instead:
            says = f"{gone} changes to {run.instead}."
            steps.append(Step("contract-change", says, says, place))
            continue
        says = f"{_leave(gone)}."
        if not run.marked:
            says = f"{_leave(gone)}, and no mark shows it."
        steps.append(Step("contract-drop", says, says, place))
    places = tuple((m, m + 1) for m in marks)
    for run, place_of in zip((r for r in runs if r.marked), places, strict=True):
        gone = full[run.span[0] : run.span[1]]
        was = "was" if len(gone.replace(" ", "")) == 1 else "were"
        says = f"The apostrophe stands where {_letters(gone)} {was}."
        steps.append(Step("contract-apostrophe", says, says, (place_of,)))
    done = f"{full} is written {written}."
    steps.append(Step("contract-done", done, f"Now it is {written}.", places))
    if note:
        steps.append(Step("contract-note", note, note))
    return tuple(steps)


def _form(marked: str, note: str) -> tuple[str, ContractionForm]:
    """The contraction that one marked full form makes, and the form."""
    full, runs = _parse(marked)
    keep = marked.startswith("rock ")
    written, marks = _shorten(full, runs, keep)
    dropped = tuple(full[r.span[0] : r.span[1]].strip() for r in runs)
    steps = _steps(full, runs, written, marks, note)
    return written, ContractionForm(tuple(full.split(" ")), dropped, marks, steps)


def _learned(written: str, note: str) -> ContractionForm:
    """The form of a contraction without a single full form."""
    marks = tuple(i for i, c in enumerate(written) if c == "'")
    places = tuple((m, m + 1) for m in marks)
    steps = (
        Step(
            "contract-done",
            f"{written} has no single full form: learn it whole.",
            f"Learn it whole: {written}.",
            places,
        ),
        Step("contract-note", note, note),
    )
    return ContractionForm(None, (), marks, steps)


def _read(row: Row) -> Contraction:
    written, marked = row["written"], row["marked"]
    if row["group"] not in GROUPS:
        raise row.bad(f"group must be one of {', '.join(sorted(GROUPS))}.")
    if row["level"] not in {"write", "recognize"}:
        raise row.bad("level must be write or recognize.")
    if row["register"] not in REGISTERS:
        raise row.bad(f"register must be one of {', '.join(sorted(REGISTERS))}.")
    if not row["skill"].startswith("con:"):
        raise row.bad("skill must be a con: id.")
    forms: list[ContractionForm] = []
    if marked == "-":
        forms.append(_learned(written, row["note"]))
    else:
        for reading in marked.split(" | "):
            try:
                made, form = _form(reading, row["note"])
            except Malformed as error:
                raise row.bad(str(error)) from None
            if made != written:
                raise row.bad(f"{reading} makes {made}, not {written}.")
            forms.append(form)
    return Contraction(
        written=written,
        group=row["group"],
        irregular=row["skill"] == "con:irregular",
        level=row["level"],
        register=row["register"],
        forms=tuple(forms),
        skill=row["skill"],
        note=row["note"],
    )


@cache
def contractions() -> dict[str, Contraction]:
    """Every contraction of the table by its written form, straight apostrophes, in table order.

    Raises Malformed for a row that does not make its contraction again, or stands twice.
    """
    table: dict[str, Contraction] = {}
    for row in read_tsv("words", "contractions.tsv", COLUMNS):
        if row["written"] in table:
            raise row.bad(f"{row['written']} stands twice.")
        table[row["written"]] = _read(row)
    return table


@cache
def _by_lower() -> dict[str, Contraction]:
    return {written.lower(): c for written, c in contractions().items()}


def contraction(written: str) -> Contraction | None:
    """The contraction behind a written form, whatever its capitals and kind of apostrophe; else None."""
    return _by_lower().get(straight(written.strip()).lower())


RULE = {
    "not": "n[o]t",
    "am": "[a]m",
    "are": "[a]re",
    "is": "[i]s",
    "has": "[ha]s",
    "will": "[wi]ll",
    "shall": "[sha]ll",
    "have": "[ha]ve",
    "had": "[ha]d",
    "would": "[woul]d",
    "us": "[u]s",
}
"""The second word of a regular contraction with the letters that leave in brackets."""
FAMILY = {
    "am": ("am", "con:be"),
    "are": ("are", "con:be"),
    "is": ("is", "con:be"),
    "has": ("is", "con:be"),
    "will": ("will", "con:will"),
    "have": ("have", "con:have"),
    "had": ("had-would", "con:had-would"),
    "would": ("had-would", "con:had-would"),
}
NOT_AFTER = frozenset(
    {
        "is", "are", "was", "were", "do", "does", "did", "have", "has", "had", "could", "should",
        "would", "might", "must", "need", "dare", "ought",
    }
)  # fmt: skip
HISS = ("s", "x", "z", "ch", "sh", "ce", "se", "ge", "ze")


def compose(words: tuple[str, ...]) -> Contraction:
    """Make the contraction of two words (or three) by the rule, or find it in the table.

    The form asked for stands first in ``forms``. A noun or name with is or has is made by the rule (the
    dog's asleep). Raises NotAllowed where school English has no such contraction, saying why.
    """
    asked = tuple(straight(w.strip()) for w in words)
    low = tuple(w.lower() for w in asked)
    key = ("cannot",) if low == ("can", "not") else low
    for found in contractions().values():
        for form in found.forms:
            if form.full is not None and tuple(w.lower() for w in form.full) == key:
                others = tuple(f for f in found.forms if f is not form)
                return replace(found, forms=(form, *others))
    if len(low) != 2:
        raise NotAllowed(
            f"{' '.join(asked)} has no contraction: give two words, such as do and not."
        )
    first, second = low
    if (first, second) == ("am", "not"):
        raise NotAllowed("am not has no contraction in school English: write I'm not.")
    if second not in {"is", "has"} or not first.isalpha() or first in NOT_AFTER:
        raise NotAllowed(
            f"{first} {second} has no contraction in school English: write both words."
        )
    if first.endswith(HISS):
        raise NotAllowed(
            f"{first} {second} is not shortened in writing: {asked[0]} ends in a hissing sound."
        )
    group, skill = FAMILY[second]
    written, form = _form(f"{asked[0]} {RULE[second]}", "")
    return Contraction(written, group, False, "recognize", "informal", (form,), skill)
