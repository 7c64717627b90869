"""Everything as one file and back; two machines that do not overwrite each other."""

from __future__ import annotations

import csv
import io
import json
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from larkslate.assess.model import Channel, ResponseStatus
from larkslate.errors import LarkslateError, Malformed, Missing, NotAllowed, OutOfDate
from larkslate.plan.model import Audit, UnitPlan
from larkslate.school import backup, daybook, erase, plans, responses, roster, sittings, transfer
from larkslate.school.model import Answer, Classroom, Hand, LessonDay, Sitting, SittingKind, Student
from larkslate.school.rows import TABLES, class_data
from larkslate.school.store import School
from larkslate.school.transfer import Choice, State
from tests.school.conftest import Opener, words

Students = tuple[Student, ...]


@pytest.fixture
def full(school: School, room: Classroom, students: Students, sitting: Sitting) -> School:
    """A school with a row in every table of a class."""
    ada, ben, _ = students
    responses.save(school, Answer(sitting.id, ada.id, 1, "=cach"))
    responses.save(school, Answer(sitting.id, ben.id, 1, "", ResponseStatus.ABSENT))
    daybook.overrule(school, room.id, "catch", "=cach", "O.FIN", was=None)
    daybook.add_note(school, ada.id, "G3.01c", text="stuck")
    daybook.set_present(school, ben.id, date(2026, 3, 4), False)
    daybook.catch_up(school, ben.id, "G3.01c")
    daybook.count_anyway(school, ada.id, sitting.id)
    daybook.set_lesson_day(school, LessonDay(room.id, 1, 1, date(2026, 3, 3), True, "fine"))
    daybook.add_list(school, room.id, "Pond words", ("frog", "pond"))
    plan = UnitPlan(1, "title", "goal", (), (), 0, (), Audit(0, (), (), {}, {}))
    plans.store(school, room.id, plan)
    return school


def content(school: School, class_id: str) -> str:
    with school.reading() as connection:
        found = class_data(connection, class_id)
    assert found is not None
    assert all(found.tables[t] for t in TABLES), "a table of the class is empty in this test"
    return found.content


def test_everything_comes_back_in_another_folder(
    full: School, room: Classroom, opener: Opener, tmp_path: Path
) -> None:
    path = transfer.export_all(full, tmp_path / "all.zip")
    other = opener(tmp_path / "other")
    (there,) = transfer.look(other, path).classes
    assert (there.state, there.students, there.answers) == (State.NEW, 3, 2)
    assert there.says == "Room 12 is not here yet and will be added."
    transfer.bring_in(other, path)
    assert content(other, room.id) == content(full, room.id)
    assert roster.students(other, room.id) == roster.students(full, room.id)


def test_the_export_has_tables_for_a_spreadsheet(full: School) -> None:
    path = transfer.export_all(full)
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        manifest = json.loads(archive.read("manifest.json"))
        assert set(manifest["files"]) == set(archive.namelist()) - {"manifest.json"}
        rows = list(
            csv.DictReader(io.StringIO(archive.read("csv/answers.csv").decode("utf-8-sig")))
        )
        students = archive.read("csv/students.csv").decode("utf-8-sig")
    assert [(r["student"], r["target"], r["written"], r["status"]) for r in rows] == [
        ("Ada Q.", "catch", "'=cach", "written"),  # no spreadsheet takes it for a formula
        ("Ben Q.", "catch", "", "absent"),
    ]
    assert "Cleo Q." in students
    assert path.stat().st_mode & 0o077 == 0


def test_an_export_is_logged_with_ids_only(full: School, students: Students) -> None:
    path = transfer.export_all(full)
    (logged,) = erase.exports(full)
    assert logged.path == str(path.resolve())
    assert {s.id for s in students} < set(logged.students)
    assert "Ada" not in repr(logged)


def test_one_student_is_exported_alone(full: School, students: Students) -> None:
    path = transfer.export_student(full, students[0].id)
    with zipfile.ZipFile(path) as archive:
        text = b"".join(archive.read(n) for n in archive.namelist()).decode()
    assert "Ada Q." in text
    assert "stuck" in text
    for other in ("Ben Q.", "Cleo Q.", students[1].id, "Pond words"):
        assert other not in text


