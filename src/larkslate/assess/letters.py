"""Rules for sounds and letters: the P and O families, asked after the parts of the word.

A sound error leaves a sound without a letter, adds a letter without a sound, or writes a letter that cannot stand
for the sound but stands for a neighbor. A letter error represents every sound and chooses the wrong spelling.
"""

from __future__ import annotations

from larkslate.assess.align import Relation
from larkslate.assess.slots import Kind, Slot
from larkslate.assess.sounds_near import (
    VOWEL_LETTERS,
    heard_as,
    is_weak,
    spells,
)
from larkslate.assess.spot import Site, Spot
from larkslate.assess.tables import letter_names, letter_pairs, may_stand, silent_letters
from larkslate.assess.target import is_short
from larkslate.words.homophones import accents
from larkslate.words.sounds import LONG_VOWELS, bare, is_vowel, stress_of

Sites = tuple[Site, ...] | None
NASALS = frozenset({"M", "N", "NG"})
SPECIAL_ENDS = frozenset({"ck", "tch", "dge", "ve"})
DIGRAPHS = frozenset({"sh", "ch", "th", "wh", "ph", "ng", "qu"})
SOFTENERS = frozenset("eiy")
_BEFORE_R = frozenset({(("T",), "ch"), (("D",), "j"), (("D",), "g"), (("T",), "tch")})
R_UNITS = frozenset({"ER", "R"})
_REPRESENTS = frozenset(
    {
        Relation.ALTERNATIVE,
        Relation.RARE,
        Relation.UNMARKED,
        Relation.PART,
        Relation.VOWEL,
        Relation.DOUBLE,
        Relation.OMITTED_SILENT,
        Relation.OMITTED_E,
    }
)
_CHOICES = frozenset(
    {Relation.ALTERNATIVE, Relation.RARE, Relation.UNMARKED, Relation.PART, Relation.DOUBLE}
)


def _has_r(slot: Slot) -> bool:
    return slot.vowel and bare(slot.phonemes[-1]) in R_UNITS


def _is_weak_l(slot: Slot) -> bool:
    return slot.phonemes == ("AH0", "L") and slot.letters != "ull"


def odd_part(spot: Spot) -> Sites:
    """The odd part of an irregular word spelled as if it were regular: sed, wuz.

    A silent letter left out (lisen) is told as what it is, though it is the odd part.
    """
    if spot.odd and silent(spot):
        return None
    lost = spot.relation is Relation.OMITTED and bool(spot.slots) and not spot.slot.vowel
    if spot.odd and (lost or spot.relation in _REPRESENTS):
        return (spot.site("O.IRR"),)
    return None


def order(spot: Spot) -> Sites:
    """The right letters in another order."""
    if spot.relation is Relation.ORDER:
        slot = spot.slot
        if _is_weak_l(slot):
            return (spot.site("O.CLE"),)
        if _has_r(slot) and not spot.odd:
            return (spot.site("P.SEQ"), spot.site("O.RC"))
        return (spot.site("O.SEQ"),)
    if spot.relation is not Relation.SWAPPED:
        return None
    one, two = spot.slots[0], spot.slots[-1]
    if spot.odd:
        return (spot.site("O.SEQ"), spot.site("O.IRR"))
    if not one.phonemes or not two.phonemes or (one.vowel and two.vowel):
        return (spot.site("O.SEQ"),)
    if any(_has_r(s) for s in (one, two)):
        return (spot.site("P.SEQ"), spot.site("O.RC"))
    return (spot.site("P.SEQ"),)


