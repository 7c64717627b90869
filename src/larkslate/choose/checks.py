"""The bank held against the rules for texts: what is wrong, where, in one sentence each.

Length and form of dictation sentences are the trade's (grade 3: 6 to 10 words, one thought, plain marks); the rest
is ours: every word in reach by the end of the unit, every word that sounds like another settled by the sentence.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from larkslate.choose.bank import FORMS, Bank, Line, PairLine, PassageText
from larkslate.choose.places import wrong_with
from larkslate.choose.pool import Stock
from larkslate.datafile import read_tsv
from larkslate.sequence.reach import Reach
from larkslate.words.homophones import sets_of
from larkslate.words.suitable import unsuitable

SENTENCE_WORDS, PHRASE_WORDS = (4, 11), (2, 6)
PASSAGE_WORDS, PASSAGE_GAPS, PASSAGE_WRITE = (40, 70), (8, 12), (1, 2)
GAPS_EACH = 2
PLACES_EACH, PAIRS_EACH, LINES_EACH = 3, 2, 8
PLAIN = re.compile(r"[A-Za-z’',.?!\- ]+")


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong in a data file: its place and what to do."""

    where: str
    says: str


@lru_cache(maxsize=1)
def settled_sets() -> frozenset[str]:
    """Sets of words that sound the same which a whole sentence tells apart, from ``settled.tsv``."""
    return frozenset(row["set"] for row in read_tsv("choose", "settled.tsv", ("set",)))


def faults(bank: Bank, stock: Stock, units: Iterable[int] | None = None) -> tuple[Fault, ...]:
    """Everything wrong with a bank, or with the texts of some units; empty where nothing is."""
    sequence = stock.sequence
    wanted = set(units) if units is not None else {t.number for t in sequence.themes}
    found: list[Fault] = []
    for line in bank.lines:
        if line.unit in wanted:
            found += _line_faults(line, bank, stock)
    for passage in bank.passages:
        if passage.unit in wanted:
            found += _passage_faults(passage, bank, stock)
    for place in bank.places:
        if place.unit in wanted:
            end = sequence.end_of(place.unit)
            says = wrong_with(stock.reach, place.name, place.phonemes, end)
            if says:
                found.append(Fault(place.source, says))
    for pair in bank.pairs:
        if pair.unit in wanted:
            found += _pair_faults(pair, bank, stock)
    for unit in sorted(wanted):
        found += _lacks(unit, bank)
    return tuple(found)


def text_faults(text: str, where: str, unit: int, bank: Bank, reach: Reach) -> Iterator[Fault]:
    """What is wrong with any text of a unit: reach, words not for children, marks, unsettled words."""
    if not PLAIN.fullmatch(text):
        odd = "".join(sorted({c for c in text if not PLAIN.fullmatch(c)}))
        yield Fault(where, f"{text!r} has {odd!r}: use letters, commas, end marks and apostrophes.")
    for bad in reach.text(text, unit, bank.names).out_of_reach:
        needs = ", ".join(sorted({n.skill for n in bad.missing})) or "a reading"
        yield Fault(
            where, f"{bad.word} is not in reach by the end of unit {unit}: it needs {needs}."
        )
    for word in re.findall(r"[A-Za-z’']+", text):
        reason = unsuitable(word)
        if reason:
            yield Fault(where, f"{word} is not for children: {reason}.")
        for one in sets_of(word.replace("’", "'")):
            if one.name not in settled_sets():
                yield Fault(
                    where,
                    f"{word} sounds like others ({one.name}): if the sentence tells which is meant, "
                    "add the set to settled.tsv.",
                )


def _line_faults(line: Line, bank: Bank, stock: Stock) -> Iterator[Fault]:
    count = len(line.text.split())
    low, high = SENTENCE_WORDS if line.is_sentence else PHRASE_WORDS
    if not low <= count <= high:
        yield Fault(line.source, f"{line.text!r} has {count} words, not {low} to {high}.")
    if line.is_sentence and not line.text[0].isupper():
        yield Fault(line.source, "a sentence begins with a capital.")
    if "," in line.text and " and " not in line.text:
        yield Fault(line.source, "a comma stands only in a list with and.")
    yield from text_faults(line.text, line.source, line.unit, bank, stock.reach)


