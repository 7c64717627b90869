"""The dictation script: word, sentence, word; phrases; how long to wait after each.

The same function gives the script of a lesson's practice and of a dictation in each of its forms.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import zip_longest

from larkslate.materials.look import Look
from larkslate.materials.paper import dictations, sentences_settle, spots
from larkslate.materials.passage import Piece, letters_written, phrases, pieces
from larkslate.materials.runs import Run, Runs, Style, prose, typographic
from larkslate.materials.wording import wording
from larkslate.plan.model import (
    Block,
    BlockKind,
    ChoosePair,
    Dictation,
    Lesson,
    Passage,
    PlaceName,
    SoundItem,
    TextItem,
    WordItem,
)
from larkslate.words.model import Span

BREAK = "\u2003|\u2003"  # between phrases, wide enough to be seen while reading
DASH = " \u2014 "


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to say: ``number`` as on the paper, ``wait`` in seconds (0: go on at once)."""

    number: str
    say: Runs
    wait: int
    remark: Runs = ()
    aside: bool = False  # a phrase of the line before it


@dataclass(frozen=True, slots=True)
class Scene:
    """A run of lines under one heading, with what to do first."""

    title: str
    do: Runs
    lines: tuple[Line, ...]
    whole: Runs = ()  # a passage read whole before


@dataclass(frozen=True, slots=True)
class Script:
    """All there is to say in a lesson, or in one form of a dictation."""

    id: str
    title: str
    unit: str
    form: str
    scenes: tuple[Scene, ...]
    waits: str  # "6 min 20 s"


def count_letters(text: str) -> int:
    """The letters a child writes."""
    return sum(c.isalpha() for c in text)


def word_line(number: int, item: WordItem, look: Look) -> Line:
    """Word, sentence, word; the word once more where no sentence is given."""
    word: Run = (typographic(item.word), Style.MARK)
    if item.sentence:
        say: Runs = (word, (DASH, Style.PLAIN), *prose(item.sentence), (DASH, Style.PLAIN), word)
    else:
        say = (word, (DASH, Style.PLAIN), word)
    return Line(str(number), say, look.pause(count_letters(item.word)))


def text_lines(number: int, item: TextItem, look: Look) -> list[Line]:
    """A sentence whole with its phrase marks, then a line for each phrase; a short text has one line."""
    chunks = item.chunks or (item.text,)
    if len(chunks) == 1:
        return [Line(str(number), prose(item.text), look.pause(count_letters(item.text)))]
    whole = Line(str(number), prose(BREAK.join(chunks)), 0)
    return [whole] + [
        Line("", prose(chunk), look.pause(count_letters(chunk)), aside=True) for chunk in chunks
    ]


def sound_line(number: int, item: SoundItem, look: Look) -> Line:
    """A sound of the warm-up, and its spellings with an example each for the teacher."""
    return Line(
        str(number),
        sound(item),
        look.pause(sum(count_letters(spelling) for spelling in item.spellings)),
        prose(spelled(item)),
    )


def sound(item: SoundItem) -> Runs:
    """A sound between slashes."""
    return ((f"/{item.sound.strip('/')}/", Style.SOUND),)


def spelled(item: SoundItem) -> str:
    """The spellings in the order taught, each with its example where there is one: "k (kite), ck (duck)"."""
    return ", ".join(
        f"{spelling} ({example})" if example else spelling
        for spelling, example in zip_longest(item.spellings, item.examples[: len(item.spellings)])
    )


def practice_scene(block: Block, look: Look) -> Scene | None:
    """The words, phrases and sentences of a block of practice."""
    lines: list[Line] = []
    number = 0
    for item in block.items:
        number += isinstance(item, WordItem | TextItem | SoundItem)
        if isinstance(item, WordItem):
            lines.append(word_line(number, item, look))
        elif isinstance(item, TextItem):
            lines += text_lines(number, item, look)
        elif isinstance(item, SoundItem):
            lines.append(sound_line(number, item, look))
    if not lines:
        return None
    return Scene(typographic(block.title), (), tuple(lines))


def passage_scene(passage: Passage, look: Look) -> Scene:
    """The passage whole, then by phrase with waits where something is written."""
    cut = pieces(passage)
    text = typographic(passage.text)
    lines = tuple(
        Line(
            _numbers(span, cut),
            _phrase(text, span, cut),
            look.pause(written) if (written := letters_written(span, cut)) else 0,
        )
        for span in phrases(passage)
    )
    return Scene(
        typographic(passage.title),
        prose(wording("script.passage-phrases")),
        lines,
        whole=prose(passage.text),
    )


