"""The work in the process that serves: woken, carried on, and stopped cleanly."""

import json
import os
import threading
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from service.config import Settings
from service.desk import subscriptions
from service.desk.desk import Desk
from service.desk.subscriptions import Subscription
from service.store import checkpoints, followers, publications
from service.store.engine import Database
from service.store.watch import watch
from service.trust.settings import trust_settings
from service.trust.trust import Trust
from service.workers.compose import make_works, reach_of
from service.workers.embedded import Embedded
from service.workers.start import workers
from tests.workers.both import ON_BOTH
from tests.workers.office import ORIGIN, Office
from tests.workers.receiver import Receiver
from tests.workers.waiting import until

NEVER_BY_ITSELF = timedelta(hours=1)


@pytest.fixture
def settings(url: str, tmp_path_factory: pytest.TempPathFactory) -> Settings:
    return Settings(
        database=url,
        tick_seconds="3600",
        public_url="https://results.example",
        webhook_networks="127.0.0.0/8",
        webhook_without_tls="yes",
        origin=ORIGIN,
        keys_dir=str(tmp_path_factory.mktemp("keys")),
    )


@pytest.fixture
def desk(settings: Settings) -> Iterator[Desk]:
    """The desk on the server's own clock, with a key to sign with."""
    database = Database(settings.database)
    made = Desk(database)
    Trust(database, trust_settings(settings)).keys.make()
    yield made
    database.close()


@pytest.fixture
def embedded(settings: Settings, desk: Desk) -> Iterator[Embedded]:
    made = Embedded(make_works(settings, desk), NEVER_BY_ITSELF)
    yield made
    made.stop()


def _subscribe(office: Office, settings: Settings, url: str) -> None:
    wanted = Subscription(url=url, label="Federation")
    subscriptions.subscribe(office.desk, office.ask("federation"), reach_of(settings), wanted)


def _published(desk: Desk) -> list[tuple[str, int]]:
    every = publications.since(desk.database, 0, 1000)
    return [(each.class_id, each.revision) for each in every]


def _revisions(receiver: Receiver) -> set[int]:
    return {json.loads(each.body)["data"]["revision"] for each in receiver.got}


