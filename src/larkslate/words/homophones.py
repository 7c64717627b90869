"""Words that sound the same and are told apart in writing: our table with meanings, and sets by sound.

The table holds the sets a reader of about nine meets, with one meaning line a word. A row may name an
accent: the word then sounds like the others of its set only in that accent or habit, so a choice between
them is never scored as a missed sound. ``same_sound_sets`` finds further sets in a list of pronunciations
when the lexicon is built.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from larkslate.datafile import Row, parse_tsv, read_tsv, text
from larkslate.errors import Missing
from larkslate.words.sounds import SYMBOLS, bare, is_vowel

COLUMNS = ("set", "word", "meaning", "accent")
ACCENT_COLUMNS = ("accent", "says", "from", "to", "after", "before")
COMMON_ENOUGH = 3.0
"""Words below this zipf value are not given as homophones unless our table has them."""


@dataclass(frozen=True, slots=True)
class Accent:
    """A way of speaking that makes sounds fall together: ``old`` becomes ``new`` where the neighbors fit.

    ``before`` and ``after`` are sounds without stress digits, ``V`` for any vowel; ``not_before`` turns
    ``before`` round. A habit of single words has no ``old``.
    """

    name: str
    says: str
    old: tuple[str, ...]
    new: tuple[str, ...]
    after: frozenset[str]
    before: frozenset[str]
    not_before: bool

    def apply(self, phonemes: tuple[str, ...]) -> tuple[str, ...]:
        """The sounds as this accent has them; stress digits are kept on a changed vowel."""
        if not self.old:
            return phonemes
        out: list[str] = []
        i, size = 0, len(self.old)
        while i < len(phonemes):
            here = phonemes[i : i + size]
            if tuple(bare(p) for p in here) == self.old and self._fits(phonemes, i, i + size):
                digit = here[0][-1] if here[0][-1].isdigit() else ""
                out += [n + digit if is_vowel(n) else n for n in self.new]
                i += size
            else:
                out.append(phonemes[i])
                i += 1
        return tuple(out)

    def _fits(self, phonemes: tuple[str, ...], start: int, end: int) -> bool:
        last = phonemes[start - 1] if start else ""
        following = phonemes[end] if end < len(phonemes) else ""
        if self.after and not _among(last, self.after):
            return False
        return not self.before or _among(following, self.before) != self.not_before


def _among(phoneme: str, sounds: frozenset[str]) -> bool:
    return bool(phoneme) and (bare(phoneme) in sounds or ("V" in sounds and is_vowel(phoneme)))


@dataclass(frozen=True, slots=True)
class Member:
    """A word of a set: what it means, and the accent in which it sounds like the others (or None)."""

    word: str
    meaning: str
    accent: str | None


@dataclass(frozen=True, slots=True)
class HomophoneSet:
    """Words that sound the same; ``name`` is the words with slashes, as skill ids write it."""

    name: str
    members: tuple[Member, ...]

    def accent(self, one: str, other: str) -> str | None:
        """The accent that the likeness of two words hangs on, or None where US accents agree."""
        found = [m.accent for m in self.members if m.word in {one, other} and m.accent]
        return found[0] if found else None


@cache
def accents() -> dict[str, Accent]:
    """The accents by name. Raises Malformed naming a bad row."""
    found: dict[str, Accent] = {}
    for row in read_tsv("words", "homophone_accents.tsv", ACCENT_COLUMNS):
        name, old, new = row["accent"], tuple(row["from"].split()), tuple(row["to"].split())
        after, before = set(row["after"].split()), row["before"].split()
        sounds = {*old, *new, *after, *before} - {"V", "not"}
        if name in found or not row["says"]:
            raise row.bad("each accent stands once and has a sentence for the teacher.")
        if bool(old) != bool(new) or sounds - SYMBOLS:
            raise row.bad("from and to are sounds without stress digits, both or neither.")
        turned = before[:1] == ["not"]
        found[name] = Accent(
            name,
            row["says"],
            old,
            new,
            frozenset(after),
            frozenset(before[1:] if turned else before),
            turned,
        )
    return found


def read_sets(content: str, file: str = "words/data/homophones.tsv") -> tuple[HomophoneSet, ...]:
    """The sets of a table. Raises Malformed naming a bad row, or the set whose rows are not complete."""
    rows: dict[str, list[tuple[Row, Member]]] = defaultdict(list)
    for row in parse_tsv(content, file, COLUMNS):
        name, word, accent = row["set"], row["word"], row["accent"] or None
        if word not in name.split("/"):
            raise row.bad(f"{word} is not one of {name}.")
        if not row["meaning"] or row["meaning"].endswith("."):
            raise row.bad(f"{word} needs a meaning line without a full stop.")
        if accent is not None and accent not in accents():
            raise row.bad(f"{accent} is not an accent of homophone_accents.tsv.")
        if any(m.word == word for _, m in rows[name]):
            raise row.bad(f"{word} stands twice in {name}.")
        rows[name].append((row, Member(word, row["meaning"], accent)))
    sets = []
    for name, members in rows.items():
        words = name.split("/")
        if [m.word for _, m in members] != words or len(words) < 2:
            raise members[0][0].bad(
                f"the rows of {name} must be its words in the order of its name."
            )
        sets.append(HomophoneSet(name, tuple(m for _, m in members)))
    return tuple(sets)


@cache
def sets() -> tuple[HomophoneSet, ...]:
    """The sets of our table."""
    return read_sets(text("words", "homophones.tsv"))


@cache
def _by_word() -> dict[str, tuple[HomophoneSet, ...]]:
    found: dict[str, list[HomophoneSet]] = defaultdict(list)
    for one in sets():
        for member in one.members:
            found[member.word.lower()].append(one)
    return {word: tuple(ones) for word, ones in found.items()}


def sets_of(word: str) -> tuple[HomophoneSet, ...]:
    """The sets of our table that a word belongs to (*bow* and *read* belong to two); none is no error."""
    return _by_word().get(word.lower(), ())


def partners(word: str, *, by_accent: bool = True) -> tuple[str, ...]:
    """The words of our table that sound like ``word``; without those that hang on an accent if asked."""
    found: dict[str, None] = {}
    for one in sets_of(word):
        own = next(m.word for m in one.members if m.word.lower() == word.lower())
        for member in one.members:
            if member.word != own and (by_accent or one.accent(own, member.word) is None):
                found[member.word] = None
    return tuple(found)


def meaning(set_name: str, word: str) -> str:
    """The meaning line of a word in a set. Raises Missing."""
    for one in sets():
        if one.name == set_name:
            for member in one.members:
                if member.word.lower() == word.lower():
                    return member.meaning
    raise Missing(
        f"There is no meaning for {word} in the set {set_name}: add it to homophones.tsv."
    )


def sound_key(phonemes: Iterable[str], speaks: Iterable[str] = ()) -> tuple[str, ...]:
    """Sounds without stress digits, as the named accents have them; equal keys sound the same."""
    said = tuple(phonemes)
    for name in speaks:
        if name not in accents():
            raise Missing(f"{name} is not an accent; there are {', '.join(accents())}.")
        said = accents()[name].apply(said)
    # Schwa and the stressed vowel of cup differ by stress alone, and weak short i is often schwa.
    return tuple("AH" if p in {"IH0", "AH0", "EH0"} else bare(p) for p in said)


def same_sound_sets(
    entries: Iterable[tuple[str, tuple[str, ...], float]], speaks: Iterable[str] = ()
) -> dict[str, tuple[str, ...]]:
    """For every word, the words that sound the same: those of our table first, then by sound.

    ``entries`` are (word, phonemes, zipf), several rows for a word with several readings. By sound both words
    must be common (zipf 3 or more). Pairs of our table that hang on an accent are left out unless ``speaks``
    names it. Words that differ by a capital alone are not homophones.
    """
    speaks = tuple(speaks)
    by_sound: dict[tuple[str, ...], dict[str, None]] = defaultdict(dict)
    all_words: dict[str, None] = {}
    for word, phonemes, zipf in entries:
        all_words[word] = None
        if zipf >= COMMON_ENOUGH:
            by_sound[sound_key(phonemes, speaks)][word] = None
    found: dict[str, dict[str, None]] = defaultdict(dict)
    for word in all_words:
        for one in sets_of(word):
            own = next(m.word for m in one.members if m.word.lower() == word.lower())
            for member in one.members:
                accent = one.accent(own, member.word)
                if member.word != own and (accent is None or accent in speaks):
                    found[word][member.word] = None
    for words in by_sound.values():
        for word in words:
            lower = (
                {word.lower()} | {w.lower() for w in found[word]}
                if word in found
                else {word.lower()}
            )
            for other in words:
                if other.lower() not in lower and not _told_apart(word, other):
                    found[word][other] = None
    return {word: tuple(others) for word, others in found.items() if others}


def _told_apart(word: str, other: str) -> bool:
    """True for a pair of our table that is left out on purpose because of an accent."""
    return any(
        one.accent(next(m.word for m in one.members if m.word.lower() == word.lower()), m.word)
        is not None
        for one in sets_of(word)
        for m in one.members
        if m.word.lower() == other.lower()
    )
