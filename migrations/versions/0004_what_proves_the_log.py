"""Keep what proves the log: the tree over it, its checkpoints, the keys that sign.

Operators: name a folder for the signing keys in RINGFOLD_KEYS_DIR (beside a SQLite file it has a
default), keep it out of the database's backups, and give the log a name in RINGFOLD_ORIGIN. Then
`ringfold signing-key make`. A role that serves is granted its rights anew by
`ringfold database upgrade`.

This revision must be compatible with the code that runs while it is applied.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision: str | None = "0003"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
TIME = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")


def upgrade() -> None:
    _create_tree()
    _create_checkpoints_and_keys()
    if op.get_bind().dialect.name == "sqlite":
        for trigger in SQLITE:
            op.execute(trigger)
    else:
        op.execute(POSTGRESQL)


def _create_tree() -> None:
    op.create_table(
        "merkle_node",
        sa.Column("level", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("nth", WHOLE, autoincrement=False, nullable=False),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("level", "nth", name="pk_merkle_node"),
        sa.CheckConstraint("level > 0", name=op.f("ck_merkle_node_level")),
        sa.CheckConstraint("length(hash) = 32", name=op.f("ck_merkle_node_hash")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "tree_head",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("size", WHOLE, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_tree_head"),
        sa.CheckConstraint("id = 1", name=op.f("ck_tree_head_one_row")),
        sqlite_strict=True,
    )
    op.execute("INSERT INTO tree_head VALUES (1, 0)")


def _create_checkpoints_and_keys() -> None:
    op.create_table(
        "checkpoint",
        sa.Column("origin", sa.Text, nullable=False),
        sa.Column("size", WHOLE, autoincrement=False, nullable=False),
        sa.Column("root", sa.LargeBinary, nullable=False),
        sa.Column("note", sa.LargeBinary, nullable=False),
        sa.Column("signed_at", TIME, nullable=False),
        sa.PrimaryKeyConstraint("origin", "size", name="pk_checkpoint"),
        sa.CheckConstraint("length(root) = 32", name=op.f("ck_checkpoint_root")),
        sqlite_strict=True,
    )
    op.create_table(
        "signing_key",
        sa.Column("origin", sa.Text, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("verifier", sa.Text, nullable=False),
        sa.Column("made_at", TIME, nullable=False),
        sa.Column("retired_at", TIME),
        sa.PrimaryKeyConstraint("origin", "id", name="pk_signing_key"),
        sqlite_strict=True,
    )


# As the log itself: what was signed stands, whoever asks.
POSTGRESQL = """
CREATE TRIGGER checkpoint_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON checkpoint
    FOR EACH STATEMENT EXECUTE FUNCTION log_refuses_change();
CREATE TRIGGER checkpoint_row_stands BEFORE UPDATE OR DELETE ON checkpoint
    FOR EACH ROW EXECUTE FUNCTION log_refuses_change();
ALTER TABLE checkpoint ENABLE ALWAYS TRIGGER checkpoint_only_grows;
ALTER TABLE checkpoint ENABLE ALWAYS TRIGGER checkpoint_row_stands;
"""
SQLITE = (
    """
    CREATE TRIGGER checkpoint_refuses_update BEFORE UPDATE ON checkpoint
    BEGIN SELECT RAISE(ABORT, 'what was signed stands: UPDATE is refused'); END
    """,
    """
    CREATE TRIGGER checkpoint_refuses_delete BEFORE DELETE ON checkpoint
    BEGIN SELECT RAISE(ABORT, 'what was signed stands: DELETE is refused'); END
    """,
    """
    CREATE TRIGGER checkpoint_refuses_replace BEFORE INSERT ON checkpoint
    WHEN EXISTS (SELECT 1 FROM checkpoint WHERE origin = NEW.origin AND size = NEW.size)
    BEGIN SELECT RAISE(ABORT, 'pk_checkpoint: this checkpoint was signed'); END
    """,
)
