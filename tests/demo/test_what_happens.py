"""What the demo promises to show really stands in its log."""

from collections import Counter

from events.judged_class import events as happened
from events.judged_class.draw import drawn_by_lot
from service.desk.names import names
from tests.demo.conftest import Held, Played


def _outcomes(played: Played) -> set[str]:
    calls = [each.data for held in played.classes.values() for each in held.events]
    return {call.kind for call in calls if isinstance(call, happened.OutcomeCalled)}


def test_seven_classes_of_seven_kinds_are_official(played: Played) -> None:
    assert len({held.story.rulebook for held in played.classes.values()}) == 7
    assert {held.placing.phase for held in played.classes.values()} == {"official"}


def test_they_are_held_in_the_order_of_their_numbers_which_tell_the_day(played: Played) -> None:
    begins = [(held.story.number, held.story.begins) for held in played.classes.values()]
    assert begins == sorted(begins)
    first = played.show.plan.first_day
    for number, begin in begins:
        assert number // 100 == 1 + (begin.date() - first).days


def test_rail_work_parts_a_close_pair_against_the_totals(horsemanship: Held) -> None:
    [order] = horsemanship.of(happened.OrderSet)
    before, after = horsemanship.at(order.version - 1), horsemanship.at(order.version)
    assert isinstance(order.data, happened.OrderSet)
    first, second = order.data.order
    totals = {row.entry: row.total for row in before.seats[0].rows}
    assert (totals[first] or 0) + 1 == totals[second]
    places = [{row.entry: row.place for row in each.seats[0].rows} for each in (before, after)]
    assert [(each[first], each[second]) for each in places] == [(3, 2), (2, 3)]


def test_a_ride_is_off_pattern_and_one_is_disqualified(played: Played) -> None:
    assert {"off_pattern", "disqualified", "zero"} <= _outcomes(played)


def test_three_share_a_place(played: Played) -> None:
    rows = played.classes["reining"].placing.seats[0].rows
    assert Counter(row.place for row in rows if row.tied) == {3: 3}
    assert [row.place for row in rows] == [1, 2, 3, 3, 3, 6, 7, None]


def test_two_judges_sit_and_place_differently(played: Played) -> None:
    first, second = played.classes["western-riding"].placing.seats
    assert (first.judge, second.judge) == ("p-3", "p-4")
    assert first.rows[0].entry != second.rows[0].entry


def test_a_signed_card_is_corrected_on_somebodys_authority(played: Played) -> None:
    held = played.classes["trail"]
    [made] = held.of(happened.CorrectionMade)
    assert isinstance(made.data, happened.CorrectionMade)
    assert (made.data.authority, made.actor.role) == ("office_error", "office")
    assert made.version == held.signed + 1
    before, after = held.at(made.version - 1), held.at(made.version)
    assert [row.tied for row in before.seats[0].rows[1:3]] == [True, True]
    assert [row.place for row in after.seats[0].rows[:3]] == [1, 2, 3]


def test_a_penalty_is_taken_back_before_signing(horsemanship: Held) -> None:
    [withdrawn] = horsemanship.of(happened.PenaltyWithdrawn)
    assert withdrawn.version < horsemanship.signed


def test_every_draw_can_be_drawn_again_from_its_seed(played: Played) -> None:
    for held in played.classes.values():
        [drawn] = held.of(happened.DrawSet)
        assert isinstance(drawn.data, happened.DrawSet)
        assert drawn.data.seed == held.story.seed
        before = held.history.at_version(drawn.version - 1)
        assert drawn.data.order == drawn_by_lot(before, held.story.seed)


def test_a_horse_that_goes_uneven_is_stopped_seen_to_and_not_shown_again(played: Played) -> None:
    held = played.classes["hunt-seat"]
    [excused] = held.of(happened.EntryExcused)
    assert isinstance(excused.data, happened.EntryExcused)
    assert excused.actor.role == "steward"
    assert "Veterinarian called" in _text(played, excused.data.reason)
    later = [each for each in held.events if each.version > excused.version]
    assert all(getattr(each.data, "entry", None) != excused.data.entry for each in later)
    [scratched] = played.classes["horsemanship"].of(happened.EntryScratched)
    assert isinstance(scratched.data, happened.EntryScratched)
    assert "veterinarian" in _text(played, scratched.data.reason)
    horse = held.history.at_version(held.history.version).entries[excused.data.entry].horse
    for other in played.classes.values():
        if other.story.begins <= held.story.begins:
            continue
        entries = other.history.at_version(other.history.version).entries
        assert all(
            entry.scratched is not None for entry in entries.values() if entry.horse == horse
        )


def _text(played: Played, ref: str | None) -> str:
    assert ref is not None
    return names(played.desk.database, texts=[ref]).text(ref)
