"""What is not put before children: words by theme, and made-up words that sound rude.

The lists are our own, in ``data/themes_unsuitable.tsv``, judged word by word for a grade 3 class. They are
for lists the program makes; a teacher may still type any word. Over-blocking is a fault as well: *church*,
*banana*, *class* and *title* are shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

from larkslate.datafile import read_tsv
from larkslate.words.joins import spellings
from larkslate.words.sounds import SYMBOLS, bare

REASONS: frozenset[str] = frozenset(
    {
        "rude",
        "slur",
        "adult",
        "body or toilet",
        "drink or drugs",
        "gambling",
        "weapon",
        "frightening or violent",
        "painful history",
        "insult",
        "religion-sensitive",
        "brand name",
    }
)
"""The reasons a teacher can be given, in plain words."""

_FORMS = ("s", "ed", "ing", "er", "y")
_TRAILING = ("S", "Z", "T", "D")


@cache
def allowed() -> frozenset[str]:
    """Words that look like a form of an unsuitable word and are fine. Raises Malformed."""
    found: set[str] = set()
    for row in read_tsv("words", "suitable_words.tsv", ("word", "why")):
        if row["word"] in found or not row["why"]:
            raise row.bad("each word stands once and says why it is fine.")
        found.add(row["word"])
    return frozenset(found)


def _forms(base: str) -> Iterable[str]:
    """The word, its simple forms, and the plural of the doer: gun, guns, gunned, gunning, gunner, gunners."""
    yield base
    for ending in _FORMS:
        for made in spellings(base, ending):
            yield made.word
            if ending == "er":
                yield made.word + "s"


@cache
def _lists() -> tuple[dict[str, str], tuple[tuple[str, str], ...]]:
    """Whole words to reason, and (letters, reason) that may stand in no word. Raises Malformed."""
    words: dict[str, str] = {}
    inside: list[tuple[str, str]] = []
    for row in read_tsv("words", "themes_unsuitable.tsv", ("reason", "match", "words")):
        reason, match = row["reason"], row["match"]
        if reason not in REASONS:
            raise row.bad(f"{reason} is not a reason; there are {', '.join(sorted(REASONS))}.")
        for word in row["words"].split():
            if not word.isalpha() or not word.islower():
                raise row.bad(f"{word} must be lower-case letters.")
            if match == "inside":
                inside.append((word, reason))
            elif match == "exact":
                words.setdefault(word, reason)
            elif match == "forms":
                for form in _forms(word):
                    words.setdefault(form, reason)
            else:
                raise row.bad(f"{match} is not a match; use forms, exact or inside.")
    return words, tuple(inside)


def unsuitable(word: str) -> str | None:
    """Why a word is not shown to children, in plain words; None where it is fine.

    Capitals and a final 's do not count; an open or hyphened compound is tried part by part.
    """
    lower = word.lower().replace("’", "'")
    lower = lower.removesuffix("'s").removesuffix("'")
    if " " in lower or "-" in lower:
        for part in lower.replace("-", " ").split():
            if reason := unsuitable(part):
                return reason
        return None
    if lower in allowed():
        return None
    words, inside = _lists()
    if lower in words:
        return words[lower]
    return next((reason for letters, reason in inside if letters in lower), None)


@cache
def _rude_sounds() -> tuple[frozenset[tuple[str, ...]], tuple[tuple[str, ...], ...]]:
    """Whole words and stretches of sound to keep out. Raises Malformed."""
    whole: set[tuple[str, ...]] = set()
    inside: list[tuple[str, ...]] = []
    for row in read_tsv("words", "rude_sounds.tsv", ("sounds", "where")):
        sounds = tuple(row["sounds"].split())
        if set(sounds) - SYMBOLS:
            raise row.bad("sounds are ARPAbet symbols without stress digits.")
        if row["where"] == "whole":
            whole.add(sounds)
        elif row["where"] == "inside":
            inside.append(sounds)
        else:
            raise row.bad("where is whole or inside.")
    return frozenset(whole), tuple(inside)


def rude_sound(phonemes: Sequence[str]) -> bool:
    """True if a made-up word sounds like a rude word, or like a simple form of one."""
    sounds = tuple(bare(p) for p in phonemes)
    whole, inside = _rude_sounds()
    if any(_stands_in(part, sounds) for part in inside):
        return True
    tries = [sounds]
    if len(sounds) > 2 and sounds[-1] in _TRAILING:
        tries.append(sounds[:-1])
    if len(sounds) > 3 and sounds[-1] in {"ER", "IY"}:
        tries.append(sounds[:-1])
    if sounds[-2:] == ("IH", "NG") and len(sounds) > 4:
        tries.append(sounds[:-2])
    return any(t in whole for t in tries)


def _stands_in(part: tuple[str, ...], sounds: tuple[str, ...]) -> bool:
    size = len(part)
    return any(sounds[i : i + size] == part for i in range(len(sounds) - size + 1))


def _frame(letters: str) -> str:
    """Letters with the consonants as they sound: ck and c as k, ph as f, doubled letters once."""
    out = letters.lower().replace("ck", "k").replace("ph", "f").replace("c", "k").replace("q", "k")
    return "".join(c for i, c in enumerate(out) if i == 0 or out[i - 1] != c)


def too_near(made_up: str, known: Iterable[str] = ()) -> str | None:
    """Why a made-up word looks too much like a word to keep out or like a real one; None where it is fine.

    ``known`` are real words it must not be written like (the lexicon's, or those taught). Looks, not sound:
    use ``rude_sound`` beside it.
    """
    reason = unsuitable(made_up)
    if reason is not None:
        return reason
    lower = made_up.lower()
    words, inside = _lists()
    frame = _frame(lower)
    if any(_frame(letters) in frame for letters, _ in inside):
        return "rude"
    rude = {"rude", "slur", "adult", "body or toilet"}
    if len(frame) <= 5 and any(r in rude and _frame(w) == frame for w, r in words.items()):
        return "rude"
    return "a real word" if any(k.lower() == lower for k in known) else None
