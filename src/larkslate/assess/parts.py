"""Rules for the parts of words: apostrophes, spaces, contractions, prefixes, endings and seams.

Each rule looks at one spot and gives the sites it finds there, an empty tuple where the spot needs none (another
spot carries the error), or None where the rule has nothing to say.
"""

from __future__ import annotations

from larkslate.assess.align import Relation
from larkslate.assess.slots import Kind
from larkslate.assess.spot import Site, Spot
from larkslate.words.model import JoinChange, MorphemeKind

Sites = tuple[Site, ...] | None
_HISSING = tuple((p,) for p in ("S", "Z", "SH", "ZH", "CH", "JH"))
PRONOUNS = frozenset({"its", "hers", "his", "ours", "yours", "theirs", "whose"})
_VERB_BEFORE = frozenset({"he", "she", "it", "who", "that", "this", "everyone", "nobody", "never"})
_VERB_BEFORE |= {"always", "often", "sometimes", "and", "then", "only", "mom", "dad", "still"}
_NOUN_BEFORE = frozenset(
    {
        "the", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "many", "some",
        "few", "all", "these", "those", "my", "your", "his", "her", "our", "their", "of", "with", "for",
        "no", "more", "most", "both", "in", "on", "at", "to", "several", "we", "they", "i", "you",
    }
)  # fmt: skip
_TWO_WORDS = frozenset({"a lot", "all right", "no one", "each other", "at least", "in fact"})
_SMALL_WORDS = frozenset(
    {"a", "an", "the", "my", "his", "her", "our", "their", "to", "of", "in", "on", "at", "and", "is"}
)  # fmt: skip


def says_verb(spot: Spot) -> bool:
    """True if the target, ending in s, is a verb in its sentence, else by its commonest use."""
    target = spot.case.target
    sentence = (spot.case.sentence or "").lower().replace("’", "'")
    words = [w.strip('.,!?;:"') for w in sentence.split()]
    if target.lower in words:
        at = words.index(target.lower)
        earlier = words[at - 1] if at else ""
        if earlier in _VERB_BEFORE:
            return True
        if earlier in _NOUN_BEFORE or not earlier:
            return False
        after = words[at + 1] if at + 1 < len(words) else ""
        if after in ("a", "an", "the", "to", "my", "his", "her", "me", "him", "us", "them"):
            return True
    pos = target.reading.pos if target.reading else ()
    return bool(pos) and pos[0] == "verb" and "noun" not in pos


def settled(spot: Spot) -> Sites:
    """Letters that another spot accounts for: the e of a written team, the e that marks a vowel."""
    if spot.relation is Relation.SAME:
        return ()
    if spot.relation is Relation.OMITTED_E and spot.piece.cost == 0:
        return ()
    if spot.relation is Relation.ADDED_E and spot.piece.cost < 0.1:
        return ()
    return None


def _has_mark(spot: Spot, relation: Relation) -> bool:
    for piece in spot.pieces:
        if piece.relation is not relation:
            continue
        letters = piece.written or "".join(spot.case.target.slots[i].letters for i in piece.slots)
        if letters == "'":
            return True
    return False


def _whole(spot: Spot) -> str:
    """The sentence variant for a contraction that is learned whole."""
    short = spot.case.target.contraction
    return "" if short and not short.irregular and short.forms[0].full else "whole"


def apostrophe(spot: Spot) -> Sites:
    """An apostrophe left out, put in, or put in another place."""
    target = spot.case.target
    short = target.contraction
    owns = bool(target.needs_of("poss"))
    marks = [s for s in spot.slots if s.kind is Kind.MARK and s.letters == "'"]
    if spot.relation is Relation.SWAPPED and marks:
        if short is not None:
            return (spot.site("A.CON.POS", case=_whole(spot)),)
        return (spot.site("A.POSS.POS"),)
    spaced = spot.relation is Relation.MARK_ADDED and bool(marks)  # a space written for the mark
    if (spot.relation is Relation.MARK_OMITTED or spaced) and marks:
        moved = _has_mark(spot, Relation.MARK_ADDED)
        if short is not None:
            return (spot.site("A.CON.POS" if moved else "A.CON.OM", case=_whole(spot)),)
        return (spot.site("A.POSS.POS" if moved else "A.POSS.OM"),)
    if spot.relation is not Relation.MARK_ADDED or spot.chunk != "'":
        return None
    if _has_mark(spot, Relation.MARK_OMITTED):
        return ()
    if short is not None:
        return (spot.site("A.CON.POS", case=_whole(spot)),)
    if owns or "'" in target.lower:
        return (spot.site("A.POSS.POS"),)
    if target.lower in PRONOUNS:
        return (spot.site("A.PRON"),)
    if target.lower.endswith("s") and spot.case.lower.endswith(("'s", "s'")):
        reading = target.reading
        ends = reading is not None and any(
            m.kind is MorphemeKind.ENDING and m.form in ("s", "es") for m in reading.morphemes
        )
        if says_verb(spot):
            return (spot.site("A.VERB"),)
        return (spot.site("A.PLUR", case="" if ends else "plain"),)
    return (spot.site("A.PLUR", case="plain"),)


def space(spot: Spot) -> Sites:
    """A space or hyphen put into a word or left out of one."""
    target = spot.case.target
    if spot.relation is Relation.MARK_ADDED and spot.chunk in (" ", "-"):
        if spot.slots:  # a hyphen for a space or the other way round
            return (spot.site("M.CMPD", case="hyphen" if spot.slot.letters == "-" else "two"),)
        before, after = spot.before, spot.after
        seam = before is not None and after is not None and before.base != after.base
        return (spot.site("M.CMPD" if seam else "K.SEG", case="one"),)
    if spot.relation is Relation.MARK_OMITTED:
        if spot.slot.letters == "-":
            return (spot.site("M.CMPD", case="hyphen"),)
        first = target.lower.partition(" ")[0]
        phrase = first in _SMALL_WORDS and target.lower not in _TWO_WORDS
        return (spot.site("K.SEG" if phrase else "M.CMPD", case="two"),)
    return None


