"""Prize money against published schedules and rules."""

from collections.abc import Sequence

import pytest

from events.scoring.payout import pay_out, schedule

# NBHA, rules D (ganbha.us, nbha-southafrica.com): the pot by divisions
NBHA = [(50, 30, 20), (35, 30, 20, 15), (30, 25, 20, 15, 10)]
# Sport of Kings barrel race: inside a division by number qualifying, and between the divisions
SPORT_OF_KINGS = [(100,), (60, 40), (40, 30, 20, 10), (30, 27, 23, 20)]


def _straight(count: int) -> dict[str, int]:
    return {str(place): place for place in range(1, count + 1)}


@pytest.mark.parametrize("percentages", [*NBHA, *SPORT_OF_KINGS], ids=str)
def test_a_schedule_of_a_hundred_pays_a_thousand_out_as_printed(
    percentages: Sequence[int],
) -> None:
    paid = pay_out(1000_00, schedule(percentages), _straight(len(percentages)))
    assert [prize.cents for prize in paid.prizes] == [part * 10_00 for part in percentages]
    assert (paid.paid, paid.unscheduled, paid.unfilled, paid.odd_cents) == (1000_00, 0, 0, 0)
    assert paid.notes == ()


def test_43_33_23_is_reported_to_come_to_99() -> None:
    # Sport of Kings barrel race, three qualifying
    paid = pay_out(1000_00, schedule((43, 33, 23)), _straight(3))
    assert [prize.cents for prize in paid.prizes] == [430_00, 330_00, 230_00]
    assert paid.unscheduled == 10_00
    assert paid.notes == (
        "The schedule comes to 99 %, not 100 %: 1 % of the purse is not scheduled.",
    )


def test_a_jackpot_that_keeps_forty_per_cent_says_so() -> None:
    # Jumper jackpot: 30, 20 and 10 % of the entry fees
    paid = pay_out(500_00, schedule((30, 20, 10)), _straight(5))
    assert (paid.paid, paid.unscheduled) == (300_00, 200_00)
    assert paid.notes[0].startswith("The schedule comes to 60 %")


def test_the_top_three_split_day_money_equally() -> None:
    # PRCA 2019 Rule Book, R5.8.4
    day_money = schedule(("100/3", "100/3", "100/3"))
    paid = pay_out(400_00, day_money, _straight(3))
    assert [prize.cents for prize in paid.prizes] == [133_33] * 3
    assert paid.odd_cents == 1


def test_two_go_rounds_and_the_average_are_a_third_each() -> None:
    # PRCA 2019 Rule Book, R5.2.2
    paid = pay_out(900_00, schedule(("100/3", "100/3", "100/3")), _straight(3))
    assert [prize.cents for prize in paid.prizes] == [300_00] * 3


def test_five_go_rounds_have_an_eighth_each_and_the_average_three() -> None:
    # PRCA 2019 Rule Book, R5.2.5
    paid = pay_out(800_00, schedule((37.5, 12.5, 12.5, 12.5, 12.5, 12.5)), _straight(6))
    assert [prize.cents for prize in paid.prizes] == [300_00, *[100_00] * 5]


def test_the_money_of_places_that_nobody_holds_is_divided_evenly_among_those_who_place() -> None:
    # PRCA 2019 Rule Book, R5.6.5
    four = schedule((40, 30, 20, 10), unfilled="shared_evenly")
    paid = pay_out(1000_00, four, _straight(2))
    assert [prize.cents for prize in paid.prizes] == [400_00 + 150_00, 300_00 + 150_00]
    assert paid.unfilled == 0


def test_a_tie_for_the_title_splits_the_money_of_both_places() -> None:
    # Canadian Supreme, tie-breakers: in cutting a work-off decides the title, the money is split
    paid = pay_out(1000_00, schedule((50, 30, 20)), {"1": 1, "2": 1, "3": 3})
    assert [prize.cents for prize in paid.prizes] == [400_00, 400_00, 200_00]
