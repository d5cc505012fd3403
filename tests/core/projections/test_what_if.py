"""What a ruling would change, tried without storing anything."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.evolve import fold
from events.projections.placing import ClassPlacing, placing
from events.projections.what_if import what_if
from events.refusals import Refusal
from tests.histories import histories
from tests.stories import Recorder, Told, entry, scribe


def _log_without(told: Told, struck: int) -> list[happened.ClassEvent]:
    """The events as they would have been numbered had that one never been recorded."""
    kept = []
    for event in told.events:
        data = event.data
        if isinstance(data, happened.CorrectionMade) and data.replaces is not None:
            moved = data.replaces - (data.replaces > struck)
            replaces = 0 if data.replaces == struck else moved  # no event is numbered nought
            data = msgspec.structs.replace(data, replaces=replaces)
        if event.version != struck:
            kept.append(data)
    return kept  # type: ignore[return-value]


def _unnumbered(of: ClassPlacing) -> ClassPlacing:
    return msgspec.structs.replace(of, version=0)


@given(told=histories(), data=st.data())
def test_striking_an_event_is_the_fold_of_a_log_without_it(told: Told, data: st.DataObject) -> None:
    struck = data.draw(st.integers(1, told.history.version))
    tried = what_if(told.history, told.book, strike={struck})
    never = placing(fold(_log_without(told, struck)), told.book)
    assert _unnumbered(tried.after) == _unnumbered(never)
    assert tried.before == placing(told.history.at_version(told.history.version), told.book)


@given(told=histories())
def test_striking_nothing_and_adding_nothing_moves_nobody(told: Told) -> None:
    tried = what_if(told.history, told.book)
    assert tried.before == tried.after
    assert tried.moved == ()


def test_a_penalty_struck_and_a_mark_added_show_who_would_move() -> None:
    story = Recorder().planned(entries=2).ride("n1", first=2).ride("n2", first=1)
    call = ask.CallPenalty(seat="A", ref=entry("n1"), call="x", code="cone-tick")
    story.later(seconds=5).record(call, scribe("A"))
    penalty = story.version
    story.signed().official()
    history = story.told.history

    tried = what_if(history, story.book, strike=[penalty])
    places = {
        m.entry: (m.before and m.before.place, m.after and m.after.place) for m in tried.moved
    }
    assert places == {"n1": (2, 1), "n2": (1, 2)}
    assert [(row.entry, row.total) for row in tried.after.seats[0].rows] == [
        ("n1", 142),
        ("n2", 141),
    ]

    better = ask.GiveMark(seat="A", ref=entry("n2"), maneuver=2, mark=6)
    both = what_if(history, story.book, strike=[penalty], add=[better])
    assert [(row.entry, row.total) for row in both.after.seats[0].rows] == [
        ("n2", 147),
        ("n1", 142),
    ]
    assert story.told.history == history


def test_adding_what_stands_already_moves_nobody() -> None:
    story = Recorder().planned(entries=1).ride("n1", first=2)
    same = ask.GiveMark(seat="A", ref=entry("n1"), maneuver=1, mark=2)
    assert what_if(story.told.history, story.book, add=[same]).moved == ()


MARK = ask.GiveMark(seat="A", ref=entry("n1"), maneuver=1, mark=1)


@pytest.mark.parametrize(
    ("add", "code", "field"),
    [
        (msgspec.structs.replace(MARK, mark=99), "mark_out_of_range", "add[1].fact.mark"),
        (msgspec.structs.replace(MARK, seat="Z"), "unknown_seat", "add[1].seat"),
        (msgspec.structs.replace(MARK, ref=entry("n9")), "unknown_entry", "add[1].entry"),
        (
            ask.CallPenalty(seat="A", ref=entry("n1"), call="x", code="rein-lost"),
            "call_id_taken",
            "add[1].call",
        ),
    ],
)
def test_an_added_fact_that_does_not_fit_is_refused_by_its_place_and_field(
    add: ask.FactCommand, code: str, field: str
) -> None:
    story = Recorder().planned(entries=1)
    call = ask.CallPenalty(seat="A", ref=entry("n1"), call="x", code="cone-tick")
    story.record(call, scribe("A"))
    with pytest.raises(Refusal) as refused:
        what_if(story.told.history, story.book, add=[MARK, add])
    assert (refused.value.code, refused.value.field) == (code, field)


@pytest.mark.parametrize("version", [0, 9])
def test_a_struck_version_that_is_not_there_is_refused(version: int) -> None:
    story = Recorder().planned(entries=1, seats="A")
    history = type(story.told.history)(story.events[:5])
    with pytest.raises(Refusal) as refused:
        what_if(history, story.book, strike=[3, version])
    assert (refused.value.code, refused.value.field) == ("unknown_version", "strike[1]")
