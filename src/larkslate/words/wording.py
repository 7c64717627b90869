"""The sentences that a joining rule says to a teacher and to a child, filled from the data table."""

from __future__ import annotations

from functools import cache

from larkslate.datafile import read_tsv
from larkslate.words.model import Step

COLUMNS = ("rule", "look", "child_look", "do", "child_do")


@cache
def rules() -> dict[str, dict[str, str]]:
    """The wording of each rule by its stable name. Raises Malformed for a row with an empty cell."""
    table: dict[str, dict[str, str]] = {}
    for row in read_tsv("words", "join_wording.tsv", COLUMNS):
        for column in COLUMNS:
            if not row[column]:
                raise row.bad(f"the cell {column} is empty.")
        if row["rule"] in table:
            raise row.bad(f"the rule {row['rule']} stands twice.")
        table[row["rule"]] = dict(row.cells)
    return table


def join_steps(
    rule: str, base: str, ending: str, word: str, at: int, note: str
) -> tuple[Step, ...]:
    """The three steps of a join: the parts, what to notice, what to write.

    Spans of ``join-parts`` and ``join-look`` are in the base; those of ``join-write`` are in the word:
    the letters before the seam that changed (if any) and the ending.
    """
    wording = rules()[rule]
    prefix = rule.startswith("prefix")
    fill = {
        "base": base,
        "ending": ending,
        "word": word,
        "written": word[at:],
        "last": base[-1],
        "first": ending[0],
        "first_base": base[0],
        "note": note,
    }
    pair = f"{ending} + {base}" if prefix else f"{base} + {ending}"
    same = 0
    while same < min(at, len(base)) and word[same] == base[same]:
        same += 1
    changed = ((same, at),) if same < at and not prefix else ()
    look = (0, 1) if prefix else (max(0, len(base) - 2), len(base))
    return (
        Step("join-parts", f"The parts are {pair}.", f"{pair}", ((0, len(base)),)),
        Step(
            "join-look",
            wording["look"].format(**fill),
            wording["child_look"].format(**fill),
            (look,),
        ),
        Step(
            "join-write",
            wording["do"].format(**fill),
            wording["child_do"].format(**fill),
            (*changed, (at, len(word))),
        ),
    )