def contraction_letters(spot: Spot) -> Sites:
    """Letters wrong in the shortened part of a contraction that has its apostrophe."""
    target = spot.case.target
    if target.contraction is None or "'" not in spot.case.lower:
        return None
    spans = [s for n in target.needs_of("con") for s in n.spans]
    if not spans:
        return None
    start = min(a for a, _ in spans)
    slots = spot.slots or tuple(s for s in (spot.after,) if s is not None)
    if not any(s.span[0] >= start for s in slots):
        return None
    case = _whole(spot)
    return (spot.site("A.CON.LET", case=case),)


def prefix_seam(spot: Spot) -> Sites:
    """A letter lost or added where a prefix meets the base: mispell, disslike."""
    if not spot.slots or len(spot.slots) > 1:
        return None
    slot, chunk = spot.slot, spot.chunk
    if slot.kind is Kind.PREFIX and spot.after is not None:
        twin = spot.after.letters[:1] == slot.letters[-1]
        if (twin and chunk == slot.letters[:-1]) or chunk == slot.letters + slot.letters[-1]:
            return (spot.site("M.PREF", part=slot.letters),)
    before = spot.before
    if before is None or before.kind is not Kind.PREFIX:
        return None
    lost = spot.relation is Relation.OMITTED and slot.letters[:1] == before.letters[-1]
    if lost or spot.relation is Relation.DOUBLE:
        return (spot.site("M.PREF", part=before.letters, spans=(before.span, slot.span)),)
    return None


def suffix_seam(spot: Spot) -> Sites:
    """One of two like letters lost where a suffix meets the base: realy, meaness."""
    if not spot.slots or spot.slot.kind is not Kind.SUFFIX or spot.before is None:
        return None
    slot = spot.slot
    if (
        len(slot.letters) > 1
        and spot.before.letters[-1:] == slot.letters[0]
        and (spot.chunk == slot.letters[1:])
    ):
        return (spot.site("M.BASE", base=_base_before(spot)),)
    return None


def _base_before(spot: Spot) -> str:
    reading = spot.case.target.reading
    start = spot.slot.span[0]
    if reading is not None:
        for join in reading.joins:
            if join.at == start:
                return join.left
    return spot.case.target.lower[:start]


def affix(spot: Spot) -> Sites:
    """An ending, suffix or prefix spelled by its sound, misspelled or left out."""
    if len(spot.slots) != 1 or not spot.slot.affix:
        return None
    slot = spot.slot
    if spot.relation is Relation.OMITTED_AFFIX:
        if slot.kind is Kind.ENDING:
            return (spot.site("M.INFL.OM"),)
        return (spot.site("M.AFX", case="missing"),)
    if slot.kind is Kind.ENDING and slot.letters in ("ed", "d"):
        return (spot.site("M.INFL.ED"),)
    if slot.kind is Kind.ENDING and slot.letters in ("s", "es"):
        hiss = spot.before is not None and spot.before.phonemes[-1:] in _HISSING
        case = "s" if slot.letters == "s" else "hiss" if hiss else "es"
        return (spot.site("M.INFL.S", case=case),)
    return (spot.site("M.AFX"),)


def _vowels_in_base(spot: Spot) -> int:
    return sum(
        1 for s in spot.case.target.slots if s.vowel and not s.affix and s.base == spot.slot.base
    )


def seam(spot: Spot) -> Sites:
    """Doubling, silent e, or y and i wrong where an ending joins."""
    if len(spot.slots) != 1 or spot.slot.kind is not Kind.SEAM:
        return None
    if spot.relation not in (Relation.SEAM, Relation.DOUBLE):
        return None
    slot, chunk = spot.slot, spot.chunk
    after = spot.after
    if after is not None and after.affix and spot.omitted(after):
        return ()  # the base alone is written, as it is when nothing joins
    ending = "es" if slot.right == "s" else slot.right  # -s is written es after the changed y
    more = {"base": spot.base_form(), "ending": f"-{ending}"}
    letters = slot.letters
    if len(letters) == 2 and letters[0] == letters[1] and chunk == letters[0]:
        if letters == "ee":
            return (spot.site("M.JCT.E", case="keep", **more),)
        if slot.change is JoinChange.DOUBLE:
            return (spot.site("M.JCT.DBL", **more),)
        return (spot.site("O.DBL", case="missing"),)
    if chunk == letters + letters[-1]:
        skill = "join:double-stressed" if _vowels_in_base(spot) > 1 else "join:double"
        return (spot.site("M.JCT.ODBL", skill=skill, **more),)
    if letters[-1] == "y" or letters in ("i", "ie"):
        case = "change" if letters[-1] != "y" else "keep"
        if slot.change is JoinChange.IE_TO_Y:
            case = "ie"
        return (spot.site("M.JCT.Y", case=case, **more),)
    if chunk == letters + "e":
        case = "drop" if slot.change is JoinChange.DROP_E else "none"
        return (spot.site("M.JCT.E", case=case, **more),)
    if letters[-1] == "e":
        return (spot.site("M.JCT.E", case="keep", **more),)
    return None


PART_RULES = (
    settled,
    apostrophe,
    space,
    contraction_letters,
    prefix_seam,
    suffix_seam,
    affix,
    seam,
)
"""In the order in which they are asked; the first that says something decides."""
