from __future__ import annotations

from functools import partial

import pytest

from larkslate.assess.diagnose import spelled
from larkslate.assess.likely import MOST, SAME_CODE, likely_forms
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon
from larkslate.words.suitable import unsuitable


@pytest.mark.parametrize(
    ("word", "form"),
    [
        ("match", ("mach", "O.FIN")),
        ("hopping", ("hoping", "M.JCT.DBL")),
        ("making", ("makeing", "M.JCT.E")),
        ("rain", ("rane", "O.ALT")),
        ("doesn't", ("doesnt", "A.CON.OM")),
        ("doesn't", ("does'nt", "A.CON.POS")),
        ("children's", ("childrens'", "A.POSS.POS")),
        ("knew", ("new", "S.HOM")),
        ("sunset", ("sun set", "M.CMPD")),
        ("girl", ("gril", "P.SEQ")),
        ("feet", ("foots", "M.IRR")),
        ("their", ("they're", "S.HOMC")),
    ],
)
def test_the_forms_a_teacher_expects(word: str, form: tuple[str, str], lexicon: Lexicon) -> None:
    assert form in likely_forms(word, lexicon)


WORDS = (
    "ship", "sheet", "beach", "duck", "bridge", "third", "rabbit", "played", "hopeful", "city",
    "wanted", "phone", "because", "table", "zzyx", "a", "ice cream", "Tuesday", "unhappiness",
)  # fmt: skip


@pytest.mark.parametrize("word", WORDS)
def test_every_form_is_wrong_fit_for_children_and_gets_its_code(
    word: str, lexicon: Lexicon, reach: Reach
) -> None:
    look = partial(spelled, lexicon=lexicon, reach=reach)
    forms = likely_forms(word, lexicon)
    assert len(forms) <= MOST
    assert len({f for f, _ in forms}) == len(forms)
    for written, code in forms:
        found = look(word, written)
        assert not found.right
        assert found.primary == code
        assert unsuitable(written) is None
    codes = [c for _, c in forms]
    assert all(codes.count(c) <= SAME_CODE for c in codes)
