"""Every printed document by name: one lesson, or a whole unit, in; a tagged PDF out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypedDict, Unpack

from larkslate.errors import Missing, NotAllowed
from larkslate.handwriting.letters import Hand
from larkslate.materials.cards import deck, references, strips
from larkslate.materials.hand_sheets import lesson_pages
from larkslate.materials.look import SIZES, SPEED, Look
from larkslate.materials.paper import dictations, paper
from larkslate.materials.runs import typographic
from larkslate.materials.script import lesson_scripts
from larkslate.materials.sheet import student_sheet
from larkslate.materials.teacher import teacher_page
from larkslate.materials.typeset import page_counts, typeset
from larkslate.materials.wording import wording
from larkslate.plan.model import Lesson, UnitPlan

# What makes the pages of one lesson: unit title, lesson, look, form -> values for the template.
Builder = Callable[[str, Lesson, Look, str | None], list[object]]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of document: who it is for, and what one copy of it covers."""

    name: str
    title: str
    audience: str
    per: str  # lesson or dictation
    template: str
    build: Builder
    key: bool = False  # answers filled in
    fits: int | None = None  # pages a lesson should not exceed at the usual size of print
    about: str = ""


def _student(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:  # noqa: ARG001 - one signature for all
    sheet = student_sheet(unit, lesson, look)
    return [sheet] if sheet else []


def _paper(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:
    return [paper(unit, lesson, dictation, look) for dictation in dictations(lesson, form)]


def _key(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:
    return [*_student(unit, lesson, look, form), *_paper(unit, lesson, look, form)]


def _script(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:
    return list(lesson_scripts(unit, lesson, look, form))


def _teacher(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:  # noqa: ARG001 - one signature for all
    return [teacher_page(unit, lesson, look)]


def _reference(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:  # noqa: ARG001 - one signature for all
    return list(references(unit, lesson, look))


def _strip(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:  # noqa: ARG001 - one signature for all
    return list(strips(unit, lesson, look))


def _handwriting(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:  # noqa: ARG001 - one signature for all
    return list(lesson_pages(unit, lesson, look))


def _cards(unit: str, lesson: Lesson, look: Look, form: str | None) -> list[object]:  # noqa: ARG001 - one signature for all
    return list(deck(unit, lesson))


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("teacher", "Lesson plan", "teacher", "lesson", "teacher", _teacher,
             about="One page by the minute: what to say, what to do, every answer."),
        Kind("student", "Student sheet", "student", "lesson", "sheet", _student, fits=2,
             about="The rule with three examples, lines to write on, a sort, handwriting."),
        Kind("key", "Answer key", "teacher", "lesson", "sheet", _key, key=True, fits=2,
             about="The student sheet and the dictation paper with every answer filled in."),
        Kind("script", "Dictation script", "teacher", "lesson", "script", _script,
             about="Word, sentence, word; phrase marks; how long to wait; forms A and B."),
        Kind("paper", "Dictation paper", "student", "dictation", "sheet", _paper, fits=2,
             about="Lines, a passage with gaps, the map of the lake, choose and say why."),
        Kind("reference", "Reference page", "student", "lesson", "reference", _reference, fits=1,
             about="The rule of one point, three examples, what does not follow and why."),
        Kind("strip", "Self-check strip", "student", "lesson", "strip", _strip,
             about="Answers to compare with after writing, several strips to cut from a page."),
        Kind("handwriting", "Handwriting practice", "student", "lesson", "hand", _handwriting,
             about="Each letter or join of the lesson: its path, tracing, writing, words; own name and date."),
        Kind("cards", "Cards", "student", "lesson", "cards", _cards,
             about="Spellings and words to cut out; print two-sided, turned on the long edge."),
    )
}  # fmt: skip


def lessons_of(plan: UnitPlan, lesson: int | None) -> tuple[Lesson, ...]:
    """The lesson with a number, or all. Raises Missing with the numbers there are."""
    if lesson is None:
        if not plan.lessons:
            raise Missing(f"“{plan.title}” has no lessons yet: plan the unit first.")
        return plan.lessons
    found = tuple(one for one in plan.lessons if one.number == lesson)
    if not found:
        numbers = ", ".join(str(one.number) for one in plan.lessons) or "none"
        raise Missing(f"“{plan.title}” has no lesson {lesson}: its lessons are {numbers}.")
    return found


def make(
    kind: str,
    plan: UnitPlan,
    lesson: int | None = None,
    *,
    paper: str = "us-letter",
    size: int = 14,
    ruling: str | float | None = None,
    speed: int = SPEED,
    form: str | None = None,
    two_sided: bool = False,
    left_handed: bool = False,
    hand: Hand | str = Hand.JOINED,
    slant: float = 0.0,
) -> bytes:
    """A document as a tagged PDF: of one lesson, or of the whole unit where ``lesson`` is None.

    ``paper`` is us-letter or a4; ``size`` 14, 18 or 24 points for what children read; ``ruling`` "grade 3"
    or another size of the handwriting room, or millimeters from baseline to top line; ``speed`` in
    letters a minute, for the waits of a script; ``form`` A or B of a dictation; ``two_sided`` starts
    each lesson on a new sheet; ``left_handed`` puts models of handwriting at the right; ``hand`` is joined
    or print, ``slant`` its degrees to the right. Raises Missing where there is no such
    lesson or nothing of this kind in it, NotAllowed for an unknown kind or option.
    """
    if kind not in KINDS:
        raise NotAllowed(f"There is no document “{kind}”: choose one of {', '.join(KINDS)}.")
    look = Look(paper, size, ruling, speed, two_sided, left_handed, hand_named(hand), slant)
    chosen = KINDS[kind]
    lessons = lessons_of(plan, lesson)
    pages = _built(chosen, plan, lessons, look, form)
    if not pages:
        raise Missing(_nothing(chosen, plan, lesson, form))
    whole = document(chosen, plan, lessons, look, pages)
    if chosen.fits is not None and look.size == min(SIZES):
        counts = page_counts(chosen.template, whole)
        if max(counts) > chosen.fits:
            tight = replace(look, tight=True)
            closer = _built(chosen, plan, lessons, tight, form)
            whole["pages"] = [
                near if count > chosen.fits else page
                for count, page, near in zip(counts, pages, closer, strict=True)
            ]
    return typeset(chosen.template, whole)


def _built(
    kind: Kind, plan: UnitPlan, lessons: tuple[Lesson, ...], look: Look, form: str | None
) -> list[object]:
    """The pages of all lessons in order."""
    return [page for one in lessons for page in kind.build(plan.title, one, look, form)]


def hand_named(name: Hand | str) -> Hand:
    """The hand with a name. Raises NotAllowed with the names there are."""
    try:
        return Hand(name)
    except ValueError:
        raise NotAllowed(f"There is no hand “{name}”: choose {' or '.join(Hand)}.") from None


def document(
    kind: Kind, plan: UnitPlan, lessons: tuple[Lesson, ...], look: Look, pages: list[object]
) -> dict[str, Any]:
    """What a template gets: look, title, fixed texts, the pages."""
    what = lessons[0].title if len(lessons) == 1 else plan.title
    return {
        "look": look.data(),
        "title": f"{kind.title}: {typographic(what)}",
        "kind": kind.title,
        "key": kind.key,
        "words": {
            name: wording(f"page.{name}")
            for name in ("name", "date", "key", "lesson", "form")
        } | {"page": wording("page.page", page="{page}", pages="{pages}"),
             "pause": wording("script.pause"),
             "seconds": wording("script.seconds", n="{n}"),
             "whole": wording("script.passage-whole"),
             "rule": wording("teacher.rule"),
             "exception": wording("teacher.exception"),
             "notes": wording("teacher.notes"),
             "say": wording("teacher.say"),
             "do": wording("teacher.do")},
        "pages": pages,
    }  # fmt: skip


def _nothing(kind: Kind, plan: UnitPlan, lesson: int | None, form: str | None) -> str:
    """Why a document would be empty, and what to do."""
    where = f"Lesson {lesson}" if lesson is not None else f"“{plan.title}”"
    if kind.name == "paper":
        days = sorted({one.number for one in plan.lessons if dictations(one)})
        with_form = f" in form {form}" if form else ""
        there = f"lessons {', '.join(map(str, days))} have one" if days else "no lesson has one"
        return f"{where} has no dictation{with_form}: {there}."
    return f"{where} has nothing for the {kind.title.lower()}: its blocks hold nothing to print."


class Options(TypedDict, total=False):
    """The options of make."""

    paper: str
    size: int
    ruling: str | float | None
    speed: int
    form: str | None
    two_sided: bool
    left_handed: bool
    hand: Hand | str
    slant: float


def write(
    path: Path,
    kind: str,
    plan: UnitPlan,
    lesson: int | None = None,
    **options: Unpack[Options],
) -> Path:
    """Make a document and write it to a file. Raises NotAllowed if the file cannot be written."""
    if path.is_dir():
        raise NotAllowed(f"{path} is a folder: add a file name, for example {kind}.pdf.")
    if not path.parent.is_dir():
        raise NotAllowed(f"The folder {path.parent} is not there: make it, or choose another.")
    pdf = make(kind, plan, lesson, **options)
    try:
        path.write_bytes(pdf)
    except OSError as error:
        raise NotAllowed(
            f"{path} could not be written ({error.strerror}): "
            "close the file if it is open, or choose another folder."
        ) from None
    return path
