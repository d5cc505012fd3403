"""Workers behind Redis: killed, doubled, cut off, and every revision is published and told once."""

import json
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import redis
import structlog
from celery import Celery
from sqlalchemy import text

from service.config import VARIABLES, Settings, read_settings
from service.desk import subscriptions
from service.desk.desk import Desk
from service.desk.subscriptions import Subscription
from service.signing import verify_document
from service.store import followers, publications
from service.store.engine import Database
from service.store.watch import watch
from service.trust.settings import trust_settings
from service.trust.trust import Trust
from service.workers.broker import (
    AT_ONE_GO,
    DELIVER,
    DELIVERY_HARD_LIMIT,
    DELIVERY_SOFT_LIMIT,
    FOLLOW,
    QUEUE,
    TICK,
    make_app,
)
from service.workers.compose import reach_of, tick_of
from service.workers.hints import Hints
from service.workers.post import TIMEOUT
from service.workers.start import workers
from service.workers.work import LEASE
from tests.workers.crew import Crew, crew
from tests.workers.federation import HIGH_POINT, SEASON, Federation, expected
from tests.workers.office import ORIGIN, SHOW, Office
from tests.workers.receiver import Receiver, receiving
from tests.workers.waiting import until

pytestmark = [pytest.mark.postgres, pytest.mark.redis]
FOLLOWER = "publications"


class House:
    """A show on PostgreSQL, the Redis beside it, and those who subscribed to its results."""

    def __init__(self, settings: Settings, receiver: Receiver) -> None:
        self.settings = settings
        self.receiver = receiver
        self.database = Database(settings.database)
        self.desk = Desk(self.database)
        self.office = Office(self.desk)
        self.federation = Federation(self.desk)
        self.federation.open_season(SHOW)
        self.federation.define()
        self.trust = Trust(self.database, trust_settings(settings))
        self.trust.keys.make()
        self.app: Celery = make_app(str(settings.redis), tick_of(settings))
        followers.register(self.database, FOLLOWER, 1, now=self.desk.clock())
        self.secret = self.subscribe(receiver)

    def subscribe(self, receiver: Receiver) -> str:
        wanted = Subscription(url=receiver.url, label="Federation")
        ask = self.office.ask("federation")
        return subscriptions.subscribe(self.desk, ask, reach_of(self.settings), wanted).secret

    def hint(self, task: str = TICK, *about: str) -> None:
        self.app.send_task(task, args=about)

    def published(self) -> list[tuple[str, int]]:
        every = publications.since(self.database, 0, 1000)
        return [(each.class_id, each.revision) for each in every]

    def run(self, sql: str) -> list[Any]:
        with self.database.writing() as connection:
            done = connection.execute(text(sql))
            return list(done.scalars()) if done.returns_rows else []

    def outbox_is_empty(self) -> bool:
        depth = watch(self.desk.log, now=self.desk.clock()).outbox
        return (depth.due, depth.later, depth.held, depth.dead) == (0, 0, 0, 0)

    def everything_is_well(self, *revisions: tuple[str, int], receiver: Receiver) -> None:
        """Every revision was published once and signed, and the subscriber holds each of them.

        Standings are what the log comes to.
        """
        assert until(lambda: self.published() == list(revisions)), self.published()
        assert until(lambda: told(receiver) == set(revisions)), told(receiver)
        assert until(self.outbox_is_empty)
        known = self.trust.keys.known()
        for each in publications.since(self.database, 0, 1000):
            assert verify_document("result", each.document, each.note, known) == known
        seen = watch(self.desk.log, now=self.desk.clock())
        assert seen.stuck == ()
        assert until(self.followed_everything)
        head = self.desk.log.head().position
        assert self.federation.rows() == expected(self.desk, SEASON, HIGH_POINT, head)

    def followed_everything(self) -> bool:
        lags = watch(self.desk.log, now=self.desk.clock()).followers
        return {lag.name: lag.events for lag in lags} == {FOLLOWER: 0, "standings": 0}


def told(receiver: Receiver) -> set[tuple[str, int]]:
    """Which revisions a subscriber was told of."""
    data = [json.loads(each.body)["data"] for each in receiver.got]
    return {(each["class"], each["revision"]) for each in data}


