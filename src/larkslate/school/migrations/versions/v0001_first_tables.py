"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision: str | None = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "class",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("grade", sa.String(length=10), nullable=False),
        sa.Column("year", sa.String(length=20), nullable=False),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.Column("settings", sa.Text(), nullable=False),
        sa.Column("created", sa.String(length=30), nullable=False),
        sa.Column("changed", sa.String(length=30), nullable=False),
        sa.Column("changes", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_class")),
        sa.UniqueConstraint("name", name=op.f("uq_class_name")),
    )
    op.create_table(
        "erasure",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("what", sa.String(length=10), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.CheckConstraint("what in ('student', 'class')", name=op.f("ck_erasure_what")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_erasure")),
    )
    op.create_table(
        "evidence",
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_evidence")),
    )
    op.create_table(
        "export",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("day", sa.String(length=30), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("students", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_export")),
    )
    op.create_table(
        "move",
        sa.Column("class_id", sa.String(length=32), nullable=False),
        sa.Column("content", sa.String(length=64), nullable=False),
        sa.Column("moved", sa.String(length=30), nullable=False),
        sa.PrimaryKeyConstraint("class_id", "content", name=op.f("pk_move")),
    )
    op.create_table(
        "lesson_day",
        sa.Column("class_id", sa.String(length=32), nullable=False),
        sa.Column("unit", sa.Integer(), nullable=False),
        sa.Column("lesson", sa.Integer(), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("done", sa.Boolean(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["class_id"],
            ["class.id"],
            name=op.f("fk_lesson_day_class_id_class"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("class_id", "unit", "lesson", name=op.f("pk_lesson_day")),
    )
    op.create_index(op.f("ix_lesson_day_class_id"), "lesson_day", ["class_id"], unique=False)
    op.create_table(
        "overrule",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("class_id", sa.String(length=32), nullable=False),
        sa.Column("target", sa.String(length=300), nullable=False),
        sa.Column("written", sa.String(length=300), nullable=False),
        sa.Column("code", sa.String(length=20), nullable=False),
        sa.Column("was", sa.String(length=20), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("created", sa.String(length=30), nullable=False),
        sa.ForeignKeyConstraint(
            ["class_id"], ["class.id"], name=op.f("fk_overrule_class_id_class"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_overrule")),
        sa.UniqueConstraint("class_id", "target", "written", name="uq_overrule_spelling"),
    )
    op.create_index(op.f("ix_overrule_class_id"), "overrule", ["class_id"], unique=False)
    op.create_table(
        "own_list",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("class_id", sa.String(length=32), nullable=False),
        sa.Column("title", sa.String(length=80), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("created", sa.String(length=30), nullable=False),
        sa.ForeignKeyConstraint(
            ["class_id"], ["class.id"], name=op.f("fk_own_list_class_id_class"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_list")),
    )
    op.create_index(op.f("ix_own_list_class_id"), "own_list", ["class_id"], unique=False)
    op.create_table(
        "plan",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("class_id", sa.String(length=32), nullable=False),
        sa.Column("unit", sa.Integer(), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("current", sa.Boolean(), nullable=False),
        sa.Column("created", sa.String(length=30), nullable=False),
        sa.ForeignKeyConstraint(
            ["class_id"], ["class.id"], name=op.f("fk_plan_class_id_class"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan")),
    )
    op.create_index(op.f("ix_plan_class_id"), "plan", ["class_id"], unique=False)
    op.create_index("ix_plan_class_unit", "plan", ["class_id", "unit", "current"], unique=False)
    op.create_table(
        "sitting",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("class_id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("unit", sa.Integer(), nullable=True),
        sa.Column("lesson", sa.Integer(), nullable=True),
        sa.Column("form", sa.String(length=5), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("through", sa.String(length=20), nullable=False),
        sa.Column("items", sa.Text(), nullable=False),
        sa.Column("created", sa.String(length=30), nullable=False),
        sa.ForeignKeyConstraint(
            ["class_id"], ["class.id"], name=op.f("fk_sitting_class_id_class"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sitting")),
    )
    op.create_index(op.f("ix_sitting_class_id"), "sitting", ["class_id"], unique=False)
    op.create_table(
        "student",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("class_id", sa.String(length=32), nullable=False),
        sa.Column("label", sa.String(length=60), nullable=False),
        sa.Column("seat", sa.Integer(), nullable=True),
        sa.Column("hand", sa.String(length=5), nullable=False),
        sa.Column("larger_print", sa.Integer(), nullable=False),
        sa.Column("extra_time", sa.Boolean(), nullable=False),
        sa.Column("joined", sa.String(length=10), nullable=True),
        sa.Column("left", sa.String(length=10), nullable=True),
        sa.CheckConstraint("hand in ('left', 'right')", name=op.f("ck_student_hand")),
        sa.ForeignKeyConstraint(
            ["class_id"], ["class.id"], name=op.f("fk_student_class_id_class"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_student")),
        sa.UniqueConstraint("class_id", "label", name="uq_student_label"),
    )
    op.create_index(op.f("ix_student_class_id"), "student", ["class_id"], unique=False)
    op.create_table(
        "attendance",
        sa.Column("student_id", sa.String(length=32), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("present", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["student_id"],
            ["student.id"],
            name=op.f("fk_attendance_student_id_student"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("student_id", "day", name=op.f("pk_attendance")),
    )
    op.create_index(op.f("ix_attendance_student_id"), "attendance", ["student_id"], unique=False)
    op.create_table(
        "catch_up",
        sa.Column("student_id", sa.String(length=32), nullable=False),
        sa.Column("point", sa.String(length=20), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.ForeignKeyConstraint(
            ["student_id"],
            ["student.id"],
            name=op.f("fk_catch_up_student_id_student"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("student_id", "point", name=op.f("pk_catch_up")),
    )
    op.create_index(op.f("ix_catch_up_student_id"), "catch_up", ["student_id"], unique=False)
    op.create_table(
        "counted",
        sa.Column("student_id", sa.String(length=32), nullable=False),
        sa.Column("sitting_id", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(
            ["sitting_id"],
            ["sitting.id"],
            name=op.f("fk_counted_sitting_id_sitting"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["student_id"],
            ["student.id"],
            name=op.f("fk_counted_student_id_student"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("student_id", "sitting_id", name=op.f("pk_counted")),
    )
    op.create_index(op.f("ix_counted_sitting_id"), "counted", ["sitting_id"], unique=False)
    op.create_index(op.f("ix_counted_student_id"), "counted", ["student_id"], unique=False)
    op.create_table(
        "note",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("student_id", sa.String(length=32), nullable=False),
        sa.Column("point", sa.String(length=20), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["student_id"],
            ["student.id"],
            name=op.f("fk_note_student_id_student"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_note")),
    )
    op.create_index(op.f("ix_note_student_id"), "note", ["student_id"], unique=False)
    op.create_table(
        "response",
        sa.Column("sitting_id", sa.String(length=32), nullable=False),
        sa.Column("student_id", sa.String(length=32), nullable=False),
        sa.Column("item", sa.Integer(), nullable=False),
        sa.Column("written", sa.Text(), nullable=False),
        sa.Column("status", sa.String(length=10), nullable=False),
        sa.Column("channel", sa.String(length=10), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("entered", sa.String(length=30), nullable=False),
        sa.CheckConstraint("channel in ('class', 'home')", name=op.f("ck_response_channel")),
        sa.CheckConstraint(
            "status in ('written', 'blank', 'illegible', 'absent')", name=op.f("ck_response_status")
        ),
        sa.ForeignKeyConstraint(
            ["sitting_id"],
            ["sitting.id"],
            name=op.f("fk_response_sitting_id_sitting"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["student_id"],
            ["student.id"],
            name=op.f("fk_response_student_id_student"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("sitting_id", "student_id", "item", name=op.f("pk_response")),
    )
    op.create_index(op.f("ix_response_sitting_id"), "response", ["sitting_id"], unique=False)
    op.create_index(op.f("ix_response_student_id"), "response", ["student_id"], unique=False)


def downgrade() -> None:
    """There is nothing older: a backup is the way back."""
    raise NotImplementedError("Restore a backup instead.")
