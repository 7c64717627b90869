"""Invented place-names: every legal spelling of the sounds under what has been taught.

A spelling is legal when each grapheme in it is taught, may stand where it stands (``data/legal.tsv``), and the
finished name is read back as the same sounds and needs nothing untaught.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from larkslate.datafile import read_tsv
from larkslate.errors import Malformed
from larkslate.sequence.reach import Reach
from larkslate.words.graphemes import align, table
from larkslate.words.model import Grapheme, Morpheme, MorphemeKind, Need
from larkslate.words.needs import simple_needs
from larkslate.words.sounds import SHORT_VOWELS, bare, is_vowel, unit
from larkslate.words.spellings import Spelling
from larkslate.words.suitable import rude_sound, too_near
from larkslate.words.syllables import divide

VOWEL_LETTERS = "aeiouy"
TAGS = frozenset(
    [
        "initial",
        "inside",
        "end",
        "end-short",
        "end-after",
        "end-long",
        "after-short",
        "before-eiy",
        "before-t",
        "before-nl",
        "before-ck",
        "before-l",
        "before-k",
        "before-d",
        "before-e",
        "after-c",
        "end-short-e",
        "in-split",
        "always",
    ]
)
MOST = 40  # spellings of one name; more would mean that a rule is missing


@dataclass(frozen=True, slots=True)
class Law:
    """Where a spelling may stand."""

    only: frozenset[str]
    never: frozenset[str]


@lru_cache(maxsize=1)
def laws() -> dict[str, Law]:
    """The rows of ``legal.tsv`` by spelling and sound. Raises Malformed naming a bad row."""
    found: dict[str, Law] = {}
    for row in read_tsv("choose", "legal.tsv", ("spelling", "only", "never")):
        only, never = frozenset(row["only"].split()), frozenset(row["never"].split())
        if (only | never) - TAGS:
            raise row.bad(f"{', '.join(sorted((only | never) - TAGS))} is not a place.")
        if row["spelling"] in found:
            raise row.bad(f"{row['spelling']} stands twice.")
        found[row["spelling"]] = Law(only, never)
    return found


@dataclass(frozen=True, slots=True)
class _Piece:
    """A spelling in a name being built: its letters and the sounds it spells."""

    row: Spelling
    start: int
    end: int  # of its sounds


@lru_cache(maxsize=512)
def legal_spellings(reach: Reach, phonemes: tuple[str, ...], through: int) -> tuple[str, ...]:
    """Every legal spelling, with a capital, in alphabetical order; empty where the sounds cannot be written.

    ``through`` is an index of the sequence. Raises Malformed when there are so many that a rule must be missing.
    """
    units = tuple(unit(p) for p in phonemes)
    known = _taught(reach, through)
    found: dict[str, None] = {}
    for letters in _written(units, 0, "", known):
        if letters not in found and _is_legal(reach, letters, phonemes, through):
            found[letters] = None
        if len(found) > MOST:
            raise Malformed(
                f"The sounds {' '.join(phonemes)} have more than {MOST} legal spellings: choose other sounds."
            )
    return tuple(sorted(w.capitalize() for w in found))


def _taught(reach: Reach, through: int) -> dict[tuple[str, ...], list[Spelling]]:
    """The rows of the grapheme table that are taught, by their sounds."""
    rows: dict[tuple[str, ...], dict[str, Spelling]] = {}
    for row in table().rows:
        since = reach.since_skill(f"gp:{row.key}")
        if _weak_row(row) or (since is not None and since <= through):
            rows.setdefault(row.phonemes, {}).setdefault(row.letters, row)
    return {sound: list(found.values()) for sound, found in rows.items()}


def _weak_row(row: Spelling) -> bool:
    """Single vowel letters for a weak vowel: their skill hangs on the place, so it is asked at the end."""
    return row.phonemes in (("AH0",), ("IH",), ("ER",)) and row.letters in (
        "a", "e", "i", "o", "u", "er", "or", "ar",
    )  # fmt: skip


def _written(
    units: tuple[str, ...], at: int, letters: str, known: dict[tuple[str, ...], list[Spelling]]
) -> Iterator[str]:
    """Every way to put taught spellings side by side, whatever their places."""
    if at == len(units):
        yield letters
        return
    endings = WHOLE_ENDINGS.get(units[at:])
    if endings is not None and letters:
        for ending in endings:
            yield letters + ending
        return
    for width in (1, 2):
        for row in known.get(units[at : at + width], ()):
            after = at + width
            if not _worth_trying(row, at, after, units):
                continue
            if not row.split:
                yield from _written(units, after, letters + row.letters, known)
                continue
            if after < len(units) and after == len(units) - 1 and units[after] not in VOWEL_UNITS:
                first = row.letters[0]
                for consonant in known.get(units[after : after + 1], ()):
                    if len(consonant.letters) <= 2 and not consonant.letters.endswith("e"):
                        yield letters + first + consonant.letters + "e"


def _worth_trying(row: Spelling, at: int, after: int, units: tuple[str, ...]) -> bool:
    """False where a look at the place shows that the laws forbid the spelling; spares putting the name together."""
    law = laws().get(row.key)
    if law is None or row.split:
        return True
    last = after == len(units)
    if "always" in law.never or (last and "end" in law.never):
        return False
    if not law.only:
        return True
    possible = {t for t in law.only if last or not t.startswith("end")}
    if at:
        possible -= {"initial"}
    if not at or units[at - 1] not in SHORT_VOWELS:
        possible -= {"end-short", "after-short"}
    return bool(possible)


# The Latin endings are learned as one piece: these sounds at the end are written so. Double s follows a vowel letter.
WHOLE_ENDINGS = {
    ("SH", "AH0", "N"): ("tion", "sion", "ssion"),
    ("ZH", "AH0", "N"): ("sion",),
    ("CH", "ER"): ("ture",),
}
VOWEL_UNITS = frozenset(
    [
        "AA",
        "AE",
        "AH",
        "AH0",
        "AO",
        "AW",
        "AY",
        "EH",
        "ER",
        "EY",
        "IH",
        "IY",
        "OW",
        "OY",
        "UH",
        "UW",
    ]
)


def _is_legal(reach: Reach, letters: str, phonemes: tuple[str, ...], through: int) -> bool:
    aligned = align(letters, phonemes)
    if aligned.fallback:
        return False
    graphemes = aligned.graphemes
    limit = _whole_from(letters, phonemes)
    if not all(
        _may_stand(letters, graphemes, place)
        for place, grapheme in enumerate(graphemes)
        if grapheme.start < limit
    ):
        return False
    if not _ending_fits(letters, phonemes):
        return False
    whole = (Morpheme(letters, (0, len(letters)), MorphemeKind.BASE, letters),)
    try:
        division = divide(letters, graphemes, phonemes, whole)
    except Malformed:
        return False
    needs = simple_needs(letters, phonemes, graphemes, division.syllables)
    return all(_in_reach(reach, n, through) for n in needs)


def _ending_fits(letters: str, phonemes: tuple[str, ...]) -> bool:
    """Sion says /shun/ only after n or l, ssion only after a short vowel; sion after a vowel sounds as in vision."""
    if len(phonemes) < 4 or phonemes[-3:-1] != ("SH", "AH0"):
        return True
    if letters.endswith("ssion"):
        return bare(phonemes[-4]) in SHORT_VOWELS
    return not letters.endswith("sion") or letters[-5:-4] in "nl"


def _whole_from(letters: str, phonemes: tuple[str, ...]) -> int:
    """Where a Latin ending that is learned as one piece begins; the length where there is none."""
    for size in (3, 2):
        for ending in WHOLE_ENDINGS.get(tuple(unit(p) for p in phonemes[-size:]), ()):
            if letters.endswith(ending):
                return len(letters) - len(ending)
    return len(letters)


def _in_reach(reach: Reach, need: Need, through: int) -> bool:
    since = reach.since_skill(need.skill)
    return since is not None and since <= through


def _may_stand(letters: str, graphemes: tuple[Grapheme, ...], place: int) -> bool:
    grapheme = graphemes[place]
    key = f"{grapheme.letters}={'.'.join(unit(p) for p in grapheme.phonemes)}"
    law = laws().get(key)
    if not grapheme.phonemes:
        return False
    if law is None:
        return True
    tags = _tags(letters, graphemes, place)
    return not law.never & tags and (not law.only or bool(law.only & tags))


def _tags(letters: str, graphemes: tuple[Grapheme, ...], place: int) -> frozenset[str]:
    grapheme = graphemes[place]
    start, end = grapheme.start, grapheme.spans[-1][1]
    follows = letters[grapheme.end : grapheme.end + 1]
    tags = {"always"}
    if start == 0:
        tags.add("initial")
    sounded = [g for g in graphemes if g.phonemes]
    last = grapheme is sounded[-1] or end == len(letters)
    tags.add("end" if last and end >= len(letters) else "inside" if start else "initial")
    before = graphemes[place - 1] if place else None
    short = before is not None and _is_short(before)
    vowels = sum(any(is_vowel(p) for p in g.phonemes) for g in graphemes)
    if end >= len(letters):
        if vowels > 1:
            tags.add("end-long")
        elif short:
            tags.add("end-short")
        if before is not None and not short:
            tags.add("end-after")
    elif place + 1 < len(graphemes) and short and _is_vowel(graphemes[place + 1]):
        if before is not None and any(p.endswith(("1", "2")) for p in before.phonemes):
            tags.add("after-short")
    if any(len(g.spans) == 2 and g.end <= start < g.spans[1][0] for g in graphemes):
        tags.add("in-split")
    if before is not None and before.letters.endswith("c"):
        tags.add("after-c")
    for name, among in (
        ("before-eiy", "eiy"), ("before-t", "t"), ("before-nl", "nl"), ("before-ck", "ck"),
        ("before-l", "l"), ("before-k", "k"), ("before-d", "d"), ("before-e", "e"),
    ):  # fmt: skip
        if follows and follows in among:
            tags.add(name)
    return frozenset(tags)


def _is_short(grapheme: Grapheme) -> bool:
    return (
        len(grapheme.letters) == 1
        and len(grapheme.phonemes) == 1
        and bare(grapheme.phonemes[0]) in SHORT_VOWELS
    )


def _is_vowel(grapheme: Grapheme) -> bool:
    return any(is_vowel(p) for p in grapheme.phonemes)


def wrong_with(reach: Reach, name: str, phonemes: tuple[str, ...], through: int) -> str | None:
    """What is wrong with an invented name, in one sentence; None where nothing is."""
    try:
        legal = legal_spellings(reach, phonemes, through)
    except Malformed as error:
        return str(error)
    if name not in legal:
        return f"{name} is not a legal spelling of its sounds by then (legal: {', '.join(legal) or 'none'})."
    if rude_sound(phonemes):
        return f"{name} sounds like a word that is not for children."
    for spelling in legal:
        known = reach.word(spelling.lower())
        real = known.readings and known.zipf >= 2.0
        reason = "a real word" if real else too_near(spelling)
        if reason is not None:
            return f"{spelling}, a legal spelling of {name}, is {reason}: choose other sounds."
    if any(a == b for a, b in pairwise(phonemes)):
        return f"{name} has the same sound twice in a row."
    return None