@pytest.fixture
def environment(postgres_path: str, redis_url: str, tmp_path: Path) -> dict[str, str]:
    return {
        "RINGFOLD_DATABASE": postgres_path,
        "RINGFOLD_REDIS": redis_url,
        "RINGFOLD_TICK_SECONDS": "1",
        "RINGFOLD_PUBLIC_URL": "https://results.example",
        "RINGFOLD_WEBHOOK_NETWORKS": "127.0.0.0/8",
        "RINGFOLD_WEBHOOK_WITHOUT_TLS": "yes",
        "RINGFOLD_ORIGIN": ORIGIN,
        "RINGFOLD_KEYS_DIR": str(tmp_path / "keys"),
    }


@pytest.fixture
def house(environment: dict[str, str], receiver: Receiver) -> Iterator[House]:
    assert set(environment) <= set(VARIABLES)
    made = House(read_settings(environment), receiver)
    yield made
    made.app.close()
    made.database.close()


@pytest.fixture
def hands(environment: dict[str, str], tmp_path: Path) -> Iterator[Crew]:
    with crew(environment, tmp_path) as made:
        yield made


@contextmanager
def _held_up_at(house: House, table: str) -> Iterator[int]:
    """Lets a worker come as far as writing to a table, and no further: who waits there."""
    with house.database.writing() as connection:
        connection.execute(text(f"LOCK TABLE {table} IN EXCLUSIVE MODE"))
        house.hint()
        waiting = (
            "SELECT pid FROM pg_stat_activity WHERE datname = current_database()"
            f" AND wait_event_type = 'Lock' AND query LIKE 'INSERT INTO {table}%'"
        )
        assert until(lambda: bool(house.run(waiting)))
        yield house.run(waiting)[0]


