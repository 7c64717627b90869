"""Reading a sequence from its data files, with a validator that names the bad place."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from larkslate.datafile import read_toml, read_tsv
from larkslate.errors import Malformed
from larkslate.sequence.model import Example, LessonSlot, NearMiss, Point, Sequence, Theme

ROOM = "sequence"
SLOT_KINDS = ("new", "mix", "checkpoint", "dictation", "respond")
MOST_LESSONS, FEWEST_LESSONS = 15, 5


def _strings(entry: dict[str, Any], key: str, where: str) -> tuple[str, ...]:
    value = entry.get(key, [])
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        raise Malformed(f"{where}: {key} must be a list of texts.")
    return tuple(value)


def _string(entry: dict[str, Any], key: str, where: str) -> str:
    value = entry.get(key)
    if not isinstance(value, str) or not value.strip():
        raise Malformed(f"{where}: {key} is missing or empty.")
    return value


def _skills() -> tuple[dict[str, tuple[str, ...]], dict[str, str]]:
    teaches: dict[str, tuple[str, ...]] = {}
    counts: dict[str, str] = {}
    for row in read_tsv(ROOM, "skills.tsv", ("skill", "points", "evidence", "note")):
        if row["skill"] in teaches:
            raise row.bad(f"the skill {row['skill']} stands twice.")
        if not row["points"]:
            raise row.bad(f"no point teaches {row['skill']}.")
        teaches[row["skill"]] = tuple(row["points"].split())
        if row["evidence"]:
            counts[row["skill"]] = row["evidence"]
    return teaches, counts


def _point(entry: dict[str, Any], skills: dict[str, list[str]]) -> Point:
    where = f"{ROOM}/data/points.toml, point {entry.get('id', '?')}"
    identity = _string(entry, "id", where)
    examples = tuple(
        Example(e["word"], tuple(e.get("later", ())), tuple(e.get("parts", ())))
        for e in entry.get("examples", [])
    )
    near = tuple(NearMiss(n["word"], n["why"]) for n in entry.get("near_misses", []))
    return Point(
        id=identity,
        name=_string(entry, "name", where),
        rule=_string(entry, "rule", where),
        exception=entry.get("exception"),
        k2=identity.startswith("K2."),
        prerequisites=_strings(entry, "prerequisites", where),
        standards=_strings(entry, "standards", where),
        skills=tuple(skills.get(identity, ())),
        examples=examples,
        near_misses=near,
    )


def _themes() -> tuple[Theme, ...]:
    themes = []
    for number, entry in enumerate(read_toml(ROOM, "themes.toml")["themes"], start=1):
        where = f"{ROOM}/data/themes.toml, theme {number}"
        lessons = tuple(LessonSlot(s["kind"], tuple(s["points"])) for s in entry["lessons"])
        themes.append(
            Theme(
                number=number,
                title=_string(entry, "title", where),
                goal=_string(entry, "goal", where),
                points=_strings(entry, "points", where),
                irregular=_strings(entry, "irregular", where),
                letters=_strings(entry, "letters", where),
                lessons=lessons,
            )
        )
    return tuple(themes)


def check(sequence: Sequence) -> None:
    """Raise Malformed for the first fault: order of prerequisites, unknown points, lessons that do not add up."""
    ids = [p.id for p in sequence.points]
    if len(set(ids)) != len(ids):
        double = next(i for i in ids if ids.count(i) > 1)
        raise Malformed(f"The point {double} stands twice in the sequence: remove one.")
    for place, point in enumerate(sequence.points):
        for needed in point.prerequisites:
            if needed not in ids:
                raise Malformed(f"{point.id} builds on {needed}, which is not in the sequence.")
            if ids.index(needed) >= place:
                raise Malformed(f"{point.id} builds on {needed}, which comes later: move it.")
        if not point.skills:
            raise Malformed(f"{point.id} teaches no skill: add rows to skills.tsv.")
    themed = [p for t in sequence.themes for p in t.points]
    if themed != [p.id for p in sequence.taught_points]:
        raise Malformed("The themes must hold every taught point once, in the order of the points.")
    for theme in sequence.themes:
        if not FEWEST_LESSONS <= len(theme.lessons) <= MOST_LESSONS:
            raise Malformed(
                f"Theme {theme.number} has {len(theme.lessons)} lessons: "
                f"give it {FEWEST_LESSONS} to {MOST_LESSONS}."
            )
        for slot in theme.lessons:
            if slot.kind not in SLOT_KINDS:
                raise Malformed(f"Theme {theme.number}: {slot.kind!r} is not a kind of lesson.")
            for point_id in slot.points:
                if point_id not in ids:
                    raise Malformed(f"Theme {theme.number}: there is no point {point_id}.")
        first_new = [s.points[0] for s in theme.lessons if s.kind == "new"]
        if first_new != list(theme.points):
            raise Malformed(f"Theme {theme.number}: each point needs one new lesson, in order.")
    for skill, points in sequence.teaches.items():
        for point_id in points:
            if point_id not in ids:
                raise Malformed(f"skills.tsv: {skill} is taught by {point_id}, which is not there.")
    for skill, point_id in sequence.counts.items():
        if point_id not in ids:
            raise Malformed(f"skills.tsv: {skill} counts for {point_id}, which is not there.")


@lru_cache(maxsize=1)
def shipped() -> Sequence:
    """The shipped grade-3 sequence, checked."""
    teaches, counts = _skills()
    by_point: dict[str, list[str]] = {}
    for skill, owners in teaches.items():
        for owner in owners:
            by_point.setdefault(owner, []).append(skill)
    table = read_toml(ROOM, "points.toml")
    points = tuple(_point(e, by_point) for e in table["points"])
    themes = _themes()
    known = {}
    for row in read_tsv(ROOM, "known_words.tsv", ("word", "point")):
        if row["word"] in known:
            raise row.bad(f"the word {row['word']} stands twice.")
        known[row["word"]] = row["point"]
    for theme in themes:
        # The irregular words of a unit are met in its first two lessons.
        for word in theme.irregular:
            known.setdefault(word, theme.points[min(1, len(theme.points) - 1)])
    sequence = Sequence(
        id=table["id"],
        title=table["title"],
        points=points,
        themes=themes,
        teaches=teaches,
        counts=counts,
        known_words=known,
    )
    check(sequence)
    return sequence
