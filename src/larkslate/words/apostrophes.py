"""Reading the apostrophes of a sentence: contraction, owner, needless, missing, misplaced; and could of.

The decision follows the class rule: say the two words; if the sentence still works, it is a contraction;
else, if the next noun belongs to it, it shows owning; else it needs no mark. The next words' parts of
speech stand in for sense, so the answer can be ``ambiguous``, with every reading it could have.

Not covered: were, well, ill, shell, hell, wed, shed, id for we're and so on (all words of their own);
your for you're and there for they're; joint owners (Ana and Leo's house); quotations inside quotations;
an owner's noun left out in mid-sentence (Sam's is red); letters with a mark (dot your i's).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from larkslate.words.contractions import contraction, contractions
from larkslate.words.inflections import inflect
from larkslate.words.irregular import irregular_forms
from larkslate.words.joins import join
from larkslate.words.model import Contraction, Span
from larkslate.words.possessives import (
    irregular_plural,
    names_in_s,
    owning_words,
    split_possessive,
)
from larkslate.words.sentence_words import (
    CONJUNCTIONS,
    DETERMINERS,
    HELPERS,
    MIDDLE_ADVERBS,
    PREPOSITIONS,
    PRONOUNS,
    SUBJECTS,
    Token,
    is_ing,
    is_noun,
    is_only,
    is_participle,
    is_plain_verb,
    tokens,
)

PartsOfSpeech = Callable[[str], frozenset[str]]


class MarkKind(StrEnum):
    """What was found at one word of the sentence."""

    CONTRACTION = "contraction"
    POSSESSIVE = "possessive"
    AMBIGUOUS = "ambiguous"  # more than one reading stands
    NEEDLESS = "needless"  # a plural or a verb with s takes no mark
    MISSING = "missing"  # a contraction or owner without its mark
    MISPLACED = "misplaced"  # the mark stands at the wrong letter
    COULD_OF = "could-of"


@dataclass(frozen=True, slots=True)
class Mark:
    """One reading of one word. ``readings`` are full forms, the likeliest first (empty for an owner).

    ``suggestion`` is what should stand there, None where the word is right. ``why`` is one sentence
    for the teacher, ``skill`` the skill it gives evidence on.
    """

    written: str
    span: Span
    kind: MarkKind
    readings: tuple[str, ...]
    suggestion: str | None
    why: str
    skill: str


@dataclass(frozen=True, slots=True)
class _Place:
    """A word and what stands around it."""

    words: Sequence[Token]
    at: int
    sentence: str

    @property
    def token(self) -> Token:
        return self.words[self.at]

    def after(self, steps: int = 1) -> str:
        """The word some steps on, lower case; empty at the end or past a stop."""
        here = self.at + steps
        if here >= len(self.words):
            return ""
        between = self.sentence[self.words[self.at].span[1] : self.words[here].span[0]]
        return "" if re.search(r"[.!?;:,]", between) else self.words[here].low

    def verb_after(self) -> str:
        """The next word past adverbs such as never and already."""
        steps = 1
        while self.after(steps) in MIDDLE_ADVERBS:
            steps += 1
        return self.after(steps)

    def before(self) -> str:
        """The word before, lower case; empty at the start or past a stop."""
        if self.at == 0:
            return ""
        between = self.sentence[self.words[self.at - 1].span[1] : self.token.span[0]]
        return "" if re.search(r"[.!?;:,]", between) else self.words[self.at - 1].low


ALWAYS_HAS = frozenset({"been", "had", "got", "gotten", "become", "gone", "come"})
TAKES_A_CLAUSE = frozenset({
    "think", "thinks", "thought", "know", "knows", "knew", "say", "says", "said", "hope", "hopes",
    "guess", "mean", "means", "see", "saw", "feel", "felt", "believe", "wish", "sure", "glad", "that",
    "told", "heard", "found", "noticed", "learned", "guessed", "hoped", "decided", "showed",
})  # fmt: skip
COUNTING = frozenset({
    "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "many", "several",
    "few", "these", "those", "both", "most", "some", "all", "more", "twelve", "twenty", "hundred",
})  # fmt: skip
MODALS = frozenset({"could", "should", "would", "might", "must", "may", "will", "had"})
WORDS_OF_THEIR_OWN = frozenset({
    "its", "were", "well", "ill", "shell", "hell", "wed", "shed", "id", "lets", "whore", "one s",
    "whens", "whys", "hows", "ones", "till", "til", "em", "cause", "round", "bout", "n", "eer", "er",
})  # fmt: skip


@cache
def _without_mark() -> dict[str, Contraction]:
    """Contractions by their letters without the marks, but for those that are words then."""
    found: dict[str, Contraction] = {}
    for written, item in contractions().items():
        bare = written.replace("'", "").lower()
        if bare not in WORDS_OF_THEIR_OWN and " " not in bare:
            found.setdefault(bare, item)
    return found


def _like(written: str, model: str) -> str:
    """The model with the capital that the writer used."""
    if model[0].isalpha() and written[0].isupper():
        return model[0].upper() + model[1:]
    return model


def read_apostrophe(sentence: str, *, pos: PartsOfSpeech) -> tuple[Mark, ...]:
    """Every apostrophe of a sentence with its reading, and every word that lacks one.

    ``pos`` gives a word's parts of speech (noun, verb, adjective, adverb ...), empty where not known.
    """
    words = tokens(sentence)
    marks: list[Mark] = []
    for at in range(len(words)):
        place = _Place(words, at, sentence)
        found = _read(place, pos)
        if found is not None:
            marks.append(found)
    return tuple(marks)


def _read(place: _Place, pos: PartsOfSpeech) -> Mark | None:
    if place.token.low == "of":
        return _could_of(place, pos)
    if "'" not in place.token.text:
        return _missing(place, pos)
    known = contraction(place.token.text)
    if known is not None and split_possessive(place.token.text) is None:
        return _contracted(place, known, pos)
    return _misplaced(place, pos) or _owner(place, known, pos)


def _mark(
    place: _Place,
    kind: MarkKind,
    why: str,
    skill: str,
    readings: tuple[str, ...] = (),
    suggestion: str | None = None,
) -> Mark:
    token = place.token
    if suggestion is not None:
        suggestion = _like(token.text, suggestion)
    return Mark(token.text, token.span, kind, readings, suggestion, why, skill)


def _could_of(place: _Place, pos: PartsOfSpeech) -> Mark | None:
    """Find of standing for have: could of gone, should not of been."""
    before = place.before()
    if before == "not" and place.at > 1:
        before = place.words[place.at - 2].low
    helper = before.removesuffix("n't")
    if helper not in MODALS or not is_participle(place.verb_after(), pos):
        return None
    whole = f"{before} have"
    why = f"After {before} it sounds like of and is always have."
    return _mark(place, MarkKind.COULD_OF, why, "con:modal-have", (whole,), "have")


def _contracted(place: _Place, known: Contraction, pos: PartsOfSpeech) -> Mark:
    """A word of the table that cannot be an owner: its reading from the next word."""
    low = place.token.low
    full = [" ".join(f.full) for f in known.forms if f.full is not None]
    if known.group == "had-would":
        full = _had_or_would(place, full, pos)
    elif known.group == "is" and low.endswith("'s"):
        wrong = _its(place, pos) if low in {"it's", "who's"} else None
        if wrong is not None:
            return wrong
        full = _is_or_has(place, full, pos)
    kind = MarkKind.CONTRACTION
    if not full:
        why = f"{known.written} is learned whole."
    elif len(full) == 1 or known.group == "will":  # shall is a rare second reading
        why = f"{known.written} stands for {full[0]}."
    else:
        kind = MarkKind.AMBIGUOUS
        why = f"{known.written} can stand for {' or '.join(full)} here."
    return _mark(place, kind, why, known.skill, tuple(full))


def _pick(full: list[str], *lasts: str) -> list[str]:
    return [f for f in full if f.split()[-1] in lasts] or full


def _had_or_would(place: _Place, full: list[str], pos: PartsOfSpeech) -> list[str]:
    """Choose had before a participle or better, would before a plain verb, did between what and a subject."""
    verb = place.verb_after()
    question = any(f.endswith(" did") for f in full)
    if question and place.after() in SUBJECTS:
        return _pick(full, "did", "would") if is_plain_verb(place.after(2), pos) else full
    if verb == "better":
        return _pick(full, "had")
    if verb in {"rather", "like", "love"}:
        return _pick(full, "would")
    participle, plain = is_participle(verb, pos), is_plain_verb(verb, pos)
    if participle and not plain:
        return _pick(full, "had")
    if plain and not participle:
        return _pick(full, "would")
    return full


def _is_or_has(place: _Place, full: list[str], pos: PartsOfSpeech) -> list[str]:
    """Choose has before been, got, gone; does in What's he want; is before all that is no participle."""
    nearest, verb = place.after(), place.verb_after()
    if any(f.endswith(" does") for f in full) and nearest in SUBJECTS:
        second = place.after(2)
        if is_ing(second, pos) or not second:
            return _pick(full, "is")
        if is_participle(second, pos):
            return _pick(full, "has") if second in ALWAYS_HAS else _pick(full, "is", "has")
        return _pick(full, "does") if is_plain_verb(second, pos) else _pick(full, "is")
    if verb in ALWAYS_HAS or _has_object(place, pos):
        return _pick(full, "has")
    if is_participle(verb, pos) and not is_plain_verb(verb, pos):
        adjective = "adjective" in pos(verb)
        return _pick(full, "is", "has") if adjective else list(reversed(_pick(full, "is", "has")))
    return _pick(full, "is", "us")


