"""A class at any moment of either clock."""

from datetime import timedelta

import pytest
from hypothesis import given

from events.judged_class import commands as ask
from events.judged_class.evolve import fold
from events.judged_class.state import INITIAL
from events.refusals import Refusal
from tests.histories import histories
from tests.stories import Recorder, Told, entry, scribe


def test_an_offline_tablets_mark_is_known_late_and_happened_early() -> None:
    story = Recorder().planned()
    given = story.now + timedelta(minutes=1)
    story.later(minutes=45)
    mark = ask.GiveMark(seat="A", ref=entry("n1"), maneuver=1, mark=3)
    story.record(mark, scribe("A"), occurred_at=given)
    history, before = story.told.history, story.version - 1

    while_offline = given + timedelta(minutes=10)
    assert history.known_at(while_offline) == history.without({story.version})
    assert not history.known_at(while_offline).cards["A"].rides
    assert history.happened_by(while_offline).cards["A"].rides["n1"].marks[1].event.mark == 3
    assert history.known_at(story.now) == history.at_version(story.version)
    assert history.happened_by(given - timedelta(seconds=1)).cards["A"].rides == {}
    assert history.at_version(before).version == before


@given(told=histories())
def test_a_time_of_the_servers_clock_names_the_version_reached_by_then(told: Told) -> None:
    history = told.history
    for event in history.events:
        reached = max(e.version for e in history.events if e.recorded_at <= event.recorded_at)
        known = history.known_at(event.recorded_at)
        at = history.at_version(reached)
        assert (known.cards, known.entries, known.phase) == (at.cards, at.entries, at.phase)


@given(told=histories())
def test_every_version_is_the_fold_of_the_events_before_it(told: Told) -> None:
    data = [event.data for event in told.events]
    for version in range(told.history.version + 1):
        assert told.history.at_version(version) == fold(data[:version])  # type: ignore[arg-type]
    assert told.history.at_version(0) == INITIAL


@pytest.mark.parametrize("version", [-1, 3])
def test_a_version_that_the_class_has_not_is_refused(version: int) -> None:
    story = Recorder().planned(entries=1)
    history = type(story.told.history)(story.told.events[:2])
    with pytest.raises(Refusal, match=r"events 1 to 2, not -?\d") as refused:
        history.at_version(version)
    assert (refused.value.code, refused.value.field) == ("unknown_version", "version")


def test_a_witness_names_hand_device_and_both_times() -> None:
    story = Recorder().planned()
    version = story.mark("n1", 1, 2)
    witness = story.told.history.witness(version)
    assert (witness.version, witness.event_id) == (version, f"e-{version}")
    assert witness.actor == scribe("A")
    assert witness.occurred_at == witness.recorded_at == story.now