def _passage_faults(passage: PassageText, bank: Bank, stock: Stock) -> Iterator[Fault]:
    where = passage.source
    count = len(passage.text.split())
    for have, limits, what in (
        (count, PASSAGE_WORDS, "words"),
        (len(passage.gaps), PASSAGE_GAPS, "gaps"),
        (len(passage.write), PASSAGE_WRITE, "sentences to write"),
    ):
        if not limits[0] <= have <= limits[1]:
            yield Fault(where, f"it has {have} {what}, not {limits[0]} to {limits[1]}.")
    if " ".join(passage.phrases) != passage.text:
        yield Fault(where, "the phrases do not add up to the text: look at the cuts.")
    yield from text_faults(passage.text, where, passage.unit, bank, stock.reach)
    twice = [w for w, n in Counter(g.lower() for g in passage.gaps).items() if n > 1]
    if twice:
        yield Fault(where, f"{', '.join(twice)}: a word is a gap only once.")
    theme = stock.sequence.theme(passage.unit)
    for point in theme.points:
        have = sum(point in stock.points_shown(g) for g in passage.gaps)
        if have < GAPS_EACH:
            yield Fault(where, f"{point} has {have} gaps, not {GAPS_EACH}.")
    end = stock.sequence.end_of(passage.unit)
    for gap in passage.gaps:
        if not any(stock.sequence.index(p) <= end for p in stock.points_shown(gap)):
            yield Fault(where, f"the gap {gap} shows no point taught by the end of the unit.")
    told = {w.lower().strip(".,?!") for w in passage.title.split()} & {
        g.lower() for g in passage.gaps
    }
    if told:
        yield Fault(where, f"the title tells how {', '.join(sorted(told))} is written.")
    yield from text_faults(passage.title, where, passage.unit, bank, stock.reach)
    for sentence in passage.write:
        if sentence.text not in passage.text:
            yield Fault(where, f"{sentence.text!r} is not found in the text.")
        if not SENTENCE_WORDS[0] <= len(sentence.text.split()) <= SENTENCE_WORDS[1]:
            yield Fault(where, f"{sentence.text!r} is too short or too long to write.")
    others = [p for p in bank.passages if p.unit == passage.unit and p.form > passage.form]
    for other in others:
        shared = {
            w for w in set(passage.gaps) & set(other.gaps)
            if not any(stock.rule(p).closed for p in stock.points_shown(w))
        }  # fmt: skip
        if shared:
            yield Fault(where, f"{', '.join(sorted(shared))} is a gap in form {other.form} too.")


def _pair_faults(pair: PairLine, bank: Bank, stock: Stock) -> Iterator[Fault]:
    for choice in pair.choices:
        after = pair.after if pair.after[:1] in ".,?!" else f" {pair.after}"
        text = f"{pair.before} {choice}{after}".strip()
        yield from text_faults(text, pair.source, pair.unit, bank, stock.reach)


def _lacks(unit: int, bank: Bank) -> Iterator[Fault]:
    where = f"unit {unit}"
    sentences = sum(line.is_sentence for line in bank.of_unit(unit))
    if sentences < LINES_EACH:
        yield Fault(where, f"it has {sentences} sentences, not {LINES_EACH}.")
    for form in FORMS:
        for have, want, what in (
            (sum(p.unit == unit and p.form == form for p in bank.passages), 1, "passages"),
            (
                sum(p.unit == unit and p.form == form for p in bank.places),
                PLACES_EACH,
                "place-names",
            ),
            (sum(p.unit == unit and p.form == form for p in bank.pairs), PAIRS_EACH, "pairs"),
        ):
            if have < want:
                yield Fault(where, f"form {form} has {have} {what}, not {want}.")
