"""The dispute of the demo, from the protest to the results that are official again."""

from events.judged_class import events as happened
from events.judged_class.events import ProtestFiled
from events.projections.history import History
from events.projections.what_if import what_if
from tests.demo.conftest import Held, Played


def test_it_goes_its_way_in_the_log(horsemanship: Held) -> None:
    official = horsemanship.of(happened.ResultsMadeOfficial)[0].version
    assert [type(each.data) for each in horsemanship.events[official:]] == [
        happened.ProtestFiled,
        happened.ProtestRuled,
        happened.ResultsReopened,
        happened.CorrectionMade,
        happened.OrderConfirmed,
        happened.ResultsPosted,
        happened.ResultsMadeOfficial,
    ]
    roles = [each.actor.role for each in horsemanship.events[official:]]
    assert roles == ["office", "steward", "steward", "steward", "scribe", "office", "office"]


def test_the_correction_carries_the_ruling_on_the_protest(horsemanship: Held) -> None:
    [filed] = horsemanship.of(ProtestFiled)
    [made] = horsemanship.of(happened.CorrectionMade)
    assert isinstance(filed.data, ProtestFiled)
    assert isinstance(made.data, happened.CorrectionMade)
    assert (made.data.authority, made.data.protest) == ("ruling", filed.data.protest)
    assert made.data.fact is None
    assert made.data.replaces is not None
    struck = horsemanship.events[made.data.replaces - 1].data
    assert isinstance(struck, happened.PenaltyCalled)
    assert (struck.entry, struck.points) == ("e-171", 6)


def test_the_rail_order_is_stale_from_the_correction_until_it_is_confirmed(
    horsemanship: Held,
) -> None:
    [made] = horsemanship.of(happened.CorrectionMade)
    stale = [
        horsemanship.at(version).seats[0].stale_orders
        for version in range(made.version - 1, made.version + 2)
    ]
    assert stale == [(), ("order-1",), ()]


def test_what_the_steward_foresaw_is_what_came_to_pass(horsemanship: Held) -> None:
    [ruled] = horsemanship.of(happened.ProtestRuled)
    [made] = horsemanship.of(happened.CorrectionMade)
    assert isinstance(made.data, happened.CorrectionMade)
    assert made.data.replaces is not None
    before = History(horsemanship.events[: ruled.version - 1])
    foreseen = what_if(before, horsemanship.book, strike=[made.data.replaces]).after.seats[0]
    final = horsemanship.placing.seats[0]
    assert [(row.entry, row.place, row.total) for row in foreseen.rows] == [
        (row.entry, row.place, row.total) for row in final.rows
    ]
    assert [row.back_number for row in final.rows[:3]] == [171, 104, 163]


def test_results_are_posted_as_the_next_revision(horsemanship: Held) -> None:
    posted = [each.data for each in horsemanship.of(happened.ResultsPosted)]
    assert [each.revision for each in posted if isinstance(each, happened.ResultsPosted)] == [1, 2]
    assert horsemanship.placing.revision == 2


def test_a_judges_opinion_is_not_taken_in(played: Played, horsemanship: Held) -> None:
    filed = [each.data for each in horsemanship.of(ProtestFiled)]
    assert [each.filed_by for each in filed if isinstance(each, ProtestFiled)] == ["p-8"]
    assert "My circle was rounder" in played.printed
    assert "It is not taken in" in played.printed
