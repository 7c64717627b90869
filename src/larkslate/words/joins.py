"""Joining an ending, a suffix or a prefix to a base: one ordered decision, its exceptions in data.

The order is: listed exception, plural of f, ie before ing, y, e, c + k, doubling, plain. Sources:
Common Core L.3.2e-f and L.2.2d (endings, suffixes), Arizona 2016 2.WF.3 and 3.WF.3 (doubling, drop e,
y to i); the exception tables are a college dictionary's spellings, from memory. US spelling.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from larkslate.datafile import read_tsv
from larkslate.errors import Ambiguous, Malformed, NotAllowed
from larkslate.words.affixes import endings, prefixes, suffixes
from larkslate.words.model import JoinChange, Step
from larkslate.words.wording import join_steps

VOWELS = frozenset("aeiou")
NEVER_DOUBLED = frozenset("wxyhc")
HISS = re.compile(r"(s|x|z|ch|sh)$")
KINDS = frozenset({"plural", "third-person", "name", "comparative", "doer"})
DOUBLING = frozenset(
    {
        "ing",
        "ed",
        "er",
        "est",
        "en",
        "y",
        "able",
        "ible",
        "ish",
        "or",
        "age",
        "ance",
        "ence",
        "ant",
        "ent",
        "al",
        "ery",
    }
)
"""Endings that keep the stress of the base, so that its last consonant may double before them."""
ADDS_K = frozenset({"ing", "ed", "er", "y"})
KEEPS_Y = frozenset({"hood", "like", "ship", "ward", "wards", "wise", "let", "ling"})


@dataclass(frozen=True, slots=True)
class Joined:
    """A base with an ending on it.

    ``at`` is the index of the first letter of the ending in ``word``, so ``word[at:]`` is the ending
    as it is written there. ``also`` are other spellings that US dictionaries accept. ``rule`` is the
    stable name of the rule that decided; ``steps`` walk the derivation, worked out when asked for.
    """

    word: str
    change: JoinChange
    at: int
    also: tuple[str, ...]
    rule: str
    base: str
    ending: str
    note: str = ""  # the reason of a listed exception

    @property
    def steps(self) -> tuple[Step, ...]:
        """The walk from the parts to the word; see ``wording.join_steps``."""
        return join_steps(self.rule, self.base, self.ending, self.word, self.at, self.note)

    @property
    def written(self) -> str:
        """The ending as it is written in the word: ``es`` in babies, ``ally`` in basically."""
        return self.word[self.at :]


@dataclass(frozen=True, slots=True)
class _Decision:
    rule: str
    change: JoinChange
    stem: str
    ending: str
    also: tuple[str, ...] = ()
    note: str = ""


@cache
def word_class(name: str) -> frozenset[str]:
    """The words of one class of ``join_classes.tsv``. Raises Malformed for a class that is not there."""
    found = _classes().get(name)
    if found is None:
        raise Malformed(f"words/data/join_classes.tsv has no class {name!r}.")
    return found


@cache
def _classes() -> dict[str, frozenset[str]]:
    classes: dict[str, set[str]] = {}
    for row in read_tsv("words", "join_classes.tsv", ("class", "words", "why")):
        words = row["words"].split()
        if not words or not row["why"]:
            raise row.bad("a class needs words and a reason.")
        classes.setdefault(row["class"], set()).update(words)
    return {name: frozenset(words) for name, words in classes.items()}


def _tail(word: str, ending: str) -> int:
    """Index where the written ending starts: its longest tail that ends the word."""
    if ending == "s" and word.endswith("es"):
        return len(word) - 2
    for start in range(len(ending)):
        if word.endswith(ending[start:]):
            return len(word) - len(ending) + start
    return len(word)


@cache
def _exceptions() -> dict[tuple[str, str], _Decision]:
    table: dict[tuple[str, str], _Decision] = {}
    columns = ("base", "ending", "word", "change", "also", "why")
    for row in read_tsv("words", "join_exceptions.tsv", columns):
        base, ending, word = row["base"], row["ending"], row["word"]
        if (base, ending) in table:
            raise row.bad(f"{base} + {ending} stands twice.")
        if row["change"] not in list(JoinChange):
            raise row.bad(f"{row['change']!r} is not a change: use one of {', '.join(JoinChange)}.")
        if not row["why"]:
            raise row.bad("an exception needs a reason.")
        change = JoinChange(row["change"])
        at = _tail(word, ending)
        stem = word[:at]
        plain = {JoinChange.NONE: base, JoinChange.DOUBLE: base + base[-1]}.get(change, stem)
        if stem != plain:
            raise row.bad(f"{word} does not begin with {plain}, as the change {change} says.")
        also = tuple(row["also"].split())
        table[base, ending] = _Decision("exception", change, stem, word[at:], also, row["why"])
    return table


@cache
def known_endings() -> frozenset[str]:
    """Every ending and suffix that ``join`` knows."""
    return frozenset(a.letters for a in (*endings(), *suffixes()))


def starts_with_vowel(ending: str) -> bool:
    """True for an ending that begins with a vowel letter, or is y."""
    return ending[0] in VOWELS or ending == "y"


def vowel_letters(base: str) -> list[bool]:
    """For each letter, whether it works as a vowel letter here: u of qu does not, y after a consonant does."""
    marks: list[bool] = []
    for i, letter in enumerate(base.lower()):
        before = base[i - 1].lower() if i else ""
        if letter == "u" and before == "q":
            marks.append(False)
        elif letter == "y":
            marks.append(i > 0 and before not in VOWELS)
        else:
            marks.append(letter in VOWELS)
    return marks


def vowel_groups(base: str) -> int:
    """The number of runs of vowel letters, which is one for a base of one syllable without a final e."""
    return len(re.findall("V+", "".join("V" if v else "c" for v in vowel_letters(base))))


def one_vowel_one_consonant(base: str) -> bool:
    """True where the base ends in exactly one consonant letter (not w, x, y, h, c) after exactly one vowel letter."""
    marks = vowel_letters(base)
    if len(base) < 2 or marks[-1] or base[-1].lower() in NEVER_DOUBLED or not marks[-2]:
        return False
    return len(base) == 2 or not marks[-3]


def _plural(base: str, ending: str, kind: str | None) -> _Decision:
    """The s or es ending: plural of a noun or the he, she, it form of a verb."""
    low = base.lower()
    name = kind == "name"
    if kind in {None, "plural"} and low in word_class("f-to-v"):
        cut = 2 if low.endswith("fe") else 1
        tail = "s" if low.endswith("fe") else "es"
        stem = base[:-2] + "ve" if low.endswith("fe") else base[:-cut] + "v"
        also = (base + "s",) if low in word_class("f-either") else ()
        return _Decision("f-to-v", JoinChange.F_TO_V, stem, tail, also)
    if re.search(r"([^aeiou]|qu)y$", low):
        if name:
            return _Decision("name-keeps-y", JoinChange.NONE, base, "s")
        return _Decision("y-to-i", JoinChange.Y_TO_I, base[:-1] + "i", "es")
    if HISS.search(low):
        if low in word_class("ch-is-k"):
            return _Decision("ch-is-k", JoinChange.NONE, base, "s")
        return _Decision("es-hiss", JoinChange.NONE, base, "es")
    if low in word_class("o-takes-es") and not name:
        return _Decision("es-o", JoinChange.NONE, base, "es")
    if low in word_class("o-es-or-s") and not name:
        return _Decision("es-o", JoinChange.NONE, base, "es", (base + "s",))
    if low in word_class("o-s-or-es") and not name:
        return _Decision("plain-s", JoinChange.NONE, base, "s", (base + "es",))
    if ending == "es":
        raise NotAllowed(f"{base} does not take es: write {base}s.")
    if re.search(r"[aeiou]y$", low):
        return _Decision("y-stays-after-vowel", JoinChange.NONE, base, "s")
    return _Decision("plain-s", JoinChange.NONE, base, "s")


def _after_y(base: str, ending: str) -> _Decision:
    """A base in y before any ending but s."""
    if re.search(r"[aeiou]y$", base) and not base.endswith("quy"):
        return _Decision("y-stays-after-vowel", JoinChange.NONE, base, ending)
    if ending[0] == "i":
        return _Decision("y-stays-before-i", JoinChange.NONE, base, ending)
    if ending in KEEPS_Y:
        return _Decision("plain", JoinChange.NONE, base, ending)
    return _Decision("y-to-i", JoinChange.Y_TO_I, base[:-1] + "i", ending)


def _after_e(base: str, ending: str) -> _Decision:
    """A base in e, before an ending that begins with a vowel letter."""
    if ending[0] == "e":
        return _Decision("one-e", JoinChange.DROP_E, base[:-1], ending)
    if base.endswith(("ee", "oe", "ye")):
        return _Decision("e-stays-in-team", JoinChange.NONE, base, ending)
    if ending[0] in "ao" and base.endswith(("ce", "ge")):
        return _Decision("e-keeps-soft", JoinChange.NONE, base, ending)
    return _Decision("drop-e", JoinChange.DROP_E, base[:-1], ending)


def _doubling(base: str, ending: str, stress_last: bool | None) -> _Decision:
    """A base in a consonant letter, before an ending that begins with a vowel letter."""
    if not one_vowel_one_consonant(base):
        marks = vowel_letters(base)
        if base[-1] in "wxy":
            return _Decision("no-double-wxy", JoinChange.NONE, base, ending)
        if base[-1] in "ch" and marks[-2]:
            return _Decision("plain", JoinChange.NONE, base, ending)
        if len(base) > 2 and not marks[-1] and marks[-2] and marks[-3]:
            return _Decision("no-double-two-vowels", JoinChange.NONE, base, ending)
        return _Decision("no-double-two-consonants", JoinChange.NONE, base, ending)
    doubled = base + base[-1]
    if vowel_groups(base) == 1:
        if ending not in DOUBLING and ending != "ist":
            return _Decision("plain", JoinChange.NONE, base, ending)
        return _Decision("double-one-syllable", JoinChange.DOUBLE, doubled, ending)
    if ending not in DOUBLING:
        return _Decision("plain", JoinChange.NONE, base, ending)
    if base in word_class("doubles-anyway"):
        return _Decision("double-like-compound", JoinChange.DOUBLE, doubled, ending)
    if base in word_class("doubles-or-not"):
        also = (doubled + ending,)
        return _Decision("no-double-unstressed", JoinChange.NONE, base, ending, also)
    if base in word_class("not-last-stressed"):
        stress_last = False  # the spelling is settled, whatever a dictionary's reading says
    elif stress_last is None and base in word_class("last-stressed"):
        stress_last = True
    if stress_last is None:
        raise Ambiguous(
            f"{base} + {ending} is {base}{ending} or {doubled}{ending}: say whether the last "
            f"syllable of {base} is stressed (stress_last)."
        )
    if stress_last:
        return _Decision("double-stressed", JoinChange.DOUBLE, doubled, ending)
    return _Decision("no-double-unstressed", JoinChange.NONE, base, ending)


def _decide(base: str, ending: str, stress_last: bool | None, kind: str | None) -> _Decision:
    """The listed exception, or else what the rules say; a name follows the rules."""
    listed = _exceptions().get((base, ending))
    if listed and kind != "name":
        return listed
    return _by_rule(base, ending, stress_last, kind)


def _by_rule(base: str, ending: str, stress_last: bool | None, kind: str | None) -> _Decision:
    """The first rule that fires, in the order of the module's docstring."""
    if ending in {"'s", "'"}:
        return _Decision("plain", JoinChange.NONE, base, ending)
    if ending in {"s", "es"}:
        return _plural(base, ending, kind)
    if base.endswith("ie") and ending == "ing" and base in word_class("ie-verb"):
        return _Decision("ie-to-y", JoinChange.IE_TO_Y, base[:-2] + "y", ending)
    if base.endswith("y"):
        return _after_y(base, ending)
    if ending == "ly":
        if re.search(r"[^aeiou]le$", base):
            return _Decision("drop-le", JoinChange.DROP_LE, base[:-2], ending)
        if base.endswith("ll"):
            return _Decision("ll-ly", JoinChange.DROP_LETTER, base[:-1], ending)
        if base.endswith("ic"):
            return _Decision("ic-ally", JoinChange.NONE, base, "ally")
    if base.endswith("a") and ending in {"an", "ian"}:
        return _Decision("one-a", JoinChange.DROP_LETTER, base[:-1], ending)
    if ending == "ful" and base.endswith("full"):
        raise NotAllowed(f"{base} already has ful in it.")
    if base.endswith("e"):
        if starts_with_vowel(ending):
            return _after_e(base, ending)
        return _Decision("e-stays-before-consonant", JoinChange.NONE, base, ending)
    if re.search(r"[aeiou]c$", base) and ending in ADDS_K:
        return _Decision("add-k", JoinChange.ADD_K, base + "k", ending)
    if ending == "th" and base.endswith("t"):
        return _Decision("plain", JoinChange.NONE, base, ending)
    if starts_with_vowel(ending) and not vowel_letters(base)[-1]:
        return _doubling(base, ending, stress_last)
    return _Decision("plain", JoinChange.NONE, base, ending)


