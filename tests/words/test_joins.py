"""Joining endings: the handbook's cases, the order of the rules, the tables, and the way back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from larkslate.datafile import parse_tsv
from larkslate.errors import Ambiguous, Malformed, NotAllowed
from larkslate.words import joins
from larkslate.words.affixes import endings, prefixes, suffixes
from larkslate.words.bases import bases_before
from larkslate.words.joins import (
    join,
    join_prefix,
    known_endings,
    listed_joins,
    negative_prefix,
    one_vowel_one_consonant,
    spellings,
    word_class,
)
from larkslate.words.model import JoinChange
from larkslate.words.wording import rules

# Common Core State Standards L.3.2e names sitting, smiled, cries, happiness (from memory); the other rows
# are the cases every spelling handbook lists under the same three rules: common practice.
HANDBOOK = [
    ("sit", "ing", "sitting", JoinChange.DOUBLE),
    ("smile", "ed", "smiled", JoinChange.DROP_E),
    ("cry", "s", "cries", JoinChange.Y_TO_I),
    ("happy", "ness", "happiness", JoinChange.Y_TO_I),
    ("hop", "ing", "hopping", JoinChange.DOUBLE),
    ("hope", "ing", "hoping", JoinChange.DROP_E),
    ("hot", "est", "hottest", JoinChange.DOUBLE),
    ("mud", "y", "muddy", JoinChange.DOUBLE),
    ("quit", "ing", "quitting", JoinChange.DOUBLE),
    ("quiz", "ed", "quizzed", JoinChange.DOUBLE),
    ("jump", "ed", "jumped", JoinChange.NONE),
    ("rain", "ing", "raining", JoinChange.NONE),
    ("box", "ed", "boxed", JoinChange.NONE),
    ("snow", "ing", "snowing", JoinChange.NONE),
    ("play", "ed", "played", JoinChange.NONE),
    ("make", "er", "maker", JoinChange.DROP_E),
    ("ice", "y", "icy", JoinChange.DROP_E),
    ("argue", "ing", "arguing", JoinChange.DROP_E),
    ("safe", "ly", "safely", JoinChange.NONE),
    ("hope", "ful", "hopeful", JoinChange.NONE),
    ("see", "ing", "seeing", JoinChange.NONE),
    ("canoe", "ing", "canoeing", JoinChange.NONE),
    ("agree", "ed", "agreed", JoinChange.DROP_E),
    ("notice", "able", "noticeable", JoinChange.NONE),
    ("change", "able", "changeable", JoinChange.NONE),
    ("courage", "ous", "courageous", JoinChange.NONE),
    ("die", "ing", "dying", JoinChange.IE_TO_Y),
    ("dye", "ing", "dyeing", JoinChange.NONE),
    ("tie", "ed", "tied", JoinChange.DROP_E),
    ("baby", "s", "babies", JoinChange.Y_TO_I),
    ("study", "ing", "studying", JoinChange.NONE),
    ("baby", "ish", "babyish", JoinChange.NONE),
    ("funny", "est", "funniest", JoinChange.Y_TO_I),
    ("monkey", "s", "monkeys", JoinChange.NONE),
    ("enjoy", "able", "enjoyable", JoinChange.NONE),
    ("beauty", "ful", "beautiful", JoinChange.Y_TO_I),
    ("rely", "able", "reliable", JoinChange.Y_TO_I),
    ("picnic", "ing", "picnicking", JoinChange.ADD_K),
    ("panic", "y", "panicky", JoinChange.ADD_K),
    ("gentle", "ly", "gently", JoinChange.DROP_LE),
    ("possible", "ly", "possibly", JoinChange.DROP_LE),
    ("full", "ly", "fully", JoinChange.DROP_LETTER),
    ("true", "ly", "truly", JoinChange.DROP_LETTER),
    ("argue", "ment", "argument", JoinChange.DROP_LETTER),
    ("basic", "ly", "basically", JoinChange.NONE),
    ("public", "ly", "publicly", JoinChange.NONE),
    ("leaf", "s", "leaves", JoinChange.F_TO_V),
    ("knife", "s", "knives", JoinChange.F_TO_V),
    ("chief", "s", "chiefs", JoinChange.NONE),
    ("cliff", "s", "cliffs", JoinChange.NONE),
    ("bus", "s", "buses", JoinChange.NONE),
    ("buzz", "es", "buzzes", JoinChange.NONE),
    ("stomach", "s", "stomachs", JoinChange.NONE),
    ("hero", "s", "heroes", JoinChange.NONE),
    ("piano", "s", "pianos", JoinChange.NONE),
    ("go", "s", "goes", JoinChange.NONE),
    ("cage", "s", "cages", JoinChange.NONE),
    ("pay", "ed", "paid", JoinChange.IRREGULAR),
    ("day", "ly", "daily", JoinChange.Y_TO_I),
    ("dry", "ness", "dryness", JoinChange.NONE),
    ("mouse", "'s", "mouse's", JoinChange.NONE),
    ("baby", "'s", "baby's", JoinChange.NONE),
    ("act", "ion", "action", JoinChange.NONE),
    ("educate", "ion", "education", JoinChange.DROP_E),
    ("decide", "ion", "decision", JoinChange.IRREGULAR),
    ("act", "or", "actor", JoinChange.NONE),
    ("wood", "en", "wooden", JoinChange.NONE),
    ("marry", "age", "marriage", JoinChange.Y_TO_I),
    ("rid", "ance", "riddance", JoinChange.DOUBLE),
    ("fame", "ous", "famous", JoinChange.DROP_E),
    ("red", "ish", "reddish", JoinChange.DOUBLE),
    ("back", "ward", "backward", JoinChange.NONE),
    ("tire", "some", "tiresome", JoinChange.NONE),
    ("sense", "ible", "sensible", JoinChange.DROP_E),
    ("music", "al", "musical", JoinChange.NONE),
    ("use", "less", "useless", JoinChange.NONE),
    ("pay", "ment", "payment", JoinChange.NONE),
]


@pytest.mark.parametrize(("base", "ending", "word", "change"), HANDBOOK)
def test_handbook_cases(base: str, ending: str, word: str, change: JoinChange) -> None:
    made = join(base, ending)
    assert made.word == word
    assert made.change is change


@pytest.mark.parametrize(
    ("base", "ending", "stressed", "word"),
    [
        ("begin", "ing", True, "beginning"),
        ("admit", "ed", True, "admitted"),
        ("prefer", "ed", True, "preferred"),
        ("equip", "ed", True, "equipped"),
        ("open", "ing", False, "opening"),
        ("visit", "ed", False, "visited"),
        ("travel", "ed", False, "traveled"),
        ("cancel", "ing", False, "canceling"),
        ("control", "ed", True, "controlled"),
        ("prefer", "ence", True, "preference"),
        ("refer", "ence", True, "reference"),
        ("kidnap", "ed", False, "kidnapped"),
        ("program", "er", False, "programmer"),
        ("outfit", "ed", False, "outfitted"),
        ("explain", "ed", True, "explained"),
        ("develop", "ing", False, "developing"),
    ],
)
def test_stress_decides_in_longer_bases(base: str, ending: str, stressed: bool, word: str) -> None:
    assert join(base, ending, stress_last=stressed).word == word


def test_unknown_stress_is_ambiguous_and_both_spellings_are_listed() -> None:
    with pytest.raises(Ambiguous, match=r"solicited or solicitted.*stress_last"):
        join("solicit", "ed")
    assert {j.word for j in spellings("solicit", "ed")} == {"solicited", "solicitted"}
    assert join("visit", "ing").word == "visiting"  # from the short tables
    assert join("forget", "ing").word == "forgetting"  # from the short table


def test_no_base_is_in_two_lists_of_stress() -> None:
    assert not word_class("last-stressed") & word_class("not-last-stressed")
    assert not word_class("doubles-anyway") & word_class("not-last-stressed")


def test_uk_doubling_is_not_accepted() -> None:
    assert "travel" not in bases_before("travelled", "ed")
    assert "travel" in bases_before("traveled", "ed")
    made = join("travel", "ed", stress_last=False)
    assert "travelled" not in (made.word, *made.also)


@pytest.mark.parametrize(
    ("base", "ending", "kind", "words"),
    [
        ("Kelly", "s", "name", ("Kellys",)),
        ("Jones", "s", "name", ("Joneses",)),
        ("leaf", "s", "third-person", ("leafs",)),
        ("scarf", "s", "plural", ("scarves", "scarfs")),
        ("mango", "s", "plural", ("mangoes", "mangos")),
        ("zero", "s", None, ("zeros", "zeroes")),
        ("worship", "ed", None, ("worshiped", "worshipped")),
        ("judge", "ment", None, ("judgment", "judgement")),
        ("like", "able", None, ("likable", "likeable")),
        ("dry", "er", None, ("drier", "dryer")),
    ],
)
def test_kinds_and_accepted_spellings(
    base: str, ending: str, kind: str | None, words: tuple[str, ...]
) -> None:
    made = join(base, ending, kind=kind, stress_last=False)
    assert (made.word, *made.also) == words


@pytest.mark.parametrize(
    ("call", "error", "says"),
    [
        (("cat", "es"), NotAllowed, "cats"),
        (("cat", "zzz"), Malformed, "zzz"),
        (("c4t", "s"), Malformed, "letters only"),
        (("", "s"), Malformed, "letters only"),
        (("hopefull", "ful"), NotAllowed, "already"),
    ],
)
def test_what_cannot_be_joined(call: tuple[str, str], error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        join(*call)


def test_steps_walk_from_the_parts_to_the_word() -> None:
    made = join("hop", "ing")
    assert [s.kind for s in made.steps] == ["join-parts", "join-look", "join-write"]
    assert made.steps[2].teacher.startswith(
        "One vowel letter, one final consonant, stressed: double the consonant before an ending"
    )
    assert made.steps[2].child == "Double the p, then write ing: hopping."
    assert made.steps[2].spans == ((3, 4), (4, 7))
    assert made.steps[1].spans == ((1, 3),)


def test_prefixes_change_nothing() -> None:
    for prefix, base, word in [
        ("un", "necessary", "unnecessary"),
        ("mis", "spell", "misspell"),
        ("dis", "appear", "disappear"),
        ("im", "possible", "impossible"),
        ("ir", "regular", "irregular"),
    ]:
        made = join_prefix(prefix, base)
        assert (made.word, made.change, made.at) == (word, JoinChange.NONE, len(prefix))
    with pytest.raises(NotAllowed, match="im"):
        join_prefix("il", "possible")
    with pytest.raises(Malformed):
        join_prefix("zzz", "possible")
    assert [negative_prefix(w) for w in ("mature", "legal", "regular", "correct")] == [
        "im", "il", "ir", "in",
    ]  # fmt: skip


def test_every_exception_row_is_what_join_gives() -> None:
    assert len(listed_joins()) > 150
    for base, ending, words in listed_joins():
        made = join(base, ending)
        assert (made.word, *made.also) == words
        assert made.rule == "exception"


def test_no_exception_row_repeats_the_rule_without_a_reason_to() -> None:
    """A row whose word the rules would give anyway must settle the stress or list a second spelling."""
    for base, ending, words in listed_joins():
        try:
            decided = joins._by_rule(base, ending, None, None)
        except Ambiguous:
            continue
        if decided.stem + decided.ending == words[0]:
            assert len(words) > 1, (base, ending)


def test_every_rule_that_can_fire_has_its_wording_and_no_wording_is_idle() -> None:
    fired = set()
    for base in (
        "hop", "begin", "open", "kidnap", "rain", "jump", "box", "make", "tie", "see", "change",
        "cry", "play", "leaf", "stomach", "hero", "cat", "bus", "gentle", "full", "basic", "picnic",
        "go", "say", "hope", "africa", "Kelly",
    ):  # fmt: skip
        for ending in ("s", "ed", "ing", "ly", "er", "y", "able", "ful", "an", "ion", "ish"):
            for kind in (None, "name"):
                for stressed in (True, False):
                    if (base, ending) != ("full", "ful"):
                        fired.add(join(base, ending, kind=kind, stress_last=stressed).rule)
    fired |= {join_prefix("un", "happy").rule, join_prefix("im", "polite").rule}
    fired.add("exception")
    assert fired == set(rules())


def test_wording_never_says_protect_or_job() -> None:
    for wording in rules().values():
        text = " ".join(wording.values()).lower()
        assert "protect" not in text
        assert " job" not in text


def test_a_bad_row_is_named() -> None:
    columns = ("a", "b")
    with pytest.raises(Malformed, match=r"x\.tsv, line 2"):
        list(parse_tsv("a\tb\n1\t2\t3\n", "x.tsv", columns))


def test_affix_tables_have_no_doubles() -> None:
    pairs = [(a.letters, a.name) for a in (*endings(), *suffixes())]
    assert len(pairs) == len(set(pairs))
    letters = [p.letters for p in prefixes()]
    assert len(letters) == len(set(letters))
    wanted = "s es ed ing er est y ly ful less ness ment able ible ous al ion ish or age ance en ward some"
    assert set(wanted.split()) <= known_endings()
    assert {a.shown for a in endings()} >= {"-ing", "'s"}


LETTERS = st.text(alphabet="abcdefghijklmnopqrstuvwxyz", min_size=2, max_size=9).filter(
    lambda w: any(v in w for v in "aeiou")
)
ENDINGS = st.sampled_from(sorted(known_endings()))


@given(base=LETTERS, ending=ENDINGS, stressed=st.booleans())
def test_a_join_is_always_base_then_ending(base: str, ending: str, stressed: bool) -> None:
    try:
        made = join(base, ending, stress_last=stressed)
    except NotAllowed:
        return
    assert 0 < made.at <= len(made.word)
    assert made.word[: made.at] + made.written == made.word
    assert made.word[0] == base[0]
    assert all(step.teacher and step.child for step in made.steps)
    assert "{" not in "".join(s.teacher + s.child for s in made.steps)
    if made.change is JoinChange.NONE:
        assert made.word[: made.at] == base
    if made.change is JoinChange.DOUBLE and made.rule != "exception":
        assert one_vowel_one_consonant(base)
        assert made.word[: made.at] == base + base[-1]
    for step in made.steps:
        limit = len(base) if step.kind in {"join-parts", "join-look"} else len(made.word)
        assert all(0 <= a < b <= limit for a, b in step.spans)


@given(base=LETTERS, ending=ENDINGS, stressed=st.booleans())
def test_going_back_finds_the_base(base: str, ending: str, stressed: bool) -> None:
    try:
        made = join(base, ending, stress_last=stressed)
    except NotAllowed:
        return
    if ending in {"'s", "'", "es"}:
        return  # possessives are read apart; es is reached through s
    assert base in bases_before(made.word, ending)
