"""The placing of a class at a past version, cold, against fetching and decoding those rows alone.

Sixty entries before five judges, about 3,500 events. Cold means that nothing of the class is
remembered. Run with ``python -m tests.benchmarks.placing``.
"""

import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

from events.envelope import Actor, Event, NewEvent
from events.judged_class import events as happened
from events.judged_class.evolve import evolve
from events.judged_class.state import INITIAL
from events.projections.placing import placing
from events.rulebook.load import digest
from events.rulebook.model import RuleBookRef
from service.books import shipped_book
from service.store import migrate
from service.store.engine import Database
from service.store.folds import Aggregate, StreamFolds
from service.store.ids import new_id
from service.store.log import Log
from tests import services
from tests.benchmarks.clients import say_load

BOOK = shipped_book("western-horsemanship")
STREAM = "class-benchmark"
ENTRIES = [f"entry-{number}" for number in range(1, 61)]
SEATS = "ABCDE"
MANEUVERS = 10
PAST = 50
"""How many events after the version that is asked for."""

AGAIN = 21
OFFICE = Actor(key="bench", role="office")


def story() -> Iterator[Event]:
    """A class from its scheduling to its last ride, marks and penalties spread out."""
    book = RuleBookRef(id=BOOK.id, edition=BOOK.edition, digest=digest(BOOK))
    yield happened.ClassScheduled(show="show-1", name="Senior horsemanship", rulebook=book)
    yield happened.PatternSet(maneuvers=tuple(f"Maneuver {n}" for n in range(1, MANEUVERS + 1)))
    for seat in SEATS:
        yield happened.JudgeSeated(seat=seat, judge=f"judge-{seat}")
    for number, entry in enumerate(ENTRIES, 101):
        yield happened.EntryAccepted(entry=entry, back_number=number, exhibitor=f"p-{number}")
    yield happened.DrawSet(order=tuple(ENTRIES))
    for ride, entry in enumerate(ENTRIES):
        for judge, seat in enumerate(SEATS):
            yield from _ride(entry, seat, ride * 7 + judge * 3)


def _ride(entry: str, seat: str, turn: int) -> Iterator[Event]:
    for maneuver in range(1, MANEUVERS + 1):
        mark = (turn + maneuver * 5) % 7 - 3
        yield happened.MarkGiven(seat=seat, entry=entry, maneuver=maneuver, mark=mark)
    yield happened.RiderMarkGiven(seat=seat, entry=entry, mark=turn % 5 * 2)
    if turn % 3 == 0:
        yield happened.PenaltyCalled(seat=seat, entry=entry, call=f"{seat}-{entry}", points=6)


def recorded(database: Database) -> tuple[Log, int]:
    """A log that holds the class, and how many events it is."""
    migrate.upgrade(database)
    log = Log(database)
    now = datetime.now(UTC)
    events = [
        NewEvent(id=new_id(), command=new_id(), actor=OFFICE, occurred_at=now, data=data)
        for data in story()
    ]
    for start in range(0, len(events), 100):
        log.append(STREAM, events[start : start + 100], expected_version=start)
    return log, len(events)


def measure(name: str, database: Database) -> None:
    """Print both times and their ratio."""
    log, count = recorded(database)
    version = count - PAST

    def fetched() -> object:
        return log.read_data(STREAM, to=version)

    def placed() -> object:
        folds = StreamFolds(log, Aggregate(INITIAL, evolve))
        return placing(folds.at(STREAM, version).state, BOOK)

    rows, whole = _alternating(fetched, placed)
    print(
        f"{name}, {count} events, version {version}: fetched and decoded in {rows * 1e3:.1f} ms,"
        f" placed in {whole * 1e3:.1f} ms, ratio {whole / rows:.2f}"
    )


def _alternating(*works: Callable[[], object]) -> list[float]:
    times: list[list[float]] = [[] for _ in works]
    for _ in range(AGAIN):
        for kept, work in zip(times, works, strict=True):
            began = time.perf_counter()
            work()
            kept.append(time.perf_counter() - began)
    return [statistics.median(each) for each in times]


def main() -> None:
    """Measure on both databases."""
    say_load()
    with tempfile.TemporaryDirectory() as folder:
        sqlite = Database(f"sqlite:///{folder}/log.db")
        measure("SQLite", sqlite)
        sqlite.close()
    with services.postgres_database() as url:
        postgres = Database(url)
        measure("PostgreSQL", postgres)
        postgres.close()


if __name__ == "__main__":
    main()
