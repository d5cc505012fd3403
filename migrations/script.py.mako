"""${message.capitalize()}.

Operators: (say here what an upgrade asks of them: nothing, or what to rebuild.)

This revision must be compatible with the code that still runs while it is applied: add first,
and remove in a later release. On PostgreSQL it gives up after waiting 4 s for a lock or working
5 s on one statement, so that it never holds up a show; what needs longer is done in small steps.
The event table is never altered in SQLite's batch mode, which would lose its triggers.
There is no way down: a log is never taken apart.
"""

import sqlalchemy as sa
from alembic import op

revision = ${repr(up_revision)}
down_revision: str | None = ${repr(down_revision)}
branch_labels = ${repr(branch_labels)}
depends_on = ${repr(depends_on)}


def upgrade() -> None:
    ${upgrades if upgrades else "pass"}
