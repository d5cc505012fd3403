"""A placing scored by cuts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau

from events.scoring.cuts import MARYLAND, CutsUnfit, contest_score, cut_faults

CUTS = st.tuples(st.integers(1, 8), st.integers(1, 8), st.integers(1, 8))
PLACINGS = st.permutations(["1", "2", "3", "4"])


@given(PLACINGS, CUTS)
def test_a_placing_and_its_reverse_lose_every_pair_between_them(
    placed: list[str], cuts: tuple[int, int, int]
) -> None:
    official = ["1", "2", "3", "4"]
    both = (
        contest_score(official, placed, cuts).lost
        + contest_score(official, placed[::-1], cuts).lost
    )
    assert both == 3 * sum(cuts) + cuts[1]


@given(PLACINGS, PLACINGS)
def test_with_cuts_of_one_turned_pairs_are_those_of_kendall(
    official: list[str], placed: list[str]
) -> None:
    turned = len(contest_score(official, placed, (1, 1, 1)).turned)
    tau = kendalltau(
        [official.index(entry) for entry in official], [placed.index(entry) for entry in official]
    ).statistic
    assert turned == round((1 - tau) / 2 * 6)


def test_a_cut_of_nought_is_a_fault() -> None:
    assert cut_faults((0, 3, 3), MARYLAND) == ("A cut is 1 at least, not 0.",)


def test_the_middle_is_held_to_its_limit_in_a_class_of_four_alone() -> None:
    assert cut_faults((5, 6, 2, 2), MARYLAND) == ()


@pytest.mark.parametrize(
    ("official", "placed", "cuts", "field", "says"),
    [
        ("1234", "1234", (2, 2), "cuts", "A class of 4 has 3 cuts, not 2."),
        ("", "", (1,), "cuts", "A class of 0 has 0 cuts, not 1."),
        ("1231", "1231", (2, 2, 2), "official", "names an entry twice"),
        ("1234", "1224", (2, 2, 2), "placed", "does not name each entry of the class once"),
    ],
)
def test_what_cannot_be_scored_is_refused_by_name(
    official: str, placed: str, cuts: tuple[int, ...], field: str, says: str
) -> None:
    with pytest.raises(CutsUnfit, match=says) as refused:
        contest_score(official, placed, cuts)
    assert refused.value.field == field


def test_a_class_of_one_has_nothing_to_turn_round() -> None:
    assert contest_score("1", "1", ()).score == 50
