from __future__ import annotations

import json
from datetime import date, timedelta

import pytest

from larkslate.assess.mark import ClassResult, mark, to_json
from larkslate.assess.model import Channel, Mark, Response, ResponseStatus
from larkslate.sequence.reach import Reach
from larkslate.words.lexicon import Lexicon

DAY = date(2026, 11, 2)


def row(student: str, target: str, written: str, day: int = 0, **more: object) -> Response:
    return Response(student, target, written, date=DAY + timedelta(days=day), **more)  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def small(lexicon: Lexicon, reach: Reach) -> ClassResult:
    rows = [
        row("Ann", "match", "mach"),
        row("Ann", "fetch", "fech"),
        row("Ann", "patch", "pach"),
        row("Ann", "pitch", "", status=ResponseStatus.ABSENT),
        row("Bo", "match", "match"),
        row("Bo", "fetch", "fetch", 1),
        row("Bo", "patch", "patch", 2),
        row("Bo", "pitch", "pitch", 3),
        row("Cy", "match", "mach"),
        row("Cy", "fetch", "", status=ResponseStatus.BLANK),
        row("Cy", "patch", "p?ch", status=ResponseStatus.ILLEGIBLE),
    ]
    return mark(rows, lexicon=lexicon, reach=reach)


def test_standings_by_student_and_point(small: ClassResult) -> None:
    ann, bo, cy = small.students
    assert ann.standings["G3.01c"].mark is Mark.RETEACH
    assert (ann.standings["G3.01c"].right, ann.standings["G3.01c"].chances) == (0, 3)
    assert bo.standings["G3.01c"].mark is Mark.SECURE
    assert cy.standings["G3.01c"].chances == 1


def test_what_cannot_be_scored_is_no_zero(small: ClassResult) -> None:
    ann, bo, cy = small.students
    assert (ann.words, ann.absent) == ((0, 3), 1)
    assert (cy.words, cy.blank, cy.illegible) == ((0, 1), 1, 1)
    assert bo.words == (4, 4)
    assert bo.sequences == (24, 24)
    assert any("could not be read" in note for note in small.notes)


def test_words_show_the_wrong_forms(small: ClassResult) -> None:
    match = next(w for w in small.words if w.target == "match")
    assert (match.right, match.of) == (1, 3)
    (form,) = match.wrong
    assert (form.written, form.students, form.primary) == ("mach", ("Ann", "Cy"), "O.FIN")


def test_the_json_is_plain(small: ClassResult) -> None:
    value = json.loads(json.dumps(to_json(small)))
    assert [s["student"] for s in value["students"]] == ["Ann", "Bo", "Cy"]
    point = next(p for p in value["students"][0]["points"] if p["point"] == "G3.01c")
    assert (point["standing"], point["chances"], point["missed"]) == ("reteach", 3, 3)


def test_two_students_who_need_the_same_point_make_a_group(lexicon: Lexicon, reach: Reach) -> None:
    rows = [
        row(s, t, t.replace("tch", "ch") if s in ("Ann", "Bo") else t)
        for s in ("Ann", "Bo", "Cy", "Di", "Ed", "Flo")
        for t in ("match", "fetch", "pitch", "patch")
    ]
    found = mark(rows, lexicon=lexicon, reach=reach)
    assert [(g.point, g.students) for g in found.groups] == [("G3.01c", ("Ann", "Bo"))]


def test_a_point_most_miss_goes_back_to_the_class(lexicon: Lexicon, reach: Reach) -> None:
    rows = [
        row(f"s{s}", t, t.replace("tch", "ch"))
        for s in range(5)
        for t in ("match", "fetch", "pitch", "patch")
    ]
    found = mark(rows, lexicon=lexicon, reach=reach)
    point = next(p for p in found.points if p.point == "G3.01c")
    assert point.whole_class
    assert all(g.point != "G3.01c" for g in found.groups)


def test_untaught_points_make_no_group(lexicon: Lexicon, reach: Reach) -> None:
    rows = [row(s, t, t[1:]) for s in ("Ann", "Bo") for t in ("knee", "knit", "know", "knob")]
    found = mark(rows, lexicon=lexicon, reach=reach, through="G3.01a")
    for student in found.students:
        assert "G3.14a" not in student.standings
        assert all("G3.14a" in m.diagnosis.not_yet_taught for m in student.marked)
    assert found.groups == ()


def test_a_word_right_elsewhere_is_a_slip(lexicon: Lexicon, reach: Reach) -> None:
    found = mark(
        [row("Ann", "match", "mach"), row("Ann", "match", "match")], lexicon=lexicon, reach=reach
    )
    assert [m.diagnosis.primary for m in found.students[0].marked] == ["K.SLIP", None]


def test_home_work_decides_nothing(lexicon: Lexicon, reach: Reach) -> None:
    rows = [
        row("Ann", t, t, day, channel=Channel.HOME)
        for day, t in enumerate(("match", "fetch", "pitch", "patch"))
    ]
    found = mark(rows, lexicon=lexicon, reach=reach)
    assert found.students[0].standings["G3.01c"].mark is Mark.MORE_EVIDENCE


def test_a_word_most_of_a_class_misses_is_named(lexicon: Lexicon, reach: Reach) -> None:
    rows = [row(f"s{s:02}", "match", "mach" if s < 15 else "match") for s in range(24)]
    found = mark(rows, lexicon=lexicon, reach=reach)
    assert found.words[0].hard
    assert found.notes[0].startswith("match: 15 of 24 missed it")


def test_an_empty_class() -> None:
    class Nothing:
        points = ()
        known_words: dict[str, str] = {}  # noqa: RUF012 - a stub

        def index(self, point: str) -> int:
            raise AssertionError(point)

        def end_of(self, through: str | int) -> int:
            raise AssertionError(through)

    class NoReach:
        sequence = Nothing()

        def point_of(self, need: object, through: object = None) -> None:
            raise AssertionError((need, through))

    found = mark([], lexicon=None, reach=NoReach())  # type: ignore[arg-type]
    assert found == ClassResult((), (), (), ())