def letter_name(spot: Spot) -> Sites:
    """A letter whose name has the vowel in it, written for vowel and consonant: hlp, cr."""
    if spot.relation is Relation.PART and _has_r(spot.slot) and len(spot.chunk) == 1:
        name = letter_names().get(spot.chunk)
        if name == tuple(bare(p) for p in spot.slot.phonemes):
            return (spot.site("P.LN", letter=spot.chunk),)
        return None
    if spot.relation is not Relation.OMITTED_VOWEL or len(spot.slot.phonemes) != 1:
        return None
    vowel = bare(spot.slot.phonemes[0])
    vowel = "IY" if spot.slot.phonemes == ("IH0",) else vowel
    for neighbor, name_of in ((spot.after, (vowel, None)), (spot.before, (None, vowel))):
        if neighbor is None or not neighbor.phonemes or neighbor.vowel or spot.omitted(neighbor):
            continue
        letter = neighbor.letters[0] if name_of[0] else neighbor.letters[-1]
        sound = bare(neighbor.phonemes[0])
        wanted = (vowel, sound) if name_of[0] else (sound, vowel)
        if letter_names().get(letter) == wanted:
            return (spot.site("P.LN", letter=letter),)
    return None


def _consonant(slot: Slot | None) -> bool:
    return slot is not None and bool(slot.phonemes) and not slot.vowel


def _run_left_out(spot: Spot) -> list[int]:
    """The slots around this one that have no letter, a vowel among them; only itself otherwise."""
    gone = {
        p.slots[0]
        for p in spot.pieces
        if p.slots and p.relation in (Relation.OMITTED, Relation.OMITTED_VOWEL)
    }
    first = last = spot.place
    while first - 1 in gone:
        first -= 1
    while last + 1 in gone:
        last += 1
    run = list(range(first, last + 1))
    return run if any(spot.case.target.slots[i].vowel for i in run) else [spot.place]


def syllable_lost(spot: Spot) -> Sites:
    """The r of a weak syllable kept and its vowel lost before another vowel: camra."""
    if (
        spot.relation is Relation.PART
        and spot.chunk == "r"
        and spot.slot.phonemes == ("ER0",)
        and spot.after is not None
        and spot.after.vowel
    ):
        return (spot.site("P.OM"),)
    return None


def left_out(spot: Spot) -> Sites:
    """A sound without a letter."""
    if spot.relation not in (Relation.OMITTED_VOWEL, Relation.OMITTED):
        return None
    run = _run_left_out(spot)
    if len(run) > 1:  # a whole syllable is one error, told at its first letter
        if run[0] != spot.place:
            return ()
        slots = [spot.case.target.slots[i] for i in run]
        letters = "".join(s.letters for s in slots)
        return (spot.site("P.OM", part=letters, spans=tuple(s.span for s in slots)),)
    if spot.relation is Relation.OMITTED_VOWEL:
        return (spot.site("P.OM"),)
    if spot.slot.letters[0] in VOWEL_LETTERS:
        return (spot.site("P.OM"),)  # the i of familiar is said /y/
    sound = bare(spot.slot.phonemes[-1])
    before, after = spot.before, spot.after
    if sound in NASALS and _consonant(after):
        return (spot.site("P.NAS"),)
    if (_consonant(before) and before.base == spot.slot.base) or (  # type: ignore[union-attr]
        _consonant(after) and after.base == spot.slot.base  # type: ignore[union-attr]
    ):
        return (spot.site("P.CLUS"),)
    return (spot.site("P.OM"),)


def silent_left_out(spot: Spot) -> Sites:
    """A silent letter left out, or the e that marks a long vowel."""
    if spot.relation is Relation.OMITTED_SILENT:
        return (spot.site("O.SIL"),)
    if spot.relation is not Relation.OMITTED_E:
        return None
    # The e may mark the vowel and soften c or g at once: the finding stands at the vowel, and at the consonant.
    vowel = spot.at - 1
    while vowel >= 0 and not any(spot.case.target.slots[i].split for i in spot.pieces[vowel].slots):
        vowel -= 1
    found = []
    between = Spot(spot.case, spot.pieces, spot.at - 1)
    if len(between.slots) == 1 and _soft_lost(between):
        found.append(between.site("O.CG"))
    if vowel >= 0:
        at_vowel = Spot(spot.case, spot.pieces, vowel)
        spans = (*at_vowel.spans, *spot.spans)
        if at_vowel.relation is Relation.SAME and _is_long(at_vowel.slot):
            found.append(at_vowel.site("O.LV", spans=spans))
        elif at_vowel.relation is Relation.SAME:
            found.append(at_vowel.site("O.SIL", spans=spans, part=at_vowel.part))
    return tuple(found)


