"""Whoever gets past the guards leaves something that does not hold together, and it is found."""

import re
from collections.abc import Callable

import pytest
from sqlalchemy import text

from events.proof.hashing import leaf_hash
from events.rulebook.load import canonical, digest
from service.store import rulebooks, verify
from service.store.engine import Database
from service.store.log import Log
from service.store.migrate import GUARDS
from service.store.texts import keeping, seal, withhold
from service.store.verify import Finding, Report
from tests.core.books import SMALL
from tests.store.given import CLASS, NOON, OTHER, several

Tamper = Callable[..., None]
BOOK = rulebooks.KeptBook(digest(SMALL), SMALL.id, SMALL.edition, canonical(SMALL))


@pytest.fixture
def tamper(database: Database) -> Tamper:
    """Runs statements as somebody who owns the database and has switched the guards off."""
    with database.writing() as connection:
        if database.is_sqlite:
            for trigger in GUARDS["sqlite"]:
                connection.execute(text(f"DROP TRIGGER {trigger}"))
        else:
            connection.execute(text("ALTER TABLE event DISABLE TRIGGER ALL"))
            connection.execute(text("ALTER TABLE log_head DISABLE TRIGGER ALL"))

    def run(statement: str, **values: object) -> None:
        with database.writing() as connection:
            assert connection.execute(text(statement), values).rowcount

    return run


@pytest.fixture(autouse=True)
def _five_events(log: Log) -> None:
    """Versions 1 to 3 of one class, then 1 and 2 of another, with a text and a rule book."""
    beside = [*keeping([seal("softer transitions")]), *rulebooks.keeping(log.database, BOOK)]
    log.append(CLASS, several(3), expected_version=0, beside=beside)
    log.append(OTHER, several(2), expected_version=0)


def found(log: Log) -> list[tuple[str, int | None]]:
    return [(each.kind, each.position) for each in verify.verify(log).findings]


def test_a_log_that_was_only_appended_to_holds_together(log: Log) -> None:
    assert verify.verify(log) == Report(events=5, streams=2, findings=())


def test_an_empty_log_holds_together(sqlite: Database) -> None:
    assert verify.verify(Log(sqlite)).findings == ()


def test_changed_bytes_no_longer_have_the_stored_hash(log: Log, tamper: Tamper) -> None:
    raw = _bytes(log, 2).replace(b'"mark":1', b'"mark":6')
    tamper("UPDATE event SET bytes = :raw WHERE position = 2", raw=raw)
    assert found(log) == [("leaf_hash_differs", 2)]


def test_a_changed_hash_is_found(log: Log, tamper: Tamper) -> None:
    tamper("UPDATE event SET leaf_hash = :hash WHERE position = 4", hash=bytes(32))
    assert found(log) == [("leaf_hash_differs", 4)]


def test_bytes_that_are_no_event_are_found_even_with_their_own_hash(
    log: Log, tamper: Tamper
) -> None:
    tamper(
        "UPDATE event SET bytes = :raw, leaf_hash = :hash WHERE position = 3",
        raw=b"{}",
        hash=leaf_hash(b"{}"),
    )
    assert found(log) == [("event_unreadable", 3)]


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("id", "'another'"),
        ("type", "'card.signed'"),
        ("schema", "2"),
        ("actor", "'key-2'"),
        ("stream", "'class-elsewhere'"),
        ("version", "9"),
        ("occurred_at", "'2026-06-06T12:00:00.000001Z'"),
        ("recorded_at", "'2026-06-06T12:00:00.000001Z'"),
    ],
)
def test_a_column_that_says_something_else_than_the_event_is_found(
    log: Log, tamper: Tamper, column: str, value: str
) -> None:
    tamper(f"UPDATE event SET {column} = {value} WHERE position = 2")
    (finding,) = verify.verify(log).findings
    assert (finding.kind, finding.position) == ("column_differs", 2)
    assert finding.detail.startswith(f"{column} is ")


def test_a_removed_event_leaves_two_gaps(log: Log, tamper: Tamper) -> None:
    tamper("DELETE FROM event WHERE position = 2")
    assert found(log) == [("position_missing", 3), ("version_out_of_turn", 3)]


def test_a_removed_end_is_told_by_the_head(log: Log, tamper: Tamper) -> None:
    tamper("DELETE FROM event WHERE position > 3")
    assert found(log) == [("head_differs", 5)]


def test_a_log_that_lost_everything_is_told_by_the_head(log: Log, tamper: Tamper) -> None:
    tamper("DELETE FROM event")
    assert verify.verify(log).findings == (
        Finding(kind="head_differs", position=5, detail="the head says 5, the last event is at 0"),
    )


def test_a_head_that_was_put_back_is_found(log: Log, tamper: Tamper) -> None:
    tamper("UPDATE log_head SET position = 4")
    assert found(log) == [("head_differs", 4)]


def test_swapped_events_are_out_of_turn(log: Log, tamper: Tamper) -> None:
    for old, passing in ((2, 99), (3, 2), (99, 3)):
        tamper(f"UPDATE event SET position = {passing} WHERE position = {old}")
    assert found(log) == [("version_out_of_turn", 2), ("version_out_of_turn", 3)]


def test_a_time_that_runs_backwards_is_found(log: Log, tamper: Tamper) -> None:
    raw = re.sub(rb'("recorded_at":")\d{4}', rb"\g<1>2001", _bytes(log, 5))
    tamper(
        "UPDATE event SET bytes = :raw, leaf_hash = :hash, recorded_at = :then WHERE position = 5",
        raw=raw,
        hash=leaf_hash(raw),
        then=log.database.bound(log.codec.decode(raw, 5).recorded_at),
    )
    assert found(log) == [("time_runs_backwards", 5)]


def test_a_changed_text_is_found(log: Log, tamper: Tamper) -> None:
    tamper("UPDATE text SET body = 'something else'")
    assert found(log) == [("text_differs", None)]


def test_a_withheld_text_is_nothing_to_find(log: Log) -> None:
    sealed = seal("a name")
    log.append(CLASS, several(1), expected_version=3, beside=keeping([sealed]))
    withhold(log.database, sealed.ref, now=NOON)
    assert found(log) == []


def test_a_changed_rule_book_is_found(log: Log, tamper: Tamper) -> None:
    tamper("UPDATE rulebook SET content = :content", content=b"{}")
    assert found(log) == [("rulebook_differs", None)]


def test_every_fault_is_told_not_only_the_first(log: Log, tamper: Tamper) -> None:
    tamper("UPDATE event SET leaf_hash = :hash, actor = 'x'", hash=bytes(32))
    assert found(log) == [
        (kind, position)
        for position in range(1, 6)
        for kind in ("leaf_hash_differs", "column_differs")
    ]


def _bytes(log: Log, position: int) -> bytes:
    with log.database.reading() as connection:
        raw: bytes = connection.execute(
            text("SELECT bytes FROM event WHERE position = :position"), {"position": position}
        ).scalar_one()
        return raw
