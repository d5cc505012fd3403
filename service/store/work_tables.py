"""The tables of the workers: how far each follower is, what was published, what waits to be done.

None of them holds anything that is not in the log, but for the addresses and secrets of
subscribers.
"""

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from service.store.tables import metadata
from service.store.types import UtcTime, Whole

follower = Table(
    "follower",
    metadata,
    Column("name", Text, primary_key=True),
    Column("version", Integer, nullable=False),
    Column("position", Whole, nullable=False),
    Column("moved_at", UtcTime, nullable=False),
    Column("error", Text),
    Column("error_position", Whole),
    Column("error_at", UtcTime),
    CheckConstraint(
        "(error IS NULL) = (error_position IS NULL) AND (error IS NULL) = (error_at IS NULL)",
        name="error_whole",
    ),
    sqlite_strict=True,
)
"""How far each follower of the log has come, and at which event it is stuck, if it is."""

publication = Table(
    "publication",
    metadata,
    Column("class_id", Text, primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("show_id", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("position", Whole, nullable=False),
    Column("document", LargeBinary, nullable=False),
    Column("note", LargeBinary, nullable=False),
    Column("checkpoint", Whole, nullable=False),
    Column("official_at", UtcTime, nullable=False),
    Column("published_at", UtcTime, nullable=False),
    UniqueConstraint("position"),
    CheckConstraint("checkpoint >= position", name="checkpoint_covers"),
    Index(None, "show_id", "position"),
    sqlite_strict=True,
)
"""Every revision of official results that was published; a row is never changed."""

outbox = Table(
    "outbox",
    metadata,
    Column("id", Text, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("key", Text, nullable=False),
    Column("owner", Text),
    Column("payload", Text, nullable=False),
    Column("created_at", UtcTime, nullable=False),
    Column("due_at", UtcTime, nullable=False),
    Column("offered_at", UtcTime),
    Column("attempts", Integer, nullable=False),
    Column("last_error", Text),
    Column("held_at", UtcTime),
    Column("done_at", UtcTime),
    Column("dead_at", UtcTime),
    UniqueConstraint("key"),
    CheckConstraint("done_at IS NULL OR dead_at IS NULL", name="done_or_dead"),
    Index(None, "owner"),
    sqlite_strict=True,
)
"""Work that leaves the database: what is to be done, when next, how often it was tried."""

_WAITING = "done_at IS NULL AND dead_at IS NULL AND held_at IS NULL"
Index(
    "ix_outbox_waiting",
    outbox.c.due_at,
    sqlite_where=text(_WAITING),
    postgresql_where=text(_WAITING),
)
Index(
    "ix_outbox_dead",
    outbox.c.dead_at,
    sqlite_where=outbox.c.dead_at.is_not(None),
    postgresql_where=outbox.c.dead_at.is_not(None),
)

subscriber = Table(
    "subscriber",
    metadata,
    Column("id", Text, primary_key=True),
    Column("label", Text, nullable=False),
    Column("url", Text, nullable=False),
    Column("types", Text, nullable=False),
    Column("show_id", Text),
    Column("key_id", Text),
    Column("created_at", UtcTime, nullable=False),
    Column("failures", Integer, nullable=False),
    Column("failing_since", UtcTime),
    Column("last_error", Text),
    Column("delivered_at", UtcTime),
    Column("paused_at", UtcTime),
    Column("paused_why", Text),
    Column("removed_at", UtcTime),
    CheckConstraint("(paused_at IS NULL) = (paused_why IS NULL)", name="paused_whole"),
    sqlite_strict=True,
)
"""Who is sent a message when something is published, where, and how that has been going."""

subscriber_secret = Table(
    "subscriber_secret",
    metadata,
    Column("subscriber", Text, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("secret", Text, nullable=False),
    Column("created_at", UtcTime, nullable=False),
    Column("expires_at", UtcTime),
    ForeignKeyConstraint(["subscriber"], ["subscriber.id"], name="fk_subscriber_secret_subscriber"),
    sqlite_strict=True,
)
"""What messages to a subscriber are signed with, newest last; kept readable, for signing needs it.
"""

notice = Table(
    "notice",
    metadata,
    Column("id", Text, primary_key=True),
    Column("key", Text, nullable=False),
    Column("type", Text, nullable=False),
    Column("show_id", Text),
    Column("position", Whole, nullable=False),
    Column("body", LargeBinary, nullable=False),
    Column("created_at", UtcTime, nullable=False),
    UniqueConstraint("key"),
    Index(None, "position"),
    sqlite_strict=True,
)
"""Every message there was to send, once, in the bytes that each subscriber is sent."""