def join(
    base: str, ending: str, *, stress_last: bool | None = None, kind: str | None = None
) -> Joined:
    """Join an ending or suffix to a base by the rules of US spelling.

    Only the spelling is decided: that go has went, not goed, is known to ``inflections.inflect``.
    ``stress_last`` says whether the last syllable of a longer base is stressed; it matters only where
    a consonant may double. Without it a short table is asked. ``kind`` tells apart what the letters
    do not: ``plural``, ``third-person``, ``name`` (the Kellys), ``comparative``, ``doer``.
    Raises Malformed for a base that is not letters or an unknown ending or kind, NotAllowed where the
    ending cannot go on the base, Ambiguous where the stress decides and is not known.
    """
    base = base.replace("’", "'")
    ending = ending.removeprefix("-").replace("’", "'")
    if not base or not base.replace("'", "").replace("-", "").isalpha():
        raise Malformed(f"{base!r} is not a word: write letters only.")
    if ending not in known_endings():
        raise Malformed(f"{ending!r} is not an ending or suffix of the tables in words/data.")
    if kind is not None and kind not in KINDS:
        raise Malformed(f"{kind!r} is not a kind of ending: use one of {', '.join(sorted(KINDS))}.")
    made = _decide(base, ending, stress_last, kind)
    word = made.stem + made.ending
    at = len(made.stem)
    return Joined(word, made.change, at, made.also, made.rule, base, ending, made.note)


