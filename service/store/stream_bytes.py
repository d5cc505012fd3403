"""A stream as the very bytes that are stored, hashed and proved."""

from typing import NamedTuple

from sqlalchemy import bindparam, select

from service.store.log import Log
from service.store.tables import event

_STREAM = (
    select(event.c.position, event.c.bytes)
    .where(event.c.stream == bindparam("stream"))
    .order_by(event.c.version)
)


class StoredEvent(NamedTuple):
    """An event's canonical bytes, and its position in the log."""

    position: int
    bytes: bytes


def stream_bytes(log: Log, stream: str) -> tuple[StoredEvent, ...]:
    """Every event of a stream, in order."""
    return tuple(StoredEvent(*row) for row in log.rows(_STREAM, {"stream": stream}))
