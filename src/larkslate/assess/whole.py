"""Rules for the whole word: capitals, reversals, irregular forms, look-alikes, words that sound the same."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from larkslate.assess.spot import Site
from larkslate.assess.tables import letter_pairs, near_words
from larkslate.assess.target import MODALS, Case
from larkslate.errors import LarkslateError
from larkslate.words.contractions import contraction
from larkslate.words.homophones import sets_of
from larkslate.words.irregular import irregular_forms
from larkslate.words.joins import spellings
from larkslate.words.model import JoinChange, Spans

Sites = tuple[Site, ...] | None
RARE_IF_LISTED, RARE = 3.7, 4.0  # zipf below which a partner is no word a child chose


def _all(case: Case) -> Spans:
    return ((0, len(case.target.lower)),)


def site(case: Case, code: str, variant: str = "", *, excused: bool = False) -> Site:
    """A site over the whole word."""
    return Site(code, case.target.text, case.written, _all(case), variant, excused=excused)


def capitals(case: Case) -> Sites:
    """Capitals missing or added, where every letter is right; empty where the capitals are right too."""
    wanted, written = case.target.word.word, case.written
    if case.target.text[:1].isupper() and not case.target.word.readings:
        wanted = case.target.text
    if written == wanted:
        return ()
    needed = [i for i, c in enumerate(wanted) if c.isupper()]
    if any(not written[i].isupper() for i in needed):
        return (site(case, "K.CAP"),)
    starts = (case.sentence or "").lower().replace("’", "'").startswith(case.target.lower)
    extra = [i for i, c in enumerate(written) if c.isupper() and i not in needed]
    if extra == [0] and (starts or case.target.text[:1].isupper()):
        return ()
    return (site(case, "K.XCAP"),) if extra else ()


def reversal(case: Case) -> Sites:
    """One letter turned around: b for d, p for q, m for w, u for n."""
    target, written = case.target.lower, case.lower
    if len(target) != len(written):
        return None
    wrong = [i for i in range(len(target)) if target[i] != written[i]]
    if len(wrong) != 1:
        return None
    at = wrong[0]
    if frozenset((target[at], written[at])) not in letter_pairs("reversal"):
        return None
    return (Site("K.REV", target[at], written[at], ((at, at + 1),), excused=True),)


def regular_forms(case: Case) -> frozenset[str]:
    """What a child who makes the form regular may write for an irregular form."""
    reading = case.target.reading
    for join in reading.joins if reading else ():
        if join.change is JoinChange.F_TO_V:
            return frozenset({join.left + "s", join.left + "es"})
    form = irregular_forms().get(case.target.lower)
    if form is None:
        return frozenset()
    if form.what == "same-plural":
        return frozenset({form.base + "s", form.base + "es"})
    if not form.takes_place_of or form.same:
        return frozenset()
    ending = form.takes_place_of
    made = set()
    for base in (form.base, form.form):
        with suppress(LarkslateError):
            made |= {j.word for j in spellings(base, ending)}
        made |= {base + ending, base + "s"} if ending in ("s", "es") else {base + ending}
        if ending == "ed" and base.endswith("e"):
            made.add(base + "d")
    return frozenset(made - {case.target.lower, form.base})


def irregular_made_regular(case: Case) -> Sites:
    """An irregular past or plural written by the regular rule: goed, mouses, leafs."""
    return (site(case, "M.IRR"),) if case.lower in regular_forms(case) else None


def have(case: Case) -> Sites:
    """Of written for have after could, should, would, might, must: should of."""
    target, written = case.target.lower, case.lower.replace("'", " ")
    words = target.replace("'", " ").split()
    if len(words) < 2 or words[0] not in MODALS or words[-1] not in ("ve", "have"):
        return None
    first = " ".join(words[:-1])
    heard = {f"{first} {w}" for w in ("of", "off", "uv", "ov", "a")} | {f"{first}of", f"{first}a"}
    return (site(case, "A.HAVE"),) if written in heard else None


def full_form(case: Case) -> Sites:
    """The full form of a contraction, with or without its space: is not for isn't."""
    short = case.target.contraction
    if short is None:
        return None
    fulls = {" ".join(f.full).lower() for f in short.forms if f.full}
    if case.lower in fulls | {f.replace(" ", "") for f in fulls}:
        return (site(case, "A.CON.LET", "full"),)
    return None


def contraction_made_regular(case: Case) -> Sites:
    """An irregular contraction put together by the regular rule: willn't."""
    short = case.target.contraction
    if short is None or not short.irregular:
        return None
    made = set()
    for form in short.forms:
        if form.full and form.full[-1] == "not":
            made.add("".join(form.full[:-1]) + "n't")
        if form.full and form.full[-1] in ("all",):
            made.add("".join(form.full[:-1]) + "'ll")
    if case.target.lower == "can't":
        made |= {"cannot't", "cannotn't"}
    plain = {m.replace("'", "") for m in made}
    if case.lower in made | plain and case.lower != case.target.lower:
        return (site(case, "A.CON.IRR"),)
    return None


def look_alike(case: Case) -> Sites:
    """Another word of the look-alike set: your for you're. A mark added inside its is another code."""
    choice = case.choice_set
    if choice is None or case.lower == case.target.lower:
        return None
    members = choice.split("/")
    if case.lower not in members:
        return None
    if not any("'" in m for m in members):
        return (site(case, "S.HOM"),)
    short = case.target.contraction
    if "'" in case.lower and case.lower.replace("'", "") == case.target.lower:
        return (site(case, "A.PRON"),)
    full = " ".join(short.forms[0].full) if short and short.forms[0].full else ""
    if short is None:
        other = contraction(case.lower)
        full = " ".join(other.forms[0].full) if other and other.forms[0].full else ""
        found = [site(case, "S.HOMC", "owner" if full else "")]
    else:
        found = [site(case, "S.HOMC", "full" if full else "")]
    if short is not None and case.target.lower.replace("'", "") == case.lower:
        found.append(site(case, "A.CON.OM"))
    return tuple(found)


def same_sound(case: Case) -> Sites:
    """A word that sounds the same. A rare partner is no choice: the child spelled by sound (bred)."""
    if case.lower not in case.homophones:
        return None
    for one in sets_of(case.target.lower):
        names = {m.word.lower(): m.word for m in one.members}
        if case.lower in names and (
            accent := one.accent(names[case.target.lower], names[case.lower])
        ):
            if accent in ("weak", "our-are"):
                return (site(case, "S.NEAR"),)
            if accent in case.accents:  # for this student the two sound alike: no sound was missed
                return (site(case, "S.HOM", excused=True),)
            if accent not in ("which-witch", "nts", "word"):
                return None
    partner = case.lexicon.lookup(case.lower)
    listed = any(
        case.lower == m.word.lower() for s in sets_of(case.target.lower) for m in s.members
    )
    if partner.zipf < (RARE_IF_LISTED if listed else RARE):
        return None
    return (site(case, "S.HOM"),)


def nearly_same(case: Case) -> Sites:
    """A listed word that sounds nearly the same: than for then."""
    if frozenset((case.target.lower, case.lower)) in near_words():
        return (site(case, "S.NEAR"),)
    return None


BEFORE_PARTS: tuple[Callable[[Case], Sites], ...] = (
    reversal,
    irregular_made_regular,
    have,
    full_form,
    contraction_made_regular,
    look_alike,
)
"""Asked before the word is taken apart."""
AFTER_PARTS: tuple[Callable[[Case], Sites], ...] = (same_sound, nearly_same)
"""Asked after endings, seams and apostrophes, before single sounds and letters."""
