from __future__ import annotations

import json
import random
from functools import partial
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from larkslate.assess.codes import codes
from larkslate.assess.diagnose import spelled
from larkslate.assess.model import Diagnosis, ResponseStatus
from larkslate.assess.score import APOSTROPHES
from larkslate.datafile import Row, parse_tsv
from larkslate.errors import Malformed, Missing
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon

HERE = Path(__file__).parent
SHARED = Path(__file__).resolve().parents[3] / "shared"
COLUMNS = ("target", "written", "sentence", "primary", "note")
LABELED = HERE / "data" / "spellings.tsv"


def labeled() -> list[Row]:
    return list(parse_tsv(LABELED.read_text(encoding="utf-8"), LABELED.name, COLUMNS))


@pytest.fixture(scope="session")
def look(lexicon: Lexicon, reach: Reach) -> partial[Diagnosis]:
    return partial(spelled, lexicon=lexicon, reach=reach)


def test_the_labeled_spellings_cover_every_family() -> None:
    rows = labeled()
    assert len(rows) >= 120
    seen = {r["primary"] for r in rows}
    assert seen <= set(codes())
    assert {c.partition(".")[0] for c in seen} == {"P", "O", "M", "A", "S", "K", "X"}
    # Codes that need no spelling (a status), more than one item, or are never first.
    without = {"X.NONE", "K.LEG", "K.SLIP", "DIALECT", "P.OM"} - seen
    assert set(codes()) - seen == without


@pytest.mark.parametrize("row", labeled(), ids=lambda r: f"{r['target']}-{r['written']}")
def test_labeled_spelling(row: Row, look: partial[Diagnosis]) -> None:
    found = look(row["target"], row["written"], sentence=row["sentence"] or None)
    assert found.primary == row["primary"], [str(f) for f in found.findings]


@pytest.fixture(scope="session")
def worked_cases() -> list[dict[str, object]]:
    path = SHARED / "domain" / "CASES.json"
    if not path.exists():
        pytest.skip("the worked cases are not beside this checkout (../shared/domain/CASES.json)")
    found: list[dict[str, object]] = json.loads(path.read_text(encoding="utf-8"))["cases"]
    return found


def test_worked_cases(worked_cases: list[dict[str, object]], look: partial[Diagnosis]) -> None:
    right = hits = extra = lacking = 0
    for case in worked_cases:
        context = case["context"]
        found = look(str(case["target"]), str(case["written"]), sentence=context)
        assert found.letter_sequences == (case["cls"], case["cls_max"]), case["id"]
        assert found.right == case["word_correct"], case["id"]
        right += found.primary == case["primary"]
        got = {("+", p) for p in found.credited} | {("-", p) for p in found.missed}
        want = {("+", p) for p in _texts(case["credited"])}
        want |= {("-", p) for p in _texts(case["missed"])}
        hits += len(got & want)
        extra += len(got - want)
        lacking += len(want - got)
    assert right >= 40
    assert 2 * hits / (2 * hits + extra + lacking) >= 0.95


def _texts(value: object) -> list[str]:
    assert isinstance(value, list)
    return [str(v) for v in value]


@pytest.mark.parametrize("mark", APOSTROPHES)
def test_every_apostrophe_is_right(mark: str, look: partial[Diagnosis]) -> None:
    found = look("don't", f"don{mark}t")
    assert found.right
    assert found.primary is None


@pytest.mark.parametrize("written", ["Match", "MATCH", "maTch"])
def test_capitals_are_never_a_spelling_miss(written: str, look: partial[Diagnosis]) -> None:
    found = look("match", written)
    assert found.right
    assert found.primary == "K.XCAP"
    assert found.missed == ()
    assert found.credited == look("match", "match").credited


def test_a_capital_at_the_start_of_its_sentence_is_right(look: partial[Diagnosis]) -> None:
    assert look("then", "Then", sentence="Then we ate.").primary is None


def test_a_missing_capital_counts_only_against_the_capital(look: partial[Diagnosis]) -> None:
    found = look("Tuesday", "tuesday")
    assert found.right
    assert [f.code for f in found.findings] == ["K.CAP"]
    assert set(found.missed) <= {"K2.capital", "G3.14e"}


def test_untaught_is_never_missed(look: partial[Diagnosis]) -> None:
    late = look("knee", "nee", through="G3.01b")
    assert (late.missed, late.not_yet_taught) == ((), ("G3.14a",))
    assert look("knee", "nee").missed == ("G3.14a",)


def test_credit_for_what_is_right(look: partial[Diagnosis]) -> None:
    found = look("jumped", "jumpt")
    assert found.missed == ("G3.04b",)
    assert {"K2.short", "K2.blend"} <= set(found.credited)


def test_an_accent_counts_against_nothing(look: partial[Diagnosis]) -> None:
    found = look("ten", "tin", sentence="I have ten toes.")
    assert "DIALECT" in found.codes
    assert found.missed == ()


