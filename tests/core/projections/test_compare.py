"""What moved between two moments, and whose hand moved it."""

from collections.abc import Mapping

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.judged_class import commands as ask
from events.projections.compare import FactChange, Standing, applied, compare
from events.projections.facts import FactKey, facts
from events.projections.placing import placing
from events.refusals import Refusal
from tests.histories import histories
from tests.stories import OFFICE, REASON, STEWARD, Recorder, Told, entry, scribe

NOBODY = Standing(total=None, outcome=None, place=None, tied=False)


def _values(told: Told, version: int) -> dict[FactKey, object]:
    standing = facts(told.history.at_version(version))
    return {key: fact.value for key, fact in standing.items()}


def _two_versions(told: Told, data: st.DataObject) -> tuple[int, int]:
    versions = st.integers(0, told.history.version)
    first, second = sorted((data.draw(versions), data.draw(versions)))
    return first, second


@given(told=histories(), data=st.data())
def test_the_changes_made_to_the_earlier_facts_give_the_later_ones(
    told: Told, data: st.DataObject
) -> None:
    earlier, later = _two_versions(told, data)
    changes = compare(told.history, earlier, later, told.book).changes
    assert applied(changes, _values(told, earlier)) == _values(told, later)


def _last_movers(told: Told, earlier: int, later: int) -> Mapping[FactKey, int]:
    """Found the long way: every fact at every version between."""
    movers, before = {}, _values(told, earlier)
    for version in range(earlier + 1, later + 1):
        after = _values(told, version)
        for key in before.keys() | after.keys():
            if before.get(key) != after.get(key):
                movers[key] = version
        before = after
    return movers


@given(told=histories(), data=st.data())
def test_each_change_names_the_last_event_that_made_it(told: Told, data: st.DataObject) -> None:
    earlier, later = _two_versions(told, data)
    movers = _last_movers(told, earlier, later)
    for change in compare(told.history, earlier, later, told.book).changes:
        assert change.witness == told.history.witness(movers[change.key])


@given(told=histories(), data=st.data())
def test_what_moved_is_every_entry_that_stands_elsewhere(told: Told, data: st.DataObject) -> None:
    earlier, later = _two_versions(told, data)
    stood = []
    for version in (earlier, later):
        whole = placing(told.history.at_version(version), told.book)
        stood.append(
            {
                (seat.seat, row.entry): (row.total, row.outcome, row.place, row.tied)
                for seat in whole.seats
                for row in seat.rows
            }
        )
    before, after = stood
    elsewhere = {key for key in before.keys() | after.keys() if before.get(key) != after.get(key)}
    moved = compare(told.history, earlier, later, told.book).moved
    assert {(change.seat, change.entry) for change in moved} == elsewhere
    for change in moved:
        known = (before, change.before), (after, change.after)
        for where, standing in known:
            row = where.get((change.seat, change.entry))
            assert (standing and msgspec.structs.astuple(standing)) == row


def _change(changes: tuple[FactChange, ...], key: FactKey) -> FactChange:
    return next(change for change in changes if change.key == key)


def test_a_correction_shows_who_why_and_who_moved_for_it() -> None:
    story = Recorder().planned(entries=2).ride("n1", first=2).ride("n2", first=1).signed()
    wrong = next(e.version for e in story.events if getattr(e.data, "mark", None) == 1)
    before = story.version
    right = ask.GiveMark(seat="A", ref=entry("n2"), maneuver=1, mark=4)
    story.later(minutes=1).record(
        ask.MakeCorrection(
            correction="c1",
            seat="A",
            ref=entry("n2"),
            authority="judge",
            reason=REASON,
            replaces=wrong,
            fact=right,
        ),
        STEWARD,
    )
    found = compare(story.told.history, before, story.version, story.book)
    (change,) = found.changes
    assert change.key == FactKey("mark", "A", "n2", "1")
    assert (change.witness.version, change.witness.actor) == (story.version, STEWARD)
    assert change.reason == REASON
    assert [(c.entry, c.back_number, c.before, c.after) for c in found.moved] == [
        ("n1", 107, _at(142, 1), _at(142, 2)),
        ("n2", 114, _at(141, 2), _at(144, 1)),
    ]


def _at(total: int, place: int) -> Standing:
    return msgspec.structs.replace(NOBODY, total=total, place=place)


def test_a_penalty_that_came_and_went_is_no_change_and_one_that_went_names_its_withdrawal() -> None:
    story = Recorder().planned(entries=1)
    start = story.version
    call = ask.CallPenalty(seat="A", ref=entry("n1"), call="x", code="cone-tick")
    story.record(call, scribe("A"))
    called = story.version
    story.record(ask.WithdrawPenalty(seat="A", ref=entry("n1"), call="x"), scribe("A"))
    history = story.told.history
    assert compare(history, start, story.version, story.book).changes == ()
    gone, phase = compare(history, called, story.version, story.book).changes
    assert phase.key == FactKey("phase")
    assert (gone.key, gone.after) == (FactKey("penalty", "A", "n1", "x"), None)
    assert gone.witness.version == story.version
    assert gone.key not in applied([gone], _values(story.told, called))


def test_a_repaired_draw_and_a_posting_are_named_with_their_reasons_and_hands() -> None:
    story = Recorder().planned(entries=2)
    start = story.version
    story.record(ask.RepairDraw(order=("n2", "n1"), reason=REASON), OFFICE)
    repaired = story.version
    story.ride("n1").ride("n2").signed().later(minutes=5).record(ask.PostResults(), OFFICE)
    changes = compare(story.told.history, start, story.version, story.book).changes
    draw, phase = _change(changes, FactKey("draw")), _change(changes, FactKey("phase"))
    assert (draw.witness.version, draw.reason) == (repaired, REASON)
    assert (phase.witness.version, phase.reason) == (story.version, None)


def test_nothing_moved_between_a_moment_and_itself() -> None:
    story = Recorder().planned()
    same = compare(story.told.history, story.version, story.version, story.book)
    assert (same.changes, same.moved) == ((), ())


def test_the_earlier_moment_comes_first_and_both_exist() -> None:
    story = Recorder().planned()
    history, last = story.told.history, story.version
    for earlier, later, code in ((3, 2, "moments_reversed"), (0, last + 1, "unknown_version")):
        with pytest.raises(Refusal) as refused:
            compare(history, earlier, later, story.book)
        assert refused.value.code == code
