"""Totals of rides, scored under the shipped books, against published sheets and rules."""

import pytest

from tests.sheet.sheets import faults, sheet, total

FULL_MARKS = {"western-horsemanship": 3, "trail": 1.5, "western-riding": 1.5, "reining": 1.5}


def test_the_published_trail_sheet_comes_to_its_published_total() -> None:
    # AQHA Journal, "Understanding Horse Showing Score Cards", 2016: gate, back chute, lope-over,
    # box, jog serpentine, walk-over; 70 + 1 - 1 = 70.
    obstacles = [0, 0, 0, 0.5, 0, 0.5]
    penalties = [{"maneuver": 2, "points": 0.5}, {"maneuver": 5, "points": 0.5}]
    assert total("trail", obstacles, penalties=penalties) == 70


@pytest.mark.parametrize(("judged", "running"), [(1, 70), (2, 70), (3, 70.5), (4, 70)])
def test_the_part_of_a_filled_reining_card_that_was_read_runs_as_its_marks_say(
    judged: int, running: float
) -> None:
    # 100milesliders.blogspot.com, 2010 (secondary): right circles 0, right spins +0.5 with a 0.5
    # penalty, left circles +0.5, left spins -0.5. Running totals derived from these.
    penalties = [{"maneuver": 2, "points": 0.5}] if judged > 1 else []
    assert total("reining", [0, 0.5, 0.5, -0.5][:judged], penalties=penalties) == running


@pytest.mark.parametrize(
    ("book", "rider_mark"),
    [
        ("western-horsemanship", 0),  # eXtension Horses, Western Horsemanship: 70 is average
        ("showmanship-at-halter", 0),  # study cards on showmanship (Brainscape 22602992)
        ("hunt-seat-equitation-flat", 0),  # from memory
        ("trail", None),  # AQHA rule 454, as printed by the Norwegian breed body: 70 is average
        ("western-riding", None),  # eXtension Horses, Western Riding
        ("reining", None),  # NRHA, Rules for Judging, B(1)
        ("ranch-riding", None),  # from memory
    ],
)
def test_a_correct_ride_with_nothing_added_or_taken_off_is_a_70(
    book: str, rider_mark: float | None
) -> None:
    assert total(book, [0] * 8, rider_mark=rider_mark) == 70


def test_form_and_effectiveness_is_added_once_for_the_whole_ride() -> None:
    # eXtension Horses, Western Horsemanship: marks for maneuvers, then form and effectiveness.
    assert total("western-horsemanship", [1, 1.5, -0.5], rider_mark=4.5) == 76.5


@pytest.mark.parametrize("points", [3, 5, 10])
def test_horsemanship_penalties_come_in_three_sizes(points: float) -> None:
    # Teaching abstract on judging horsemanship, 2021 (2021sam.wonecks.net): 3, 5 and 10.
    penalties = [{"maneuver": 1, "points": points}]
    assert total("western-horsemanship", [0], rider_mark=0, penalties=penalties) == 70 - points


def test_a_maneuver_keeps_its_mark_whatever_it_is_penalised() -> None:
    # eXtension Horses, Western Riding: maneuver scores are given independently of penalties.
    penalties = [{"maneuver": 1, "points": 3}]
    assert total("western-riding", [1.5, 0], penalties=penalties) == 68.5
    assert total("western-riding", [0, 1.5], penalties=penalties) == 68.5
    assert total("western-riding", [-1.5, 0], penalties=penalties) == 65.5


def test_a_penalty_counts_each_time_it_is_called() -> None:
    # From memory, reining: out of lead costs 1 for each quarter of a circle or part of it, so a
    # whole circle costs 4.
    out_of_lead = [{"maneuver": 1, "code": "out-of-lead"}] * 4
    assert total("reining", [0], penalties=out_of_lead) == 66
    assert total("reining", [0], penalties=[{"points": 1, "count": 4}]) == 66