def _is_long(slot: Slot) -> bool:
    return bool(slot.phonemes) and bare(slot.phonemes[-1]) in LONG_VOWELS


def _soft_lost(spot: Spot) -> bool:
    """True for c or g written for its soft sound with no e, i or y after it."""
    sounds = tuple(bare(p) for p in spot.slot.phonemes)
    soft = (spot.chunk, sounds) in (("c", ("S",)), ("g", ("JH",)))
    return soft and spot.next_letter not in SOFTENERS


def _hard_lost(spot: Spot) -> bool:
    """True for c or g written for its hard sound right before e, i or y, where the word does not do so."""
    sounds = tuple(bare(p) for p in spot.slot.phonemes)
    hard = (spot.chunk, sounds) in (("c", ("K",)), ("g", ("G",)))
    return hard and spot.next_letter in SOFTENERS and spot.chunk != spot.slot.letters


def put_in(spot: Spot) -> Sites:
    """A letter that stands for no sound."""
    if spot.relation is Relation.ADDED_E:
        return (spot.site("O.SIL", case="e", part="", wrote="e", excused=True),)
    if spot.relation in (Relation.ADDED_VOWEL, Relation.ADDED_CONSONANT):
        return (spot.site("P.ADD"),)
    return None


def _merged_by_accent(spot: Spot, heard: str) -> str | None:
    """The accent in which the sound heard and the sound of the word are alike at this place."""
    target = spot.case.target
    if target.reading is None or len(spot.slot.phonemes) != 1:
        return None
    phonemes = target.reading.phonemes
    place = sum(len(s.phonemes) for s in target.slots[: spot.place])
    own = spot.slot.phonemes[0]
    if place >= len(phonemes) or phonemes[place] != own:
        return None
    digit = own[-1] if own[-1].isdigit() else ""
    other = (*phonemes[:place], heard + digit if is_vowel(heard) else heard, *phonemes[place + 1 :])
    for accent in accents().values():
        if accent.old and accent.apply(phonemes) == accent.apply(other):
            return accent.name
    return None


def flap(spot: Spot) -> Sites:
    """D or t between vowels, which sound alike in most US speech."""
    if spot.relation is not Relation.VOICE:
        return None
    before, after = spot.before, spot.after
    if (
        bare(spot.slot.phonemes[0]) in ("T", "D")
        and before is not None
        and before.vowel
        and after is not None
        and after.vowel
        and all(stress_of(p) in (0, None) for p in after.phonemes)
    ):
        return (spot.site("P.FLAP", excused=True),)
    return None


def shape(spot: Spot) -> Sites:
    """A letter that looks like the right one in joined writing: ask, do not judge."""
    if spot.relation is Relation.FAR and frozenset((spot.part, spot.chunk)) in letter_pairs(
        "joined"
    ):
        return (spot.site("K.LEG", case="letters", excused=True),)
    return None


def vowel_sound(spot: Spot) -> Sites:
    """Another vowel sound; a weak vowel and a vowel with r have codes of their own."""
    vowel_part = (
        spot.relation is Relation.PART
        and spot.slot.vowel
        and not _has_r(spot.slot)
        and not _is_weak_l(spot.slot)
        and len(spot.slot.phonemes) == 1
        and not spells(spot.chunk, spot.slot.phonemes)
    )
    if spot.relation is not Relation.VOWEL and not vowel_part:
        return None
    slot = spot.slot
    if _is_weak_l(slot):
        return (spot.site("O.CLE"),)
    if len(slot.phonemes) == 1 and is_weak(slot.phonemes[0]):
        return (spot.site("O.AMB"),)
    if _has_r(slot):
        return (spot.site("O.RC"),)
    alike = [a for h in heard_as(spot.chunk) if (a := _merged_by_accent(spot, h))]
    if alike:
        return (spot.site("P.SUB.V", excused=True), spot.site("DIALECT", excused=True))
    return (spot.site("P.SUB.V"),)