@ON_BOTH
def test_what_was_appended_is_published_and_told_once_the_threads_are_woken(
    settings: Settings, desk: Desk, office: Office, embedded: Embedded, receiver: Receiver
) -> None:
    embedded.start()
    assert until(lambda: len(followers.marks(desk.database)) == 2)
    _subscribe(office, settings, receiver.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    embedded.wake()
    assert until(lambda: _revisions(receiver) == {1, 2})
    assert _published(desk) == [("c-1", 1), ("c-1", 2)]
    assert len(receiver.got) == 2


def test_it_looks_for_work_at_every_tick_although_nobody_wakes_it(
    settings: Settings, desk: Desk, office: Office
) -> None:
    embedded = Embedded(make_works(settings, desk), timedelta(seconds=0.05))
    embedded.start()
    office.publish("c-1")
    assert until(lambda: _published(desk) == [("c-1", 1)])
    embedded.stop()


def test_what_was_left_undone_is_done_when_another_begins(
    settings: Settings, desk: Desk, office: Office, receiver: Receiver
) -> None:
    first = Embedded(make_works(settings, desk), NEVER_BY_ITSELF)
    first.start()
    assert until(lambda: len(followers.marks(desk.database)) == 2)
    _subscribe(office, settings, receiver.url)
    first.stop()
    office.publish("c-1")
    assert _published(desk) == []
    second = Embedded(make_works(settings, desk), NEVER_BY_ITSELF)
    second.start()
    assert until(lambda: _revisions(receiver) == {1})
    second.stop()


def test_several_processes_threads_publish_and_tell_once(
    settings: Settings, desk: Desk, office: Office, receiver: Receiver
) -> None:
    several = [
        Embedded(make_works(settings, Desk(Database(settings.database))), NEVER_BY_ITSELF)
        for _ in range(3)
    ]
    several[0].start()
    assert until(lambda: len(followers.marks(desk.database)) == 2)
    _subscribe(office, settings, receiver.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    for each in several:
        each.wake()
    assert until(lambda: _revisions(receiver) == {1, 2})
    for each in several:
        each.stop()
    assert _published(desk) == [("c-1", 1), ("c-1", 2)]
    assert len(receiver.got) == 2


def test_stopping_leaves_no_thread_and_nothing_half_done(
    desk: Desk, office: Office, embedded: Embedded
) -> None:
    before = threading.active_count()
    embedded.start()
    assert until(lambda: len(followers.marks(desk.database)) == 2)
    office.publish("c-1")
    embedded.wake()
    embedded.stop()
    assert threading.active_count() == before
    followed_to_the_end = (
        followers.mark(desk.database, "publications").position == desk.log.head().position
    )
    assert len(_published(desk)) == (1 if followed_to_the_end else 0)


def test_starting_twice_starts_once(embedded: Embedded) -> None:
    before = threading.active_count()
    embedded.start()
    embedded.start()
    assert threading.active_count() == before + 2


def test_one_that_was_never_started_can_be_stopped(embedded: Embedded) -> None:
    embedded.stop()


def test_a_stuck_follower_is_seen_and_goes_on_once_it_can(
    settings: Settings, desk: Desk, office: Office, embedded: Embedded
) -> None:
    folder = Path(str(settings.keys_dir))
    hidden = folder.rename(f"{folder}.elsewhere")
    office.publish("c-1")
    embedded.wake()
    assert until(lambda: bool(watch(desk.log, now=desk.clock()).stuck))
    (stuck,) = watch(desk.log, now=desk.clock()).stuck
    assert stuck.error_position == desk.log.head().position
    assert "TrustError" in str(stuck.error)
    hidden.rename(folder)
    embedded.wake()
    assert until(lambda: _published(desk) == [("c-1", 1)])
    assert watch(desk.log, now=desk.clock()).stuck == ()


def test_an_error_that_nobody_expected_does_not_end_the_work(
    desk: Desk, office: Office, embedded: Embedded
) -> None:
    with desk.database.writing() as connection:
        connection.execute(text("ALTER TABLE follower RENAME TO mislaid"))
    embedded.start()
    embedded.wake()
    office.publish("c-1")
    with desk.database.writing() as connection:
        connection.execute(text("ALTER TABLE mislaid RENAME TO follower"))
    embedded.wake()
    assert until(lambda: _published(desk) == [("c-1", 1)])


def test_a_checkpoint_is_signed_when_it_begins(desk: Desk, embedded: Embedded) -> None:
    embedded.start()
    assert until(lambda: bool(checkpoints.all_of(desk.database, ORIGIN)))
    (signed,) = checkpoints.all_of(desk.database, ORIGIN)
    assert signed.size == desk.log.head().position


def test_without_a_redis_the_process_that_serves_does_the_work(
    settings: Settings, desk: Desk, office: Office
) -> None:
    chosen = workers(settings, desk)
    office.publish("c-1")
    chosen.wake()
    assert until(lambda: _published(desk) == [("c-1", 1)])
    chosen.stop()


def test_a_slow_receiver_holds_up_nobodys_results(
    settings: Settings, desk: Desk, office: Office, embedded: Embedded, receiver: Receiver
) -> None:
    embedded.start()
    assert until(lambda: len(followers.marks(desk.database)) == 2)
    _subscribe(office, settings, receiver.url)
    receiver.let_go.clear()
    office.publish("c-1")
    embedded.wake()
    assert receiver.reached.wait(30)
    office.correct("c-1", mark=2)
    embedded.wake()
    assert until(lambda: _published(desk) == [("c-1", 1), ("c-1", 2)])
    assert len(receiver.got) == 1
    receiver.let_go.set()
    assert until(lambda: _revisions(receiver) == {1, 2})


def test_a_child_process_starts_threads_of_its_own(
    desk: Desk, office: Office, embedded: Embedded
) -> None:
    embedded.start()
    assert until(lambda: len(followers.marks(desk.database)) == 2)
    embedded.stop()
    office.publish("c-1")
    child = os.fork()
    if child == 0:
        try:
            embedded.wake()
            done = until(lambda: _published(desk) == [("c-1", 1)])
            os._exit(0 if done else 1)
        finally:
            os._exit(2)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    assert _published(desk) == [("c-1", 1)]
