"""Keep what seasons come to: points tables, what results earned, and how standings moved.

Keys of a federation may be bound to it.

Operators: nothing to do beyond the upgrade; a role that serves is granted its rights anew by
`ringfold database upgrade`. Standings appear once a worker of this release has followed the log.

This revision must be compatible with the code that runs while it is applied.
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision: str | None = "0005"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
TIME = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")
VALID_A_WHILE = "valid_until IS NULL OR valid_until > valid_from"


def upgrade() -> None:
    op.add_column("api_key", sa.Column("federation", sa.Text))
    _create_beside_the_log()
    _create_what_was_followed()
    _create_what_was_earned()


def _create_beside_the_log() -> None:
    op.create_table(
        "points_table",
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("edition", sa.Text, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_points_table"),
        sqlite_strict=True,
    )
    op.create_table(
        "registry_turn",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("number", WHOLE, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_registry_turn"),
        sa.CheckConstraint("id = 1", name=op.f("ck_registry_turn_one_row")),
        sqlite_strict=True,
    )
    op.execute("INSERT INTO registry_turn VALUES (1, 0)")


def _create_what_was_followed() -> None:
    op.create_table(
        "season_mark",
        sa.Column("season", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("season", name="pk_season_mark"),
        sqlite_strict=True,
    )
    op.create_table(
        "class_result",
        sa.Column("class_id", sa.Text, nullable=False),
        sa.Column("show_id", sa.Text, nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("document", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("class_id", name="pk_class_result"),
        sqlite_strict=True,
    )
    op.create_index("ix_class_result_show_id", "class_result", ["show_id"])
    op.create_table(
        "class_result_member",
        sa.Column("member", sa.Text, nullable=False),
        sa.Column("class_id", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("member", "class_id", name="pk_class_result_member"),
        sqlite_strict=True,
    )
    op.create_index("ix_class_result_member_class_id", "class_result_member", ["class_id"])


def _create_what_was_earned() -> None:
    op.create_table(
        "season_award",
        sa.Column("season", sa.Text, nullable=False),
        sa.Column("award", sa.Text, nullable=False),
        sa.Column("valid_from", WHOLE, autoincrement=False, nullable=False),
        sa.Column("valid_until", WHOLE),
        sa.Column("rules", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("season", "award", "valid_from", name="pk_season_award"),
        sa.CheckConstraint(VALID_A_WHILE, name=op.f("ck_season_award_valid_a_while")),
        sqlite_strict=True,
    )
    line = ("season", "award", "class_id", "division", "seat", "entry")
    op.create_table(
        "earned_line",
        *(sa.Column(name, sa.Text, nullable=False) for name in line),
        sa.Column("valid_from", WHOLE, autoincrement=False, nullable=False),
        sa.Column("valid_until", WHOLE),
        sa.Column("line", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint(*line, "valid_from", name="pk_earned_line"),
        sa.CheckConstraint(VALID_A_WHILE, name=op.f("ck_earned_line_valid_a_while")),
        sqlite_strict=True,
    )
    op.create_table(
        "standing_turn",
        sa.Column("season", sa.Text, nullable=False),
        sa.Column("award", sa.Text, nullable=False),
        sa.Column("position", WHOLE, autoincrement=False, nullable=False),
        sa.Column("recorded_at", TIME, nullable=False),
        sa.Column("opened", sa.Integer, nullable=False),
        sa.Column("closed", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("season", "award", "position", name="pk_standing_turn"),
        sqlite_strict=True,
    )
    op.create_index("ix_standing_turn_season_position", "standing_turn", ["season", "position"])
