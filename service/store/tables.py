"""The tables as this release expects them; migrations make them so."""

from sqlalchemy import (
    CheckConstraint,
    Column,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

from service.store.types import UtcTime, Whole

metadata = MetaData(
    naming_convention={
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    }
)

log_head = Table(
    "log_head",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("position", Whole, nullable=False),
    Column("recorded_at", UtcTime, nullable=False),
    CheckConstraint("id = 1", name="one_row"),
    sqlite_strict=True,
    postgresql_with={"fillfactor": 10},  # so that its one row is always updated in place
)
"""One row: the last position that was given out, and when. Whoever appends holds its lock."""

event = Table(
    "event",
    metadata,
    Column("position", Whole, primary_key=True, autoincrement=False),
    Column("id", Text, nullable=False),
    Column("stream", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("type", Text, nullable=False),
    Column("schema", Integer, nullable=False),
    Column("actor", Text, nullable=False),
    Column("occurred_at", UtcTime, nullable=False),
    Column("recorded_at", UtcTime, nullable=False),
    Column("bytes", LargeBinary, nullable=False),
    Column("leaf_hash", LargeBinary, nullable=False),
    UniqueConstraint("id"),
    UniqueConstraint("stream", "version"),
    CheckConstraint("version > 0", name="version"),
    CheckConstraint("length(leaf_hash) = 32", name="leaf_hash"),
    sqlite_strict=True,
)
"""The log. ``bytes`` is the event itself; the other columns repeat parts of it for queries."""

Index(
    "ix_event_beginning",
    event.c.position,
    sqlite_where=event.c.version == 1,
    postgresql_where=event.c.version == 1,
)

idempotency = Table(
    "idempotency",
    metadata,
    Column("key", Text, primary_key=True),
    Column("command", Text, primary_key=True),
    Column("fingerprint", Text, nullable=False),
    Column("stream", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("events", Integer, nullable=False),
    Column("position", Whole, nullable=False),
    Column("recorded_at", UtcTime, nullable=False),
    Column("answer", Text),
    sqlite_strict=True,
)
"""What each command led to, by the key that sent it; written with the events themselves."""

text = Table(
    "text",
    metadata,
    Column("ref", Text, primary_key=True),
    Column("salt", LargeBinary),
    Column("body", Text),
    Column("withheld_at", UtcTime),
    CheckConstraint(
        "(salt IS NULL) = (body IS NULL) AND (body IS NULL) = (withheld_at IS NOT NULL)",
        name="withheld_whole",
    ),
    sqlite_strict=True,
)
"""Free text beside the log, under its salted digest."""

rulebook = Table(
    "rulebook",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("id", Text, nullable=False),
    Column("edition", Text, nullable=False),
    Column("content", LargeBinary, nullable=False),
    sqlite_strict=True,
)
"""Every rule book that a class was ever held to, once under its digest."""

person = Table(
    "person",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text),
    Column("contact", Text),
    Column("erased_at", UtcTime),
    CheckConstraint("(name IS NULL) = (erased_at IS NOT NULL)", name="named_or_erased"),
    CheckConstraint("erased_at IS NULL OR contact IS NULL", name="erased_whole"),
    sqlite_strict=True,
)
"""People's names and contacts, which can be corrected and erased as the log cannot."""

horse = Table(
    "horse",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("registration", Text),
    sqlite_strict=True,
)
"""Horses' names, and the number that a breed's registry knows them by."""

person_facts = Table(
    "person_facts",
    metadata,
    Column("id", Text, primary_key=True),
    Column("facts", LargeBinary, nullable=False),
    sqlite_strict=True,
)
"""What entries of a person are checked by (``RiderFacts``); the row goes when the person does."""

horse_facts = Table(
    "horse_facts",
    metadata,
    Column("id", Text, primary_key=True),
    Column("facts", LargeBinary, nullable=False),
    sqlite_strict=True,
)
"""What entries of a horse are checked by (``HorseFacts``)."""

api_key = Table(
    "api_key",
    metadata,
    Column("id", Text, primary_key=True),
    Column("label", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("show_id", Text),
    Column("seat", Text),
    Column("secret_hash", LargeBinary, nullable=False),
    Column("created_at", UtcTime, nullable=False),
    Column("revoked_at", UtcTime),
    Column("federation", Text),
    CheckConstraint(
        "role <> 'scribe' OR (show_id IS NOT NULL AND seat IS NOT NULL)", name="scribe_is_bound"
    ),
    Index(None, "show_id"),
    sqlite_strict=True,
)
"""Keys of the HTTP interface; of the secret only a hash is kept."""