def test_statuses_are_no_errors(look: partial[Diagnosis]) -> None:
    blank = look("match", "")
    assert (blank.primary, blank.status, blank.right) == ("X.NONE", ResponseStatus.BLANK, False)
    assert blank.credited == blank.missed == ()
    unread = look("match", "m?", status=ResponseStatus.ILLEGIBLE)
    assert (unread.primary, unread.missed) == ("K.LEG", ())
    absent = look("match", "", status=ResponseStatus.ABSENT)
    assert (absent.primary, absent.findings, absent.missed) == (None, (), ())


def test_a_slip_keeps_its_reading_as_an_alternative(look: partial[Diagnosis]) -> None:
    found = look("match", "mach", right_elsewhere=True)
    assert found.primary == "K.SLIP"
    assert found.missed == ()
    assert found.findings[0].alternatives[0].code == "O.FIN"


def test_every_legal_spelling_of_a_made_up_word_is_right(look: partial[Diagnosis]) -> None:
    legal = ("blick", "blik")
    assert look("blick", "blik", made_up=legal).right
    assert not look("blick", "bick", made_up=legal).right


def test_an_accent_setting_makes_it_a_choice_of_words(look: partial[Diagnosis]) -> None:
    sentence = "I stuck a pin in the map."
    assert look("pin", "pen", sentence=sentence).primary == "P.SUB.V"
    found = look("pin", "pen", sentence=sentence, accents=["pin-pen"])
    assert found.primary == "S.HOM"
    assert found.missed == ()
    with pytest.raises(Missing, match="pin-pen"):
        look("pin", "pen", accents=["nowhere"])


def test_a_teacher_may_overrule(look: partial[Diagnosis]) -> None:
    assert look("match", "mach", overrule="K.REV").missed == ()
    found = look("bed", "bad", overrule="DIALECT")
    assert (found.primary, found.missed) == ("DIALECT", ())
    accepted = look("traveling", "travelling", overrule="right")
    assert accepted.right
    assert accepted.missed == ()
    with pytest.raises(Missing, match="is not a code"):
        look("match", "mach", overrule="Z.Z")


def test_a_name_that_ends_in_s_has_two_right_forms(look: partial[Diagnosis]) -> None:
    assert look("James's", "James'", sentence="James's hat is red.").right
    assert not look("class's", "class'").right


def test_two_errors_are_two_findings(look: partial[Diagnosis]) -> None:
    found = look("thumb", "fum")
    assert [f.code for f in found.findings] == ["P.SUB.PLM", "O.SIL"]


def test_a_target_without_letters_is_refused(look: partial[Diagnosis]) -> None:
    with pytest.raises(Malformed, match="no letter"):
        look("...", "cat")


TARGETS = (
    "match", "hopeful", "babies", "beginning", "doesn't", "children's", "sunset", "animal", "knife",
    "shape", "Tuesday", "ice cream", "misspell", "because", "o'clock", "unhappiness", "zzyx",
)  # fmt: skip


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(target=st.sampled_from(TARGETS), written=st.text("abcdehiknopstuy'- A", max_size=10))
def test_any_letters_have_a_named_cause(
    target: str, written: str, look: partial[Diagnosis]
) -> None:
    found = look(target, written)
    right, of = found.letter_sequences
    assert 0 <= right <= of
    assert found.right or found.primary in codes()
    assert not set(found.credited) & set(found.missed)
    assert all(0 <= e.score <= 3 for e in found.elements)
    for finding in found.findings:
        assert "{" not in finding.says
        assert finding.says.endswith(".")


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(target=st.sampled_from(TARGETS))
def test_the_word_itself_is_right(target: str, look: partial[Diagnosis]) -> None:
    found = look(target, target)
    assert found.right
    assert not found.findings
    assert not found.missed
    assert {e.score for e in found.elements} == {3}


def pairs(path: Path) -> list[tuple[str, str]]:
    found, target = [], ""
    for line in path.read_text(encoding="utf-8", errors="replace").splitlines():
        if line.startswith("$"):
            target = line[1:]
        elif line and target and any(c.isalpha() for c in target):
            found.append((target.replace("_", " "), line.split()[0].replace("_", " ")))
    return found


def test_real_misspellings_have_a_named_cause(look: partial[Diagnosis]) -> None:
    path = SHARED / "truth" / "misspellings_birkbeck.dat"
    if not path.exists():
        pytest.skip("the error corpus is not beside this checkout (../shared/truth)")
    for target, written in random.Random(1).sample(pairs(path), 2000):
        found = look(target, written)
        assert found.right or found.primary in codes(), (target, written)


def test_nothing_said_is_a_label_for_a_child() -> None:
    for name in ("codes.tsv", "says.tsv", "alternatives.tsv"):
        content = (HERE.parents[1] / "src/larkslate/assess/data" / name).read_text(encoding="utf-8")
        for word in (
            "dyslexi",
            "dysgraphi",
            "disorder",
            "risk",
            "lazy",
            "careless",
            "weak student",
        ):
            assert word not in content.lower()
