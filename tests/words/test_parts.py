"""Taking words apart: the traps, the school words, the shape of the answer, and outside references."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.errors import Malformed
from larkslate.words.irregular import irregular_forms
from larkslate.words.joins import join, spellings
from larkslate.words.listed_parts import listed_splits, whole_words
from larkslate.words.model import JoinChange, MorphemeKind
from larkslate.words.parts import Parts, PartsKind, take_apart
from tests.words.source import TRUTH, apart, common_words, known, pos, rows, zipf


def traps() -> list[tuple[str, str]]:
    found = rows("trap_words.tsv", ("kind", "words", "parts"))
    return [(word, row["parts"]) for row in found for word in row["words"].split()]


def test_the_trap_list_is_long_enough_to_measure_with() -> None:
    assert sum(parts == "-" for _, parts in traps()) >= 200
    assert len(whole_words()) >= 600


def test_no_trap_word_is_split() -> None:
    split = {
        w: apart(w).shown for w, parts in traps() if parts == "-" and len(apart(w).morphemes) > 1
    }
    assert split == {}


def test_look_alikes_are_split() -> None:
    wrong = {w: apart(w).shown for w, parts in traps() if parts != "-" and apart(w).shown != parts}
    assert wrong == {}


def test_false_splits_among_traps_without_the_list(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The rules alone must already hold back most traps; the list settles the rest."""
    monkeypatch.setattr("larkslate.words.parts.whole_words", dict)
    wanted = [w for w, parts in traps() if parts == "-"]
    split = [w for w in wanted if len(apart(w).morphemes) > 1]
    assert len(split) / len(wanted) < 0.25


# The words that the shipped sequence shows with their parts for endings, y to i, f to v and affixes.
SCHOOL = {
    "buses": "bus es", "classes": "class es", "lunches": "lunch es", "jumped": "jump ed",
    "missed": "miss ed", "wanted": "want ed", "running": "run ing", "bigger": "big er",
    "hottest": "hot est", "thinner": "thin er", "dropping": "drop ing", "making": "make ing",
    "riding": "ride ing", "nicer": "nice er", "largest": "large est", "closed": "close ed",
    "writing": "write ing", "cutest": "cute est", "tried": "try ed", "happier": "happy er",
    "carried": "carry ed", "luckily": "luck y ly", "studies": "study s", "copied": "copy ed",
    "happiness": "happy ness", "leaves": "leaf s", "shelves": "shelf s", "halves": "half s",
    "calves": "calf s", "loaves": "loaf s", "thieves": "thief s", "elves": "elf s",
    "wives": "wife s", "lives": "life s", "scarves": "scarf s", "unhappy": "un happy",
    "unlock": "un lock", "untie": "un tie", "unfair": "un fair", "redo": "re do",
    "reread": "re read", "replay": "re play", "return": "re turn", "dislike": "dis like",
    "disagree": "dis agree", "disappear": "dis appear", "dishonest": "dis honest",
    "misspell": "mis spell", "misplace": "mis place", "misread": "mis read",
    "incorrect": "in correct", "impossible": "im possible", "preheat": "pre heat",
    "preview": "pre view", "preschool": "pre school", "careful": "care ful",
    "helpful": "help ful", "useless": "use less", "darkness": "dark ness", "slowly": "slow ly",
    "safely": "safe ly", "payment": "pay ment", "movement": "move ment",
    "beginning": "begin ing", "forgetting": "forget ing", "admitted": "admit ed",
    "preferred": "prefer ed", "occurred": "occur ed", "controlled": "control ed",
    "equipped": "equip ed",
}  # fmt: skip


@pytest.mark.parametrize(("word", "parts"), SCHOOL.items())
def test_school_words(word: str, parts: str) -> None:
    assert apart(word).shown == parts.replace(" ", " + ")


