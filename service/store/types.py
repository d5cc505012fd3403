"""Column types that mean the same on both databases."""

from datetime import UTC, datetime

from sqlalchemy import BigInteger, DateTime, Dialect, Integer, Text
from sqlalchemy.types import TypeDecorator, TypeEngine

from events.codec import time_text

Whole = BigInteger().with_variant(Integer(), "sqlite")
"""A whole number of 64 bits; SQLite's strict tables know it as INTEGER."""


class UtcTime(TypeDecorator[datetime]):
    """An aware time, kept to the microsecond; SQLite keeps the text that sorts as the time does."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[object]:
        """The type that the database itself has for it."""
        return dialect.type_descriptor(Text() if dialect.name == "sqlite" else self.impl_instance)

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | str | None:
        """The value as it is stored."""
        return time_text(value) if value and dialect.name == "sqlite" else value

    def process_result_value(
        self, value: datetime | str | None, dialect: Dialect
    ) -> datetime | None:
        """The value as it is read, in UTC."""
        del dialect
        moment = datetime.fromisoformat(value) if isinstance(value, str) else value
        return moment and moment.astimezone(UTC)
