"""The outbox: asked for with its cause, done once in its effect, and never lost or forgotten."""

import threading
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from sqlalchemy import Connection, text

from service.desk.desk import Desk
from service.store import outbox
from service.store.engine import Database
from service.store.outbox import Work
from service.store.watch import watch
from service.workers.backoff import Waits
from service.workers.work import LEASE, Record, TryLater, do_work
from tests.workers.both import ON_BOTH
from tests.workers.clock import Clock

AGAIN = timedelta(minutes=1)


class Letters:
    """A job that writes what it did into a table, unless it is told to fail."""

    kind = "letter"
    waits = Waits(first=timedelta(seconds=10), longest=timedelta(hours=1), attempts=3)

    def __init__(self) -> None:
        self.fails: Exception | None = None
        self.meanwhile: Callable[[], object] = lambda: None
        self.told: list[str] = []

    def carry_out(self, work: Work) -> Record:
        self.meanwhile()
        if self.fails is not None:
            raise self.fails
        return lambda connection, _: _write(connection, work.payload)

    def lock(self, connection: Connection, work: Work) -> None:
        pass

    def failed(self, connection: Connection, work: Work, error: Exception, now: datetime) -> None:
        del connection, now
        self.told.append(f"{work.attempts}: {error}")


@pytest.fixture
def letters(desk: Desk) -> Letters:
    with desk.database.writing() as connection:
        connection.execute(text("CREATE TABLE letter (said TEXT NOT NULL)"))
    return Letters()


def _write(connection: Connection, said: str) -> None:
    connection.execute(text("INSERT INTO letter VALUES (:said)"), {"said": said})


def _written(desk: Desk) -> list[str]:
    with desk.database.reading() as connection:
        return list(connection.scalars(text("SELECT said FROM letter ORDER BY said")))


def _ask(desk: Desk, key: str = "letter/1", kind: str = "letter", owner: str = "p-1") -> str:
    with desk.database.writing() as connection:
        outbox.put(connection, kind=kind, key=key, payload=key, owner=owner, now=desk.clock())
        found: str = connection.execute(
            text("SELECT id FROM outbox WHERE key = :key"), {"key": key}
        ).scalar_one()
    return found


def _do(desk: Desk, letters: Letters, identifier: str) -> bool:
    return do_work(desk.database, {"letter": letters}, identifier, desk.clock)


def _last_error(desk: Desk) -> str | None:
    with desk.database.reading() as connection:
        kept: str | None = connection.scalar(text("SELECT last_error FROM outbox"))
    return kept


def _offered(desk: Desk) -> tuple[str, ...]:
    return outbox.offer(desk.database, now=desk.clock(), limit=10, again_after=AGAIN)


@ON_BOTH
def test_work_is_done_once_however_often_it_is_asked_for(desk: Desk, letters: Letters) -> None:
    row = _ask(desk)
    assert [_do(desk, letters, row) for _ in range(3)] == [True, False, False]
    assert _written(desk) == ["letter/1"]


def test_work_is_asked_for_in_the_transaction_of_its_cause_or_not_at_all(desk: Desk) -> None:
    def undone() -> None:
        with desk.database.writing() as connection:
            outbox.put(connection, kind="letter", key="letter/1", payload="", now=desk.clock())
            raise RuntimeError("the cause is undone")

    with pytest.raises(RuntimeError, match="the cause is undone"):
        undone()
    assert _offered(desk) == ()


@ON_BOTH
def test_of_several_that_take_a_row_up_at_once_one_does_it(
    url: str, desk: Desk, letters: Letters
) -> None:
    row = _ask(desk)
    together = threading.Barrier(4)
    done: list[bool] = []

    def work() -> None:
        database = Database(url)
        together.wait()
        done.append(do_work(database, {"letter": letters}, row, desk.clock))
        database.close()

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(done) == [False, False, False, True]
    assert _written(desk) == ["letter/1"]