@dataclass
class Pair:
    """Two machines with the same class."""

    one: School
    two: School
    room: str
    path: Path
    count: int = 0

    def carried(self, source: School) -> Path:
        self.count += 1
        return transfer.move_out(source, to=self.path / f"{self.count}.larkslate")

    def state(self, source: School, target: School) -> State:
        return transfer.look(target, self.carried(source)).classes[0].state


@pytest.fixture
def pair(full: School, room: Classroom, opener: Opener, tmp_path: Path) -> Pair:
    made = Pair(full, opener(tmp_path / "other"), room.id, tmp_path)
    transfer.bring_in(made.two, made.carried(full))
    return made


def test_a_class_that_did_not_change_is_the_same(pair: Pair) -> None:
    assert pair.state(pair.one, pair.two) is State.SAME
    assert pair.state(pair.two, pair.one) is State.SAME


def test_changes_on_one_side_are_brought_over_and_back(pair: Pair) -> None:
    for n in range(3):
        roster.add_student(pair.two, pair.room, f"Two {n}")
        assert pair.state(pair.one, pair.two) is State.OLDER
        assert pair.state(pair.two, pair.one) is State.NEWER
        transfer.bring_in(pair.one, pair.carried(pair.two))
        assert content(pair.one, pair.room) == content(pair.two, pair.room)
        roster.add_student(pair.one, pair.room, f"One {n}")
        transfer.bring_in(pair.two, pair.carried(pair.one))
        assert content(pair.one, pair.room) == content(pair.two, pair.room)


def test_changes_on_both_sides_are_listed_and_never_overwritten(pair: Pair) -> None:
    roster.add_student(pair.one, pair.room, "One")
    roster.add_student(pair.two, pair.room, "Two")
    path = pair.carried(pair.two)
    before = content(pair.one, pair.room)
    found = transfer.look(pair.one, path)
    assert found.conflicts == found.classes
    assert "changed here and on the other machine" in found.classes[0].says
    transfer.bring_in(pair.one, path)
    assert content(pair.one, pair.room) == before


@pytest.mark.parametrize("choice", list(Choice))
def test_a_choice_settles_a_conflict(pair: Pair, choice: Choice) -> None:
    roster.add_student(pair.one, pair.room, "One")
    roster.add_student(pair.two, pair.room, "Two")
    transfer.bring_in(pair.one, pair.carried(pair.two), {pair.room: choice})
    labels = [s.label for s in roster.students(pair.one, pair.room)]
    assert ("One" in labels) is (choice is not Choice.THEIRS)
    assert ("Two" in labels) is (choice is Choice.THEIRS)
    if choice is Choice.BOTH:
        (copy,) = (c for c in roster.classes(pair.one) if c.id != pair.room)
        assert copy.name == "Room 12 (2)"
        assert "Two" in [s.label for s in roster.students(pair.one, copy.id)]
        assert len(sittings.sittings(pair.one, copy.id)) == 1
    elif choice is Choice.MINE:
        assert pair.state(pair.one, pair.two) is State.NEWER  # two stands where it was seen
        transfer.bring_in(pair.two, pair.carried(pair.one), None)
        assert pair.state(pair.one, pair.two) is State.SAME
        assert pair.state(pair.two, pair.one) is State.SAME
    else:
        assert pair.state(pair.one, pair.two) is State.SAME


def test_a_backup_is_made_before_anything_is_replaced(pair: Pair) -> None:
    transfer.bring_in(pair.one, pair.carried(pair.two))
    assert [b.why for b in backup.backups(pair.one)] == [backup.Why.IMPORT]
    assert backup.backups(pair.two) == ()  # it was empty


def test_an_erased_student_does_not_come_back(pair: Pair, students: Students) -> None:
    path = pair.carried(pair.two)
    erase.student(pair.one, students[0].id)
    transfer.bring_in(pair.one, path, {pair.room: Choice.THEIRS})
    assert [s.label for s in roster.students(pair.one, pair.room)] == ["Ben Q.", "Cleo Q."]
    found = transfer.look(pair.two, pair.carried(pair.one))
    assert found.erased_there == (students[0].id,)  # the other machine is told
    erase.classroom(pair.one, pair.room)
    assert transfer.look(pair.one, path).classes[0].state is State.ERASED
    transfer.bring_in(pair.one, path, {pair.room: Choice.THEIRS})
    assert roster.classes(pair.one) == ()


