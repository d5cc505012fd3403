"""Find where streams begin without reading the whole log.

Operators: nothing to do but upgrade.

This revision must be compatible with the code that runs while it is applied.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision: str | None = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index(
        "ix_event_beginning",
        "event",
        ["position"],
        sqlite_where=sa.text("version = 1"),
        postgresql_where=sa.text("version = 1"),
    )