def test_hopping_in_full() -> None:
    parts = apart("hopping")
    first, second = parts.morphemes
    assert (first.letters, first.span, first.kind, first.form) == (
        "hopp", (0, 4), MorphemeKind.BASE, "hop",
    )  # fmt: skip
    assert (second.letters, second.span, second.kind, second.form) == (
        "ing", (4, 7), MorphemeKind.ENDING, "ing",
    )  # fmt: skip
    (seam,) = parts.joins
    assert (seam.at, seam.change, seam.left, seam.right) == (4, JoinChange.DOUBLE, "hop", "ing")
    assert parts.kind is PartsKind.INFLECTED


def test_joins_stand_in_the_order_they_were_made() -> None:
    parts = apart("unhappiness")
    assert [(j.at, j.left, j.right) for j in parts.joins] == [
        (2, "un", "happy"),
        (7, "unhappy", "ness"),
    ]
    assert [m.letters for m in parts.morphemes] == ["un", "happi", "ness"]


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("teacher", MorphemeKind.SUFFIX),
        ("taller", MorphemeKind.ENDING),
        ("happier", MorphemeKind.ENDING),
        ("farmer", MorphemeKind.SUFFIX),
        ("tallest", MorphemeKind.ENDING),
        ("sunny", MorphemeKind.SUFFIX),
    ],
)
def test_comparing_and_doing_are_told_apart(word: str, kind: MorphemeKind) -> None:
    assert apart(word).morphemes[-1].kind is kind


@pytest.mark.parametrize(
    ("word", "base", "what"),
    [
        ("went", "go", "past"),
        ("children", "child", "plural"),
        ("mice", "mouse", "plural"),
        ("slept", "sleep", "past+participle"),
        ("better", "good", "comparative"),
        ("saw", "see", "past"),
    ],
)
def test_irregular_forms(word: str, base: str, what: str) -> None:
    parts = apart(word)
    assert parts.kind is PartsKind.IRREGULAR
    assert parts.morphemes[0].form == base
    assert parts.irregular is not None
    assert parts.irregular.what == what
    assert parts.joins[-1].change is JoinChange.IRREGULAR


def test_a_form_that_is_mostly_a_word_of_its_own_stays_one_and_names_the_other_reading() -> None:
    for word, base in {"rose": "rise", "ground": "grind", "wound": "wind"}.items():
        parts = apart(word)
        assert parts.kind is PartsKind.WHOLE
        assert [a.morphemes[0].form for a in parts.also] == [base]
    assert apart("sawdust").shown == "saw + dust"
    assert apart("playground").shown == "play + ground"


def test_irregular_last_parts() -> None:
    assert [m.letters for m in apart("snowmen").morphemes] == ["snow", "men"]
    assert [m.form for m in apart("snowmen").morphemes] == ["snow", "man"]
    assert [m.letters for m in apart("undid").morphemes] == ["un", "did"]


def test_other_right_readings_are_named() -> None:
    assert [a.shown for a in apart("leaves").also] == ["leave + s"]
    assert apart("dogs").also == ()


def test_the_part_of_speech_of_the_reading_decides() -> None:
    def read(word: str, *found: str) -> Parts:
        own = frozenset(found)
        return take_apart(word, known=known, zipf=zipf, pos=lambda w: own if w == word else pos(w))

    assert read("lives", "noun").shown == "life + s"
    assert read("lives", "verb").shown == "live + s"
    assert read("leaves", "verb").shown == "leave + s"
    assert read("saw", "verb", "past").kind is PartsKind.IRREGULAR
    assert read("saw", "noun").kind is PartsKind.WHOLE
    assert [a.morphemes[-1].kind for a in apart("cleaner").also] == [MorphemeKind.SUFFIX]


def test_possessives() -> None:
    assert apart("dog's").shown == "dog + 's"
    assert apart("babies'").shown == "baby + s + '"
    assert apart("children’s").morphemes[0].form == "child"
    assert apart("it's").kind is PartsKind.WHOLE  # a contraction, read elsewhere


