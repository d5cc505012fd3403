"""A day's timetable against reading and decoding the rows of its classes alone.

Three rings with forty classes of 25 entries before two judges, every second class held already, on
the same database, in alternating rounds. Nothing remembered, nothing changed, one mark more, and a
client that has it already. Run with ``python -m tests.benchmarks.timetable``.
"""

import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta

from events.envelope import Actor, Event, NewEvent, stream_of
from events.judged_class import events as happened
from events.rulebook.load import digest
from events.rulebook.model import RuleBookRef
from events.show import events as planned
from service.app import create_app
from service.books import shipped_book
from service.config import Settings
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.schedule import day_of
from service.http.here import desk_of
from service.store import migrate
from service.store.engine import Database
from service.store.ids import new_id
from service.store.log import Log
from tests import services
from tests.benchmarks.clients import say_load
from tests.http.house import House

BOOK = shipped_book("western-horsemanship")
SHOW = "benchmark"
DAY = date(2026, 5, 9)
NOON = datetime(2026, 5, 9, 12, tzinfo=UTC)
RINGS = ("Main ring", "Second ring", "Covered ring")
CLASSES = 40
ENTRIES = 25
MANEUVERS = 8
SEATS = "AB"
AGAIN = 15
OFFICE = Actor(key="bench", role="office")
PUBLIC = Caller(key="bench", role="public")
PATH = f"/v1/shows/{SHOW}/timetable?day={DAY}"


def show_story() -> Iterator[Event]:
    """The show, its rings, and a slot for every class."""
    yield planned.ShowPlanned(
        name="Benchmark", place="Here", time_zone="UTC", first_day=DAY, last_day=DAY
    )
    for ring in RINGS:
        yield planned.RingAdded(ring=ring)
    for number in range(CLASSES):
        yield planned.ClassSlotted(
            class_id=f"c{number}", ring=RINGS[number % len(RINGS)], day=DAY, slot=1 + number
        )


def class_story(*, ridden: bool) -> Iterator[Event]:
    """A class from its scheduling, to its last ride where it was held."""
    book = RuleBookRef(id=BOOK.id, edition=BOOK.edition, digest=digest(BOOK))
    yield happened.ClassScheduled(show=SHOW, name="Senior horsemanship", rulebook=book)
    yield happened.PatternSet(maneuvers=tuple(f"Maneuver {n}" for n in range(1, MANEUVERS + 1)))
    for seat in SEATS:
        yield happened.JudgeSeated(seat=seat, judge=f"judge-{seat}")
    names = [f"entry-{number}" for number in range(1, ENTRIES + 1)]
    for number, name in enumerate(names, 101):
        yield happened.EntryAccepted(
            entry=name, back_number=number, exhibitor=f"p-{number}", horse=f"h-{number}"
        )
    yield happened.DrawSet(order=tuple(names))
    for name in names if ridden else ():
        for seat in SEATS:
            for maneuver in range(1, MANEUVERS + 1):
                yield happened.MarkGiven(seat=seat, entry=name, maneuver=maneuver, mark=1)
            yield happened.RiderMarkGiven(seat=seat, entry=name, mark=4)


def append(log: Log, stream: str, story: Iterator[Event]) -> int:
    """Record a story, a second between its events; how many there are."""
    events = [
        NewEvent(
            id=new_id(),
            command=new_id(),
            actor=OFFICE,
            occurred_at=NOON + timedelta(seconds=number),
            data=data,
        )
        for number, data in enumerate(story)
    ]
    for start in range(0, len(events), 100):
        log.append(stream, events[start : start + 100], expected_version=start)
    return len(events)


def measure(name: str, url: str) -> None:
    """Print the times, and each as a ratio to reading the rows."""
    database = Database(url)
    migrate.upgrade(database)
    log = Log(database)
    append(log, stream_of("show", SHOW), show_story())
    streams = [stream_of("class", f"c{number}") for number in range(CLASSES)]
    counts = [append(log, s, class_story(ridden=n % 2 == 0)) for n, s in enumerate(streams)]
    app = create_app(Settings(database=url))
    house = House(app)
    warm, client = desk_of(app), house.public
    tag = client.get(PATH).headers["ETag"]
    version = counts[0]

    def rows() -> object:
        return [log.read(stream) for stream in streams]

    def cold() -> object:
        desk = Desk(database)
        return day_of(desk, PUBLIC, SHOW, DAY)

    def unchanged() -> object:
        return day_of(warm, PUBLIC, SHOW, DAY)

    def one_more() -> object:
        return day_of(warm, PUBLIC, SHOW, DAY)

    def mark() -> None:
        nonlocal version
        data = happened.MarkGiven(seat="A", entry="entry-1", maneuver=1, mark=2)
        new = NewEvent(id=new_id(), command=new_id(), actor=OFFICE, occurred_at=NOON, data=data)
        log.append(streams[0], [new], expected_version=version)
        version += 1

    def over_http() -> object:
        return client.get(PATH)

    def known() -> object:
        answer = client.get(PATH, {"If-None-Match": tag})
        assert answer.status_code in {200, 304}
        return answer

    times = _alternating(
        [(None, rows), (None, cold), (None, unchanged), (mark, one_more), (None, over_http)]
    )
    tag = client.get(PATH).headers["ETag"]
    [seen] = _alternating([(None, known)])
    read, *others = times
    print(f"{name}, {CLASSES} classes, {sum(counts)} events: rows read in {read * 1e3:.1f} ms")
    told = ("nothing remembered", "nothing changed", "one mark more", "over HTTP", "304 over HTTP")
    for what, took in zip(told, [*others, seen], strict=True):
        print(f"  {what}: {took * 1e3:.2f} ms, ratio {took / read:.3f}")
    warm.close()
    database.close()


def _alternating(
    works: list[tuple[Callable[[], None] | None, Callable[[], object]]],
) -> list[float]:
    times: list[list[float]] = [[] for _ in works]
    for _ in range(AGAIN):
        for kept, (first, work) in zip(times, works, strict=True):
            if first is not None:
                first()
            began = time.perf_counter()
            work()
            kept.append(time.perf_counter() - began)
    return [statistics.median(each) for each in times]


def main() -> None:
    """Measure on both databases."""
    say_load()
    with tempfile.TemporaryDirectory() as folder:
        measure("SQLite", f"sqlite:///{folder}/log.db")
    with services.postgres_database() as url:
        measure("PostgreSQL", url)


if __name__ == "__main__":
    main()