def _has_object(place: _Place, pos: PartsOfSpeech) -> bool:
    """True where a participle and then its object follow: lost his hat, left a note."""
    after = place.after(2) in DETERMINERS or place.after(2) in {"me", "us", "them", "him", "it"}
    return after and is_participle(place.after(), pos)


def _its(place: _Place, pos: PartsOfSpeech) -> Mark | None:
    """Find it's where its belongs (in it's box, wagged it's tail), who's where whose does (Who's coat)."""
    low, nearest, before = place.token.low, place.after(), place.before()
    if not is_noun(nearest, pos) or is_ing(nearest, pos):
        return None
    own = "its" if low == "it's" else "whose"
    why = f"{own} shows owning and takes no mark; {low} is {'it' if own == 'its' else 'who'} is."
    further = place.after(2)
    ends = not further or further in PREPOSITIONS | CONJUNCTIONS
    starts = further in {"is", "was", "are", "were", "has", "had"}
    skill = "hom:it's/its" if own == "its" else "hom:who's/whose"
    verb_before = "past" in pos(before) and before not in TAKES_A_CLAUSE
    after_verb = own == "its" and verb_before and ends and "adverb" not in pos(nearest)
    if starts or after_verb or (own == "its" and before in PREPOSITIONS):
        return _mark(place, MarkKind.NEEDLESS, why, skill, suggestion=own)
    return None


