"""The public halves of the keys that sign for a log, with the times they came and went."""

from datetime import datetime

import msgspec
from sqlalchemy import insert, select, update

from service.store.engine import Database
from service.store.trust_tables import signing_key


class KeptKey(msgspec.Struct, frozen=True, kw_only=True):
    """A key that signs, or once signed, for the log of that origin.

    ``verifier`` is its C2SP verifier key in one line, ``id`` the eight hexadecimal digits in it.
    """

    origin: str
    id: str
    verifier: str
    made_at: datetime
    retired_at: datetime | None = None

    @property
    def in_force(self) -> bool:
        """Whether it still signs."""
        return self.retired_at is None


def add(database: Database, key: KeptKey) -> None:
    """Keep a new key."""
    with database.writing() as connection:
        connection.execute(insert(signing_key), msgspec.structs.asdict(key))


def retire(database: Database, origin: str, identifier: str, *, now: datetime) -> bool:
    """Let a key of a log sign no more; whether it did until now."""
    with database.writing() as connection:
        changed = connection.execute(
            update(signing_key)
            .where(signing_key.c.origin == origin, signing_key.c.id == identifier)
            .where(signing_key.c.retired_at.is_(None))
            .values(retired_at=now)
        )
        return changed.rowcount == 1


def of_log(database: Database, origin: str) -> tuple[KeptKey, ...]:
    """Every key that ever signed for a log, oldest first."""
    wanted = select(signing_key).where(signing_key.c.origin == origin)
    with database.reading() as connection:
        rows = connection.execute(wanted.order_by(signing_key.c.made_at, signing_key.c.id)).all()
    return tuple(KeptKey(**row._asdict()) for row in rows)
