"""Keep what entries are checked by: dates of birth, levels, memberships, foaling, sex.

Operators: nothing to do beyond the upgrade; a role that serves is granted its rights anew by
`ringfold database upgrade`.

This revision must be compatible with the code that runs while it is applied.
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision: str | None = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for whose in ("person", "horse"):
        op.create_table(
            f"{whose}_facts",
            sa.Column("id", sa.Text, nullable=False),
            sa.Column("facts", sa.LargeBinary, nullable=False),
            sa.PrimaryKeyConstraint("id", name=f"pk_{whose}_facts"),
            sqlite_strict=True,
        )