def _misplaced(place: _Place, pos: PartsOfSpeech) -> Mark | None:
    """The right letters with the mark at the wrong place: does'nt, childrens', Jame's, her's."""
    token = place.token
    bare = token.low.replace("'", "")
    meant = _without_mark().get(bare)
    if meant is not None and meant.written.lower() != token.low:
        why = f"The mark stands where the letters left: {meant.written}."
        return _mark(place, MarkKind.MISPLACED, why, meant.skill, suggestion=meant.written)
    if bare in owning_words() and bare != "his":
        why = f"{bare} shows owning by itself and takes no mark."
        return _mark(place, MarkKind.NEEDLESS, why, "poss:singular", suggestion=bare)
    plural = token.low.removesuffix("s'")
    form = irregular_plural(plural) if token.low.endswith("s'") else None
    if form is not None and not form.same:
        why = f"{plural} is the plural already: add the mark, then s."
        right = f"{plural}'s"
        return _mark(place, MarkKind.MISPLACED, why, "poss:plural-irregular", suggestion=right)
    if token.low.endswith("'s"):
        base = token.text[:-2]
        if f"{base}s" in names_in_s() and not pos(base.lower()):
            why = f"Write the name whole, {base}s, then the mark and s."
            right = f"{base}s's"
            return _mark(place, MarkKind.MISPLACED, why, "poss:singular", suggestion=right)
        if base.lower().endswith("ie") and not pos(base.lower()) and pos(base.lower()[:-2] + "y"):
            one = base[:-2] + "y"
            why = f"Write the owner whole: {one}'s for one, {base}s' for many."
            return _mark(place, MarkKind.MISPLACED, why, "poss:singular", suggestion=f"{one}'s")
    return None


def _owner(place: _Place, known: Contraction | None, pos: PartsOfSpeech) -> Mark | None:
    """A noun or name with 's or s': owner, shortened is or has, or a plural that needs no mark."""
    token = place.token
    split = split_possessive(token.text)
    if split is None:
        return _number(place)
    base, kind = split
    skill = f"poss:{kind}"
    plain = base.lower()
    nearest, further = place.after(), place.after(2)
    if token.low.endswith("'s"):
        needless = _needless(place, base, pos)
        if needless is not None:
            return needless
    owned = False if _has_object(place, pos) else _owned(nearest, further, pos)
    if token.low.endswith("s'"):
        if owned is False:
            why = f"Nothing after it belongs to the {plain}: a plural takes no mark."
            return _mark(place, MarkKind.NEEDLESS, why, skill, suggestion=base)
        return _mark(place, MarkKind.POSSESSIVE, f"It belongs to the {base}.", skill)
    full: tuple[str, ...] = (f"{base} is", f"{base} has")
    if owned is True or kind == "plural-irregular":
        return _mark(place, MarkKind.POSSESSIVE, f"What follows belongs to {base}.", skill)
    if owned is False:
        if nearest in ALWAYS_HAS or _has_object(place, pos):
            full = (f"{base} has",)
        elif not is_participle(place.verb_after(), pos):
            full = (f"{base} is",)
        con = known.skill if known else "con:be"
        why = f"{token.text} stands for {' or '.join(full)} here."
        kind_of = MarkKind.CONTRACTION if len(full) == 1 else MarkKind.AMBIGUOUS
        return _mark(place, kind_of, why, con, full)
    if not nearest and place.before() in {"is", "are", "was", "were", "like", "than", "at", "to"}:
        return _mark(place, MarkKind.POSSESSIVE, f"What is meant belongs to {base}.", skill)
    why = f"{token.text} can show owning or stand for {full[0]}: the sentence does not settle it."
    return _mark(place, MarkKind.AMBIGUOUS, why, skill, full)


