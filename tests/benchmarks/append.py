"""Appending through the store against the same statement by hand in psycopg.

Both write one judge's mark a transaction: the event with its canonical bytes and leaf hash, the
head row, and the record of the command. By hand everything is made ready beforehand; the store
encodes, checks and reads back as it always does. Run with ``python -m tests.benchmarks.append``.
"""

import itertools
import statistics
import uuid
from collections.abc import Callable
from datetime import UTC, datetime

import psycopg
from sqlalchemy import make_url

from events.codec import time_text
from events.envelope import Actor, NewEvent
from events.judged_class.events import MarkGiven
from service.store import migrate
from service.store.batch import CommandRecord
from service.store.engine import Database
from service.store.ids import new_id
from service.store.log import Log
from service.store.postgresql import statement
from tests import services
from tests.benchmarks.clients import alternating, median_ratio

SCRIBE = Actor(key="bench", role="scribe", seat="A", device="tablet-1")
MARK = MarkGiven(seat="A", entry="12", maneuver=3, mark=-1)
SECONDS = 2.0
ROUNDS = 5


def through_the_store(url: str, name: str) -> Callable[[], object]:
    """One client of the store, on a stream of its own."""
    log = Log(Database(url))
    stream = f"class-{name}-{uuid.uuid4()}"
    versions = itertools.count()

    def append() -> object:
        command = new_id()
        new = NewEvent(
            id=new_id(), command=command, actor=SCRIBE, occurred_at=datetime.now(UTC), data=MARK
        )
        record = CommandRecord(key="bench", command=command, fingerprint=command)
        return log.append(stream, [new], expected_version=next(versions), command=record)

    return append


def by_hand(url: str, name: str) -> Callable[[], object]:
    """One client of psycopg alone, sending the same statement with the same kind of row."""
    connection = psycopg.connect(
        make_url(url).set(drivername="postgresql").render_as_string(hide_password=False),
        autocommit=True,
        options="-c timezone=UTC",
    )
    stream = f"class-{name}-{uuid.uuid4()}"
    moment = datetime.now(UTC)
    prefix = (
        '{"actor":{"device":"tablet-1","key":"bench","role":"scribe","seat":"A"},"command":'
        f'"{new_id()}","data":{{"entry":"12","maneuver":3,"mark":-1,"seat":"A","type":'
        f'"card.mark_given"}},"id":"{new_id()}","occurred_at":"{time_text(moment)}",'
        '"recorded_at":"'
    )
    suffix = f'","schema":1,"stream":"{stream}","version":1}}'
    sql = statement(1, for_a_command=True)
    values: dict[str, object] = {
        "stream": stream,
        "count": 1,
        "type1": "card.mark_given",
        "schema1": 1,
        "actor1": "bench",
        "occurred_at1": moment,
        "prefix1": prefix.encode(),
        "suffix1": suffix.encode(),
        "key": "bench",
        "fingerprint": new_id(),
        "answer": None,
    }
    unique = (f"{stream}-{n}" for n in itertools.count())
    versions = itertools.count()

    def append() -> object:
        values["expected"] = next(versions)
        values["command"] = next(unique)
        values["id1"] = values["command"]
        return connection.execute(sql, values, binary=True).fetchall()

    return append


def main() -> None:
    """Print rates and ratios for one and for eight clients."""
    with services.postgres_database() as url:
        database = Database(url)
        migrate.upgrade(database)
        database.close()
        for clients in (1, 8):
            store, hand = alternating(
                (through_the_store, by_hand), url, clients=clients, seconds=SECONDS, rounds=ROUNDS
            )
            print(
                f"{clients} client(s): store {statistics.median(store):,.0f} appends/s,"
                f" by hand {statistics.median(hand):,.0f}, ratio {median_ratio(store, hand):.2f}"
            )


if __name__ == "__main__":
    main()
