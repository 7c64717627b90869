"""One spelling, diagnosed: what is right, what each error is, what it shows about the points.

The decision order is a list of small rules (``whole``, ``parts``, ``letters``); the order of ``codes.tsv`` then says
which finding comes first. Several errors in one word are several findings, one for each place.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial

from larkslate.assess.align import Relation, explain
from larkslate.assess.codes import alternatives, codes, sentence
from larkslate.assess.elements import by_base, differing, elements_of, whole
from larkslate.assess.evidence import Points, evidence
from larkslate.assess.letters import LETTER_RULES
from larkslate.assess.model import Alternative, Diagnosis, Element, Finding, ResponseStatus
from larkslate.assess.parts import PART_RULES
from larkslate.assess.score import letter_sequences, normal
from larkslate.assess.spot import Site, Spot
from larkslate.assess.tables import letter_pairs
from larkslate.assess.target import Case, Lookup, Target, target_of
from larkslate.assess.whole import AFTER_PARTS, BEFORE_PARTS, capitals
from larkslate.errors import Malformed, Missing
from larkslate.words.contractions import contraction
from larkslate.words.homophones import accents as accents_known
from larkslate.words.sounds import respell

_UNEXPLAINED = frozenset({Relation.FAR, Relation.ADDED_CONSONANT})
_REAL_WORD_COST = 2.4
ACCEPTED = "right"
"""What a teacher gives instead of a code where she accepts a spelling."""


def _owner_words(case: Case) -> dict[str, str]:
    """The words that the sentences about contractions and owners name."""
    target = case.target
    words = {"owner": target.owner or target.lower}
    short = target.contraction
    if short is None and "'" in case.lower:
        short = contraction(case.lower)
    if short is not None and short.forms and short.forms[0].full:
        form = short.forms[0]
        words["full"] = " ".join(form.full or ())
        words["dropped"] = " and ".join(form.dropped)
    return words


def _finding(case: Case, site: Site, extra: Sequence[Alternative] = ()) -> Finding:
    words = {
        "word": case.target.text,
        "written": case.written,
        "part": f"⟨{site.part}⟩",
        "wrote": f"⟨{site.wrote}⟩",
        "sound": respell(site.sounds) if site.sounds else "",
        "base": site.base,
        "ending": site.ending,
        "letter": site.letter,
        **_owner_words(case),
    }
    said = sentence(site.code, site.case, words)
    found = (*extra, *alternatives(site.code))
    return Finding(site.code, site.part, site.wrote, said, found)


def _ranked(sites: Iterable[Site]) -> list[Site]:
    """Sites in the decision order; sites with the same code keep the order of the word."""
    table = codes()
    return sorted(sites, key=lambda s: table[s.code].rank)


def _found_at(spot: Spot) -> tuple[Site, ...]:
    for rule in (*PART_RULES, *LETTER_RULES):
        found = rule(spot)
        if found is not None:
            return found
    raise AssertionError(f"no rule for {spot.relation} in {spot.case.written!r}")


def _explained(case: Case, scores: Sequence[Element], cost: float) -> bool:
    """True if the elements are better than chance: their mean is at least 1.

    Close to that line the cost decides: more than 1.1 for each slot says that letters were only paired off.
    """
    if not scores:
        return False
    mean = sum(e.score for e in scores) / len(scores)
    return mean >= 1.25 or (mean >= 1 and cost / len(case.target.slots) <= 1.1)


class _Answer:
    """What a diagnosis is put together from."""

    def __init__(
        self,
        elements: tuple[Element, ...],
        sites: Sequence[Site] = (),
        scores: dict[int, int] | None = None,
        spots: Sequence[Spot] = (),
        *,
        right: bool = False,
        unread: bool = False,
    ) -> None:
        self.elements = elements
        self.sites = sites
        self.scores = scores or {}
        self.spots = spots
        self.right = right
        self.unread = unread


def _right(case: Case) -> _Answer:
    explained = explain(case.target.slots, case.target.lower)
    spots = [Spot(case, explained.pieces, i) for i in range(len(explained.pieces))]
    elements, _ = elements_of(spots, [() for _ in spots])
    shown = []
    at = 0
    for e in elements:  # the letters as they were written, capitals too
        size = len(e.target.replace("_e", ""))
        plain = case.written[at : at + size] if "_e" not in e.target else e.written
        shown.append(Element(e.target, plain, 3))
        at += size
    if any("_" in e.target for e in elements):
        shown = [Element(e.target, e.written, 3) for e in elements]
    return _Answer(tuple(shown), capitals(case) or (), right=True)


def _unread(case: Case, code: str) -> _Answer:
    site = Site(code, case.target.text, case.written, ((0, len(case.target.lower)),))
    return _Answer(whole(case.target, case.written, 0), (site,), unread=True)


def _taken_apart(case: Case) -> _Answer:
    explained = explain(case.target.slots, case.lower)
    spots = [Spot(case, explained.pieces, i) for i in range(len(explained.pieces))]
    found = [_found_at(s) for s in spots]
    elements, scores = elements_of(spots, found)
    flat = [s for group in found for s in group]
    table = codes()
    by_part = [s for s in flat if table[s.code].family in ("M", "A")]
    if case.target.contraction and not _same_but_for_marks(case):
        by_part = [
            s for s in by_part if not s.code.startswith("A.")
        ]  # where for we're: another word
    for rule in AFTER_PARTS:
        meant = rule(case)
        if meant is None:
            continue
        if by_part:  # they come first in the order; the other word is the second reading
            return _Answer(elements, _ranked([*by_part, *meant]), scores, spots)
        clean = all(
            s.relation in (Relation.SAME, Relation.ALTERNATIVE, Relation.RARE, Relation.UNMARKED)
            for s in spots
            if s.slots
        )
        shown = elements if clean else differing(case.target, spots, 2)
        return _Answer(shown, _with_place(meant, flat), scores, spots)
    odd_one_out = [s for s in spots if s.relation in _UNEXPLAINED]
    strange = explained.cost > _REAL_WORD_COST and bool(odd_one_out)
    if not _explained(case, elements, explained.cost) or (strange and case.known(case.lower)):
        if case.known(case.lower):
            return _unread(case, "S.WORD")
        if not _explained(case, elements, explained.cost):
            return _unread(case, "X.UNCL")
    apart = by_base(case.target, case.lower) if {s.code for s in flat} == {"M.CMPD"} else ()
    return _Answer(apart or elements, _ranked(flat), scores, spots)


def _same_but_for_marks(case: Case) -> bool:
    return case.lower.replace("'", "") == case.target.lower.replace("'", "")


def _with_place(meant: Sequence[Site], found: Sequence[Site]) -> list[Site]:
    """Sites for another word, at the letters where it differs."""
    spans = tuple(span for s in found for span in s.spans)
    return [
        Site(m.code, m.part, m.wrote, spans or m.spans, m.case, excused=m.excused) for m in meant
    ]


def _whole_word(case: Case, sites: Sequence[Site]) -> _Answer:
    """The answer of a rule for the whole word, with elements that show where it differs."""
    explained = explain(case.target.slots, case.lower)
    spots = [Spot(case, explained.pieces, i) for i in range(len(explained.pieces))]
    found = [_found_at(s) for s in spots]
    elements, scores = elements_of(spots, found)
    code = sites[0].code
    if code == "M.IRR":
        return _Answer(whole(case.target, case.written, 1), sites, unread=True)
    if code.startswith("S."):
        apostrophe_only = all(
            s.relation in (Relation.SAME, Relation.MARK_OMITTED, Relation.MARK_ADDED) for s in spots
        )
        if not apostrophe_only:
            elements = differing(case.target, spots, 2, to_end=code == "S.HOMC")
    return _Answer(elements, sites, scores, spots)


def _accepted(target: Target, written: str) -> bool:
    """True for another spelling that is right too: James' beside James's."""
    name = target.text[:1].isupper() and target.lower.endswith("s's")
    return name and written.lower() == target.lower[:-1]


def _examine(case: Case) -> _Answer:
    if case.lower == case.target.lower or _accepted(case.target, case.written):
        return _right(case)
    for rule in BEFORE_PARTS:
        found = rule(case)
        if found:
            return _whole_word(case, found)
    return _taken_apart(case)


def _extra_alternatives(case: Case, primary: Site, sites: Sequence[Site]) -> list[Alternative]:
    """Readings that hang on this word: a real word that was written, an accent."""
    found = []
    real = case.lower != case.target.lower and case.known(case.lower)
    if real and codes()[primary.code].family == "P":
        if any(s.code == "DIALECT" for s in sites):
            found.append(
                Alternative(
                    "S.HOM", f"if the student says {case.target.lower} and {case.lower} alike"
                )
            )
        found.append(Alternative("S.WORD", "if the word was heard as another one"))
    if frozenset((primary.part, primary.wrote)) in letter_pairs("joined"):
        found.append(Alternative("K.LEG", "if the two letters look alike in this hand"))
    told = any(a.code == "S.HOM" for a in found)
    if real and not told and case.lower in case.homophones and not primary.code.startswith("S."):
        found.append(Alternative("S.HOM", "if the student meant the other word"))
    return found


def _real_word(case: Case, sites: list[Site]) -> list[Site]:
    """A second code where a wrong choice of letters or a seam happens to make another word."""
    first = sites[0].code if sites else ""
    other = case.lexicon.get(case.lower)
    own = case.target.reading
    if other and other.readings and own and other.readings[0].phonemes == own.phonemes:
        return sites  # it sounds the same, so it is not another word: travelling
    if not first.startswith(("O.", "M.JCT", "M.AFX", "M.PREF")) or case.lower == case.target.lower:
        return sites
    if case.lower in case.homophones or not case.known(case.lower):
        return sites
    over = ((0, len(case.target.lower)),)
    return [*sites, Site("S.WORD", case.target.text, case.written, over, excused=True)]


def _capital_too(case: Case, sites: list[Site]) -> list[Site]:
    """A missing capital beside other errors."""
    word = case.target.word.word
    if (
        word[:1].isupper()
        and case.written[:1].islower()
        and not any(s.code.startswith("K.") for s in sites)
    ):
        over = ((0, 1),)
        return [*sites, Site("K.CAP", case.target.text, case.written, over)]
    return sites


def diagnose(
    target: Target,
    written: str,
    *,
    sentence: str | None = None,
    lexicon: Lookup,
    points: Points,
    through: str | int | None = None,
    accents: Iterable[str] = (),
    status: ResponseStatus = ResponseStatus.WRITTEN,
    right_elsewhere: bool = False,
    overrule: str | None = None,
) -> Diagnosis:
    """The diagnosis of one spelling of a target; see ``spelled``."""
    case = Case(target, normal(written), sentence, lexicon, _known_accents(accents))
    if status is ResponseStatus.WRITTEN and not case.written:
        status = ResponseStatus.BLANK
    if status in (ResponseStatus.BLANK, ResponseStatus.ABSENT):
        answer = _Answer(whole(target, "", 0), unread=True)
        if status is ResponseStatus.BLANK:
            answer = _unread(case, "X.NONE")
    elif status is ResponseStatus.ILLEGIBLE or not any(c.isalpha() for c in case.written):
        answer = _unread(case, "K.LEG")
        status = ResponseStatus.ILLEGIBLE
    elif overrule == ACCEPTED:
        answer = _Answer(whole(target, case.written, 3), right=True)
    else:
        answer = _examine(case)
    sites = _real_word(case, list(answer.sites))
    if overrule is not None and overrule != ACCEPTED and sites:
        sites[0] = _overruled(sites[0], overrule)
        right_elsewhere = False
    if status is ResponseStatus.WRITTEN and not answer.right:
        sites = _capital_too(case, sites)
    if right_elsewhere and sites and not answer.right and status is ResponseStatus.WRITTEN:
        slip = Site("K.SLIP", target.text, case.written, sites[0].spans, excused=True)
        also = tuple(Alternative(s.code, "if it comes again") for s in sites)
        findings: tuple[Finding, ...] = (_finding(case, slip, also),)
        sites = [slip]
    else:
        extra = _extra_alternatives(case, sites[0], sites) if sites else []
        findings = tuple(_finding(case, s, extra if i == 0 else ()) for i, s in enumerate(sites))
    if status is ResponseStatus.WRITTEN:
        credited, missed, untaught = evidence(
            target,
            sites,
            answer.scores,
            answer.spots,
            points,
            through=through,
            unread=answer.unread,
        )
    else:
        credited, missed, untaught = (), (), ()
    return Diagnosis(
        target=target.text,
        written=written if status is not ResponseStatus.WRITTEN else case.written,
        right=answer.right,
        letter_sequences=letter_sequences(target.lower, case.lower),
        elements=answer.elements,
        primary=findings[0].code if findings else None,
        findings=findings,
        credited=credited,
        missed=missed,
        not_yet_taught=untaught,
        status=status,
    )


def _known_accents(names: Iterable[str]) -> frozenset[str]:
    chosen = frozenset(names)
    unknown = chosen - set(accents_known())
    if unknown:
        raise Missing(
            f"There is no accent setting {sorted(unknown)[0]!r}; "
            f"there are {', '.join(accents_known())}."
        )
    return chosen


def _overruled(site: Site, code: str) -> Site:
    """The first site with the code a teacher chose; writing and accent codes count against nothing."""
    if code not in codes():
        raise Missing(f"{code!r} is not a code: use one of {', '.join(codes())}, or {ACCEPTED}.")
    excused = code.startswith("K.") or code == "DIALECT"
    return replace(site, code=code, case="", skill=None, excused=excused)


def spelled(
    target: str,
    written: str,
    *,
    sentence: str | None = None,
    lexicon: Lookup,
    reach: Points,
    through: str | int | None = None,
    accents: Iterable[str] = (),
    made_up: Sequence[str] | None = None,
    phonemes: tuple[str, ...] | None = None,
    status: ResponseStatus = ResponseStatus.WRITTEN,
    right_elsewhere: bool = False,
    overrule: str | None = None,
) -> Diagnosis:
    """Diagnose one spelling.

    ``sentence`` settles plural or verb and look-alikes; ``through`` is the last point, unit or "K2" taught: an
    error on a later point is reported as not yet taught. ``accents`` are the student's settings (names of
    homophone_accents.tsv). ``made_up`` lists every legal spelling of a made-up word: each is right, and a wrong
    one is held against the nearest. ``phonemes`` pick a reading. ``right_elsewhere`` says that the student wrote
    the same word right in the same session. ``overrule`` is the code a teacher chose instead of the first, or
    "right" where she accepts the spelling. Raises Malformed for a target without a letter, Missing for an
    unknown accent or code.
    """
    if not any(c.isalpha() for c in target):
        raise Malformed(
            f"The target {target!r} has no letter in it: give the word that was dictated."
        )
    run = partial(
        diagnose,
        sentence=sentence,
        lexicon=lexicon,
        points=reach,
        through=through,
        accents=accents,
        status=status,
        right_elsewhere=right_elsewhere,
        overrule=overrule,
    )
    if made_up:
        asked = normal(written).lower()
        nearest = max(
            (target, *made_up),
            key=lambda legal: letter_sequences(legal, asked)[0] / (len(legal) + 1),
        )
        return run(target_of(nearest, lexicon, phonemes), written)
    return run(target_of(target, lexicon, phonemes), written)


def first_code(target: Target, written: str, lexicon: Lookup) -> str | None:
    """The primary code alone, without evidence: what a wrong form of a word would be called."""
    case = Case(target, normal(written), None, lexicon)
    sites = _examine(case).sites
    return sites[0].code if sites else None
