"""Messages to subscribers: each is written once, and handed to everybody who asked for its kind.

They are written by followers, in the transaction that makes them true.
"""

import json
from collections.abc import Iterator, Mapping
from datetime import datetime

import msgspec
from sqlalchemy import Connection, select

from events.codec import time_text
from service.store import outbox
from service.store.ids import new_id
from service.store.subscribers import Subscriber, in_force
from service.store.work_tables import notice

KIND = "webhook"
"""The kind of the work that sending a message is."""

PUBLISHED = "result.published"
CORRECTED = "result.corrected"
TYPES: Mapping[str, str] = {
    PUBLISHED: "Results of a class became official for the first time.",
    CORRECTED: "Results of a class became official again: a further revision.",
}
"""Everything that subscribers can be told about."""

_encode = msgspec.json.Encoder(order="sorted").encode


class Notice(msgspec.Struct, frozen=True, kw_only=True):
    """A message; ``body`` are the bytes that everybody is sent, ``position`` that of its event."""

    id: str
    type: str
    show_id: str | None
    position: int
    body: bytes


class Errand(msgspec.Struct, frozen=True, kw_only=True):
    """Which message is to be sent to whom."""

    subscriber: str
    notice: str

    def text(self) -> str:
        """The errand as the outbox keeps it."""
        return json.dumps(msgspec.structs.asdict(self), sort_keys=True)


def announce(
    connection: Connection,
    *,
    about: str,
    key: str,
    position: int,
    happened_at: datetime,
    data: Mapping[str, object],
    now: datetime,
    show_id: str | None = None,
) -> None:
    """Write a message about one of ``TYPES``, and the work of sending it to whoever asked for it.

    It is written once for each key. The body holds ``type``, ``timestamp`` (when it happened) and
    ``data``, as the Standard Webhooks specification advises.
    """
    if connection.scalar(select(notice.c.id).where(notice.c.key == key)) is not None:
        return
    body = {"type": about, "timestamp": time_text(happened_at), "data": data}
    added = Notice(
        id=f"msg_{new_id()}", type=about, show_id=show_id, position=position, body=_encode(body)
    )
    row = {**msgspec.structs.asdict(added), "key": key, "created_at": now}
    connection.execute(notice.insert().values(row))
    for subscriber in in_force(connection, lock=True):  # so that none is paused unseen meanwhile
        if subscriber.wants(added.type, added.show_id):
            send(connection, subscriber, added, now=now)


def send(
    connection: Connection, to: Subscriber, what: Notice, *, now: datetime, again: str = ""
) -> None:
    """Ask for a message to be sent; ``again`` tells a further sending from the first."""
    outbox.put(
        connection,
        kind=KIND,
        key=f"{KIND}/{to.id}/{what.id}{again}",
        owner=to.id,
        payload=Errand(subscriber=to.id, notice=what.id).text(),
        held=to.paused_at is not None,
        now=now,
    )


def send_since(connection: Connection, to: Subscriber, after: int, *, now: datetime) -> int:
    """Send everything again that a subscriber wants of the events beyond a position; how much.

    A message that still waits to be sent is not sent twice.
    """
    waiting = {
        msgspec.json.decode(payload, type=Errand).notice
        for payload in outbox.undone_payloads(connection, to.id)
    }
    again = f"/{new_id()}"
    sent = 0
    for each in _since(connection, after):
        if to.wants(each.type, each.show_id) and each.id not in waiting:
            send(connection, to, each, now=now, again=again)
            sent += 1
    return sent


def find(connection: Connection, identifier: str) -> Notice | None:
    """The message with an id."""
    row = connection.execute(_COLUMNS.where(notice.c.id == identifier)).one_or_none()
    return None if row is None else Notice(**row._asdict())


_COLUMNS = select(*notice.c["id", "type", "show_id", "position", "body"])


def _since(connection: Connection, after: int) -> Iterator[Notice]:
    wanted = _COLUMNS.where(notice.c.position > after).order_by(notice.c.position, notice.c.id)
    for row in connection.execute(wanted).all():
        yield Notice(**row._asdict())