def test_two_classes_of_one_name_are_told_apart(pair: Pair, tmp_path: Path, opener: Opener) -> None:
    third = opener(tmp_path / "third")
    roster.add_class(third, "Room 12")
    transfer.bring_in(third, pair.carried(pair.one))
    assert sorted(c.name for c in roster.classes(third)) == ["Room 12", "Room 12 (2)"]


# ---- files that are damaged or made up ---------------------------------------------------------

Change = Callable[[dict[str, bytes]], None]


def changed(path: Path, change: Change) -> Path:
    """The file with its parts changed and its checksum made right again."""
    with zipfile.ZipFile(path) as archive:
        parts = {n: archive.read(n) for n in archive.namelist()}
    change(parts)
    new = path.with_name("changed.zip")
    with zipfile.ZipFile(new, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return new


def in_data(edit: Callable[[dict[str, object]], object]) -> Change:
    """Change the data and its checksum."""
    import hashlib

    def change(parts: dict[str, bytes]) -> None:
        body = json.loads(parts["data.json"])
        edit(body)
        parts["data.json"] = json.dumps(body).encode()
        manifest = json.loads(parts["manifest.json"])
        digest = hashlib.sha256(parts["data.json"]).hexdigest()
        manifest["files"]["data.json"]["sha256"] = digest
        parts["manifest.json"] = json.dumps(manifest).encode()

    return change


def first(body: dict[str, object], table: str) -> dict[str, object]:
    found = body["classes"][0]["tables"][table][0]  # type: ignore[index]
    assert isinstance(found, dict)
    return found


def spoil_checksum(parts: dict[str, bytes]) -> None:
    parts["data.json"] += b" "


def spoil_manifest(parts: dict[str, bytes]) -> None:
    parts["manifest.json"] = b"{"


def spoil_format(parts: dict[str, bytes]) -> None:
    parts["manifest.json"] = b'{"format": "other"}'


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (spoil_checksum, "checksum is wrong"),
        (spoil_manifest, "cannot be read"),
        (spoil_format, "not a Larkslate export"),
        (in_data(lambda b: first(b, "student").pop("label")), "student, row 1 has no label"),
        (in_data(lambda b: first(b, "student").update(health="x")), "unknown column health"),
        (in_data(lambda b: first(b, "student").update(seat="one")), "seat is not a number"),
        (in_data(lambda b: first(b, "student").update(extra_time=1)), "not true or false"),
        (in_data(lambda b: first(b, "student").update(label="x" * 99)), "not a text that fits"),
        (in_data(lambda b: first(b, "student").update(id="../x")), "is not an id"),
        (in_data(lambda b: first(b, "response").update(student_id="zz")), "of no student"),
        (in_data(lambda b: first(b, "response").update(sitting_id="zz")), "of no sitting"),
        (in_data(lambda b: first(b, "sitting").update(class_id="zz")), "of another class"),
        (in_data(lambda b: first(b, "sitting").update(items="[{}]")), "cannot be read"),
        (in_data(lambda b: first(b, "plan").update(body="{}")), "not a plan"),
        (in_data(lambda b: b.pop("classes")), "cannot be read"),
    ],
)
def test_a_damaged_file_is_refused_and_nothing_changes(
    full: School, room: Classroom, tmp_path: Path, change: Change, told: str
) -> None:
    path = changed(transfer.export_all(full, tmp_path / "all.zip"), change)
    before = content(full, room.id)
    for ask in (transfer.look, transfer.bring_in):
        with pytest.raises(Malformed, match=told):
            ask(full, path)
    assert content(full, room.id) == before


