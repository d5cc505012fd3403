"""Who is sent messages: where, about what, signed with which secrets, and how that has been going.

Secrets are kept readable, because a message is signed with them; nobody is shown one twice.
"""

import base64
import json
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import msgspec
from sqlalchemy import Connection, Row, delete, func, insert, literal, or_, select, update

from service.store import followers, outbox
from service.store.engine import Database
from service.store.types import UtcTime
from service.store.work_tables import subscriber, subscriber_secret

SECRET_MARK = "whsec_"  # noqa: S105 - how the specification marks a secret, and none itself
SECRET_BYTES = 32
LONGEST_ERROR = 500


class Subscriber(msgspec.Struct, frozen=True, kw_only=True):
    """Somebody who is sent messages of certain ``types``, all when none is named.

    ``show_id`` bounds them to one show. ``failures`` counts attempts in a row that failed, since
    ``failing_since``. While it is paused, messages are kept for it and none is sent.
    """

    id: str
    label: str
    url: str
    types: tuple[str, ...]
    show_id: str | None
    key_id: str | None
    created_at: datetime
    failures: int = 0
    failing_since: datetime | None = None
    last_error: str | None = None
    delivered_at: datetime | None = None
    paused_at: datetime | None = None
    paused_why: str | None = None

    def wants(self, type_: str, show_id: str | None) -> bool:
        """Whether a message of that type, about that show or about none, is for it."""
        return (not self.types or type_ in self.types) and self.show_id in {None, show_id}


def add(connection: Connection, added: Subscriber) -> str:
    """Take a subscriber in from here on; the secret to check messages with.

    From here on: every follower stands still until the transaction ends, so whatever it has not
    handled by then will be announced to the subscriber, and nothing that it has.
    """
    followers.lock_every(connection)
    row = msgspec.structs.asdict(added) | {"types": json.dumps(added.types)}
    connection.execute(insert(subscriber).values(row))
    return _new_secret(connection, added.id, added.created_at)


def in_force(connection: Connection, *, lock: bool = False) -> tuple[Subscriber, ...]:
    """Everybody who was not removed, paused or not, oldest first; kept so where that is asked."""
    wanted = select(subscriber).where(subscriber.c.removed_at.is_(None))
    wanted = wanted.order_by(subscriber.c.created_at, subscriber.c.id)
    rows = connection.execute(wanted.with_for_update() if lock else wanted)
    return tuple(map(_subscriber, rows))


def listed(database: Database) -> tuple[Subscriber, ...]:
    """The same, on a connection of its own."""
    with database.reading() as connection:
        return in_force(connection)


def find(connection: Connection, identifier: str, *, lock: bool = False) -> Subscriber | None:
    """The subscriber with an id, unless it was removed; kept from changing where that is asked."""
    wanted = select(subscriber).where(
        subscriber.c.id == identifier, subscriber.c.removed_at.is_(None)
    )
    row = connection.execute(wanted.with_for_update() if lock else wanted).one_or_none()
    return None if row is None else _subscriber(row)


def change(
    connection: Connection, identifier: str, *, url: str, label: str, types: Sequence[str]
) -> None:
    """Send to another address, or about other things, from the next attempt on."""
    _set(connection, identifier, url=url, label=label, types=json.dumps(types))


def rotate_secret(
    connection: Connection, identifier: str, *, now: datetime, overlap: timedelta
) -> str:
    """A new secret to sign with; the ones before sign too until the overlap is over."""
    secret = subscriber_secret.c
    connection.execute(
        update(subscriber_secret)
        .where(secret.subscriber == identifier, secret.expires_at.is_(None))
        .values(expires_at=now + overlap)
    )
    return _new_secret(connection, identifier, now)


def signing_secrets(connection: Connection, identifier: str, *, now: datetime) -> tuple[str, ...]:
    """The secrets that a message is signed with now, the newest first."""
    secret = subscriber_secret.c
    in_use = or_(secret.expires_at.is_(None), secret.expires_at > now)
    wanted = select(secret.secret).where(secret.subscriber == identifier, in_use)
    return tuple(connection.scalars(wanted.order_by(secret.number.desc())))


def pause(connection: Connection, identifier: str, why: str, *, now: datetime) -> None:
    """Send nothing until it is resumed, and keep what there would be to send."""
    _set(connection, identifier, paused_at=now, paused_why=why)
    outbox.hold(connection, identifier, now=now)


def resume(connection: Connection, identifier: str, *, now: datetime) -> int:
    """Send again, and first of all what was kept or given up meanwhile; how much that is."""
    _set(connection, identifier, paused_at=None, paused_why=None, failures=0, failing_since=None)
    return outbox.release(connection, identifier, now=now)


def remove(connection: Connection, identifier: str, *, now: datetime) -> None:
    """Send nothing any more, and forget the secrets and what was still to be sent."""
    _set(connection, identifier, removed_at=now)
    outbox.take_back(connection, identifier)
    connection.execute(
        delete(subscriber_secret).where(subscriber_secret.c.subscriber == identifier)
    )


def record_delivery(connection: Connection, identifier: str, *, now: datetime) -> None:
    """A message has reached it."""
    _set(connection, identifier, failures=0, failing_since=None, last_error=None, delivered_at=now)


def record_failure(connection: Connection, identifier: str, error: str, *, now: datetime) -> None:
    """A message has not reached it."""
    _set(
        connection,
        identifier,
        failures=subscriber.c.failures + 1,
        failing_since=func.coalesce(subscriber.c.failing_since, literal(now, UtcTime())),
        last_error=error[:LONGEST_ERROR],
    )


def forget_expired_secrets(database: Database, *, now: datetime) -> int:
    """Remove the secrets that nothing is signed with any more; how many."""
    expired = delete(subscriber_secret).where(subscriber_secret.c.expires_at <= now)
    with database.writing() as connection:
        return connection.execute(expired).rowcount


def _new_secret(connection: Connection, identifier: str, now: datetime) -> str:
    number = select(func.coalesce(func.max(subscriber_secret.c.number), 0) + 1)
    encoded = base64.b64encode(secrets.token_bytes(SECRET_BYTES)).decode()
    secret = f"{SECRET_MARK}{encoded}"
    connection.execute(
        insert(subscriber_secret).values(
            subscriber=identifier,
            number=number.where(subscriber_secret.c.subscriber == identifier).scalar_subquery(),
            secret=secret,
            created_at=now,
        )
    )
    return secret


def _set(connection: Connection, identifier: str, **values: object) -> None:
    connection.execute(update(subscriber).where(subscriber.c.id == identifier).values(values))


def _subscriber(row: Row[Any]) -> Subscriber:
    kept = row._asdict()
    del kept["removed_at"]
    return Subscriber(**kept | {"types": tuple(json.loads(kept["types"]))})