def consonant_sound(spot: Spot) -> Sites:
    """Another consonant: voicing, place or manner; or none that is near."""
    codes = {
        Relation.VOICE: "P.SUB.VOI",
        Relation.NEAR: "P.SUB.PLM",
        Relation.FAR: "X.UNCL",
    }
    code = codes.get(spot.relation)
    if code == "P.SUB.PLM" and (spot.slot.phonemes, spot.chunk) in _BEFORE_R:
        after = spot.after
        if after is not None and after.phonemes == ("R",):
            # English speakers say tr and dr like this; what is to be learned is the cluster's spelling.
            return (spot.site(code, case="before-r", skill="cluster:initial"),)
    if spot.relation is Relation.ALTERNATIVE and spot.chunk == "s" and spot.initial:
        # s can stand for /z/, but never at the start of a word
        code = "P.SUB.VOI" if spot.slot.phonemes == ("Z",) else None
    return (spot.site(code),) if code else None


def final_l(spot: Spot) -> Sites:
    """The weak last syllable /ul/."""
    if spot.relation in _CHOICES and _is_weak_l(spot.slot):
        return (spot.site("O.CLE"),)
    if (
        spot.relation in _CHOICES
        and len(spot.slots) == 2
        and tuple(p for s in spot.slots for p in s.phonemes) == ("AH0", "L")
    ):
        return (spot.site("O.CLE"),)
    return None


def weak_vowel(spot: Spot) -> Sites:
    """A vowel letter that cannot be heard, weak -er with it."""
    if spot.relation not in _CHOICES or len(spot.slots) != 1 or len(spot.slot.phonemes) != 1:
        return None
    return (spot.site("O.AMB"),) if is_weak(spot.slot.phonemes[0]) else None


def vowel_and_r(spot: Spot) -> Sites:
    """A stressed vowel with r."""
    if spot.relation in _CHOICES and len(spot.slots) == 1 and _has_r(spot.slot):
        return (spot.site("O.RC"),)
    return None


def _one_vowel(spot: Spot) -> bool:
    slots = spot.case.target.slots
    return sum(s.vowel and not s.affix and s.base == spot.slot.base for s in slots) == 1


def special_end(spot: Spot) -> Sites:
    """ck, tch, dge, ve missing at the end of a base, or used where they do not stand."""
    if spot.relation not in _CHOICES or len(spot.slots) != 1:
        return None
    letters, chunk = spot.slot.letters, spot.chunk
    if letters in SPECIAL_ENDS and chunk not in SPECIAL_ENDS:
        before = spot.before
        ruled = spot.final and (
            letters == "ve"
            or (before is not None and is_short(before.phonemes) and _one_vowel(spot))
        )
        return (spot.site("O.FIN", case=letters if ruled else ""),)
    if chunk in SPECIAL_ENDS and not spot.slot.vowel:
        sounds = ".".join(bare(p) for p in spot.slot.phonemes)
        return (spot.site("O.FIN", case="over", skill=f"gp:{chunk}={sounds}"),)
    return None


def doubled(spot: Spot) -> Sites:
    """A double letter inside or at the end of the base."""
    if spot.relation is not Relation.DOUBLE:
        return None
    if len(spot.slot.letters) > 1:
        return (spot.site("O.DBL", case="missing"),)
    sounds = ".".join(bare(p) for p in spot.slot.phonemes)
    return (spot.site("O.DBL", case="over", skill=f"gp:{spot.chunk}={sounds}"),)


