"""Serving, and the work that it leaves, together."""

import socket
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.app import create_serving_app
from service.config import Settings
from service.desk import keys
from service.desk.desk import Desk
from service.signing import verify_document
from service.store import publications
from service.store.engine import Database
from service.trust.settings import trust_settings
from service.trust.trust import Trust
from service.workers.compose import SettingUnusable, reach_of, tick_of
from tests.workers.crew import Member
from tests.workers.office import Office
from tests.workers.receiver import LOOPBACK
from tests.workers.waiting import until


@pytest.fixture
def desk(url: str) -> Iterator[Desk]:
    database = Database(url)
    yield Desk(database)
    database.close()


def _published(desk: Desk) -> list[tuple[str, int]]:
    every = publications.since(desk.database, 0, 1000)
    return [(each.class_id, each.revision) for each in every]


def test_a_command_over_http_wakes_whoever_publishes(url: str, desk: Desk, office: Office) -> None:
    office.ride_class("c-2")
    settings = Settings(database=url, tick_seconds="3600")
    app, working = create_serving_app(settings)
    app.testing = True
    office.publish("c-2")
    key = keys.make(desk, None, "office", label="Office").presented
    answer = app.test_client().post(
        "/v1/people",
        json={"name": "Somebody new"},
        headers={"Authorization": f"Bearer {key}", "Idempotency-Key": "new-person"},
    )
    assert answer.status_code == 201
    assert until(lambda: _published(desk) == [("c-2", 1)])
    working.stop()


def test_a_log_in_a_file_of_its_own_is_signed_for_from_the_beginning(
    url: str, desk: Desk, office: Office
) -> None:
    settings = Settings(database=url, tick_seconds="3600")
    office.publish("c-1")
    _, first = create_serving_app(settings)
    _, second = create_serving_app(settings)
    assert until(lambda: _published(desk) == [("c-1", 1)])
    first.stop()
    second.stop()
    known = Trust(desk.database, trust_settings(settings)).keys.known()
    assert len(known) == 1
    (only,) = publications.since(desk.database, 0, 10)
    assert verify_document("result", only.document, only.note, known) == known


def test_the_server_publishes_by_itself_and_ends_when_it_is_told(
    url: str, desk: Desk, office: Office, tmp_path: Path
) -> None:
    with socket.create_server((LOOPBACK, 0)) as free:
        port = free.getsockname()[1]
    environment = {"RINGFOLD_DATABASE": url, "RINGFOLD_TICK_SECONDS": "1"}
    server = Member(f"serve --port {port}", environment, tmp_path / "serve.log")
    try:
        office.publish("c-1")
        assert until(lambda: _published(desk) == [("c-1", 1)]), server.told
    finally:
        status = server.stop()
    assert status == 0, server.told


def test_a_worker_without_a_redis_publishes_and_ends_when_it_is_told(
    url: str, desk: Desk, office: Office, tmp_path: Path
) -> None:
    office.publish("c-1")
    worker = Member("worker", {"RINGFOLD_DATABASE": url}, tmp_path / "worker.log")
    try:
        assert until(lambda: _published(desk) == [("c-1", 1)]), worker.told
    finally:
        status = worker.stop()
    assert status == 0, worker.told


@pytest.mark.parametrize("seconds", ["0", "-1", "3601", "ten", "1.5"])
def test_a_tick_that_is_none_is_named(seconds: str) -> None:
    with pytest.raises(SettingUnusable, match="RINGFOLD_TICK_SECONDS"):
        tick_of(Settings(tick_seconds=seconds))


def test_a_tick_is_ten_seconds_unless_it_is_set() -> None:
    assert tick_of(Settings()) == timedelta(seconds=10)


@pytest.mark.parametrize(
    ("settings", "variable"),
    [
        (Settings(webhook_networks="here"), "RINGFOLD_WEBHOOK_NETWORKS"),
        (Settings(webhook_without_tls="maybe"), "RINGFOLD_WEBHOOK_WITHOUT_TLS"),
    ],
)
def test_a_reach_that_is_none_is_named(settings: Settings, variable: str) -> None:
    with pytest.raises(SettingUnusable, match=variable):
        reach_of(settings)
