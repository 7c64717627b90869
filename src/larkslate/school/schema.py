"""The tables. Portable types only, so that SQLite and PostgreSQL can both hold them.

Ids of classes, students, plans and sittings are random and say nothing. A student has a label (a code, or a
first name and an initial) and plain classroom settings; no birth date, no diagnosis, no health field.
Diagnoses are not stored: they are worked out from the responses whenever they are asked for.
"""

from __future__ import annotations

import sqlalchemy as sa

VERSION = "0001"
"""The newest migration; the folder's tables are of this version once it is open."""

metadata = sa.MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _id() -> sa.Column[str]:
    return sa.Column("id", sa.String(32), primary_key=True)


def _of(table: str, column: str = "") -> sa.Column[str]:
    return sa.Column(
        column or f"{table}_id",
        sa.String(32),
        sa.ForeignKey(f"{table}.id", ondelete="CASCADE"),
        nullable=False,
        index=True,
    )


classes = sa.Table(
    "class",
    metadata,
    _id(),
    sa.Column("name", sa.String(80), nullable=False, unique=True),
    sa.Column("grade", sa.String(10), nullable=False),
    sa.Column("year", sa.String(20), nullable=False),
    sa.Column("invented", sa.Boolean, nullable=False, default=False),
    sa.Column("settings", sa.Text, nullable=False),  # JSON, see model.ClassSettings
    sa.Column("created", sa.String(30), nullable=False),
    sa.Column("changed", sa.String(30), nullable=False),
    sa.Column(
        "changes", sa.Integer, nullable=False, default=0
    ),  # counts every change of anything of the class
)

students = sa.Table(
    "student",
    metadata,
    _id(),
    _of("class"),
    sa.Column("label", sa.String(60), nullable=False),
    sa.Column("seat", sa.Integer, nullable=True),
    sa.Column("hand", sa.String(5), nullable=False, default="right"),
    sa.Column("larger_print", sa.Integer, nullable=False, default=0),  # points, 0: as the class
    sa.Column("extra_time", sa.Boolean, nullable=False, default=False),
    sa.Column("joined", sa.String(10), nullable=True),  # date; a late start has an empty taught set
    sa.Column("left", sa.String(10), nullable=True),
    sa.CheckConstraint("hand in ('left', 'right')", name="hand"),
    sa.UniqueConstraint("class_id", "label", name="uq_student_label"),
)

plans = sa.Table(
    "plan",
    metadata,
    _id(),
    _of("class"),
    sa.Column("unit", sa.Integer, nullable=False),
    sa.Column("seed", sa.Integer, nullable=False),
    sa.Column("body", sa.Text, nullable=False),  # JSON of plan.codec
    sa.Column("current", sa.Boolean, nullable=False, default=True),
    sa.Column("created", sa.String(30), nullable=False),
    sa.Index("ix_plan_class_unit", "class_id", "unit", "current"),
)

lesson_days = sa.Table(
    "lesson_day",
    metadata,
    _of("class"),
    sa.Column("unit", sa.Integer, nullable=False),
    sa.Column("lesson", sa.Integer, nullable=False),
    sa.Column("day", sa.String(10), nullable=False),
    sa.Column("done", sa.Boolean, nullable=False, default=False),
    sa.Column("note", sa.Text, nullable=False, default=""),
    sa.PrimaryKeyConstraint("class_id", "unit", "lesson"),
)

sittings = sa.Table(
    "sitting",
    metadata,
    _id(),
    _of("class"),
    sa.Column("kind", sa.String(20), nullable=False),  # baseline, checkpoint, dictation, check
    sa.Column("unit", sa.Integer, nullable=True),
    sa.Column("lesson", sa.Integer, nullable=True),
    sa.Column("form", sa.String(5), nullable=False, default="A"),
    sa.Column("day", sa.String(10), nullable=False),
    sa.Column("through", sa.String(20), nullable=False),  # last point taught that day, or K2
    sa.Column("items", sa.Text, nullable=False),  # JSON, see model.Item
    sa.Column("created", sa.String(30), nullable=False),
)

