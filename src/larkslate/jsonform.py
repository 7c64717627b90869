"""The shapes of the command line's JSON: values in, plain dicts and lists out.

``docs/json.md`` documents each shape; ``tests/test_docs.py`` holds the two together.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from larkslate.words.sounds import to_ipa

if TYPE_CHECKING:
    from larkslate.assess.model import Diagnosis
    from larkslate.sequence.model import Point, Sequence
    from larkslate.words.lexicon import Entry
    from larkslate.words.model import (
        Contraction,
        Grapheme,
        Join,
        Morpheme,
        Need,
        Reading,
        Spans,
        Step,
        Syllable,
        Word,
    )

Json = dict[str, Any]


def dump(value: object) -> str:
    """One line of JSON, letters as they are."""
    return json.dumps(value, ensure_ascii=False, separators=(", ", ": "))


def places(spans: Spans) -> list[list[int]]:
    """Half-open spans as pairs."""
    return [[start, end] for start, end in spans]


def grapheme(value: Grapheme) -> Json:
    """Letters, where they stand, and the sounds they spell."""
    return {
        "letters": value.letters,
        "at": places(value.spans),
        "phonemes": list(value.phonemes),
    }


def syllable(value: Syllable) -> Json:
    """One written syllable."""
    return {
        "letters": value.letters,
        "at": list(value.span),
        "type": value.type.value,
        "detail": value.detail.value if value.detail else None,
        "stress": value.stress,
    }


def morpheme(value: Morpheme) -> Json:
    """One meaningful part."""
    return {
        "letters": value.letters,
        "at": list(value.span),
        "kind": value.kind.value,
        "form": value.form,
    }


def join(value: Join) -> Json:
    """Where two parts meet and what changes there."""
    return {"at": value.at, "change": value.change.value}


def need(value: Need) -> Json:
    """One skill that the word asks for."""
    return {"skill": value.skill, "at": places(value.spans)}


def step(value: Step) -> Json:
    """One step of a derivation."""
    return {"kind": value.kind, "says": value.teacher, "at": places(value.spans)}


def reading(value: Reading) -> Json:
    """One way to say the word, with all that follows from it."""
    return {
        "phonemes": list(value.phonemes),
        "ipa": to_ipa(value.phonemes),
        "pos": list(value.pos),
        "graphemes": [grapheme(g) for g in value.graphemes],
        "syllables": [syllable(s) for s in value.syllables],
        "division": value.division,
        "also": list(value.also),
        "morphemes": [morpheme(m) for m in value.morphemes],
        "joins": [join(j) for j in value.joins],
        "needs": [need(n) for n in value.needs],
        "odd": places(value.odd),
        "why": [s.teacher for s in value.why],
    }


def contraction(value: Contraction | None) -> Json | None:
    """The full forms behind a contraction."""
    if value is None:
        return None
    return {
        "forms": [
            {
                "full": list(form.full) if form.full is not None else None,
                "dropped": list(form.dropped),
                "apostrophe": form.apostrophes[0] if form.apostrophes else None,
                "apostrophes": list(form.apostrophes),
                "steps": [step(s) for s in form.steps],
            }
            for form in value.forms
        ]
    }


def word(value: Word, in_reach_from: str | None) -> Json:
    """Everything known about one written word."""
    return {
        "word": value.word,
        "status": value.status.value,
        "zipf": value.zipf,
        "readings": [reading(r) for r in value.readings],
        "contraction": contraction(value.contraction),
        "homophones": list(value.homophones),
        "in_reach_from": in_reach_from,
    }


def entry(value: Entry, in_reach_from: str | None) -> Json:
    """One word found by its structure."""
    return {
        "word": value.word,
        "status": value.status.value,
        "zipf": value.zipf,
        "syllables": value.syllables,
        "pos": list(value.pos),
        "in_reach_from": in_reach_from,
    }


def point(value: Point, sequence: Sequence) -> Json:
    """One teaching point and the unit that teaches it."""
    theme = sequence.theme_of(value.id)
    return {
        "point": value.id,
        "name": value.name,
        "unit": theme.number if theme else None,
        "rule": value.rule,
        "exception": value.exception,
        "prerequisites": list(value.prerequisites),
        "standards": list(value.standards),
        "skills": list(value.skills),
        "examples": [e.word for e in value.examples],
    }


def diagnosis(value: Diagnosis) -> Json:
    """One marked spelling."""
    right, of = value.letter_sequences
    return {
        "target": value.target,
        "written": value.written,
        "right": value.right,
        "letter_sequences": {"right": right, "of": of},
        "elements": [
            {"target": e.target, "written": e.written, "score": e.score} for e in value.elements
        ],
        "primary": value.primary,
        "findings": [
            {
                "code": f.code,
                "target": f.target,
                "written": f.written,
                "says": f.says,
                "alternatives": [str(a) for a in f.alternatives],
            }
            for f in value.findings
        ],
        "credited": list(value.credited),
        "missed": list(value.missed),
        "not_yet_taught": list(value.not_yet_taught),
    }
