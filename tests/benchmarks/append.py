"""Appending through the store against the same statement by hand in psycopg.

Both write one judge's mark a transaction: the event with its canonical bytes and leaf hash, the
head row, and the record of the command. By hand everything is made ready beforehand; the store
encodes, checks and reads back as it always does. On a slow disk both wait for it most of the time;
the lines without that wait show the difference bare. Run with
``python -m tests.benchmarks.append``.
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
from tests.benchmarks.clients import alternating, median_ratio, say_load

SCRIBE = Actor(key="bench", role="scribe", seat="A", device="tablet-1")
MARK = MarkGiven(seat="A", entry="12", maneuver=3, mark=-1)
SECONDS = 2.0
ROUNDS = 3


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
    parsed = make_url(url)
    connection = psycopg.connect(
        parsed.set(drivername="postgresql", query={}).render_as_string(hide_password=False),
        autocommit=True,
        options=str(parsed.query["options"]),
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
    """Print rates and ratios for one and for eight clients, with and without the disk's share."""
    say_load()
    with services.postgres_database() as plain:
        database = Database(plain)
        migrate.upgrade(database)
        database.close()
        for how, commit in (("durable", "on"), ("not waiting for the disk", "off")):
            options = {"options": f"-c timezone=UTC -c synchronous_commit={commit}"}
            url = make_url(plain).update_query_dict(options)
            for clients in (1, 8):
                compare(how, url.render_as_string(hide_password=False), clients)


def compare(how: str, url: str, clients: int) -> None:
    """Print one line."""
    store, hand = alternating(
        (through_the_store, by_hand), url, clients=clients, seconds=SECONDS, rounds=ROUNDS
    )
    print(
        f"{how}, {clients} client(s): store {statistics.median(store):,.0f} appends/s,"
        f" by hand {statistics.median(hand):,.0f}, ratio {median_ratio(store, hand):.2f}"
    )


if __name__ == "__main__":
    main()
