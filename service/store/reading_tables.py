"""Who read the results of a class while a card of theirs was still open."""

from sqlalchemy import Column, Integer, Table, Text

from service.store.tables import metadata
from service.store.types import UtcTime, Whole

reading = Table(
    "reading",
    metadata,
    Column("id", Whole, primary_key=True, autoincrement=True),
    Column("class_id", Text, nullable=False, index=True),
    Column("seat", Text, nullable=False),
    Column("key_id", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("read_at", UtcTime, nullable=False),
    sqlite_strict=True,
)
"""Kept for the audit only: no result depends on it."""