def listed_joins() -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """Base, ending and spellings (first, then accepted ones) of every listed exception."""
    return tuple(
        (base, ending, (d.stem + d.ending, *d.also)) for (base, ending), d in _exceptions().items()
    )


def spellings(base: str, ending: str, *, kind: str | None = None) -> tuple[Joined, ...]:
    """Every way the join may come out, the stress of the base not being known.

    One result where the rules decide, two where the stress would; none where the ending cannot go on.
    """
    found: list[Joined] = []
    try:
        found.append(join(base, ending, kind=kind))
    except Ambiguous:
        found.append(join(base, ending, stress_last=False, kind=kind))
        found.append(join(base, ending, stress_last=True, kind=kind))
    except NotAllowed:
        pass
    return tuple(found)


@cache
def _prefix_letters() -> frozenset[str]:
    return frozenset(p.letters for p in prefixes())


def negative_prefix(base: str) -> str:
    """The form of in- that stands before a base: im before m, p, b; il before l; ir before r."""
    first = base[0].lower()
    if first in "mpb":
        return "im"
    return {"l": "il", "r": "ir"}.get(first, "in")


def join_prefix(prefix: str, base: str) -> Joined:
    """Put a prefix before a base: no letter of either changes, so ``at`` is where the base begins.

    Raises Malformed for an unknown prefix, NotAllowed for the wrong form of in- (inpossible).
    """
    prefix = prefix.removesuffix("-")
    if prefix not in _prefix_letters():
        raise Malformed(f"{prefix!r} is not a prefix of the table in words/data.")
    if not base.isalpha():
        raise Malformed(f"{base!r} is not a word: write letters only.")
    right = negative_prefix(base)
    if prefix in {"im", "il", "ir"} and prefix != right:
        raise NotAllowed(f"Before {base} the prefix is written {right}, not {prefix}.")
    word = prefix + base
    at = len(prefix)
    rule = "prefix-changes-form" if prefix in {"im", "il", "ir"} else "prefix"
    return Joined(word, JoinChange.NONE, at, (), rule, base, prefix)
