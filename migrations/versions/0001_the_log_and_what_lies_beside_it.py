"""The log and what lies beside it.

Operators: nothing to do but upgrade.

This revision must be compatible with the code that runs while it is applied.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision: str | None = None
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
TIME = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")


def upgrade() -> None:
    _create_log()
    _create_what_lies_beside()
    if op.get_bind().dialect.name == "sqlite":
        _guard_on_sqlite()
    else:
        _guard_on_postgresql()


def _create_log() -> None:
    op.create_table(
        "log_head",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("recorded_at", TIME, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_log_head"),
        sa.CheckConstraint("id = 1", name=op.f("ck_log_head_one_row")),
        sqlite_strict=True,
        postgresql_with={"fillfactor": 10},
    )
    op.execute("INSERT INTO log_head VALUES (1, 0, '1970-01-01T00:00:00.000000Z')")
    op.create_table(
        "event",
        sa.Column("position", WHOLE, autoincrement=False, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("stream", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("type", sa.Text, nullable=False),
        sa.Column("schema", sa.Integer, nullable=False),
        sa.Column("actor", sa.Text, nullable=False),
        sa.Column("occurred_at", TIME, nullable=False),
        sa.Column("recorded_at", TIME, nullable=False),
        sa.Column("bytes", sa.LargeBinary, nullable=False),
        sa.Column("leaf_hash", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_event"),
        sa.UniqueConstraint("id", name="uq_event_id"),
        sa.UniqueConstraint("stream", "version", name="uq_event_stream_version"),
        sa.CheckConstraint("version > 0", name=op.f("ck_event_version")),
        sa.CheckConstraint("length(leaf_hash) = 32", name=op.f("ck_event_leaf_hash")),
        sqlite_strict=True,
    )
    op.create_table(
        "idempotency",
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("command", sa.Text, nullable=False),
        sa.Column("fingerprint", sa.Text, nullable=False),
        sa.Column("stream", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("events", sa.Integer, nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("recorded_at", TIME, nullable=False),
        sa.Column("answer", sa.Text),
        sa.PrimaryKeyConstraint("key", "command", name="pk_idempotency"),
        sqlite_strict=True,
    )


def _create_what_lies_beside() -> None:
    op.create_table(
        "text",
        sa.Column("ref", sa.Text, nullable=False),
        sa.Column("salt", sa.LargeBinary),
        sa.Column("body", sa.Text),
        sa.Column("withheld_at", TIME),
        sa.PrimaryKeyConstraint("ref", name="pk_text"),
        sa.CheckConstraint(
            "(salt IS NULL) = (body IS NULL) AND (body IS NULL) = (withheld_at IS NOT NULL)",
            name=op.f("ck_text_withheld_whole"),
        ),
        sqlite_strict=True,
    )
    op.create_table(
        "rulebook",
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("edition", sa.Text, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_rulebook"),
        sqlite_strict=True,
    )
    op.create_table(
        "person",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("name", sa.Text),
        sa.Column("contact", sa.Text),
        sa.Column("erased_at", TIME),
        sa.PrimaryKeyConstraint("id", name="pk_person"),
        sa.CheckConstraint(
            "(name IS NULL) = (erased_at IS NOT NULL)", name=op.f("ck_person_named_or_erased")
        ),
        sa.CheckConstraint(
            "erased_at IS NULL OR contact IS NULL", name=op.f("ck_person_erased_whole")
        ),
        sqlite_strict=True,
    )
    op.create_table(
        "horse",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("registration", sa.Text),
        sa.PrimaryKeyConstraint("id", name="pk_horse"),
        sqlite_strict=True,
    )
    op.create_table(
        "api_key",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("label", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("show_id", sa.Text),
        sa.Column("seat", sa.Text),
        sa.Column("secret_hash", sa.LargeBinary, nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("revoked_at", TIME),
        sa.PrimaryKeyConstraint("id", name="pk_api_key"),
        sa.CheckConstraint(
            "role <> 'scribe' OR (show_id IS NOT NULL AND seat IS NOT NULL)",
            name=op.f("ck_api_key_scribe_is_bound"),
        ),
        sqlite_strict=True,
    )
    op.create_index("ix_api_key_show_id", "api_key", ["show_id"])


# ENABLE ALWAYS, so that not even session_replication_role = replica gets past them. The statement
# triggers refuse what touches no row; the row triggers fire where a replica applies changes.
POSTGRESQL = """
CREATE FUNCTION log_refuses_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the log only grows: % of % is refused', TG_OP, TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation';
END $$;
CREATE TRIGGER event_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON event
    FOR EACH STATEMENT EXECUTE FUNCTION log_refuses_change();
