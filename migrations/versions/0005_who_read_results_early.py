"""Keep who read the results of a class while a card of theirs was still open.

Operators: nothing to do beyond the upgrade; a role that serves is granted its rights anew by
`ringfold database upgrade`.

This revision must be compatible with the code that runs while it is applied.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision: str | None = "0004"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
TIME = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "reading",
        sa.Column("id", WHOLE, autoincrement=True, nullable=False),
        sa.Column("class_id", sa.Text, nullable=False),
        sa.Column("seat", sa.Text, nullable=False),
        sa.Column("key_id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("read_at", TIME, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_reading"),
        sqlite_strict=True,
    )
    op.create_index("ix_reading_class_id", "reading", ["class_id"])
