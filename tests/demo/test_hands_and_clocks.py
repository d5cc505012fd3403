"""Whose hand wrote what in the demo, on which device, and when by both clocks."""

from datetime import UTC, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from events.envelope import stream_of
from events.judged_class import events as happened
from service.store import verify
from tests.demo.conftest import Played

ON_A_CARD = (
    happened.MarkGiven,
    happened.PenaltyCalled,
    happened.RiderMarkGiven,
    happened.OutcomeCalled,
)


def test_a_scribe_writes_for_the_own_seat_and_the_office_from_paper(played: Played) -> None:
    for held in played.classes.values():
        for each in held.of(*ON_A_CARD):
            seat = getattr(each.data, "seat", None)
            if held.story.on_paper:
                assert (each.actor.role, each.actor.device) == ("office", "office-desk")
            else:
                assert (each.actor.role, each.actor.seat) == ("scribe", seat)


def test_no_device_writes_for_two_seats(played: Played) -> None:
    for held in played.classes.values():
        writers = [each for each in held.of(*ON_A_CARD) if each.actor.role == "scribe"]
        seats = {(each.actor.device, each.actor.seat) for each in writers}
        assert len({device for device, _ in seats}) == len(seats)


def test_device_times_follow_the_show(played: Played) -> None:
    plan = played.show.plan
    zone = ZoneInfo(plan.time_zone)
    for held in played.classes.values():
        for each in held.of(*ON_A_CARD):
            local = each.occurred_at.astimezone(zone)
            assert local.date() == held.story.begins.date()
            assert time(8) < local.time() < time(18)
        times = [each.occurred_at for each in held.events]
        assert all(before <= after for before, after in pairwise(times))


def test_no_maneuver_is_marked_faster_than_a_horse_goes(played: Played) -> None:
    ridden = [held for held in played.classes.values() if not held.story.on_paper]
    for held in ridden:
        rides: dict[tuple[str, str], list[datetime]] = {}
        for each in held.of(happened.MarkGiven):
            assert isinstance(each.data, happened.MarkGiven)
            ride = (each.data.seat, each.data.entry)
            rides.setdefault(ride, []).append(each.occurred_at)
        for times in rides.values():
            gaps = [after - before for before, after in pairwise(times)]
            assert min(gaps) >= timedelta(seconds=10)


def test_recorded_times_are_the_servers_own_and_lie_close_together(played: Played) -> None:
    first, *_, last = played.desk.log.feed(0, 10_000)
    assert first.recorded_at <= last.recorded_at <= datetime.now(UTC)
    assert last.recorded_at - first.recorded_at < timedelta(hours=1)
    assert last.occurred_at - first.occurred_at > timedelta(days=4)


def test_the_log_holds_together(played: Played) -> None:
    report = verify.verify(played.desk.log)
    assert report.findings == ()
    assert report.streams == 2 + len(played.classes)  # the show and its season too


def test_no_name_stands_in_the_log(played: Played) -> None:
    people = [pair.rider for pair in played.show.pairs.values() if pair.rider is not None]
    people += [official.name for official in played.show.officials]
    people += played.show.others.values()
    streams = [stream_of("class", name) for name in played.classes]
    events = [
        str(each.data)
        for stream in [stream_of("show", played.show.id), *streams]
        for each in played.desk.log.read(stream)
    ]
    assert not [name for name in people for event in events if name in event]