def test_a_row_is_done_in_the_transaction_of_its_effect(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    row = _ask(desk)
    with desk.database.writing() as connection:
        connection.execute(text("ALTER TABLE letter RENAME TO mislaid"))
    with pytest.raises(Exception, match="letter"):
        _do(desk, letters, row)
    with desk.database.writing() as connection:
        connection.execute(text("ALTER TABLE mislaid RENAME TO letter"))
    assert _written(desk) == []
    clock.move(seconds=LEASE.total_seconds())
    assert _do(desk, letters, row)
    assert _written(desk) == ["letter/1"]


def test_a_row_whose_worker_was_killed_is_due_again_when_its_lease_is_over(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    row = _ask(desk)
    assert outbox.claim(desk.database, row, now=clock(), lease=LEASE)
    assert not _do(desk, letters, row)
    clock.move(seconds=LEASE.total_seconds())
    assert _do(desk, letters, row)
    assert _written(desk) == ["letter/1"]


def test_a_row_that_kills_every_worker_is_dead_in_the_end(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    row = _ask(desk)
    for _ in range(letters.waits.attempts):
        assert outbox.claim(desk.database, row, now=clock(), lease=LEASE)
        clock.move(seconds=LEASE.total_seconds())
    assert not _do(desk, letters, row)
    (dead,) = outbox.failed(desk.database)
    assert dead.last_error == "whoever worked on it was stopped every time"


def test_whoever_lost_the_row_to_another_records_nothing(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    row = _ask(desk)

    def another_is_faster() -> None:
        letters.meanwhile = lambda: None
        clock.move(seconds=LEASE.total_seconds())
        assert _do(desk, letters, row)

    letters.meanwhile = another_is_faster
    assert not _do(desk, letters, row)
    assert _written(desk) == ["letter/1"]


@ON_BOTH
def test_what_fails_waits_longer_each_time_and_is_given_up_in_the_end(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    row = _ask(desk)
    letters.fails = TryLater("the post office is closed")
    for attempt in range(1, letters.waits.attempts + 1):
        assert not _do(desk, letters, row)
        clock.move(seconds=letters.waits.bound(attempt).total_seconds())
    (dead,) = outbox.failed(desk.database)
    assert (dead.id, dead.attempts) == (row, 3)
    assert dead.last_error == "the post office is closed"
    assert letters.told == [f"{n}: the post office is closed" for n in (1, 2, 3)]
    clock.move(days=30)
    assert _offered(desk) == ()
    assert not _do(desk, letters, row)


def test_a_row_waits_as_long_as_it_was_asked_to(desk: Desk, letters: Letters, clock: Clock) -> None:
    row = _ask(desk)
    letters.fails = TryLater("come back in half an hour", timedelta(minutes=30))
    _do(desk, letters, row)
    letters.fails = None
    clock.move(minutes=29)
    assert not _do(desk, letters, row)
    clock.move(minutes=1)
    assert _do(desk, letters, row)


def test_nothing_waits_longer_than_the_longest_wait(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    row = _ask(desk)
    letters.fails = TryLater("come back next year", timedelta(days=365))
    _do(desk, letters, row)
    letters.fails = None
    clock.move(hours=1)
    assert _do(desk, letters, row)


def test_the_office_runs_a_dead_row_again_from_the_beginning(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    row = _ask(desk)
    letters.fails = TryLater("the post office is closed")
    for _ in range(letters.waits.attempts):
        _do(desk, letters, row)
        clock.move(hours=1)
    letters.fails = None
    assert outbox.run_again(desk.database, row, now=clock())
    assert outbox.failed(desk.database) == ()
    assert _offered(desk) == (row,)
    assert _do(desk, letters, row)
    assert not outbox.run_again(desk.database, row, now=clock())


def test_what_nobody_expected_is_kept_with_its_name(desk: Desk, letters: Letters) -> None:
    row = _ask(desk)
    letters.fails = ZeroDivisionError("by nought")
    _do(desk, letters, row)
    assert _last_error(desk) == "ZeroDivisionError: by nought"


def test_work_of_a_kind_that_only_a_newer_release_knows_is_kept_for_it(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    row = _ask(desk, kind="parcel")
    assert not _do(desk, letters, row)
    assert _last_error(desk) == "UnknownKind: parcel"
    clock.move(minutes=1)
    letters.kind = "parcel"
    assert do_work(desk.database, {"parcel": letters}, row, clock)


def test_a_row_is_offered_once_until_nobody_has_taken_it_up_for_a_while(
    desk: Desk, clock: Clock
) -> None:
    first, second = _ask(desk, "letter/1"), _ask(desk, "letter/2")
    assert set(_offered(desk)) == {first, second}
    assert _offered(desk) == ()
    clock.move(seconds=AGAIN.total_seconds())
    assert set(_offered(desk)) == {first, second}


@ON_BOTH
def test_what_is_held_back_for_an_owner_is_done_when_it_is_released(
    desk: Desk, letters: Letters, clock: Clock
) -> None:
    mine, theirs = _ask(desk, "letter/1", owner="p-1"), _ask(desk, "letter/2", owner="p-2")
    with desk.database.writing() as connection:
        outbox.hold(connection, "p-1", now=clock())
    assert _offered(desk) == (theirs,)
    assert not _do(desk, letters, mine)
    with desk.database.writing() as connection:
        assert outbox.release(connection, "p-1", now=clock()) == 1
    assert _do(desk, letters, mine)


def test_what_was_given_up_for_an_owner_is_released_too(desk: Desk, letters: Letters) -> None:
    row = _ask(desk)
    work = outbox.claim(desk.database, row, now=desk.clock(), lease=LEASE)
    assert work is not None
    with desk.database.writing() as connection:
        outbox.bury(connection, work, error="gone", now=desk.clock())
        assert outbox.release(connection, "p-1", now=desk.clock()) == 1
    assert _do(desk, letters, row)


def test_what_is_taken_back_is_forgotten_but_what_was_done_is_not(
    desk: Desk, letters: Letters
) -> None:
    done, waiting = _ask(desk, "letter/1"), _ask(desk, "letter/2")
    _do(desk, letters, done)
    with desk.database.writing() as connection:
        assert outbox.take_back(connection, "p-1") == 1
    assert not _do(desk, letters, waiting)
    assert _written(desk) == ["letter/1"]


def test_what_was_done_long_ago_is_forgotten(desk: Desk, letters: Letters, clock: Clock) -> None:
    done, waiting = _ask(desk, "letter/1"), _ask(desk, "letter/2")
    _do(desk, letters, done)
    clock.move(days=1)
    assert outbox.forget_done(desk.database, before=clock() - timedelta(days=2)) == 0
    assert outbox.forget_done(desk.database, before=clock()) == 1
    assert _do(desk, letters, waiting)


@ON_BOTH
def test_how_much_there_is_to_do_can_be_watched(desk: Desk, letters: Letters, clock: Clock) -> None:
    for number in range(5):
        _ask(desk, f"letter/{number}", owner="p-9" if number == 4 else "p-1")
    rows = _offered(desk)
    _do(desk, letters, rows[0])
    letters.fails = TryLater("no", timedelta(minutes=30))
    _do(desk, letters, rows[1])
    with desk.database.writing() as connection:
        outbox.hold(connection, "p-9", now=clock())
    clock.move(seconds=42)
    depth = watch(desk.log, now=clock()).outbox
    assert (depth.due, depth.later, depth.held, depth.dead) == (2, 1, 1, 0)
    assert depth.oldest_due == 42