responses = sa.Table(
    "response",
    metadata,
    _of("sitting"),
    _of("student"),
    sa.Column("item", sa.Integer, nullable=False),
    sa.Column("written", sa.Text, nullable=False, default=""),
    sa.Column("status", sa.String(10), nullable=False),
    sa.Column("channel", sa.String(10), nullable=False, default="class"),
    sa.Column("revision", sa.Integer, nullable=False, default=1),
    sa.Column("entered", sa.String(30), nullable=False),
    sa.CheckConstraint("status in ('written', 'blank', 'illegible', 'absent')", name="status"),
    sa.CheckConstraint("channel in ('class', 'home')", name="channel"),
    sa.PrimaryKeyConstraint("sitting_id", "student_id", "item"),
)

overrules = sa.Table(
    "overrule",
    metadata,
    _id(),
    _of("class"),
    sa.Column("target", sa.String(300), nullable=False),
    sa.Column("written", sa.String(300), nullable=False),
    sa.Column("code", sa.String(20), nullable=False),  # what the teacher said: a code, or "right"
    sa.Column("was", sa.String(20), nullable=True),  # what the program had said: the trace
    sa.Column("reason", sa.Text, nullable=False, default=""),
    sa.Column("created", sa.String(30), nullable=False),
    sa.UniqueConstraint("class_id", "target", "written", name="uq_overrule_spelling"),
)

attendance = sa.Table(
    "attendance",
    metadata,
    _of("student"),
    sa.Column("day", sa.String(10), nullable=False),
    sa.Column("present", sa.Boolean, nullable=False),
    sa.PrimaryKeyConstraint("student_id", "day"),
)

catch_ups = sa.Table(  # a point that one student was taught apart from the class
    "catch_up",
    metadata,
    _of("student"),
    sa.Column("point", sa.String(20), nullable=False),
    sa.Column("day", sa.String(10), nullable=False),
    sa.PrimaryKeyConstraint("student_id", "point"),
)

counted = sa.Table(  # an unusual sitting that the teacher lets count all the same
    "counted",
    metadata,
    _of("student"),
    _of("sitting"),
    sa.PrimaryKeyConstraint("student_id", "sitting_id"),
)

notes = sa.Table(
    "note",
    metadata,
    _id(),
    _of("student"),
    sa.Column("point", sa.String(20), nullable=False),
    sa.Column("day", sa.String(10), nullable=False),
    sa.Column("text", sa.Text, nullable=False, default=""),
)

own_lists = sa.Table(
    "own_list",
    metadata,
    _id(),
    _of("class"),
    sa.Column("title", sa.String(80), nullable=False),
    sa.Column("words", sa.Text, nullable=False),  # one a line
    sa.Column("created", sa.String(30), nullable=False),
)

exports = sa.Table(
    "export",
    metadata,
    _id(),
    sa.Column("day", sa.String(30), nullable=False),
    sa.Column("what", sa.String(40), nullable=False),
    sa.Column("path", sa.Text, nullable=False),
    sa.Column("students", sa.Text, nullable=False),  # opaque ids, one a line
)

erasures = sa.Table(
    "erasure",
    metadata,
    sa.Column(
        "id", sa.String(32), primary_key=True
    ),  # of a student or a class, and nothing else of them
    sa.Column("what", sa.String(10), nullable=False),
    sa.Column("day", sa.String(10), nullable=False),
    sa.CheckConstraint("what in ('student', 'class')", name="what"),
)

moves = sa.Table(
    "move",
    metadata,
    sa.Column("class_id", sa.String(32), primary_key=True),
    sa.Column("content", sa.String(64), primary_key=True),  # hash of the class when it was moved
    sa.Column("moved", sa.String(30), nullable=False),
)

evidence = (
    sa.Table(  # what marking found, by a hash of all it depends on; may be emptied at any time
        "evidence",
        metadata,
        sa.Column("key", sa.String(64), primary_key=True),
        sa.Column("body", sa.Text, nullable=False),
    )
)
