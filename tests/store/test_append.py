"""An append is all or nothing, at the expected version, at the end of the log."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select, update
from sqlalchemy.exc import IntegrityError

from events.codec import NotCanonical
from events.proof.hashing import leaf_hash
from service.store.engine import Database
from service.store.errors import EventIdTaken, WrongExpectedVersion
from service.store.log import Log
from service.store.postgresql import FEW
from service.store.tables import event, log_head
from service.store.texts import bodies, keeping, seal
from service.store.verify import verify
from tests.store.given import CLASS, NOON, OTHER, command, mark, new, several


def test_events_come_back_as_they_are_then_read(log: Log) -> None:
    recorded = log.append(CLASS, several(3), expected_version=0)
    assert recorded == log.read(CLASS) == log.feed(0, 10)
    assert [each.version for each in recorded] == [1, 2, 3]
    assert [each.position for each in recorded] == [1, 2, 3]


def test_positions_count_over_all_streams_and_versions_in_each(log: Log) -> None:
    log.append(CLASS, several(2), expected_version=0)
    log.append(OTHER, several(1), expected_version=0)
    log.append(CLASS, several(1), expected_version=2)
    assert [(each.stream, each.version, each.position) for each in log.feed(0, 10)] == [
        (CLASS, 1, 1),
        (CLASS, 2, 2),
        (OTHER, 1, 3),
        (CLASS, 3, 4),
    ]
    assert log.head().position == 4


@pytest.mark.parametrize("expected", [0, 1, 3, 7])
def test_any_other_version_than_the_streams_own_is_refused(log: Log, expected: int) -> None:
    log.append(CLASS, several(2), expected_version=0)
    with pytest.raises(WrongExpectedVersion) as refused:
        log.append(CLASS, several(2), expected_version=expected)
    assert refused.value.stream == CLASS
    assert (refused.value.expected, refused.value.actual) == (expected, 2)
    assert len(log.feed(0, 10)) == 2


def test_a_stream_that_does_not_exist_is_at_version_0(log: Log) -> None:
    with pytest.raises(WrongExpectedVersion) as refused:
        log.append(CLASS, several(1), expected_version=1)
    assert refused.value.actual == 0


def test_a_refused_append_leaves_no_gap(log: Log) -> None:
    log.append(CLASS, several(2), expected_version=0)
    with pytest.raises(WrongExpectedVersion):
        log.append(CLASS, several(5), expected_version=1)
    (recorded,) = log.append(CLASS, several(1), expected_version=2)
    assert recorded.position == 3


def test_an_event_id_is_used_once_in_the_whole_log(log: Log) -> None:
    log.append(CLASS, [new(event_id="taken")], expected_version=0)
    with pytest.raises(EventIdTaken) as refused:
        log.append(OTHER, [new(event_id="free"), new(event_id="taken")], expected_version=0)
    assert refused.value.ids == ("taken",)
    assert log.read(OTHER) == ()


def test_an_event_id_is_used_once_in_an_append(log: Log) -> None:
    with pytest.raises(EventIdTaken) as refused:
        log.append(CLASS, [new(event_id="twice"), new(event_id="twice")], expected_version=0)
    assert refused.value.ids == ("twice",)
    assert log.head().position == 0


def test_what_has_no_canonical_bytes_is_refused_whole(log: Log) -> None:
    with pytest.raises(NotCanonical):
        log.append(CLASS, [new(), new(event_id="a\0b")], expected_version=0)
    assert log.head().position == 0


def test_the_stored_bytes_are_the_event_and_the_hash_is_theirs(
    log: Log, database: Database
) -> None:
    (recorded,) = log.append(CLASS, [new(3)], expected_version=0)
    with database.reading() as connection:
        row = connection.execute(select(event)).one()
    assert log.codec.decode(row.bytes, row.position) == recorded
    assert row.leaf_hash == leaf_hash(row.bytes)
    assert (row.id, row.stream, row.version) == (recorded.id, CLASS, 1)
    assert (row.type, row.schema, row.actor) == ("card.mark_given", 1, "key-1")
    assert (row.occurred_at, row.recorded_at) == (NOON, recorded.recorded_at)


def test_the_time_of_recording_is_now(log: Log) -> None:
    before = datetime.now(UTC)
    (recorded,) = log.append(CLASS, several(1), expected_version=0)
    assert before <= recorded.recorded_at <= datetime.now(UTC)
    assert log.head().recorded_at == recorded.recorded_at


def test_the_time_of_recording_never_runs_backwards(log: Log, database: Database) -> None:
    ahead = datetime.now(UTC) + timedelta(hours=1)
    with database.writing() as connection:  # as if the clock had been put back an hour since
        connection.execute(update(log_head).values(recorded_at=ahead))
    first = log.append(CLASS, several(2), expected_version=0)
    second = log.append(OTHER, several(1), expected_version=0)
    assert {each.recorded_at for each in (*first, *second)} == {ahead}


def test_what_lies_beside_the_events_is_written_with_them(log: Log, database: Database) -> None:
    sealed = seal("went off course at the gate")
    log.append(CLASS, several(1), expected_version=0, beside=keeping([sealed]))
    assert bodies(database, [sealed.ref]) == {sealed.ref: "went off course at the gate"}


def test_what_lies_beside_refused_events_is_not_written(log: Log, database: Database) -> None:
    sealed = seal("went off course at the gate")
    with pytest.raises(WrongExpectedVersion):
        log.append(CLASS, several(1), expected_version=4, beside=keeping([sealed]))
    with pytest.raises(EventIdTaken):
        log.append(
            CLASS, [new(event_id="a"), new(event_id="a")], expected_version=0,
            beside=keeping([sealed]),
        )  # fmt: skip
    assert bodies(database, [sealed.ref]) == {}


def test_events_are_not_written_without_what_lies_beside_them(log: Log) -> None:
    sealed = seal("went off course at the gate")
    with pytest.raises(IntegrityError, match="text"):
        log.append(CLASS, several(1), expected_version=0, beside=keeping([sealed, sealed]))
    assert log.head().position == 0
    assert log.read(CLASS) == ()


@pytest.mark.parametrize("count", [1, FEW, FEW + 1, 100])
def test_any_number_of_events_is_one_append(log: Log, count: int) -> None:
    recorded = log.append(CLASS, several(count), expected_version=0, command=command())
    assert [each.position for each in recorded] == list(range(1, count + 1))
    assert len({each.recorded_at for each in recorded}) == 1
    assert log.read_data(CLASS) == [mark(number) for number in range(count)]
    assert verify(log).findings == ()


def test_no_events_change_nothing(log: Log) -> None:
    assert log.append(CLASS, [], expected_version=0) == ()
    assert log.head().position == 0
    with pytest.raises(WrongExpectedVersion):
        log.append(CLASS, [], expected_version=1)