CREATE TRIGGER event_row_stands BEFORE UPDATE OR DELETE ON event
    FOR EACH ROW EXECUTE FUNCTION log_refuses_change();
CREATE TRIGGER log_head_stays BEFORE DELETE OR TRUNCATE ON log_head
    FOR EACH STATEMENT EXECUTE FUNCTION log_refuses_change();
CREATE TRIGGER log_head_only_advances BEFORE UPDATE ON log_head FOR EACH ROW
    WHEN (NEW.position < OLD.position OR NEW.recorded_at < OLD.recorded_at)
    EXECUTE FUNCTION log_refuses_change();
ALTER TABLE event ENABLE ALWAYS TRIGGER event_only_grows;
ALTER TABLE event ENABLE ALWAYS TRIGGER event_row_stands;
ALTER TABLE log_head ENABLE ALWAYS TRIGGER log_head_stays;
ALTER TABLE log_head ENABLE ALWAYS TRIGGER log_head_only_advances;
"""


def _guard_on_postgresql() -> None:
    op.execute(POSTGRESQL)


# INSERT OR REPLACE deletes the old row without firing the DELETE trigger, so it is refused as an
# insertion. The messages begin with the name of the constraint that would have refused it.
SQLITE = (
    """
    CREATE TRIGGER event_refuses_update BEFORE UPDATE ON event
    BEGIN SELECT RAISE(ABORT, 'the log only grows: UPDATE of event is refused'); END
    """,
    """
    CREATE TRIGGER event_refuses_delete BEFORE DELETE ON event
    BEGIN SELECT RAISE(ABORT, 'the log only grows: DELETE of event is refused'); END
    """,
    """
    CREATE TRIGGER event_refuses_replace BEFORE INSERT ON event
    BEGIN
        SELECT RAISE(ABORT, 'uq_event_id: the log holds an event with this id')
            WHERE EXISTS (SELECT 1 FROM event WHERE id = NEW.id);
        SELECT RAISE(ABORT, 'uq_event_stream_version: the stream has reached this version')
            WHERE EXISTS (
                SELECT 1 FROM event WHERE stream = NEW.stream AND version = NEW.version);
        SELECT RAISE(ABORT, 'pk_event: the log has reached this position')
            WHERE EXISTS (SELECT 1 FROM event WHERE position = NEW.position);
    END
    """,
    """
    CREATE TRIGGER log_head_refuses_delete BEFORE DELETE ON log_head
    BEGIN SELECT RAISE(ABORT, 'the log only grows: DELETE of log_head is refused'); END
    """,
    """
    CREATE TRIGGER log_head_refuses_replace BEFORE INSERT ON log_head
    WHEN EXISTS (SELECT 1 FROM log_head)
    BEGIN SELECT RAISE(ABORT, 'pk_log_head: the log has a head'); END
    """,
    """
    CREATE TRIGGER log_head_only_advances BEFORE UPDATE ON log_head
    WHEN NEW.position < OLD.position OR NEW.recorded_at < OLD.recorded_at
    BEGIN SELECT RAISE(ABORT, 'the log only grows: its head never goes back'); END
    """,
)


def _guard_on_sqlite() -> None:
    for trigger in SQLITE:
        op.execute(trigger)