def test_a_wrong_marker_does_not_decide() -> None:
    def with_marker(word: str, marker: str) -> Parts:
        return take_apart(word, known=known, zipf=zipf, pos=pos, marker=marker)

    assert with_marker("summer", "+sum+er").kind is PartsKind.WHOLE
    assert with_marker("table", "+t+able").kind is PartsKind.WHOLE
    assert with_marker("hoping", "+hop+ing").shown == "hope + ing"


def test_nothing_known_means_nothing_split() -> None:
    def nothing(_: str) -> frozenset[str]:
        return frozenset()

    parts = take_apart("blorping", known=lambda _: False, zipf=lambda _: 0.0, pos=nothing)
    assert parts.kind is PartsKind.WHOLE
    with pytest.raises(Malformed):
        take_apart("", known=known, zipf=zipf, pos=pos)


def test_every_listed_split_can_be_made() -> None:
    for word, split in listed_splits().items():
        parts = apart(word)
        assert len(parts.morphemes) >= 2, word
        assert parts.evidence == "listed", word
        assert parts.word == word
        assert split.left
        assert word not in irregular_forms() or irregular_forms()[word].same, word


def check_shape(parts: Parts) -> None:
    """The morphemes tile the word and every join without an irregular form can be made again."""
    assert "".join(m.letters for m in parts.morphemes) == parts.word
    at = 0
    for m in parts.morphemes:
        assert m.span == (at, at + len(m.letters))
        at = m.span[1]
    for seam in parts.joins:
        assert 0 < seam.at <= len(parts.word)
    last = parts.joins[-1] if parts.joins else None
    affixed = parts.kind in {PartsKind.INFLECTED, PartsKind.DERIVED}
    if last and affixed and parts.morphemes[-1].kind in {MorphemeKind.ENDING, MorphemeKind.SUFFIX}:
        if parts.morphemes[0].kind is MorphemeKind.PREFIX and last.left == parts.morphemes[0].form:
            assert parts.word == last.left + last.right
            return
        made = spellings(last.left, last.right)
        assert parts.word in {w for j in made for w in (j.word, *j.also)}


def test_the_shape_holds_for_the_commonest_words() -> None:
    for word in common_words(12_000):
        check_shape(apart(word))


@given(word=st.text(alphabet="abcdefghilmnoprstuy", min_size=1, max_size=12))
def test_the_shape_holds_for_any_letters(word: str) -> None:
    check_shape(apart(word))


def test_inflected_words_of_an_outside_list() -> None:
    """Agreement with the SIGMORPHON 2022 segmentation on inflected words.

    It is noisy (puppies = puppie + s, zombies = zomby + s) and knows UK spellings, which we leave whole.
    """
    path = TRUTH / "morpheme_segments.tsv"
    if not path.exists():
        pytest.skip("../shared/truth/morpheme_segments.tsv is not here")
    same = total = 0
    for line in path.read_text(encoding="utf-8").splitlines():
        word, segments, kinds = line.split("\t")
        if kinds != "100" or not word.isalpha() or not word.islower() or zipf(word) < 3.0:
            continue
        base, *endings = segments.replace("@@", "").split()
        parts = apart(word)
        total += 1
        if parts.kind is PartsKind.IRREGULAR:
            same += parts.morphemes[-1].form == base or parts.morphemes[0].form == base
        elif parts.joins:
            found = {"es": "s"}.get(parts.joins[-1].right, parts.joins[-1].right)
            same += parts.joins[-1].left == base and found == {"es": "s"}.get(
                endings[-1], endings[-1]
            )
    assert total > 250
    assert same / total >= 0.91


def test_words_made_by_the_joins_come_apart_again() -> None:
    for verb in ("walk", "hop", "hope", "cry", "play", "stop", "bake", "visit", "picnic", "agree"):
        for ending in ("ing", "ed"):
            word = join(verb, ending, stress_last=False).word
            assert apart(word).joins[-1].left == verb, word
