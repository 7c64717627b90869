"""A program that saves answers as fast as it can and says each one that was answered. Tests kill it."""

from __future__ import annotations

import sys

from larkslate.school import responses, roster, sittings
from larkslate.school.model import Answer, Saved
from larkslate.school.store import School


def main(folder: str) -> None:
    """Save one answer after the other, each with the revision before, until killed."""
    with School.open(folder) as school:
        room = roster.classes(school)[0]
        who = roster.students(school, room.id)
        given = sittings.sittings(school, room.id)[0]
        seen = {(a.student_id, a.item): a for a in responses.answers(school, given.id)}
        print("ready", flush=True)  # noqa: T201 - heard by the test
        count = 0
        while True:
            for student in who:
                for item in given.items:
                    old = seen.get((student.id, item.number))
                    count += 1
                    text = f"written{count}x{old.revision if old else 0}"
                    asked = Answer(
                        given.id, student.id, item.number, text, revision=old.revision if old else 0
                    )
                    found = responses.save(school, asked)
                    if not isinstance(found, Saved):
                        raise TypeError(found.says)
                    seen[student.id, item.number] = found.answer
                    one = found.answer
                    print(student.id, one.item, one.revision, one.written, flush=True)  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1])
