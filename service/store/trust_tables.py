"""The tables of what proves the log: the tree over it, its checkpoints, the keys that sign."""

from sqlalchemy import CheckConstraint, Column, Integer, LargeBinary, Table, Text

from service.store.tables import metadata
from service.store.types import UtcTime, Whole

merkle_node = Table(
    "merkle_node",
    metadata,
    Column("level", Integer, primary_key=True, autoincrement=False),
    Column("nth", Whole, primary_key=True, autoincrement=False),
    Column("hash", LargeBinary, nullable=False),
    CheckConstraint("level > 0", name="level"),
    CheckConstraint("length(hash) = 32", name="hash"),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)
"""The complete nodes of the tree above its leaves, whose hashes stand beside their events."""

tree_head = Table(
    "tree_head",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("size", Whole, nullable=False),
    CheckConstraint("id = 1", name="one_row"),
    sqlite_strict=True,
)
"""One row: how many events the tree stands over. Whoever grows it, or signs, holds its lock."""

checkpoint = Table(
    "checkpoint",
    metadata,
    Column("origin", Text, primary_key=True),
    Column("size", Whole, primary_key=True, autoincrement=False),
    Column("root", LargeBinary, nullable=False),
    Column("note", LargeBinary, nullable=False),
    Column("signed_at", UtcTime, nullable=False),
    CheckConstraint("length(root) = 32", name="root"),
    sqlite_strict=True,
)
"""Every checkpoint that was signed; a row is never changed."""

signing_key = Table(
    "signing_key",
    metadata,
    Column("origin", Text, primary_key=True),
    Column("id", Text, primary_key=True),
    Column("verifier", Text, nullable=False),
    Column("made_at", UtcTime, nullable=False),
    Column("retired_at", UtcTime),
    sqlite_strict=True,
)
"""The public half of every key that ever signed for a log, so that what it signed stays good."""
