"""Several writers at once: nothing lost, nothing twice, no gaps, and no reader skips anything."""

import contextlib
import itertools
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor

import pytest
from sqlalchemy import text

from service.store import postgresql
from service.store.batch import CommandRecord, encoded_batch
from service.store.engine import Database
from service.store.errors import CommandRepeated, EventIdTaken, WrongExpectedVersion
from service.store.log import Log
from tests.store.given import CLASS, OTHER, command, new, several

WRITERS = 8
EACH = 15


def all_at_once(*works: Callable[[], object]) -> list[Future[object]]:
    """Run the works in threads that start together, and wait for them."""
    start = threading.Barrier(len(works))

    def begin(work: Callable[[], object]) -> object:
        start.wait()
        return work()

    with ThreadPoolExecutor(len(works)) as threads:
        return [threads.submit(begin, work) for work in works]


def results(futures: list[Future[object]]) -> list[object]:
    return [future.result() for future in futures]


def test_eight_writers_on_one_stream_lose_nothing(log: Log) -> None:
    def write(writer: int) -> None:
        written = 0
        while written < EACH:
            event = new(event_id=f"{writer}-{written}")
            with contextlib.suppress(WrongExpectedVersion):
                log.append(CLASS, [event], expected_version=log.version(CLASS))
                written += 1

    results(all_at_once(*(lambda writer=n: write(writer) for n in range(WRITERS))))
    read = log.read(CLASS)
    assert [each.version for each in read] == list(range(1, WRITERS * EACH + 1))
    assert [each.position for each in read] == list(range(1, WRITERS * EACH + 1))
    assert {each.id for each in read} == {f"{w}-{n}" for w in range(WRITERS) for n in range(EACH)}
    for earlier, later in itertools.pairwise(read):
        assert earlier.recorded_at <= later.recorded_at


def test_of_writers_at_the_same_version_one_wins(log: Log) -> None:
    futures = all_at_once(
        *[lambda: log.append(CLASS, several(2), expected_version=0)] * WRITERS,
    )
    refused = [future.exception() for future in futures if future.exception()]
    assert len(refused) == WRITERS - 1
    assert {type(each) for each in refused} == {WrongExpectedVersion}
    assert log.version(CLASS) == log.head().position == 2


def test_a_reader_of_the_feed_sees_every_event_in_order(log: Log) -> None:
    log.append("class-first", [new(event_id="taken")], expected_version=0)
    done = threading.Event()

    def write(writer: int) -> None:
        for version in range(EACH):
            if version % 3 == 0:  # rolled back after the head row was moved
                with pytest.raises(EventIdTaken):
                    log.append(
                        f"class-{writer}", [new(), new(event_id="taken")], expected_version=version
                    )
            log.append(f"class-{writer}", [new()], expected_version=version)

    def follow() -> list[int]:
        seen: list[int] = []
        finished = False
        while not finished:
            finished = done.is_set()
            page = log.feed(seen[-1] if seen else 0, 7)
            seen.extend(each.position for each in page)
            finished = finished and not page
        return seen

    with ThreadPoolExecutor(2) as readers:
        following = [readers.submit(follow) for _ in range(2)]
        results(all_at_once(*(lambda writer=n: write(writer) for n in range(WRITERS))))
        done.set()
        for reader in following:
            assert reader.result() == list(range(1, WRITERS * EACH + 2))


@pytest.mark.parametrize("streams", [(CLASS, CLASS), (CLASS, OTHER)], ids=["same", "different"])
def test_of_one_command_sent_many_times_at_once_one_is_carried_out(
    log: Log, streams: tuple[str, str]
) -> None:
    futures = all_at_once(
        *(
            lambda stream=stream: log.append(
                stream, several(2), expected_version=0, command=command()
            )
            for stream in streams * 4
        )
    )
    errors = [error for future in futures if (error := future.exception())]
    assert len(errors) == WRITERS - 1
    stored = log.stored_command("key-1", "command-1")
    for error in errors:
        assert isinstance(error, CommandRepeated)
        assert error.stored == stored
    assert log.head().position == 2


# --- on PostgreSQL, where transactions can be held open in the worst place ------------------------


class Held:
    """An append that has moved the head row, and is not yet committed."""

    def __init__(self, database: Database) -> None:
        self.database = database

    @contextlib.contextmanager
    def append(self, stream: str, record: CommandRecord | None = None) -> Iterator[None]:
        batch = encoded_batch(
            Log(self.database).codec, stream, [new()], expected_version=0, command=record, beside=()
        )
        sql = postgresql.statement(1, for_a_command=record is not None)
        with self.database.writing() as connection:
            assert self.database.rows(connection, sql, postgresql.values(batch))
            yield

    def wait_until_somebody_waits(self) -> None:
        waiting = text(
            "SELECT count(*) FROM pg_stat_activity"
            " WHERE datname = current_database() AND wait_event_type = 'Lock'"
        )
        with self.database.reading() as connection:
            while not connection.scalar(waiting):
                pass


@pytest.fixture
def held(postgres: Database) -> Held:
    return Held(postgres)


def test_a_later_position_is_not_seen_before_an_earlier_one(held: Held) -> None:
    log = Log(held.database)
    with ThreadPoolExecutor(1) as threads:
        with held.append(CLASS):
            later = threads.submit(log.append, OTHER, several(1), expected_version=0)
            held.wait_until_somebody_waits()
            assert log.feed(0, 10) == ()
        assert [each.position for each in later.result()] == [2]
    assert [(each.position, each.stream) for each in log.feed(0, 10)] == [(1, CLASS), (2, OTHER)]


def test_a_rollback_leaves_its_position_to_whoever_waits(held: Held) -> None:
    log = Log(held.database)
    with ThreadPoolExecutor(1) as threads:
        with pytest.raises(ZeroDivisionError), held.append(CLASS):  # noqa: PT012
            later = threads.submit(log.append, CLASS, several(1), expected_version=0)
            held.wait_until_somebody_waits()
            raise ZeroDivisionError
        assert [each.position for each in later.result()] == [1]


def test_who_waits_for_a_stream_that_moves_on_is_told_its_version(held: Held) -> None:
    log = Log(held.database)
    with ThreadPoolExecutor(1) as threads:
        with held.append(CLASS):
            later = threads.submit(log.append, CLASS, several(3), expected_version=0)
            held.wait_until_somebody_waits()
        with pytest.raises(WrongExpectedVersion) as refused:
            later.result()
    assert (refused.value.expected, refused.value.actual) == (0, 1)
    assert log.head().position == 1


@pytest.mark.parametrize("stream", [CLASS, OTHER])
def test_a_duplicate_waits_for_the_first_and_is_told_what_it_led_to(
    held: Held, stream: str
) -> None:
    log = Log(held.database)
    with ThreadPoolExecutor(1) as threads:
        with held.append(CLASS, command()):
            later = threads.submit(
                log.append, stream, several(1), expected_version=0, command=command()
            )
            held.wait_until_somebody_waits()
        with pytest.raises(CommandRepeated) as repeated:
            later.result()
    assert (repeated.value.stored.stream, repeated.value.stored.position) == (CLASS, 1)


def test_a_duplicate_is_carried_out_when_the_first_was_not(held: Held) -> None:
    log = Log(held.database)
    with ThreadPoolExecutor(1) as threads:
        with pytest.raises(ZeroDivisionError), held.append(CLASS, command()):  # noqa: PT012
            later = threads.submit(
                log.append, CLASS, several(1), expected_version=0, command=command()
            )
            held.wait_until_somebody_waits()
            raise ZeroDivisionError
        assert [each.version for each in later.result()] == [1]