def _owned(nearest: str, further: str, pos: PartsOfSpeech) -> bool | None:
    """Whether the next words are something owned; None where they leave it open."""
    if not nearest:
        return None
    if nearest in DETERMINERS | PRONOUNS | PREPOSITIONS | CONJUNCTIONS | MIDDLE_ADVERBS:
        return False
    if is_ing(nearest, pos):
        return further in HELPERS or is_only(further, "verb", pos)
    if nearest in {"been", "got", "gone", "had", "going"}:
        return False
    if is_only(nearest, "adjective", pos):
        return is_noun(further, pos)
    if is_noun(nearest, pos):
        return True
    if is_participle(nearest, pos) or is_only(nearest, "adverb", pos):
        return is_noun(further, pos) if "adjective" in pos(nearest) else False
    if is_only(nearest, "verb", pos):
        return False
    return None


def _needless(place: _Place, base: str, pos: PartsOfSpeech) -> Mark | None:
    """Find a plural or a verb with s that takes no mark: two dog's, she run's."""
    low, before, nearest = base.lower(), place.before(), place.after()
    name = base[0].isupper() and (place.at > 0 or not is_noun(low, pos))
    many = join(base, "s", kind="name").word if name else inflect(low, "plural")[0]
    if before in COUNTING and is_noun(low, pos) and not _owned(nearest, place.after(2), pos):
        why = f"{before} {many} is a plural and owns nothing: no mark."
        return _mark(place, MarkKind.NEEDLESS, why, "poss:singular", suggestion=many)
    if nearest in {"are", "were"} and not irregular_plural(base):
        why = f"{nearest} goes with a plural, and {many} owns nothing here: no mark."
        return _mark(place, MarkKind.NEEDLESS, why, "poss:singular", suggestion=many)
    form = irregular_forms().get(low)
    plain_verb = "verb" in pos(low) and (form is None or form.same)
    if before in SUBJECTS and plain_verb:
        why = f"{base}s is a verb with s: no mark."
        return _mark(place, MarkKind.NEEDLESS, why, "poss:singular", suggestion=f"{base}s")
    return None


def _number(place: _Place) -> Mark | None:
    """1990's and CD's: plurals of figures and capitals take no mark."""
    match = re.fullmatch(r"(\d+|[A-Z]{2,})'s", place.token.text)
    if match is None:
        return None
    why = "A plural of figures or capitals takes no mark."
    return _mark(place, MarkKind.NEEDLESS, why, "poss:singular", suggestion=f"{match[1]}s")


def _missing(place: _Place, pos: PartsOfSpeech) -> Mark | None:
    """dont, Im, its a dog, lets go: a contraction without its mark."""
    low, nearest = place.token.low, place.after()
    meant = _without_mark().get(low)
    if meant is not None and not _word_here(low, place, pos):
        why = f"{meant.written} needs its mark."
        full = tuple(" ".join(f.full) for f in meant.forms if f.full is not None)
        return _mark(place, MarkKind.MISSING, why, meant.skill, full, meant.written)
    if low == "its":
        verb = place.verb_after()
        going_on = is_ing(verb, pos) and "noun" not in pos(verb)
        works = nearest in DETERMINERS | {"not", "been"} or going_on
        if works and place.before() not in PREPOSITIONS:
            why = "it is works here, so the mark is needed: it's."
            full = ("it has",) if verb in ALWAYS_HAS else ("it is",)
            return _mark(place, MarkKind.MISSING, why, "hom:it's/its", full, "it's")
    if low == "lets" and not place.before() and is_plain_verb(nearest, pos):
        why = "let us works here, so the mark is needed: let's."
        return _mark(place, MarkKind.MISSING, why, "con:irregular", ("let us",), "let's")
    return None


def _word_here(low: str, place: _Place, pos: PartsOfSpeech) -> bool:
    """True where the letters make a word that fits here (someones, wont as a noun are left alone)."""
    if low.endswith(("ones", "bodys", "things")):
        return True
    return low in {"cant", "wont"} and place.before() in DETERMINERS and not pos(place.after())
