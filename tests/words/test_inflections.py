"""Forms of words, held against an independent inflector (lemminflect, MIT)."""

from __future__ import annotations

from collections import Counter

import pytest
from lemminflect import getAllLemmas, getInflection

from larkslate.errors import Malformed
from larkslate.words.inflections import FORMS, inflect
from larkslate.words.irregular import has_no_regular, irregular_forms, is_past_participle
from tests.words.source import common_words, stress_last


@pytest.mark.parametrize(
    ("base", "form", "words"),
    [
        ("go", "past", ("went",)),
        ("go", "participle", ("gone",)),
        ("have", "third-person", ("has",)),
        ("child", "plural", ("children",)),
        ("sheep", "plural", ("sheep",)),
        ("snowman", "plural", ("snowmen",)),
        ("bookshelf", "plural", ("bookshelves",)),
        ("person", "plural", ("persons", "people")),
        ("dream", "past", ("dreamed", "dreamt")),
        ("cut", "past", ("cut",)),
        ("good", "comparative", ("better",)),
        ("much", "superlative", ("most",)),
        ("baby", "plural", ("babies",)),
        ("hop", "ing-form", ("hopping",)),
    ],
)
def test_forms(base: str, form: str, words: tuple[str, ...]) -> None:
    assert inflect(base, form) == words


def test_an_unknown_form_is_named() -> None:
    with pytest.raises(Malformed, match="dual"):
        inflect("dog", "dual")


def test_irregular_table() -> None:
    assert irregular_forms()["went"].takes_place_of == "ed"
    assert irregular_forms()["cut"].same
    assert has_no_regular("go", "ed")
    assert not has_no_regular("dream", "ed")
    assert has_no_regular("child", "s")
    assert is_past_participle("gone")
    assert is_past_participle("cut")
    assert not is_past_participle("went")


TAGS = {
    "VERB": (("VBG", "ing-form"), ("VBD", "past"), ("VBN", "participle"), ("VBZ", "third-person")),
    "NOUN": (("NNS", "plural"),),
    "ADJ": (("JJR", "comparative"), ("JJS", "superlative")),
}
MODALS = frozenset({"can", "will", "may", "must", "shall", "ought", "could", "would", "should"})


def ending_compares(form: str) -> bool:
    return form in {"comparative", "superlative"}


def test_agreement_with_an_independent_inflector() -> None:
    """Every verb, noun and adjective among the 12,000 commonest words, up to 5,000 of each."""
    asked: Counter[str] = Counter()
    agreed: Counter[str] = Counter()
    for part, forms in TAGS.items():
        lemmas = [w for w in common_words(12_000) if w in getAllLemmas(w, upos=part).get(part, ())]
        for word in lemmas[:5000]:
            for tag, form in forms:
                answers = getInflection(word, tag, inflect_oov=False)
                # A word that stays as it is has no plural there (music); modals take no endings.
                if not answers or word in answers or word in MODALS or " " in answers[0]:
                    continue
                asked[form] += 1
                found = inflect(word, form, stress_last=stress_last(word))
                agreed[form] += bool(set(found) & set(answers))
    for form in FORMS:
        # Comparing forms are few, and the reference spells freeer, trueer and blueer.
        assert agreed[form] / asked[form] >= (0.95 if ending_compares(form) else 0.985), form
    assert sum(asked.values()) > 10_000
