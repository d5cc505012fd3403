"""The role that serves on PostgreSQL does the workers' work with the rights that it has."""

import uuid
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from service.config import Settings
from service.desk import subscriptions
from service.desk.desk import Desk
from service.desk.subscriptions import Subscription
from service.store import publications
from service.store.engine import Database
from service.store.grants import grant
from service.store.watch import watch
from service.workers.compose import make_works, open_trust, reach_of
from tests import services
from tests.workers.federation import Federation
from tests.workers.office import SHOW, Office
from tests.workers.receiver import receiving


@pytest.fixture
def serving(postgres_path: str) -> Iterator[str]:
    """The URL of a database for a role that owns nothing in it."""
    owner = Database(postgres_path)
    name = f"ringfold_test_{services.RUN}_{uuid.uuid4().hex[:12]}"
    _run(owner, f'CREATE ROLE "{name}" LOGIN')
    grant(owner, name)
    url = owner.engine.url.set(username=name)
    yield url.render_as_string(hide_password=False)
    _run(owner, f'DROP OWNED BY "{name}"', f'DROP ROLE "{name}"')
    owner.close()


def _run(database: Database, *statements: str) -> None:
    with database.writing() as connection:
        for statement in statements:
            connection.execute(text(statement))


def test_the_serving_role_can_do_all_the_work_and_rewrite_nothing(
    serving: str, tmp_path: Path
) -> None:
    settings = Settings(
        database=serving,
        keys_dir=str(tmp_path / "keys"),
        webhook_networks="127.0.0.0/8",
        webhook_without_tls="yes",
    )
    database = Database(serving)
    desk = Desk(database)
    office = Office(desk)
    open_trust(settings, desk).keys.make()
    works = make_works(settings, desk)
    works.register()
    with receiving() as receiver:
        caller = office.ask("federation").caller
        opened = subscriptions.subscribe(
            desk,
            office.ask("federation"),
            reach_of(settings),
            Subscription(url=receiver.url, label="Federation"),
        )
        subscriptions.rotate_secret(desk, caller, opened.subscriber.id)
        federation = Federation(desk)
        federation.open_season(SHOW)
        federation.define()
        office.publish("c-1")
        works.follow("publications")
        for row in works.offer(again_after=timedelta(0)):
            assert works.do(row)
        assert len(receiver.got) == 1
    works.checkpoint()
    works.clean_up()
    works.follow("standings")
    for name in works.followers:
        works.rebuild(name)
        works.follow(name)
    assert federation.points() == {"p-1": 7, "p-2": 4.5, "p-3": 4.5}
    subscriptions.remove(desk, caller, opened.subscriber.id)
    assert [each.events for each in watch(desk.log, now=desk.clock()).followers] == [0, 0]
    assert len(publications.of_class(database, "c-1")) == 1
    for sql in ("DELETE FROM publication", "UPDATE publication SET revision = 2",
                "TRUNCATE publication", "DELETE FROM notice", "DELETE FROM follower",
                "ALTER TABLE publication DISABLE TRIGGER ALL"):  # fmt: skip
        with pytest.raises(DBAPIError, match=r"permission denied|must be owner"):
            _run(database, sql)
    database.close()
