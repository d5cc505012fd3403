"""The role that serves on PostgreSQL can do its work, and can do no harm to the log."""

import uuid
from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from events.show.facts import HorseFacts, RiderFacts
from service.store import facts, keys, migrate, registry, rulebooks, texts
from service.store.engine import Database
from service.store.every_table import metadata
from service.store.grants import RIGHTS, CannotGrant, grant
from service.store.log import Log
from tests import services
from tests.store.given import CLASS, command, everything, several

NOW = datetime(2026, 6, 6, 12, tzinfo=UTC)


def run(database: Database, *statements: str) -> None:
    with database.writing() as connection:
        for statement in statements:
            connection.execute(text(statement))


@pytest.fixture
def role(postgres: Database) -> Iterator[str]:
    """A role of this test's own that owns nothing."""
    name = f"ringfold_test_{services.RUN}_{uuid.uuid4().hex[:12]}"
    run(postgres, f'CREATE ROLE "{name}" LOGIN')
    yield name
    run(postgres, f'DROP OWNED BY "{name}"', f'DROP ROLE "{name}"')


@pytest.fixture
def server(postgres: Database, role: str) -> Iterator[Database]:
    """The database as the role that serves meets it."""
    grant(postgres, role)
    grant(postgres, role)
    serving = Database(postgres.engine.url.set(username=role))
    yield serving
    serving.close()


def test_the_serving_role_does_all_that_serving_needs(server: Database) -> None:
    log = Log(server)
    sealed = texts.seal("softer transitions")
    content = b"{}"
    book = rulebooks.KeptBook(rulebooks.content_digest(content), "trail", "2026", content)
    log.append(
        CLASS,
        several(2),
        expected_version=0,
        command=command(),
        beside=[*texts.keeping([sealed]), *rulebooks.keeping(server, book)],
    )
    assert log.version(CLASS) == len(log.feed(0, 9)) == log.head().position == 2
    assert texts.withhold(server, sealed.ref, now=NOW)
    registry.add_person(server, registry.Person(id="p1", name="Ada"))
    registry.add_horse(server, registry.Horse(id="h1", name="Dusk"))
    for born in (2008, 2009):
        assert facts.keep_rider_facts(server, "p1", RiderFacts(born=date(born, 1, 1)))
        assert facts.keep_horse_facts(server, "h1", HorseFacts(foaled_year=born))
    assert registry.erase_person(server, "p1", now=NOW)
    key = keys.make_key(server, "steward", label="tower", now=NOW)
    assert keys.revoke_key(server, key.key.id, now=NOW)
    assert migrate.is_ready(server)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE event SET actor = 'somebody else'",
        "DELETE FROM event",
        "TRUNCATE event",
        "ALTER TABLE event DISABLE TRIGGER event_only_grows",
        "DROP TRIGGER event_only_grows ON event",
        "DROP TABLE event",
        "DELETE FROM log_head",
        "INSERT INTO log_head VALUES (2, 0, now())",
        "UPDATE log_head SET id = id",
        "UPDATE idempotency SET version = 1",
        "DELETE FROM idempotency",
        "UPDATE rulebook SET content = ''",
        "DELETE FROM person",
        "DELETE FROM text",
        "UPDATE alembic_version SET version_num = '0000'",
        "CREATE TABLE mine (id int)",
    ],
)
def test_the_serving_role_can_do_nothing_more(
    postgres: Database, server: Database, statement: str
) -> None:
    before = everything(postgres)
    with pytest.raises(DBAPIError, match=r"permission denied|must be owner"):
        run(server, statement)
    assert everything(postgres) == before


def test_every_table_has_its_rights_spelt_out() -> None:
    assert set(RIGHTS) == {*metadata.tables, "alembic_version"}


def test_what_was_granted_before_is_taken_away(postgres: Database, role: str) -> None:
    run(postgres, f'GRANT ALL ON event TO "{role}"')
    grant(postgres, role)
    with postgres.reading() as connection:
        may = text("SELECT has_table_privilege(:role, 'event', :right)")
        assert [
            right
            for right in ("SELECT", "INSERT", "UPDATE", "DELETE", "TRUNCATE", "REFERENCES")
            if connection.scalar(may, {"role": role, "right": right})
        ] == ["SELECT", "INSERT"]


@pytest.mark.parametrize("mighty", ["SUPERUSER", "owner"])
def test_a_role_that_could_do_anything_is_not_to_serve(
    postgres: Database, role: str, mighty: str
) -> None:
    if mighty == "owner":
        run(postgres, f'ALTER TABLE event OWNER TO "{role}"')
    else:
        run(postgres, f'ALTER ROLE "{role}" {mighty}')
    with pytest.raises(CannotGrant, match="owns the log or is a superuser"):
        grant(postgres, role)
    run(postgres, "ALTER TABLE event OWNER TO CURRENT_USER")


def test_an_unknown_role_is_told_by_name(postgres: Database) -> None:
    with pytest.raises(CannotGrant, match="no role nobody-at-all"):
        grant(postgres, "nobody-at-all")


def test_a_role_with_an_awkward_name_is_quoted(postgres: Database) -> None:
    with pytest.raises(CannotGrant, match="no role"):
        grant(postgres, 'x"; DROP TABLE event; --')


def test_sqlite_knows_no_roles(sqlite: Database) -> None:
    with pytest.raises(CannotGrant, match="SQLite knows no roles"):
        grant(sqlite, "server")