def _numbers(span: Span, cut: tuple[Piece, ...]) -> str:
    """The numbers of the gaps within a phrase."""
    return ", ".join(
        str(piece.number)
        for piece in cut
        if piece.number is not None and not piece.whole and span[0] <= piece.span[0] < span[1]
    )


def _phrase(text: str, span: Span, cut: tuple[Piece, ...]) -> Runs:
    """The phrase with what is written in bold."""
    runs: list[Run] = []
    for piece in cut:
        start, end = max(span[0], piece.span[0]), min(span[1], piece.span[1])
        if start < end:
            style = Style.PLAIN if piece.number is None else Style.MARK
            runs.append((text[start:end], style))
    return tuple(runs)


def place_line(number: int, name: PlaceName, look: Look) -> Line:
    """A made-up name: what it names, how it is said, every spelling that is right."""
    spot = spots()[number - 1]
    whole = f"{name.name} {spot.place}"
    return Line(
        str(number),
        (
            (f"Number {number} is {typographic(spot.where)}. ", Style.PLAIN),
            (whole, Style.MARK),
            (DASH, Style.PLAIN),
            (whole, Style.MARK),
        ),
        look.pause(count_letters(name.name)),
        prose(f"Say: {name.say}. Right: {', '.join(name.legal)}."),
    )


def pair_line(number: int, pair: ChoosePair, look: Look) -> Line:
    """A choice read in its sentence; the reason stands beside it for the teacher only."""
    space = "" if pair.after[:1] in ".,!?;:" else " "
    return Line(
        str(number),
        (
            *prose(f"{pair.before.strip()} "),
            (typographic(pair.answer), Style.MARK),
            *prose(f"{space}{pair.after.strip()}"),
        ),
        look.pause(count_letters(pair.answer)) + PAIR_THINKING,
        prose(f"{' or '.join(pair.choices)}: {pair.reason}"),
    )


PAIR_THINKING = 30  # seconds to say why in a few words; our proposal


def dictation_scenes(dictation: Dictation, look: Look) -> tuple[Scene, ...]:
    """The scenes of one form, in the order of the paper."""
    scenes: list[Scene] = []
    if dictation.words:
        scenes.append(
            Scene(
                wording("paper.words"),
                prose(
                    wording(
                        "script.before" if sentences_settle(dictation) else "script.before-alone"
                    )
                ),
                tuple(word_line(n, w, look) for n, w in enumerate(dictation.words, start=1)),
            )
        )
    if dictation.sentences:
        scenes.append(
            Scene(
                wording("paper.sentences"),
                prose(wording("script.sentences")),
                tuple(
                    line
                    for n, sentence in enumerate(dictation.sentences, start=1)
                    for line in text_lines(n, sentence, look)
                ),
            )
        )
    if dictation.passage:
        scenes.append(passage_scene(dictation.passage, look))
    if dictation.places:
        scenes.append(
            Scene(
                wording("paper.places"),
                prose(wording("script.places")),
                tuple(place_line(n, p, look) for n, p in enumerate(dictation.places, start=1)),
            )
        )
    if dictation.pairs:
        scenes.append(
            Scene(
                wording("paper.pairs"),
                prose(wording("script.pairs")),
                tuple(pair_line(n, p, look) for n, p in enumerate(dictation.pairs, start=1)),
            )
        )
    return tuple(scenes)


def lesson_scripts(
    unit: str, lesson: Lesson, look: Look, form: str | None = None
) -> tuple[Script, ...]:
    """One script for the practice of a lesson, and one for each form of its dictation."""
    practice = [
        scene
        for block in lesson.blocks
        if block.kind in (BlockKind.RECALL, BlockKind.TOGETHER, BlockKind.ALONE, BlockKind.GROUPS)
        or (block.kind is BlockKind.DICTATION and not dictations(lesson))
        if (scene := practice_scene(block, look)) is not None
    ]
    found: list[Script] = []
    if practice and form is None:
        found.append(_script(unit, lesson, "", tuple(practice), look))
    for dictation in dictations(lesson, form):
        found.append(_script(unit, lesson, dictation.form, dictation_scenes(dictation, look), look))
    return tuple(found)


def _script(unit: str, lesson: Lesson, form: str, scenes: tuple[Scene, ...], look: Look) -> Script:
    """A script with the sum of its waits."""
    total = sum(line.wait for scene in scenes for line in scene.lines)
    return Script(
        lesson.id,
        typographic(lesson.title),
        typographic(unit),
        form,
        scenes,
        wording("script.pauses", time=duration(total), speed=look.speed),
    )


def duration(seconds: int) -> str:
    """Minutes and seconds in words: "6 min 20 s"."""
    minutes, rest = divmod(seconds, 60)
    return " ".join([f"{minutes} min"] * (minutes > 0) + [f"{rest} s"] * (rest > 0)) or "0 s"