def hard_or_soft(spot: Spot) -> Sites:
    """C or g that would be read the other way."""
    if spot.relation not in _CHOICES or len(spot.slots) != 1 or spot.slot.vowel:
        return None
    return (spot.site("O.CG"),) if _soft_lost(spot) or _hard_lost(spot) else None


def silent(spot: Spot) -> Sites:
    """A spelling with a silent letter, written without it: nee, lam."""
    if spot.relation not in _CHOICES or len(spot.slots) != 1:
        return None
    heard = silent_letters().get(spot.slot.letters)
    if heard is None or spot.takes_e:
        return None
    kept = set(spot.slot.letters) - set(heard)
    chunk = spot.chunk.removesuffix("e") if spot.final and not spot.slot.vowel else spot.chunk
    if chunk == heard or (spot.relation is Relation.PART and not kept & set(spot.chunk)):
        return (spot.site("O.SIL"),)
    return None


def digraph(spot: Spot) -> Sites:
    """One letter of a digraph."""
    if spot.relation not in _CHOICES or len(spot.slots) != 1:
        return None
    if spot.slot.letters in DIGRAPHS and len(spot.chunk) == 1 and spot.chunk in spot.slot.letters:
        return (spot.site("O.DIG"),)
    return None


def long_vowel(spot: Spot) -> Sites:
    """A long vowel with nothing that marks it."""
    if spot.relation is not Relation.UNMARKED or spot.takes_e:
        return None
    after = spot.after
    if after is None or after.vowel or (after.affix and after.letters[0] in VOWEL_LETTERS):
        return None  # at the end of a syllable one vowel letter is a spelling of the long sound
    return (spot.site("O.LV"),)


def base_sound(spot: Spot) -> Sites:
    """A base whose sound changes in the word but not its spelling: helth for health."""
    target = spot.case.target
    if len(spot.slots) != 1 or target.reading is None or not target.reading.joins:
        return None
    if spot.relation not in _CHOICES or spot.slot.affix:
        return None
    for part in target.reading.morphemes:
        if part.form == target.lower or not part.span[0] <= spot.slot.span[0] < part.span[1]:
            continue
        base = spot.case.lexicon.lookup(part.form)
        for g in base.readings[0].graphemes if base.readings else ():
            same_place = g.start + part.span[0] == spot.slot.span[0]
            if same_place and g.letters == spot.slot.letters and _vowel_differs(g.phonemes, spot):
                return (spot.site("M.BASE", base=part.form),)
    return None


def _vowel_differs(phonemes: tuple[str, ...], spot: Spot) -> bool:
    return tuple(bare(p) for p in phonemes) != tuple(bare(p) for p in spot.slot.phonemes)


def place_in_base(spot: Spot) -> Sites:
    """A spelling of the sound that stands elsewhere in bases: boi, rayn."""
    if spot.relation not in _CHOICES or len(spot.slots) != 1 or spot.slot.kind is Kind.MARKER:
        return None
    sounds = tuple(bare(p) for p in spot.slot.phonemes)
    if may_stand(spot.chunk, sounds, spot.position):
        return None
    return (spot.site("O.POS"),)


def choice(spot: Spot) -> Sites:
    """A legal spelling of the sound, wrong for this word."""
    if spot.relation in _CHOICES:
        return (spot.site("O.ALT"),)
    return None


LETTER_RULES = (
    odd_part,
    order,
    letter_name,
    syllable_lost,
    left_out,
    silent_left_out,
    put_in,
    flap,
    shape,
    vowel_sound,
    consonant_sound,
    final_l,
    weak_vowel,
    vowel_and_r,
    special_end,
    doubled,
    hard_or_soft,
    long_vowel,
    silent,
    digraph,
    base_sound,
    place_in_base,
    choice,
)
"""In the order in which they are asked; the first that says something decides."""