@pytest.mark.parametrize(
    "edit",
    [
        lambda b: first(b, "response").update(status="wrong"),
        lambda b: first(b, "student").update(hand="both"),
    ],
)
def test_a_value_that_the_tables_refuse_changes_nothing(
    full: School, opener: Opener, tmp_path: Path, edit: Callable[[dict[str, object]], object]
) -> None:
    path = changed(transfer.export_all(full, tmp_path / "all.zip"), in_data(edit))
    other = opener(tmp_path / "other")
    with pytest.raises(NotAllowed, match="does not fit"):
        transfer.bring_in(other, path)
    assert roster.classes(other) == ()


def test_other_files_are_refused(full: School, tmp_path: Path) -> None:
    with pytest.raises(Missing, match="no file"):
        transfer.look(full, tmp_path / "none.zip")
    (tmp_path / "a.zip").write_bytes(b"not a zip")
    with pytest.raises(Malformed, match="not a Larkslate export"):
        transfer.look(full, tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as archive:
        archive.writestr("something", "x")
    with pytest.raises(Malformed, match="not a Larkslate export"):
        transfer.look(full, tmp_path / "b.zip")
    whole = transfer.export_all(full, tmp_path / "all.zip").read_bytes()
    (tmp_path / "cut.zip").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(Malformed):
        transfer.look(full, tmp_path / "cut.zip")


def test_a_file_of_a_newer_version_is_refused(full: School, tmp_path: Path) -> None:
    def newer(parts: dict[str, bytes]) -> None:
        manifest = json.loads(parts["manifest.json"])
        manifest["tables"] = "9999"
        parts["manifest.json"] = json.dumps(manifest).encode()

    path = changed(transfer.export_all(full, tmp_path / "all.zip"), newer)
    with pytest.raises(OutOfDate, match="newer Larkslate"):
        transfer.look(full, path)


def test_an_export_without_room_changes_nothing(
    full: School, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def no_room(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("larkslate.school.archive.os.fsync", no_room)
    with pytest.raises(LarkslateError, match="Free some space"):
        transfer.export_all(full, tmp_path / "out" / "all.zip")
    assert list((tmp_path / "out").iterdir()) == []
    assert erase.exports(full) == ()


# ---- round trip ---------------------------------------------------------------------------------

WRITTEN = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=20).filter(
    lambda t: bool(t.strip())
)
STUDENTS = st.lists(
    st.tuples(
        st.from_regex(r"[A-Z][a-z]{2,8} [A-Z]\.", fullmatch=True),
        st.sampled_from(Hand),
        st.sampled_from([0, 18, 24]),
        st.booleans(),
        st.none() | st.dates(date(2025, 8, 1), date(2026, 6, 1)),
    ),
    min_size=1,
    max_size=4,
    unique_by=lambda s: roster.same_label(s[0]),
)
ANSWERS = st.lists(
    st.tuples(WRITTEN, st.sampled_from(ResponseStatus), st.sampled_from(Channel)), max_size=8
)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(STUDENTS, ANSWERS)
def test_whatever_is_stored_comes_back_from_its_export(
    people: list[tuple[str, Hand, int, bool, date | None]],
    written: list[tuple[str, ResponseStatus, Channel]],
) -> None:
    with (
        tempfile.TemporaryDirectory() as place,
        School.open(Path(place) / "one") as one,
        School.open(Path(place) / "two") as two,
    ):
        if True:
            room = roster.add_class(one, "Room 12")
            who = [
                roster.add_student(
                    one, room.id, label, hand=hand, larger_print=size, extra_time=time, joined=day
                )
                for label, hand, size, time, day in people
            ]
            items = words("catch", "bridge")
            given_ = sittings.add(one, room.id, SittingKind.CHECK, items, through="K2")
            for n, (text, status, channel) in enumerate(written):
                student = who[n // 2 % len(who)]
                answer = Answer(given_.id, student.id, n % 2 + 1, text, status, channel)
                responses.save(one, answer)
            path = transfer.export_all(one)
            transfer.bring_in(two, path)
            with one.reading() as a, two.reading() as b:
                mine, theirs = class_data(a, room.id), class_data(b, room.id)
            assert mine is not None
            assert theirs is not None
            assert mine.content == theirs.content
            assert responses.answers(one, given_.id) == responses.answers(two, given_.id)
