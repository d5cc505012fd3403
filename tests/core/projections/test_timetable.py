"""How far a class has come in the ring, who rides next, and when, from its log alone."""

from datetime import datetime, timedelta

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.judged_class import commands as ask
from events.projections.timetable import (
    NOT_RUN,
    Estimate,
    Progress,
    Run,
    Turn,
    in_ring,
    line_up,
    progress,
    run_on,
    timetable,
)
from tests.core.books import PLACED, TIMED
from tests.histories import histories
from tests.stories import OFFICE, REASON, START, STEWARD, Recorder, Told, entry, scribe

SECOND = timedelta(seconds=1)
MINUTE = timedelta(minutes=1)


def run_of(story: Recorder) -> Run:
    run = NOT_RUN
    for event in story.events:
        run = run_on(run, event)
    return run


def estimate(story: Recorder, now: datetime) -> Estimate:
    turn = Turn(class_id="c", slot=1, not_before=None, seconds_a_ride=240)
    (found,) = timetable([(turn, progress(run_of(story)))], opens_at=START, now=now)
    return found


def riding(story: Recorder) -> str | None:
    found = in_ring(run_of(story), story.book)
    return None if found is None else found.id


def waiting(story: Recorder) -> list[tuple[str, datetime]]:
    run, now = run_of(story), story.now
    line = line_up(run, estimate(story, now), story.book, now=now)
    return [(each.entry.id, each.expected_at) for each in line]


def test_a_class_that_nobody_rode_has_not_begun() -> None:
    story = Recorder().planned()
    assert progress(run_of(story)) == Progress(
        entries=3, ridden=0, rides=0, began_at=None, last_began_at=None, ended_at=None
    )
    found = estimate(story, START)
    assert (found.starts_at, found.ends_at) == (START, START + 12 * MINUTE)
    assert (found.started, found.ended, riding(story)) == (False, False, None)
    assert waiting(story) == [(f"n{n}", START + (n - 1) * 4 * MINUTE) for n in (1, 2, 3)]


def test_whoever_was_marked_last_is_in_the_ring_until_every_judge_has_all_of_the_ride() -> None:
    story = Recorder().planned(seats="AB")
    story.mark("n1", 1, 0)
    assert riding(story) == "n1"
    story.ride("n1")
    assert riding(story) == "n1"  # seat B has marked nothing yet
    story.ride("n1", seat="B")
    assert riding(story) is None
    story.mark("n2", 1, 0)
    assert riding(story) == "n2"
    assert [name for name, _ in waiting(story)] == ["n3"]
    story.record(ask.ExcuseEntry(ref=entry("n2")), OFFICE)
    assert riding(story) is None


def test_rides_follow_one_another_at_the_mean_time_from_one_to_the_next() -> None:
    story = Recorder().planned(4)
    story.ride("n1")  # four facts, five seconds apart
    began = START + 5 * SECOND
    expected = 4 * MINUTE  # nothing says better yet
    assert waiting(story)[:2] == [("n2", began + expected), ("n3", began + 2 * expected)]
    story.later(seconds=60).ride("n2").later(seconds=100).mark("n3", 1, 0)
    pace = (story.now - began) / 2
    assert waiting(story) == [("n4", story.now + pace)]
    assert estimate(story, story.now).ends_at == story.now + 2 * pace
    story.later(minutes=30)
    assert waiting(story) == [("n4", story.now)]  # nobody is expected in the past


def test_an_entry_that_rides_again_is_to_come_and_its_first_ride_took_its_time() -> None:
    story = Recorder().planned(2)
    story.ride("n1").later(seconds=60).ride("n2")
    spent = progress(run_of(story))
    assert (spent.ridden, spent.rides) == (2, 2)
    story.record(ask.GrantReride(ref=entry("n1"), reason=REASON), OFFICE)
    again = progress(run_of(story))
    assert (again.ridden, again.rides, again.began_at) == (1, 2, spent.began_at)
    assert [name for name, _ in waiting(story)] == ["n1"]


def test_what_was_written_for_the_wrong_entry_and_taken_back_was_no_ride() -> None:
    story = Recorder().planned()
    story.mark("n3", 1, 0)
    story.mark("n3", 2, 0)
    taken_back = [ask.WithdrawMark(seat="A", ref=entry("n3"), maneuver=n) for n in (1, 2)]
    story.record(taken_back[0], scribe("A"))
    assert riding(story) == "n3"
    story.record(taken_back[1], scribe("A"))
    assert riding(story) is None
    assert [name for name, _ in waiting(story)] == ["n1", "n2", "n3"]


def test_a_scratch_a_missed_gate_and_an_excused_entry_are_not_waited_for() -> None:
    story = Recorder().planned(4)
    story.record(ask.ScratchEntry(ref=entry("n1")), OFFICE)
    story.record(ask.RecordMissedGate(ref=entry("n2")), OFFICE)
    story.record(ask.ExcuseEntry(ref=entry("n3")), OFFICE)
    found = progress(run_of(story))
    assert (found.entries, found.ridden, found.rides) == (3, 2, 0)
    assert [name for name, _ in waiting(story)] == ["n4"]


def test_a_learner_neither_begins_nor_ends_a_class() -> None:
    story = Recorder().planned(1)
    story.record(ask.SeatJudge(seat="L", judge="p-learner", kind="learner"), OFFICE)
    story.ride("n1", seat="L").signed("L")
    found = progress(run_of(story))
    assert (found.ridden, found.began_at, found.ended_at) == (0, None, None)


