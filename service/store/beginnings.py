"""Where streams begin: the first event of each, in the order of the log."""

from sqlalchemy import bindparam, select

from events.envelope import RecordedEvent
from service.store.log import Log
from service.store.tables import event

_BEGINNINGS = (
    select(event.c.bytes, event.c.position)
    .where(event.c.version == 1, event.c.position > bindparam("after"))
    .order_by(event.c.position)
    .limit(bindparam("limit"))
)


def beginnings(log: Log, after: int, limit: int) -> tuple[RecordedEvent, ...]:
    """The first events of the streams that began beyond a position, in order."""
    with log.database.reading() as connection:
        rows = connection.execute(_BEGINNINGS, {"after": after, "limit": limit}).all()
    return tuple(log.codec.decode(raw, position) for raw, position in rows)
