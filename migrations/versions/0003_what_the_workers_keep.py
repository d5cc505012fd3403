"""Keep what the workers do: followers, publications, the outbox, subscribers and their notices.

Operators: nothing to do but upgrade; where the application has a role of its own, grant it its
rights again.

This revision must be compatible with the code that runs while it is applied.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision: str | None = "0002"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
TIME = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")
WAITING = "done_at IS NULL AND dead_at IS NULL AND held_at IS NULL"


def upgrade() -> None:
    _create_follower()
    _create_publication()
    _create_outbox()
    _create_subscriber()
    _create_notice()
    for statement in SQLITE if op.get_bind().dialect.name == "sqlite" else [POSTGRESQL]:
        op.execute(statement)


def _create_follower() -> None:
    op.create_table(
        "follower",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("moved_at", TIME, nullable=False),
        sa.Column("error", sa.Text),
        sa.Column("error_position", WHOLE),
        sa.Column("error_at", TIME),
        sa.PrimaryKeyConstraint("name", name="pk_follower"),
        sa.CheckConstraint(
            "(error IS NULL) = (error_position IS NULL) AND (error IS NULL) = (error_at IS NULL)",
            name=op.f("ck_follower_error_whole"),
        ),
        sqlite_strict=True,
    )


def _create_publication() -> None:
    op.create_table(
        "publication",
        sa.Column("class_id", sa.Text, nullable=False),
        sa.Column("revision", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("show_id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("document", sa.LargeBinary, nullable=False),
        sa.Column("note", sa.LargeBinary, nullable=False),
        sa.Column("checkpoint", WHOLE, nullable=False),
        sa.Column("official_at", TIME, nullable=False),
        sa.Column("published_at", TIME, nullable=False),
        sa.PrimaryKeyConstraint("class_id", "revision", name="pk_publication"),
        sa.UniqueConstraint("position", name="uq_publication_position"),
        sa.CheckConstraint("checkpoint >= position", name=op.f("ck_publication_checkpoint_covers")),
        sqlite_strict=True,
    )
    op.create_index("ix_publication_show_id_position", "publication", ["show_id", "position"])


def _create_outbox() -> None:
    op.create_table(
        "outbox",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("owner", sa.Text),
        sa.Column("payload", sa.Text, nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("due_at", TIME, nullable=False),
        sa.Column("offered_at", TIME),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("last_error", sa.Text),
        sa.Column("held_at", TIME),
        sa.Column("done_at", TIME),
        sa.Column("dead_at", TIME),
        sa.PrimaryKeyConstraint("id", name="pk_outbox"),
        sa.UniqueConstraint("key", name="uq_outbox_key"),
        sa.CheckConstraint(
            "done_at IS NULL OR dead_at IS NULL", name=op.f("ck_outbox_done_or_dead")
        ),
        sqlite_strict=True,
    )
    op.create_index("ix_outbox_owner", "outbox", ["owner"])
    for name, column, where in (
        ("ix_outbox_waiting", "due_at", WAITING),
        ("ix_outbox_dead", "dead_at", "dead_at IS NOT NULL"),
    ):
        only = sa.text(where)
        op.create_index(name, "outbox", [column], sqlite_where=only, postgresql_where=only)


def _create_subscriber() -> None:
    op.create_table(
        "subscriber",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("label", sa.Text, nullable=False),
        sa.Column("url", sa.Text, nullable=False),
        sa.Column("types", sa.Text, nullable=False),
        sa.Column("show_id", sa.Text),
        sa.Column("key_id", sa.Text),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("failures", sa.Integer, nullable=False),
        sa.Column("failing_since", TIME),
        sa.Column("last_error", sa.Text),
        sa.Column("delivered_at", TIME),
        sa.Column("paused_at", TIME),
        sa.Column("paused_why", sa.Text),
        sa.Column("removed_at", TIME),
        sa.PrimaryKeyConstraint("id", name="pk_subscriber"),
        sa.CheckConstraint(
            "(paused_at IS NULL) = (paused_why IS NULL)", name=op.f("ck_subscriber_paused_whole")
        ),
        sqlite_strict=True,
    )
    op.create_table(
        "subscriber_secret",
        sa.Column("subscriber", sa.Text, nullable=False),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("secret", sa.Text, nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("expires_at", TIME),
        sa.PrimaryKeyConstraint("subscriber", "number", name="pk_subscriber_secret"),
        sa.ForeignKeyConstraint(
            ["subscriber"], ["subscriber.id"], name="fk_subscriber_secret_subscriber"
        ),
        sqlite_strict=True,
    )


def _create_notice() -> None:
    op.create_table(
        "notice",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("type", sa.Text, nullable=False),
        sa.Column("show_id", sa.Text),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_notice"),
        sa.UniqueConstraint("key", name="uq_notice_key"),
        sqlite_strict=True,
    )
    op.create_index("ix_notice_position", "notice", ["position"])


# As the log itself: what was published stands, whoever asks.
POSTGRESQL = """
CREATE TRIGGER publication_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON publication
    FOR EACH STATEMENT EXECUTE FUNCTION log_refuses_change();
CREATE TRIGGER publication_row_stands BEFORE UPDATE OR DELETE ON publication
    FOR EACH ROW EXECUTE FUNCTION log_refuses_change();
ALTER TABLE publication ENABLE ALWAYS TRIGGER publication_only_grows;
ALTER TABLE publication ENABLE ALWAYS TRIGGER publication_row_stands;
"""
SQLITE = (
    """
    CREATE TRIGGER publication_refuses_update BEFORE UPDATE ON publication
    BEGIN SELECT RAISE(ABORT, 'what was published stands: UPDATE is refused'); END
    """,
    """
    CREATE TRIGGER publication_refuses_delete BEFORE DELETE ON publication
    BEGIN SELECT RAISE(ABORT, 'what was published stands: DELETE is refused'); END
    """,
    """
    CREATE TRIGGER publication_refuses_replace BEFORE INSERT ON publication
    BEGIN
        SELECT RAISE(ABORT, 'pk_publication: this revision was published')
            WHERE EXISTS (
                SELECT 1 FROM publication
                WHERE class_id = NEW.class_id AND revision = NEW.revision);
        SELECT RAISE(ABORT, 'uq_publication_position: this event was published')
            WHERE EXISTS (SELECT 1 FROM publication WHERE position = NEW.position);
    END
    """,
)