def test_a_worker_killed_in_the_middle_of_a_publication_has_published_nothing(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    house.office.publish("c-1")
    worker = hands.worker()
    with _held_up_at(house, "publication") as backend:
        worker.kill()
        # The server notices that nobody is there any more when the statement is over.
        house.run(f"SELECT pg_terminate_backend({backend})")
    assert house.published() == []
    assert followers.mark(house.database, FOLLOWER).position == 0
    hands.worker()
    house.hint()
    house.everything_is_well(("c-1", 1), receiver=receiver)
    assert len(receiver.got) == 1


def test_a_worker_killed_in_the_middle_of_standings_leaves_them_as_they_were(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    worker = hands.worker()
    house.hint()
    assert until(house.followed_everything)
    before = house.federation.rows()
    house.office.publish("c-1")
    with _held_up_at(house, "earned_line") as backend:
        worker.kill()
        house.run(f"SELECT pg_terminate_backend({backend})")
    assert house.federation.rows() == before == ()
    hands.worker()
    house.hint()
    house.everything_is_well(("c-1", 1), receiver=receiver)
    assert len(house.federation.rows()) > 0


def test_a_task_whose_process_was_killed_is_taken_up_again_unasked(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    house.office.publish("c-1")
    worker = hands.worker()
    with _held_up_at(house, "publication") as backend:
        (child,) = worker.children()
        os.kill(child, signal.SIGKILL)
        house.run(f"SELECT pg_terminate_backend({backend})")
    house.everything_is_well(("c-1", 1), receiver=receiver)


def test_a_worker_killed_while_it_sends_has_lost_no_message(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    house.office.publish("c-1")
    receiver.let_go.clear()
    worker = hands.worker()
    house.hint()
    assert receiver.reached.wait(60)
    worker.kill()
    receiver.let_go.set()
    assert house.run("SELECT done_at FROM outbox") == [None]
    house.run("UPDATE outbox SET due_at = now(), offered_at = NULL")  # its lease is over
    hands.worker()
    house.hint()
    house.everything_is_well(("c-1", 1), receiver=receiver)
    first, again = receiver.ids()
    assert first == again  # by its id the subscriber knows that it has it already


def test_two_workers_and_every_message_doubled_do_nothing_twice(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    hands.worker(processes=2)
    hands.worker(processes=2)
    house.office.publish("c-1")
    house.office.official_class("c-2", corrections=2)
    for _ in range(10):
        house.hint(FOLLOW, FOLLOWER)
        house.hint(TICK)
    assert until(lambda: len(house.published()) == 4)
    for identifier in house.run("SELECT id FROM outbox"):
        for _ in range(3):
            house.hint(DELIVER, identifier)
    house.everything_is_well(("c-1", 1), ("c-2", 1), ("c-2", 2), ("c-2", 3), receiver=receiver)
    assert len(receiver.got) == len(set(receiver.ids())) == 4


def test_a_redis_that_has_forgotten_everything_has_lost_nothing(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    house.office.publish("c-1")
    house.hint()
    with redis.Redis.from_url(str(house.settings.redis)) as client:
        assert client.llen(QUEUE) == 1
        client.flushdb()
        hands.worker()
        hands.beat()
        house.everything_is_well(("c-1", 1), receiver=receiver)
        client.flushdb()
        house.office.correct("c-1", mark=2)
        house.everything_is_well(("c-1", 1), ("c-1", 2), receiver=receiver)


def test_workers_whose_connections_are_cut_go_on(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    hands.worker()
    hands.beat()
    house.office.publish("c-1")
    house.everything_is_well(("c-1", 1), receiver=receiver)
    number = str(house.settings.redis).rpartition("/")[2]
    with redis.Redis.from_url(str(house.settings.redis)) as client:
        for each in client.client_list():
            if each["db"] == number and each["id"] != str(client.client_id()):
                client.client_kill_filter(_id=each["id"])
    house.run(
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
        " WHERE datname = current_database() AND pid <> pg_backend_pid()"
    )
    house.database.close()
    house.office.correct("c-1", mark=2)
    house.everything_is_well(("c-1", 1), ("c-1", 2), receiver=receiver)


def test_a_subscriber_that_was_down_for_a_while_holds_every_revision(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    with receiving() as second:
        port = second.port
        house.subscribe(second)
    hands.worker()
    hands.beat()
    house.office.publish("c-1")
    house.office.correct("c-1", mark=2)
    assert until(lambda: house.run("SELECT max(failures) FROM subscriber")[0] >= 2)
    assert until(lambda: told(receiver) == {("c-1", 1), ("c-1", 2)})
    with receiving(port) as again:
        house.run("UPDATE outbox SET due_at = now() WHERE done_at IS NULL")  # the wait is over
        house.everything_is_well(("c-1", 1), ("c-1", 2), receiver=again)
        assert len(again.got) == 2


def test_whoever_serves_wakes_the_workers_and_waits_for_nobody(
    house: House, hands: Crew, receiver: Receiver
) -> None:
    worker = hands.worker()
    chosen = workers(house.settings, house.desk)
    assert isinstance(chosen, Hints)
    chosen.start()
    house.office.publish("c-1")
    for _ in range(100):
        chosen.wake()
    house.everything_is_well(("c-1", 1), receiver=receiver)
    chosen.stop()
    assert worker.stop() == 0


def test_many_wakes_that_follow_one_another_are_one_message_or_few(house: House) -> None:
    hints = Hints(house.app, tick_of(house.settings))
    for _ in range(200):
        hints.wake()
    with redis.Redis.from_url(str(house.settings.redis)) as client:
        assert until(lambda: client.llen(QUEUE) > 0)
        hints.stop()
        assert client.llen(QUEUE) < 20


def test_a_redis_that_is_not_there_fails_nobody_and_is_told_of() -> None:
    nowhere = Hints(make_app("redis://127.0.0.1:9/0", tick_of(Settings())), tick_of(Settings()))
    with structlog.testing.capture_logs() as journal:
        for _ in range(10):
            nowhere.wake()
        assert until(lambda: bool(journal))
    nowhere.stop()
    (told,) = journal
    assert (told["event"], told["log_level"]) == ("hint_not_sent", "warning")
    assert "Connection refused" in told["reason"]


def test_what_is_running_is_never_handed_out_again_while_it_may_run() -> None:
    """Redis hands an unfinished task out after the visibility timeout (Celery's manual, Redis)."""
    conf = make_app("redis://127.0.0.1:6379/0", tick_of(Settings())).conf
    assert conf.broker_transport_options["visibility_timeout"] >= 4 * conf.task_time_limit
    assert DELIVERY_SOFT_LIMIT < DELIVERY_HARD_LIMIT < LEASE.total_seconds()
    assert TIMEOUT.total_seconds() < DELIVERY_SOFT_LIMIT
    assert AT_ONE_GO.total_seconds() < conf.task_soft_time_limit < conf.task_time_limit
    assert conf.accept_content == ["json"]
    assert conf.task_acks_late is conf.task_reject_on_worker_lost is conf.task_ignore_result is True
