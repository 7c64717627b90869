from __future__ import annotations

import math
from dataclasses import replace

from larkslate.materials.look import Look
from larkslate.materials.paper import paper
from larkslate.materials.runs import plain
from larkslate.materials.script import duration, lesson_scripts
from larkslate.plan.model import Block, BlockKind, Dictation, LessonKind, Role, TextItem, WordItem
from tests.materials.sample import FORM_A, FORM_B, LESSON_5, LESSON_9, lesson


def one_block(*items: WordItem | TextItem) -> list[tuple[str, str, int]]:
    own = lesson(1, "L", LessonKind.NEW, (), (Block(BlockKind.ALONE, 5, "Alone", items=items),))
    (script,) = lesson_scripts("U", own, Look())
    return [(line.number, plain(line.say), line.wait) for line in script.scenes[0].lines]


def test_word_sentence_word_and_the_wait() -> None:
    item = WordItem("shouldn't", Role.ALONE, (), "", sentence="You shouldn't run.")
    # 8 letters at 45 a minute are 10.7 s, rounded up, and 3 s to settle
    assert one_block(item) == [("1", "shouldn’t — You shouldn’t run. — shouldn’t", 14)]
    assert one_block(WordItem("cat", Role.ALONE, (), "")) == [("1", "cat — cat", 7)]


def test_a_sentence_is_read_whole_and_then_by_phrase() -> None:
    text = TextItem("The cat sat on the mat.", (), ("The cat", "sat on the mat."))
    assert one_block(text) == [
        ("1", "The cat\u2003|\u2003sat on the mat.", 0),
        ("", "The cat", 11),
        ("", "sat on the mat.", 18),
    ]
    assert one_block(TextItem("a big cat", ())) == [("1", "a big cat", 13)]


def test_the_wait_follows_the_writing_speed() -> None:
    for speed in (20, 45, 60):
        assert Look(speed=speed).pause(30) == math.ceil(30 * 60 / speed) + 3
    assert 45 <= Look().pause(35) <= 60  # the range the trade's rule of thumb gives for 35 letters


def test_a_dictation_has_a_script_for_each_form() -> None:
    scripts = lesson_scripts("U", LESSON_5, Look())
    assert [script.form for script in scripts] == ["", "A", "B"]  # the warm-up first
    assert [len(s.scenes[0].lines) for s in scripts[1:]] == [10, 10]
    (only,) = lesson_scripts("U", LESSON_5, Look(), form="B")
    assert only.form == "B"


def test_the_passage_says_every_gap_and_waits_only_where_something_is_written() -> None:
    for script, form in zip(lesson_scripts("U", LESSON_9, Look()), (FORM_A, FORM_B), strict=True):
        assert form.passage is not None
        scene = script.scenes[0]
        assert plain(scene.whole) == form.passage.text.replace("'", "’")
        assert " ".join(plain(line.say) for line in scene.lines) == plain(scene.whole)
        numbers = [n for line in scene.lines if line.number for n in line.number.split(", ")]
        assert numbers == [str(n) for n in range(1, len(form.passage.gaps) + 1)]
        for line in scene.lines:
            assert (line.wait > 0) == any(style == "mark" for _, style in line.say)
        total = sum(line.wait for part in script.scenes for line in part.lines)
        assert duration(total) in script.waits


def test_durations() -> None:
    assert [duration(s) for s in (0, 59, 60, 125)] == ["0 s", "59 s", "1 min", "2 min 5 s"]


def test_words_without_sentences_are_announced_without_them() -> None:
    form = lesson_scripts("U", LESSON_5, Look(), form="A")[0]
    assert "the sentence" in plain(form.scenes[0].do)
    dictation = LESSON_5.blocks[1].items[0]
    assert isinstance(dictation, Dictation)
    bare = replace(dictation, words=tuple(replace(w, sentence=None) for w in dictation.words))
    block = replace(LESSON_5.blocks[1], items=(bare,))
    own = replace(LESSON_5, blocks=(block,))
    assert "sentence" not in plain(lesson_scripts("U", own, Look())[0].scenes[0].do)
    assert "sentence" not in plain(paper("U", own, bare, Look()).parts[0].do)
