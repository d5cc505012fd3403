"""What one judge's outcome does to the panel's placing: our rules, said in the modules."""

from fractions import Fraction

from events.rulebook.model import OutcomeKind
from events.scoring.panel.cards import Line, SeatCard, placed_card, scored_card
from events.scoring.panel.majority import majority
from events.scoring.panel.ranking import standing
from events.scoring.panel.totals import drop_high_low_sum, total_mean, total_sum
from events.scoring.panel.values import placing_values
from events.scoring.placing import Placed
from events.scoring.total import RideScore
from tests.core.panel.seats import placed, places, row_of, scored


def test_one_disqualification_of_two_adds_nothing_and_leaves_the_entry_placed() -> None:
    rows = total_sum(scored({"1": [70, 70], "2": [None, 90]}))
    assert places(rows) == {"1": 1, "2": 2}
    assert row_of(rows, "2").figure == 90
    assert row_of(rows, "2").seats[0].figure is None


def test_a_total_that_a_disqualified_entry_keeps_on_a_card_adds_nothing() -> None:
    cards = [
        SeatCard(seat="A", lines={"1": Line(place=None, total=150, tier=None)}),
        SeatCard(seat="B", lines={"1": Line(place=1, total=140)}),
    ]
    assert total_sum(cards)[0].figure == 70


def test_a_total_of_nought_is_dropped_before_a_better_one() -> None:
    rows = drop_high_low_sum(scored({"1": [0.5, 0, 60]}))
    assert rows[0].figure == Fraction(1, 2)


def test_two_disqualifications_of_three_leave_the_entry_without_a_place() -> None:
    rows = total_sum(scored({"1": [70, 70, 70], "2": [None, 90, None]}))
    assert places(rows) == {"1": 1, "2": None}
    assert not row_of(rows, "2").tied
    assert row_of(rows, "2").steps == ()


def test_one_disqualification_is_the_low_score_that_is_dropped() -> None:
    rows = drop_high_low_sum(scored({"1": [None, 71, 72, 73, 74]}))
    assert rows[0].figure == 71 + 72 + 73
    assert [seat.counted for seat in rows[0].seats] == [False, True, True, True, False]


def test_a_second_disqualification_adds_nothing_to_the_middle() -> None:
    rows = drop_high_low_sum(scored({"1": [None, 71, None, 73, 74]}))
    assert rows[0].figure == 71 + 73


def test_the_mean_of_two_with_one_disqualification_is_half_the_other_total() -> None:
    assert total_mean(scored({"1": [70, None]}))[0].figure == 35


def test_an_entry_that_most_seats_put_below_complete_runs_stands_below_them() -> None:
    off_pattern = [Line(place=2, total=160, tier=1), Line(place=2, total=160, tier=1)]
    complete = [Line(place=1, total=140), Line(place=1, total=140)]
    cards = [
        SeatCard(seat=seat, lines={"1": below, "2": above})
        for seat, below, above in zip("AB", off_pattern, complete, strict=True)
    ]
    assert places(total_sum(cards)) == {"2": 1, "1": 2}
    assert row_of(total_sum(cards), "1").steps[0].says == (
        "Most seats put it below the complete runs."
    )


def test_an_outcome_that_half_the_seats_call_moves_no_tier() -> None:
    assert standing([0, 1]) == 0
    assert standing([1, 0, 0]) == 0
    assert standing([0, None]) == 0
    assert standing([0, 0, None, None]) == 0


def test_an_outcome_counts_when_more_than_half_the_seats_call_it_or_a_worse_one() -> None:
    assert standing([1, 0, 1]) == 1
    assert standing([1, 0, None]) == 1
    assert standing([None, 0, None]) is None
    assert standing([2, 1, 1, 0, None]) == 1


def test_an_entry_that_nobody_placed_takes_no_place() -> None:
    cards = placed(A="12", B="21")
    cards = [SeatCard(seat=c.seat, lines={**c.lines, "3": Line(place=None)}) for c in cards]
    assert places(majority(cards)) == {"1": 1, "2": 1, "3": None}
    assert places(placing_values(cards, (10, 9))) == {"1": 1, "2": 1, "3": None}


def test_values_go_on_counting_for_an_entry_that_most_judges_did_not_place() -> None:
    rows = placing_values(placed(A="12", B="23", C="24"), (10, 1))
    assert places(rows) == {"2": 1, "1": 2, "3": 3, "4": 3}


def test_an_entry_without_a_majority_for_any_place_comes_after_those_with_one() -> None:
    rows = majority(placed(A="12", B="23", C="23"))
    assert places(rows) == {"2": 1, "3": 2, "1": 3}
    assert row_of(rows, "1").figure == 3
    assert row_of(rows, "1").steps[1].says == "Has a majority for no place."


def test_nobody_placed_at_all_is_no_placing_and_no_error() -> None:
    cards = [SeatCard(seat="A", lines={"1": Line(place=None, tier=None)})]
    assert places(majority(cards)) == {"1": None}
    assert places(total_sum(cards)) == {"1": None}


def test_a_card_of_placing_alone_tells_the_unlisted_from_the_disqualified() -> None:
    card = placed_card("A", ["2", "1"], ["1", "2", "3", "4"], disqualified=["4"])
    assert card.lines == {
        "2": Line(place=1),
        "1": Line(place=2),
        "3": Line(place=None),
        "4": Line(place=None, tier=None),
    }


def _ride(total: int | None, tier: int | None, outcome: OutcomeKind | None) -> RideScore:
    return RideScore(
        total=total, tier=tier, outcome=outcome, missing=() if total or outcome else (1,),
        marks=(), penalty_points=0, rider_mark=None,
    )  # fmt: skip


def _placed(entry: str, place: int | None, ride: RideScore) -> Placed:
    return Placed(
        entry=entry, place=place, tied=False, total=ride.total, outcome=ride.outcome,
        complete=ride.complete,
    )  # fmt: skip


def test_a_scored_card_takes_place_total_and_tier_from_the_seats_placing() -> None:
    scores = {
        "1": _ride(141, 0, None),
        "2": _ride(150, 1, "off_pattern"),
        "3": _ride(None, None, "disqualified"),
        "4": _ride(None, 0, None),
    }
    rows = [
        _placed(entry, place, scores[entry])
        for entry, place in (("1", 1), ("2", 2), ("3", None), ("4", None))
    ]
    assert scored_card("A", rows, scores).lines == {
        "1": Line(place=1, total=141, tier=0),
        "2": Line(place=2, total=150, tier=1),
        "3": Line(place=None, total=None, tier=None),
        "4": Line(place=None, total=None, tier=0, complete=False),
    }