def test_each_tick_in_trail_costs_half_a_point() -> None:
    # Study cards on trail (Brainscape 21430027), secondary: 0.5 each tick of pole, cone, plant.
    ticks = [{"maneuver": 1, "code": "tick"}, {"maneuver": 2, "code": "tick"}, {"code": "tick"}]
    assert total("trail", [0.5, 0], penalties=ticks) == 69


@pytest.mark.parametrize(("book", "highest"), FULL_MARKS.items())
def test_full_marks_on_ten_maneuvers(book: str, highest: float) -> None:
    # -3 to +3: eXtension Horses, Western Horsemanship. -1.5 to +1.5: AQHA rule 454 (trail),
    # eXtension Horses (western riding), NRHA, Rules for Judging, B(1) (reining).
    rider_mark = 5 if book == "western-horsemanship" else None
    assert total(book, [highest] * 10, rider_mark=rider_mark) == 70 + 10 * highest + (
        rider_mark or 0
    )
    too_much = sheet(book, {"1": {"marks": [highest + 0.5], "rider_mark": rider_mark}})
    assert len(faults(too_much)) == 1


def test_horsemanship_runs_to_infinity_and_western_riding_to_a_hundred() -> None:
    # eXtension Horses, Western Horsemanship: 0 to infinity; Western Riding: 0 to 100.
    assert total("western-horsemanship", [3] * 12, rider_mark=5) == 111
    assert total("western-riding", [1.5] * 24) == 100


@pytest.mark.parametrize("book", ["western-horsemanship", "western-riding", "trail"])
def test_no_total_falls_below_nought(book: str) -> None:
    # eXtension Horses (both books) and AQHA rule 454: the scales begin at 0.
    rider_mark = 0 if book == "western-horsemanship" else None
    penalties = [{"points": 5, "count": 20}]
    assert total(book, [0], rider_mark=rider_mark, penalties=penalties) == 0


def test_the_older_showmanship_scale_is_ten_for_each_half() -> None:
    # AQHA rule 471, as printed by the Norwegian breed body: 0 to 20, 10 appearance and 10
    # performance, half points.
    assert total("showmanship-twenty", [10, 10]) == 20
    assert total("showmanship-twenty", [7.5, 8]) == 15.5
    assert total("showmanship-twenty", [0, 0]) == 0


@pytest.mark.parametrize(
    ("code", "points", "allowed"),
    [
        ("minor", 0.5, True),
        ("minor", 4, True),
        ("minor", 4.5, False),
        ("major", 4, False),
        ("major", 4.5, True),
        ("major", 20, True),
    ],
)
def test_the_older_equitation_book_lets_the_judge_choose_the_deduction(
    code: str, points: float, allowed: bool
) -> None:
    # AQHA 2015 Rule Book (Australian Quarter Horse Association), pp. 126, 139: a minor fault is
    # 0.5 to 4 points, a major one 4.5 or more.
    penalties = [{"code": code, "points": points}]
    if allowed:
        assert total("equitation-hundred", [0], penalties=penalties) == 70 - points
        return
    document = sheet("equitation-hundred", {"1": {"marks": [0], "penalties": penalties}})
    refused = [line.split(":")[0] for line in faults(document)]
    assert refused == ["$.cards[0].rides[0].penalties[0].points"]


@pytest.mark.parametrize(
    ("mark", "performed", "allowed"),
    [
        (1.5, None, True),  # a flying change keeps the whole range
        (0, "senior-simple-change", True),
        (-1.5, "senior-simple-change", True),
        (0.5, "senior-simple-change", False),
    ],
)
def test_a_seniors_simple_change_is_marked_no_higher_than_nought(
    mark: float, performed: str | None, allowed: bool
) -> None:
    # Utah 4-H, clarification of the horse rule book: seniors -1.5 to +1.5 with a flying change,
    # 0 to -1.5 for a simple one; the simple changes of juniors keep the whole range.
    given = {"mark": mark, "performed": performed}
    document = sheet("western-riding", {"1": {"marks": [given]}})
    refused = [line.split(":")[0] for line in faults(document)]
    assert refused == ([] if allowed else ["$.cards[0].rides[0].marks[0].mark"])
