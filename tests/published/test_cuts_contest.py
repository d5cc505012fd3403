"""Contest scores by cuts against the published examples, and against the limits' own reasons."""

from itertools import permutations, product

import pytest

from events.scoring.cuts import (
    MARYLAND,
    NEBRASKA,
    ContestRule,
    TurnedPair,
    contest_score,
    cut_faults,
)

OFFICIAL = "3214"
CUTS = (2, 8, 2)


@pytest.mark.parametrize(
    ("placed", "score"), [("3214", 50), ("2341", 46), ("3124", 42), ("4231", 24)]
)
def test_official_3214_with_cuts_of_2_8_2_scores_as_printed(placed: str, score: int) -> None:
    # K. M. Gordon, Scoring of Contests, University of Maryland Extension
    assert contest_score(OFFICIAL, placed, CUTS).score == score


def test_4231_loses_pair_by_pair_what_is_printed() -> None:
    # As above: 3 over 2 costs 2, 3 over 4 costs 2 + 8 + 2, 2 over 4 costs 8 + 2, 1 over 4 costs 2
    scored = contest_score(OFFICIAL, "4231", CUTS)
    assert scored.turned == (
        TurnedPair(above="3", below="2", cost=2),
        TurnedPair(above="3", below="4", cost=12),
        TurnedPair(above="2", below="4", cost=10),
        TurnedPair(above="1", below="4", cost=2),
    )
    assert scored.lost == 26


def test_cuts_of_3_9_3_make_a_full_reversal_negative() -> None:
    # As above, "Negative Placing Score": 1-2-3-4 with cuts of 3-9-3; that it is -4 follows.
    assert contest_score("1234", "4321", (3, 9, 3)).score == -4
    assert contest_score("1234", "4321", (3, 9, 3), ContestRule(floor=0)).score == 0


def _allowed_by_maryland() -> list[tuple[int, ...]]:
    return [cuts for cuts in product(range(1, 14), repeat=3) if not cut_faults(cuts, MARYLAND)]


def test_marylands_limits_keep_every_one_of_the_24_placings_from_falling_below_zero() -> None:
    # As above: cuts of 15 with a middle of 5 at most, of 14 with 8 at most, "otherwise final score
    # will be negative"
    allowed = _allowed_by_maryland()
    worst = min(
        contest_score("1234", "".join(placed), cuts).score
        for cuts in allowed
        for placed in permutations("1234")
    )
    assert worst == 0
    assert len(allowed) > 100


@pytest.mark.parametrize("cuts", [(5, 6, 4), (3, 9, 2)])
def test_what_maryland_does_not_allow_makes_a_negative_score_possible(
    cuts: tuple[int, ...],
) -> None:
    assert len(cut_faults(cuts, MARYLAND)) == 1
    assert contest_score("1234", "4321", cuts).score < 0


def test_5_8_2_is_allowed_in_nebraska_and_not_in_maryland_and_can_come_to_minus_three() -> None:
    # NebGuide G2092: cuts add up to 15 at most and none is above 8
    assert cut_faults((5, 8, 2), NEBRASKA) == ()
    assert cut_faults((5, 8, 2), MARYLAND) == (
        "With cuts of 15 the middle one is 5 at most, not 8.",
    )
    assert contest_score("1234", "4321", (5, 8, 2)).score == -3


def test_nebraska_allows_no_cut_above_eight_and_no_sum_above_fifteen() -> None:
    # NebGuide G2092
    assert cut_faults((9, 1, 1), NEBRASKA) == ("A cut is 8 at most, not 9.",)
    assert cut_faults((6, 5, 5), NEBRASKA) == ("The cuts add up to 16; 15 is the most.",)


@pytest.mark.parametrize("placed", ["", "321", "3215", "3314"])
def test_a_missing_placing_or_number_scores_nothing(placed: str) -> None:
    # Kansas State University handout (docest.com 182394)
    scored = contest_score(OFFICIAL, placed, CUTS, ContestRule(unfinished=0))
    assert (scored.score, scored.lost, scored.finished) == (0, 0, False)
