"""The cheapest way to explain a child's letters by the slots of the target: a noisy channel.

Every relation between a slot and the letters that stand for it has a cost (``data/costs.tsv``); dynamic
programming finds the explanation with the least total cost. The result is a list of pieces that covers every slot
and every written letter once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from heapq import heappop, heappush

from larkslate.assess.slots import MARKS, Kind, Slot
from larkslate.assess.sounds_near import (
    LETTER_SOUNDS,
    LONG_LETTER,
    SHORT_LETTER,
    VOWEL_LETTERS,
    is_weak,
    nearness,
    sound_key,
    spells,
)
from larkslate.datafile import read_tsv
from larkslate.errors import Malformed
from larkslate.words.model import Span
from larkslate.words.sounds import bare, is_vowel

ROOM = "assess"


class Relation(StrEnum):
    """How written letters stand to what they are held against; the names are those of costs.tsv."""

    SAME = "same"
    SEAM = "seam"
    FORM = "form"
    DOUBLE = "double"
    ALTERNATIVE = "alternative"
    RARE = "rare"
    ORDER = "order"
    UNMARKED = "unmarked"
    PART = "part"
    VOICE = "voice"
    NEAR = "near"
    VOWEL = "vowel"
    FAR = "far"
    AFFIX = "affix"
    OMITTED = "omitted"
    OMITTED_VOWEL = "omitted-vowel"
    OMITTED_SILENT = "omitted-silent"
    OMITTED_AFFIX = "omitted-affix"
    OMITTED_E = "omitted-e"
    MARK_OMITTED = "mark-omitted"
    MARK_ADDED = "mark-added"
    ADDED_VOWEL = "added-vowel"
    ADDED_CONSONANT = "added-consonant"
    ADDED_E = "added-e"
    SWAPPED = "swapped"


OMISSIONS = frozenset(
    {
        Relation.OMITTED,
        Relation.OMITTED_VOWEL,
        Relation.OMITTED_SILENT,
        Relation.OMITTED_AFFIX,
        Relation.OMITTED_E,
        Relation.MARK_OMITTED,
    }
)
ADDITIONS = frozenset(
    {Relation.MARK_ADDED, Relation.ADDED_VOWEL, Relation.ADDED_CONSONANT, Relation.ADDED_E}
)


@lru_cache(maxsize=1)
def costs() -> dict[Relation, float]:
    """The cost of each relation, from ``costs.tsv``. Raises Malformed naming a bad or missing row."""
    found: dict[Relation, float] = {}
    for row in read_tsv(ROOM, "costs.tsv", ("relation", "cost", "note")):
        try:
            relation, cost = Relation(row["relation"]), float(row["cost"])
        except ValueError:
            raise row.bad("relation must be a known one and cost a number.") from None
        if relation in found:
            raise row.bad(f"{relation} stands twice.")
        if cost < 0:
            raise row.bad("a cost is never below 0.")
        found[relation] = cost
    lacking = [r.value for r in Relation if r not in found]
    if lacking:
        raise Malformed(f"{ROOM}/data/costs.tsv: no row for {', '.join(lacking)}.")
    return found


@lru_cache(maxsize=1)
def affix_forms() -> dict[str, tuple[str, ...]]:
    """The listed wrong forms of each affix, the likeliest first, from ``affix_forms.tsv``."""
    found: dict[str, tuple[str, ...]] = {}
    for row in read_tsv(ROOM, "affix_forms.tsv", ("affix", "forms")):
        forms = tuple(row["forms"].split())
        if row["affix"] in found:
            raise row.bad(f"{row['affix']} stands twice.")
        if not forms or row["affix"] in forms or len(set(forms)) < len(forms):
            raise row.bad("give at least one wrong form, each once, and not the affix itself.")
        found[row["affix"]] = forms
    return found


def edits(one: str, other: str) -> int:
    """Least number of letters added, left out or changed."""
    before = list(range(len(other) + 1))
    for i, a in enumerate(one, start=1):
        now = [i]
        for j, b in enumerate(other, start=1):
            now.append(min(before[j] + 1, now[-1] + 1, before[j - 1] + (a != b)))
        before = now
    return before[-1]


@dataclass(frozen=True, slots=True)
class Fit:
    """One way for letters to stand for a slot."""

    relation: Relation
    cost: float


def _is_part(part: str, whole: str) -> bool:
    rest = iter(whole)
    return len(part) < len(whole) and all(letter in rest for letter in part)


def _seam_fit(slot: Slot, chunk: str) -> bool:
    """True if the chunk is what the joining rules make of this seam elsewhere."""
    letters = slot.letters
    if chunk == letters + letters[-1] and len(letters) == 1 and letters not in VOWEL_LETTERS:
        return True
    if len(letters) == 2 and letters[0] == letters[1]:
        return chunk == letters[0]
    if letters[-1] not in VOWEL_LETTERS and chunk == letters + "e":
        return True
    if len(letters) > 1 and letters[-1] == "e" and letters[-2] not in VOWEL_LETTERS:
        return chunk == letters[:-1]
    if letters in ("i", "ie"):
        return chunk in ("y", "ye", "ey", "i", "ie", "yi", "iy")
    if letters[-1] == "y":
        changed = (letters[:-1] + "i", letters[:-1] + "ie", letters[:-1])
        return chunk in changed or (letters == "ey" and chunk == "ie")
    return False


def _affix_fit(slot: Slot, chunk: str) -> Fit | None:
    table = costs()
    if chunk in affix_forms().get(slot.letters, ()) or (
        slot.phonemes and len(slot.letters) > 1 and spells(chunk, slot.phonemes)
    ):
        return Fit(Relation.FORM, table[Relation.FORM])
    if len(slot.letters) < 2 or abs(len(chunk) - len(slot.letters)) > 2:
        return None
    wrong = edits(slot.letters, chunk)
    if wrong > max(1, len(slot.letters) // 2):
        return None
    return Fit(Relation.AFFIX, table[Relation.AFFIX] + 0.3 * wrong)


_OTHER_LETTERS = {"IY": "i", "EY": "e", "UW": "o", "OW": "u", "AY": "e"}
"""A long vowel and the single letter that spells it in a few words only: elsewhere it reads as a short vowel."""


def _vowel_fit(slot: Slot, chunk: str) -> Fit | None:
    """Relations that only a vowel has: long without a mark, another short vowel letter."""
    table = costs()
    key = sound_key(slot.phonemes)
    if len(slot.letters) > 1 and LONG_LETTER.get(key) == chunk and chunk not in ("y",):
        return Fit(Relation.UNMARKED, table[Relation.UNMARKED])
    if key == "AY" and len(slot.letters) > 1 and chunk == "y":
        return Fit(Relation.ALTERNATIVE, table[Relation.ALTERNATIVE])
    if key in _OTHER_LETTERS and chunk in _OTHER_LETTERS[key] and not is_weak(slot.phonemes[0]):
        near = nearness(chunk, slot.phonemes[-1])
        return Fit(Relation.VOWEL, table[Relation.VOWEL] + (near[1] if near else 0.9))
    plain_short = (
        len(slot.phonemes) == 1
        and slot.letters == SHORT_LETTER.get(bare(slot.phonemes[0]))
        and not is_weak(slot.phonemes[0])
    )
    if plain_short and len(chunk) == 1 and chunk in VOWEL_LETTERS:
        near = nearness(chunk, slot.phonemes[0])
        return Fit(Relation.VOWEL, table[Relation.VOWEL] + (near[1] if near else 0.9))
    return None


def _sound_fit(slot: Slot, chunk: str) -> Fit | None:
    table = costs()
    letters, phonemes = slot.letters, slot.phonemes
    if chunk in ("ed", "es") and not slot.vowel:
        return None  # these spell a consonant only as endings
    if len(chunk) > 1 and len(chunk) == len(letters) and sorted(chunk) == sorted(letters):
        return Fit(Relation.ORDER, table[Relation.ORDER])
    if letters and chunk == letters + letters[-1] and letters[-1] not in VOWEL_LETTERS:
        return Fit(Relation.DOUBLE, table[Relation.DOUBLE])
    if len(letters) == 2 and letters[0] == letters[1] == chunk and chunk not in VOWEL_LETTERS:
        return Fit(Relation.DOUBLE, table[Relation.DOUBLE])
    if not phonemes:
        return Fit(Relation.PART, table[Relation.PART]) if _is_part(chunk, letters) else None
    if slot.vowel:
        found = _vowel_fit(slot, chunk)
        if found:
            return found
    how = spells(chunk, phonemes)
    meant = LETTER_SOUNDS.get(chunk)
    if how and meant is not None and sound_key(phonemes) not in meant and not slot.vowel:
        how = None if len(phonemes) == 1 else how
    if how == "common":
        return Fit(Relation.ALTERNATIVE, table[Relation.ALTERNATIVE])
    if _is_part(chunk, letters):
        return Fit(Relation.PART, table[Relation.PART])
    near = nearness(chunk, phonemes[0]) if len(phonemes) == 1 else _core_nearness(chunk, phonemes)
    doubtful = near is not None and (len(chunk) == 1 or not slot.vowel) and near[0] != "far"
    if how == "rare" and not doubtful:
        return Fit(Relation.RARE, table[Relation.RARE])
    if near is None:
        return Fit(Relation.RARE, table[Relation.RARE]) if how else None
    kind, apart = near
    if kind == "vowel":
        return Fit(
            Relation.VOWEL, table[Relation.VOWEL] + apart + (0.2 if len(phonemes) > 1 else 0)
        )
    relation = Relation(kind)
    # A far letter group is never taken for one sound: it is read as letters left out and put in.
    if relation is Relation.FAR and len(chunk) > 1:
        return None
    return Fit(relation, table[relation] + 0.2 * apart)


def _core_nearness(chunk: str, phonemes: tuple[str, ...]) -> tuple[str, float] | None:
    """Nearness for a unit of two sounds (ar, x): another vowel with the same r or l, or its first sound."""
    tail = {"R": "r", "L": "l"}.get(phonemes[-1])
    if tail and is_vowel(phonemes[0]) and tail in chunk and len(chunk) > 1:
        rest = chunk.replace(tail, "", 1)
        return nearness(rest, phonemes[0]) if rest else None
    if not is_vowel(phonemes[0]):
        return nearness(chunk, phonemes[0])
    return None


@lru_cache(maxsize=200_000)
def _fit(
    letters: str,
    phonemes: tuple[str, ...],
    kind: Kind,
    split: bool,
    chunk: str,
) -> Fit | None:
    table = costs()
    if chunk == letters:
        return Fit(Relation.SAME, 0.0)
    slot = Slot(letters, (0, len(letters)), phonemes, kind, split)
    if not chunk:
        if kind is Kind.MARK:
            relation = Relation.MARK_OMITTED
        elif kind is Kind.MARKER:
            relation = Relation.OMITTED_E
        elif slot.affix:
            relation = Relation.OMITTED_AFFIX
        elif not phonemes:
            relation = Relation.OMITTED_SILENT
        else:
            relation = Relation.OMITTED_VOWEL if slot.vowel else Relation.OMITTED
        return Fit(relation, table[relation])
    if kind is Kind.MARK:
        return Fit(Relation.MARK_ADDED, 0.9) if chunk in MARKS else None
    if kind is Kind.MARKER:
        return None
    if any(c in MARKS for c in chunk) and not slot.affix:
        return None
    if slot.affix:
        return _affix_fit(slot, chunk)
    if kind is Kind.SEAM and _seam_fit(slot, chunk):
        return Fit(Relation.SEAM, table[Relation.SEAM])
    return _sound_fit(slot, chunk)


def fit(slot: Slot, chunk: str) -> Fit | None:
    """How a chunk of written letters may stand for a slot; None where it cannot."""
    return _fit(slot.letters, slot.phonemes, slot.kind, slot.split, chunk)


@dataclass(frozen=True, slots=True)
class Piece:
    """Slots and the letters that stand for them. An addition has no slot, a swap has two.

    ``slots`` are indices; ``span`` is where the letters stand in the written word.
    """

    slots: tuple[int, ...]
    written: str
    span: Span
    relation: Relation
    cost: float


@dataclass(frozen=True, slots=True)
class Explanation:
    """All pieces in the order of the written word, and their total cost."""

    pieces: tuple[Piece, ...]
    cost: float


_NONE, _NEEDS_E, _COMPLETE, _MAY_TAKE_E = range(4)
_LONGEST = 4
_State = tuple[int, int, int]
_Step = Callable[[_State, _State, Piece], None]


def _after(slot: Slot, chunk: str, relation: Relation, waiting: int) -> int:
    """What the vowel last written still waits for: an e that marks it, or nothing."""
    if slot.split:
        if relation in (Relation.ALTERNATIVE, Relation.RARE) and len(chunk) > 1:
            return _COMPLETE
        return _NEEDS_E
    if relation is Relation.UNMARKED:
        return _MAY_TAKE_E
    if slot.vowel or slot.kind is Kind.MARKER:
        return _NONE
    return waiting


def explain(slots: Sequence[Slot], written: str) -> Explanation:
    """The cheapest explanation of ``written`` (normalized, lower case) by the slots.

    Every written word has one: letters that fit nothing are additions, slots that nothing fits omissions.
    """
    table = costs()
    goal_k, goal_j = len(slots), len(written)
    best: dict[_State, float] = {(0, 0, _NONE): 0.0}
    back: dict[_State, tuple[_State, Piece]] = {}
    queue: list[tuple[float, int, _State]] = [(0.0, 0, (0, 0, _NONE))]
    count = 0
    last: _State | None = None

    def step(state: _State, to: _State, piece: Piece) -> None:
        nonlocal count
        total = best[state] + piece.cost
        if total < best.get(to, float("inf")) - 1e-12:
            best[to] = total
            back[to] = (state, piece)
            count += 1
            heappush(queue, (total, count, to))

    done: set[_State] = set()
    while queue:
        _, _, state = heappop(queue)
        if state in done:
            continue
        done.add(state)
        k, j, waiting = state
        if k == goal_k and j == goal_j:
            last = state
            break
        if j < goal_j:
            _add(state, slots, written, table, step)
        if k == goal_k:
            continue
        slot = slots[k]
        if slot.kind is Kind.MARKER:
            _mark(state, written, table, step)
            continue
        longest = max(_LONGEST, len(slot.letters) + 2)
        for length in range(min(longest, goal_j - j) + 1):
            chunk = written[j : j + length]
            found = fit(slot, chunk)
            if found is None or _e_too_early(slots, k, chunk):
                continue
            to = (k + 1, j + length, _after(slot, chunk, found.relation, waiting))
            step(state, to, Piece((k,), chunk, (j, j + length), found.relation, found.cost))
        if k + 1 < goal_k:
            _swap(state, slots, written, table, step)
    if last is None:
        raise AssertionError("every written word has an explanation")
    pieces: list[Piece] = []
    at = last
    while at in back:
        at, piece = back[at]
        pieces.append(piece)
    return Explanation(tuple(reversed(pieces)), best[last])


def _e_too_early(slots: Sequence[Slot], k: int, chunk: str) -> bool:
    """True for a consonant and e (ge, ve, se) where the base does not end: the e is a letter put in."""
    slot = slots[k]
    return (
        len(chunk) > 1
        and chunk[-1] == "e"
        and chunk != slot.letters
        and slot.kind is Kind.SOUND
        and not slot.vowel
        and k + 1 < len(slots)
        and slots[k + 1].kind is Kind.SOUND
    )


def _add(
    state: _State,
    slots: Sequence[Slot],
    written: str,
    table: dict[Relation, float],
    step: _Step,
) -> None:
    """One written letter that stands for no slot."""
    k, j, waiting = state
    letter = written[j]
    to = waiting
    if letter in MARKS:
        relation, cost = Relation.MARK_ADDED, table[Relation.MARK_ADDED]
    elif letter == "e" and waiting == _MAY_TAKE_E and k and not slots[k - 1].vowel:
        relation, cost, to = Relation.ADDED_E, 0.05, _NONE  # rane: the e marks the vowel written a
    elif letter == "e" and k == len(slots) and j == len(written) - 1:
        relation, cost = Relation.ADDED_E, table[Relation.ADDED_E]
    elif letter in VOWEL_LETTERS:
        relation, cost = Relation.ADDED_VOWEL, table[Relation.ADDED_VOWEL]
    else:
        relation, cost = Relation.ADDED_CONSONANT, table[Relation.ADDED_CONSONANT]
    step(state, (k, j + 1, to), Piece((), letter, (j, j + 1), relation, cost))


def _mark(state: _State, written: str, table: dict[Relation, float], step: _Step) -> None:
    """The e of a split vowel: there, not there, or not needed because a team was written."""
    k, j, waiting = state
    if written[j : j + 1] == "e":
        extra = 0.15 if waiting == _COMPLETE else 0.0
        piece = Piece((k,), "e", (j, j + 1), Relation.SAME, extra)
        step(state, (k + 1, j + 1, _NONE), piece)
    gone = 0.0 if waiting == _COMPLETE else table[Relation.OMITTED_E]
    step(state, (k + 1, j, _NONE), Piece((k,), "", (j, j), Relation.OMITTED_E, gone))


def _swap(
    state: _State,
    slots: Sequence[Slot],
    written: str,
    table: dict[Relation, float],
    step: _Step,
) -> None:
    """Two neighboring slots whose letters stand in another order, or one grapheme written for both."""
    k, j, _ = state
    one, two = slots[k], slots[k + 1]
    whole = one.letters + two.letters
    chunk = written[j : j + len(whole)]
    if chunk != whole and len(whole) <= 5 and sorted(chunk) == sorted(whole):
        has_mark = Kind.MARK in (one.kind, two.kind)
        cost = 0.9 if has_mark else table[Relation.SWAPPED]
        piece = Piece((k, k + 1), chunk, (j, j + len(chunk)), Relation.SWAPPED, cost)
        step(state, (k + 2, j + len(chunk), _NONE), piece)
    if one.split or not one.phonemes or not two.phonemes or one.affix or two.affix:
        return
    for length in (1, 2):
        chunk = written[j : j + length]
        if len(chunk) == length and len(whole) > length and chunk not in (one.letters, two.letters):
            how = spells(chunk, one.phonemes + two.phonemes)
            if how and not (len(chunk) == 2 and fit(one, chunk[0]) and fit(two, chunk[1])):
                relation = Relation.ALTERNATIVE if how == "common" else Relation.RARE
                piece = Piece((k, k + 1), chunk, (j, j + length), relation, table[relation])
                step(state, (k + 2, j + length, _NONE), piece)
