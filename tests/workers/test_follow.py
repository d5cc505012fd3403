"""Followers: every event once and in order, stopped by what they cannot handle, made anew."""

import threading

import pytest
from sqlalchemy import text

from service.desk.desk import Desk
from service.store import followers
from service.store.engine import Database
from service.store.errors import StoreBusy
from service.store.followers import UnknownFollower
from service.store.log import Log
from service.store.watch import watch
from service.workers.follow import NewerRelease, Stuck, follow, rebuild
from tests.workers.both import ON_BOTH
from tests.workers.clock import Clock
from tests.workers.office import Office
from tests.workers.tally import Tally, create_table, tallied


@pytest.fixture(autouse=True)
def _begun(desk: Desk) -> None:
    create_table(desk.database)
    followers.register(desk.database, "tally", 1, now=desk.clock())


def _whole(log: Log) -> list[tuple[int, str]]:
    return [(each.position, type(each.data).__name__) for each in log.feed(0, 10_000)]


def _all_of_it(desk: Desk, tally: Tally, batch: int = 7) -> None:
    while follow(desk.log, tally, desk.clock, batch=batch):
        pass


@ON_BOTH
def test_every_event_is_handled_once_and_in_the_order_of_the_log(desk: Desk) -> None:
    _all_of_it(desk, Tally(), 4)
    assert tallied(desk.database) == _whole(desk.log)
    assert followers.mark(desk.database, "tally").position == desk.log.head().position


def test_what_is_appended_later_is_followed_from_where_it_stopped(
    desk: Desk, office: Office
) -> None:
    _all_of_it(desk, Tally())
    office.publish("c-1")
    _all_of_it(desk, Tally())
    assert tallied(desk.database) == _whole(desk.log)


def test_at_the_end_of_the_log_there_is_nothing_to_do(desk: Desk) -> None:
    _all_of_it(desk, Tally())
    assert follow(desk.log, Tally(), desk.clock) is False


@pytest.mark.parametrize("batch", [3, 500])
@pytest.mark.parametrize("where", ["stumbles_at", "unprepared_at"])
def test_a_failing_event_stops_the_follower_just_before_it(
    desk: Desk, where: str, batch: int
) -> None:
    tally = Tally()
    setattr(tally, where, 9)
    with pytest.raises(Stuck, match="tally is stuck at event 9: Unlucky") as stuck:
        _all_of_it(desk, tally, batch)
    assert stuck.value.position == 9
    assert tallied(desk.database) == _whole(desk.log)[:8]
    assert followers.mark(desk.database, "tally").position == 8


@ON_BOTH
def test_where_and_why_it_is_stuck_can_be_seen(desk: Desk) -> None:
    with pytest.raises(Stuck):
        _all_of_it(desk, Tally(stumbles_at=9))
    (lag,) = watch(desk.log, now=desk.clock()).followers
    assert (lag.name, lag.error, lag.error_position) == ("tally", "Unlucky: stumbled at 9", 9)
    assert lag.events == desk.log.head().position - 8
    assert lag.error_at == desk.clock()


@ON_BOTH
def test_how_far_behind_a_follower_is_shows_in_events_and_in_seconds(
    desk: Desk, clock: Clock
) -> None:
    clock.move(seconds=90)
    (behind,) = watch(desk.log, now=clock()).followers
    assert (behind.position, behind.events) == (0, desk.log.head().position)
    first = desk.log.feed(0, 1)[0]
    assert behind.seconds == (clock() - first.recorded_at).total_seconds() >= 90
    _all_of_it(desk, Tally())
    (level,) = watch(desk.log, now=clock()).followers
    assert (level.events, level.seconds) == (0, 0)


def test_a_failing_event_is_never_skipped_and_handled_once_it_can_be(desk: Desk) -> None:
    for _ in range(3):
        with pytest.raises(Stuck):
            _all_of_it(desk, Tally(stumbles_at=9))
    assert len(tallied(desk.database)) == 8
    _all_of_it(desk, Tally())
    assert tallied(desk.database) == _whole(desk.log)
    mark = followers.mark(desk.database, "tally")
    assert (mark.error, mark.error_position, mark.error_at) == (None, None, None)


def test_an_event_that_the_follower_does_not_know_stops_it(desk: Desk) -> None:
    tally = Tally()
    tally.handlers = {}
    with pytest.raises(Stuck, match="stuck at event 1: KeyError"):
        follow(desk.log, tally, desk.clock)


def test_a_busy_database_is_no_fault_of_the_event(desk: Desk) -> None:
    tally = Tally()

    def busy(*_: object) -> None:
        raise StoreBusy("another transaction holds it")

    tally.handlers = dict.fromkeys(tally.handlers, busy)
    with pytest.raises(StoreBusy):
        follow(desk.log, tally, desk.clock)
    mark = followers.mark(desk.database, "tally")
    assert (mark.position, mark.error) == (0, None)


@ON_BOTH
def test_a_new_version_makes_every_row_anew(desk: Desk) -> None:
    _all_of_it(desk, Tally(version=1))
    _all_of_it(desk, Tally(version=2))
    assert tallied(desk.database) == _whole(desk.log)
    with desk.database.reading() as connection:
        versions = connection.scalars(text("SELECT DISTINCT version FROM tally")).all()
    assert versions == [2]
    assert followers.mark(desk.database, "tally").version == 2


def test_an_older_release_keeps_off_the_rows_of_a_newer_one(desk: Desk) -> None:
    _all_of_it(desk, Tally(version=2))
    before = tallied(desk.database)
    with pytest.raises(NewerRelease):
        follow(desk.log, Tally(version=1), desk.clock)
    assert tallied(desk.database) == before


def test_a_rebuild_gives_the_same_rows_as_following_live(desk: Desk, office: Office) -> None:
    _all_of_it(desk, Tally())
    office.publish("c-1")
    _all_of_it(desk, Tally())
    live = tallied(desk.database)
    rebuild(desk.database, Tally(), now=desk.clock())
    assert tallied(desk.database) == []
    _all_of_it(desk, Tally())
    assert tallied(desk.database) == live


@ON_BOTH
def test_two_that_follow_at_once_handle_nothing_twice(url: str, desk: Desk, clock: Clock) -> None:
    together = threading.Barrier(4)

    def follow_along() -> None:
        database = Database(url)
        together.wait()
        log = Log(database)
        while follow(log, Tally(), clock, batch=2):
            pass
        database.close()

    threads = [threading.Thread(target=follow_along) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert tallied(desk.database) == _whole(desk.log)


def test_a_follower_that_never_began_is_told_by_name(desk: Desk) -> None:
    with pytest.raises(UnknownFollower, match="stranger"):
        followers.mark(desk.database, "stranger")


def test_a_follower_that_never_began_begins_at_the_beginning(desk: Desk) -> None:
    newcomer = Tally()
    newcomer.name = "newcomer"
    _all_of_it(desk, newcomer)
    assert tallied(desk.database) == _whole(desk.log)


def test_beginning_again_under_the_same_name_changes_nothing(desk: Desk) -> None:
    _all_of_it(desk, Tally())
    followers.register(desk.database, "tally", 1, now=desk.clock())
    assert followers.mark(desk.database, "tally").position == desk.log.head().position
