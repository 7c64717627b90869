"""Owning: 's for one owner, an apostrophe after the s of many, 's after a plural without s.

Sources: Common Core L.2.2c and the marking of CCSS L.3.2d; names in s: 's is taught (The Chicago Manual of
Style), the apostrophe alone is accepted (The Associated Press Stylebook), both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from larkslate.datafile import read_tsv
from larkslate.errors import Malformed, NotAllowed
from larkslate.words.contractions import contraction, straight
from larkslate.words.irregular import IrregularForm, irregular_forms
from larkslate.words.model import Span, Step

ONE, MANY = "one", "many"


@dataclass(frozen=True, slots=True)
class Possessive:
    """An owner's form: the dog's, the dogs', the children's.

    ``kind`` is ``singular``, ``plural`` or ``plural-irregular``, ``skill`` the skill it needs, ``mark``
    the index of the apostrophe, ``also`` spellings accepted beside the one taught (James').
    """

    written: str
    also: tuple[str, ...]
    owner: str
    kind: str
    skill: str
    mark: int
    steps: tuple[Step, ...]


@cache
def own_forms() -> dict[str, tuple[str, str]]:
    """The owning forms of pronouns: ``it`` gives ("its", "")."""
    rows = read_tsv("words", "own_forms.tsv", ("word", "owning", "alone"))
    return {row["word"]: (row["owning"], row["alone"]) for row in rows}


@cache
def owning_words() -> frozenset[str]:
    """Words that show owning without an apostrophe: its, hers, whose."""
    return frozenset(w for pair in own_forms().values() for w in pair if w)


@cache
def names_in_s() -> frozenset[str]:
    """Singular names that end in s: James, Texas."""
    return frozenset(
        n for r in read_tsv("words", "names_in_s.tsv", ("names",)) for n in r["names"].split()
    )


_COMPOUND_PLURALS = ("women", "men", "children", "people", "feet", "teeth", "mice", "geese")
_NOT_PLURAL = frozenset(
    {"specimen", "abdomen", "omen", "acumen", "regimen", "amen", "stamen", "ramen", "lumen"}
)


def irregular_plural(word: str) -> IrregularForm | None:
    """The irregular plural a word is, or ends in as a compound does: children, snowmen, sheep."""
    low = word.lower()
    form = irregular_forms().get(low)
    if form is None and low not in _NOT_PLURAL:
        tail = next((t for t in _COMPOUND_PLURALS if low.endswith(t)), None)
        form = irregular_forms()[tail] if tail else None
    return form if form is not None and form.what in {"plural", "same-plural"} else None


def possessive(noun: str, owners: str) -> Possessive:
    """The form that shows owning, from the noun written for that many owners.

    ``owners`` is ``one`` (dog, James) or ``many``, then the noun is the plural (dogs, children). Raises
    NotAllowed for a pronoun, which has a form of its own, and for many owners written as one.
    """
    noun = straight(noun.strip())
    if owners not in {ONE, MANY}:
        raise Malformed(f"owners must be one or many, not {owners!r}.")
    if not noun or not noun.replace("-", "").replace(" ", "").isalpha():
        raise Malformed(f"{noun!r} is not a noun: write letters.")
    own = own_forms().get(noun.lower())
    if own is not None or noun.lower() in owning_words():
        shown = own[0] if own else noun.lower()
        raise NotAllowed(f"{noun} takes no apostrophe: the owning form is {shown}.")
    if owners == ONE:
        return _one(noun)
    if noun.lower().endswith("s"):
        return _many(noun)
    if irregular_plural(noun) is None:
        raise NotAllowed(
            f"{noun} is not a plural: give the plural first, such as dogs or children."
        )
    return _many_irregular(noun)


def _step(noun: str, who: str, write: str, written: str, mark: int) -> tuple[Step, ...]:
    span: Span = (0, len(noun))
    return (
        Step("poss-owner", who, who, (span,)),
        Step("poss-write", f"Write the owner whole: {noun}.", f"Write {noun}.", (span,)),
        Step(
            "poss-mark", f"{write} Write {written}.", f"{write} {written}.", ((mark, len(written)),)
        ),
    )


def _one(noun: str) -> Possessive:
    written, mark = f"{noun}'s", len(noun)
    also: tuple[str, ...] = ()
    write = "One owner: add an apostrophe and s."
    if noun[0].isupper() and noun.endswith("s"):
        also = (f"{noun}'",)
        write = "One owner, a name in s: add an apostrophe and s, as in any name."
    steps = _step(noun, f"One owner: {noun}.", write, written, mark)
    return Possessive(written, also, noun, "singular", "poss:singular", mark, steps)


def _many(noun: str) -> Possessive:
    written, mark = f"{noun}'", len(noun)
    write = "Many owners, and the plural ends in s: add only an apostrophe after the s."
    steps = _step(noun, f"More than one owner: {noun}.", write, written, mark)
    return Possessive(written, (), noun, "plural", "poss:plural", mark, steps)


def _many_irregular(noun: str) -> Possessive:
    written, mark = f"{noun}'s", len(noun)
    write = "Many owners, and the plural does not end in s: add an apostrophe and s."
    steps = _step(noun, f"More than one owner: {noun}.", write, written, mark)
    return Possessive(written, (), noun, "plural-irregular", "poss:plural-irregular", mark, steps)


def split_possessive(written: str) -> tuple[str, str] | None:
    """The owner and the kind behind a possessive: ``dogs'`` is ("dogs", "plural").

    None for what cannot be a possessive: no apostrophe, one elsewhere, a pronoun, a contraction of the
    table that is nothing else (it's, let's). James' is read as one owner, the Kellys' as many.
    """
    word = straight(written.strip())
    low = word.lower()
    if low.endswith("'s"):
        base = word[:-2]
        if not base or not base.replace("-", "").isalpha() or base.lower() in own_forms():
            return None
        known = contraction(word)
        if known is not None and base.lower() not in OWNERS_TOO:
            return None
        plural = irregular_plural(base)
        if plural is not None and not plural.same:
            return base, "plural-irregular"
        return base, "singular"
    if low.endswith("s'"):
        base = word[:-1]
        if not base.replace("-", "").isalpha() or low[:-1] in owning_words():
            return None
        if base in names_in_s():
            return base, "singular"
        return base, "plural"
    return None


OWNERS_TOO = frozenset(
    {"someone", "everyone", "somebody", "everybody", "nobody", "one", "anyone", "anybody"}
)
"""First words of contractions with is that can be owners too: someone's is busy, someone's coat."""