def test_the_first_signature_of_a_judge_ends_the_class() -> None:
    story = Recorder().planned(1, seats="AB").ride("n1").ride("n1", seat="B")
    first = story.signed("A").now
    story.signed("B").official()
    assert progress(run_of(story)).ended_at == first
    assert (riding(story), waiting(story)) == (None, [])
    assert estimate(story, story.now).ends_at == first


def test_a_time_shows_that_an_entry_rode() -> None:
    story = Recorder(TIMED).planned(2)
    time = ask.GiveTime(seat="A", ref=entry("n1"), milliseconds=17_532)
    story.later(minutes=1).record(time, scribe("A"))
    found = progress(run_of(story))
    assert (found.ridden, found.began_at) == (1, story.now)
    assert [name for name, _ in waiting(story)] == ["n2"]


def test_a_class_on_the_rail_is_in_the_ring_as_a_whole() -> None:
    story = Recorder(PLACED).planned(3)
    assert waiting(story) == [(f"n{n}", START) for n in (1, 2, 3)]
    back = ask.CallBack(seat="A", entries=(entry("n1"), entry("n2")))
    story.later(minutes=6).record(back, scribe("A"))
    began = story.now
    place = ask.PlaceCard(seat="A", order=tuple(map(entry, ("n2", "n1", "n3"))))
    story.later(minutes=6).record(place, scribe("A"))
    found = progress(run_of(story))
    assert (found.ridden, found.rides) == (3, 1)
    assert (found.began_at, found.last_began_at) == (began, began)
    assert estimate(story, story.now).ends_at == story.now
    assert (riding(story), waiting(story)) == (None, [])


def test_only_a_seat_that_is_taken_says_that_anybody_rode() -> None:
    story = Recorder().planned(1).ride("n1")
    run = NOT_RUN
    for event in story.events:
        if event.data.__struct_config__.tag != "class.judge_seated":
            run = run_on(run, event)
    assert progress(run).ridden == 0


def test_rides_that_all_began_at_once_say_nothing_of_the_pace() -> None:
    """As where a card on paper was typed in afterwards, under one time."""
    story = Recorder().planned(3)
    for name in ("n1", "n2"):
        given = ask.GiveMark(seat="A", ref=entry(name), maneuver=1, mark=0)
        story.record(given, scribe("A"))
    assert progress(run_of(story)).rides == 2


def test_a_class_that_is_cancelled_before_anybody_rode_takes_no_time() -> None:
    story = Recorder().planned()
    story.record(ask.CancelClass(reason=REASON), OFFICE)
    cancelled = progress(run_of(story))
    assert (cancelled.held, cancelled.ridden, cancelled.ended_at) == (False, 3, None)
    other = progress(run_of(Recorder().planned()))
    late = START + 5 * 60 * MINUTE
    turns = [
        (Turn(class_id="c", slot=1, not_before=late, seconds_a_ride=240), cancelled),
        (Turn(class_id="d", slot=2, not_before=None, seconds_a_ride=240), other),
    ]
    first, second = timetable(turns, opens_at=START, now=START)
    assert (first.starts_at, first.ends_at, first.ended) == (START, START, True)
    assert second.starts_at == START
    assert waiting(story) == []


def test_a_class_that_is_cancelled_in_the_middle_has_ended_unless_it_is_held_after_all() -> None:
    story = Recorder().planned()
    story.mark("n1", 1, 0)
    cancelled_at = story.later(minutes=3).now
    story.record(ask.CancelClass(reason=REASON), OFFICE)
    found = estimate(story, story.now)
    assert (found.ends_at, found.started, found.ended) == (cancelled_at, True, True)
    assert riding(story) is None
    story.record(ask.LiftCancellation(reason=REASON), STEWARD)
    found = estimate(story, story.now)
    assert (found.started, found.ended) == (True, False)
    assert [name for name, _ in waiting(story)] == ["n2", "n3"]


def test_a_ride_of_no_length_says_nothing_of_the_pace() -> None:
    story = Recorder().planned(2)
    story.mark("n1", 1, 0)
    assert estimate(story, story.now).seconds_a_ride == 240


@pytest.mark.parametrize("late", [False, True])
def test_a_class_follows_the_one_before_and_never_comes_before_its_own_time(late: bool) -> None:
    idle = Progress(entries=2, ridden=0, rides=0, began_at=None, last_began_at=None, ended_at=None)
    begun = msgspec.structs.replace(idle, ridden=1, rides=1, began_at=START, last_began_at=START)
    first = Turn(class_id="a", slot=1, not_before=None, seconds_a_ride=60)
    second = Turn(class_id="b", slot=5, not_before=START + 4 * MINUTE, seconds_a_ride=90)
    now = START + (10 if late else 1) * MINUTE
    one, two = timetable([(second, idle), (first, begun)], opens_at=START, now=now)
    assert (one.class_id, one.ends_at) == ("a", now if late else START + 2 * MINUTE)
    assert two.starts_at == (now if late else START + 4 * MINUTE)
    assert two.ends_at == two.starts_at + 3 * MINUTE


@given(histories(), st.integers(0, 2000))
def test_at_every_moment_each_running_entry_has_gone_or_waits(told: Told, cut: int) -> None:
    run = NOT_RUN
    for event in told.events[:cut]:
        run = run_on(run, event)
    found = progress(run)
    turn = Turn(class_id="c", slot=1, not_before=None, seconds_a_ride=240)
    (seen,) = timetable([(turn, found)], opens_at=START, now=START)
    line = line_up(run, seen, told.book, now=START)
    assert run.state == told.history.at_version(min(cut, told.history.version))
    assert len(line) == (0 if seen.ended else found.entries - found.ridden)
    assert [each.expected_at for each in line] == sorted(each.expected_at for each in line)
