"""A stream is read from and to any version or time; the feed is read on from any position."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import update

from events.envelope import RecordedEvent
from service.store.engine import Database
from service.store.log import LATEST, Log
from service.store.tables import log_head
from tests.store.given import CLASS, OTHER, mark, several

LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
FIRST = datetime(2100, 1, 1, 10, tzinfo=UTC)
"""Times ahead of any clock, which the head is put forward to, so that they are what is recorded."""


def recorded_at(database: Database, moment: datetime) -> None:
    with database.writing() as connection:
        connection.execute(update(log_head).values(recorded_at=moment))


@pytest.fixture
def hourly(log: Log, database: Database) -> Log:
    """Versions 1 and 2 at ten, 3 at eleven, 4 to 6 at twelve; another stream in between."""
    for hour, count, version in ((0, 2, 0), (1, 1, 2), (2, 3, 3)):
        recorded_at(database, FIRST + timedelta(hours=hour))
        log.append(CLASS, several(count), expected_version=version)
        log.append(OTHER, several(1), expected_version=hour)
    return log


@pytest.mark.parametrize(
    ("after", "to", "versions"),
    [
        (0, LATEST, [1, 2, 3, 4, 5, 6]),
        (4, LATEST, [5, 6]),
        (0, 3, [1, 2, 3]),
        (2, 4, [3, 4]),
        (3, 3, []),
        (6, LATEST, []),
        (0, 0, []),
        (9, 12, []),
    ],
)
def test_a_stream_is_read_between_versions(
    hourly: Log, after: int, to: int, versions: list[int]
) -> None:
    read = hourly.read(CLASS, after=after, to=to)
    assert [each.version for each in read] == versions
    assert {each.stream for each in read} <= {CLASS}
    assert hourly.read_data(CLASS, after=after, to=to) == [each.data for each in read]


@pytest.mark.parametrize(
    ("moment", "version"),
    [
        (LONG_AGO, 0),
        (FIRST - timedelta(microseconds=1), 0),
        (FIRST, 2),
        (FIRST + timedelta(minutes=59), 2),
        (FIRST + timedelta(hours=1), 3),
        (FIRST + timedelta(hours=2) - timedelta(microseconds=1), 3),
        (FIRST + timedelta(hours=2), 6),
        (FIRST + timedelta(days=1), 6),
    ],
)
def test_a_time_names_the_version_that_stood_then(
    hourly: Log, moment: datetime, version: int
) -> None:
    assert hourly.version_at(CLASS, moment) == version
    read = hourly.read(CLASS, until=moment)
    assert [each.version for each in read] == list(range(1, version + 1))
    assert hourly.read_data(CLASS, until=moment) == [each.data for each in read]


def test_version_and_time_bound_a_reading_together(hourly: Log) -> None:
    eleven = FIRST + timedelta(hours=1)
    assert [each.version for each in hourly.read(CLASS, after=1, to=2, until=eleven)] == [2]
    assert [each.version for each in hourly.read(CLASS, after=1, to=9, until=eleven)] == [2, 3]


def test_a_stream_that_does_not_exist_reads_as_empty(hourly: Log) -> None:
    assert hourly.read("class-nobody") == ()
    assert hourly.version("class-nobody") == 0
    assert hourly.version_at("class-nobody", FIRST) == 0


def test_a_streams_version_is_that_of_its_last_event(hourly: Log) -> None:
    assert hourly.version(CLASS) == 6
    assert hourly.version(OTHER) == 3


def test_the_feed_goes_on_from_where_it_was_left(hourly: Log) -> None:
    pages = [hourly.feed(after, 4) for after in (0, 4, 8, 9)]
    assert [[each.position for each in page] for page in pages] == [
        [1, 2, 3, 4],
        [5, 6, 7, 8],
        [9],
        [],
    ]


def test_the_head_of_an_empty_log_is_at_0(log: Log) -> None:
    assert log.head().position == 0
    assert log.head().recorded_at < LONG_AGO
    assert log.feed(0, 10) == ()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(1, 3)), min_size=1, max_size=8))
def test_the_feed_is_all_streams_in_the_order_of_appending(
    log: Log, appends: list[tuple[str, int]]
) -> None:
    start = log.head().position
    versions = {name: log.version(f"class-{name}") for name in "abc"}
    appended: list[RecordedEvent] = []
    for name, count in appends:
        appended.extend(
            log.append(f"class-{name}", several(count), expected_version=versions[name])
        )
        versions[name] += count
    assert log.feed(start, 100) == tuple(appended)
    assert [each.position for each in appended] == list(range(start + 1, start + len(appended) + 1))
    for name, version in versions.items():
        read = log.read(f"class-{name}")
        assert [each.version for each in read] == list(range(1, version + 1))


def test_what_is_read_is_what_happened(log: Log) -> None:
    log.append(CLASS, several(3), expected_version=0)
    assert log.read_data(CLASS) == [mark(0), mark(1), mark(2)]


def test_streams_are_where_they_were_at_a_position_or_a_time(hourly: Log) -> None:
    both = (CLASS, OTHER, "class-none")
    assert hourly.versions(both) == {CLASS: 6, OTHER: 3}
    assert hourly.versions(both, to=2) == {CLASS: 2}
    assert hourly.versions(both, to=4) == {CLASS: 3, OTHER: 1}
    assert hourly.versions(both, until=FIRST + timedelta(hours=1)) == {CLASS: 3, OTHER: 2}
    assert hourly.versions(both, until=FIRST - timedelta(microseconds=1)) == {}
    assert hourly.versions(()) == {}
