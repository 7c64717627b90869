"""The forms of a word: plural, past, ing form, comparing; irregular where the word is irregular."""

from __future__ import annotations

from larkslate.errors import Malformed
from larkslate.words.irregular import forms_of, has_no_regular
from larkslate.words.joins import join
from larkslate.words.listed_parts import listed_splits

FORMS: dict[str, tuple[str, str | None, tuple[str, ...]]] = {
    "plural": ("s", "plural", ("plural", "same-plural")),
    "third-person": ("s", "third-person", ()),
    "past": ("ed", None, ("past", "past+participle", "same-past")),
    "participle": ("ed", None, ("participle", "past+participle", "same-past", "same-participle")),
    "ing-form": ("ing", None, ()),
    "comparative": ("er", "comparative", ("comparative",)),
    "superlative": ("est", None, ("superlative",)),
}
"""For each form: the regular ending, its kind for ``join``, the irregular forms that take its place."""

IRREGULAR = {
    ("be", "third-person"): "is",
    ("have", "third-person"): "has",
    ("well", "comparative"): "better",
    ("well", "superlative"): "best",
    ("much", "comparative"): "more",
    ("much", "superlative"): "most",
    ("badly", "comparative"): "worse",
    ("badly", "superlative"): "worst",
}
"""Forms that share their spelling with the form of another word, which the table lists once."""


def inflect(base: str, form: str, *, stress_last: bool | None = None) -> tuple[str, ...]:
    """A form of a word, the first spelling first, then the others that US dictionaries accept.

    ``form`` is plural, third-person, past, participle, ing-form, comparative or superlative. Raises
    Malformed for another form, Ambiguous where the stress decides and is not known (see ``join``).
    """
    if form not in FORMS:
        raise Malformed(f"{form!r} is not a form: use one of {', '.join(FORMS)}.")
    if (base, form) in IRREGULAR:
        return (IRREGULAR[base, form],)
    ending, kind, irregular = FORMS[form]
    if form == "plural" and (split := listed_splits().get(base)) and split.kind == "compound":
        last = inflect(split.right, form)
        return tuple(base.removesuffix(split.right) + word for word in last)
    listed = tuple(f.form for f in forms_of(base, *irregular)) if irregular else ()
    if listed and has_no_regular(base, ending):
        return listed
    made = join(base, ending, stress_last=stress_last, kind=kind)
    regular = (made.word, *made.also)
    rare_regular = {f.form for f in forms_of(base, *irregular) if not f.regular_too}
    return (*listed, *regular) if rare_regular else (*regular, *listed)
