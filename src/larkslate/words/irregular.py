"""Irregular pasts, plurals and comparisons: went, children, better. Read once from the data table."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from larkslate.datafile import read_tsv

WHAT = frozenset(
    {
        "past",
        "participle",
        "past+participle",
        "plural",
        "comparative",
        "superlative",
        "person",
        "same-past",
        "same-participle",
        "same-plural",
    }
)
RIGHT = {
    "past": "ed",
    "participle": "ed",
    "past+participle": "ed",
    "plural": "s",
    "comparative": "er",
    "superlative": "est",
    "person": "s",
}
"""The regular ending whose place an irregular form takes."""


@dataclass(frozen=True, slots=True)
class IrregularForm:
    """A form that no joining rule makes, and the base it belongs to.

    ``word_too`` is true where the form is a word of its own as well (saw, left), ``word_first`` where
    that word is the commoner reading (rose, ground), ``regular_too`` where a regular form is in use
    beside it (dreamed).
    """

    form: str
    base: str
    what: str
    word_too: bool
    word_first: bool
    regular_too: bool

    @property
    def same(self) -> bool:
        """True where the form is written like its base: cut, come, sheep."""
        return self.what.startswith("same-")

    @property
    def takes_place_of(self) -> str:
        """The regular ending this form takes the place of: ``ed`` for went."""
        return RIGHT.get(self.what, "")


@cache
def irregular_forms() -> dict[str, IrregularForm]:
    """Every irregular form by its spelling. Raises Malformed for a doubled or wrong row."""
    table: dict[str, IrregularForm] = {}
    for row in read_tsv("words", "irregular_forms.tsv", ("form", "base", "what", "also")):
        form = row["form"]
        if form in table:
            raise row.bad(f"{form} stands twice.")
        if row["what"] not in WHAT:
            raise row.bad(f"what must be one of {', '.join(sorted(WHAT))}.")
        also = set(row["also"].split())
        if also - {"word", "word-first", "regular"}:
            raise row.bad("also may hold word, word-first and regular.")
        if row["what"].startswith("same-") != (form == row["base"]):
            raise row.bad("same- is for forms written like their base, and only for them.")
        table[form] = IrregularForm(
            form,
            row["base"],
            row["what"],
            word_too=bool(also & {"word", "word-first"}),
            word_first="word-first" in also,
            regular_too="regular" in also,
        )
    return table


@cache
def _by_base(whats: tuple[str, ...]) -> dict[str, tuple[IrregularForm, ...]]:
    found: dict[str, tuple[IrregularForm, ...]] = {}
    for form in irregular_forms().values():
        if form.what in whats:
            found[form.base] = (*found.get(form.base, ()), form)
    return found


def forms_of(base: str, *whats: str) -> tuple[IrregularForm, ...]:
    """The irregular forms of a base that are one of ``whats``: ``forms_of("go", "past")`` is went."""
    return _by_base(whats).get(base, ())


def has_no_regular(base: str, ending: str) -> bool:
    """True where a base takes an irregular form and US dictionaries give no regular one: not goed, mans."""
    whats = {
        "ed": ("past", "past+participle", "same-past"),
        "s": ("plural", "same-plural"),
        "er": ("comparative",),
        "est": ("superlative",),
    }.get("s" if ending == "es" else ending, ())
    found = forms_of(base, *whats) if whats else ()
    return bool(found) and not any(f.regular_too for f in found)


def is_past_participle(word: str) -> bool:
    """True for an irregular participle: gone, seen, kept, cut, come."""
    found = irregular_forms().get(word)
    return found is not None and found.what in {
        "participle",
        "past+participle",
        "same-past",
        "same-participle",
    }
