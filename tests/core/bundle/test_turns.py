"""The fewest events that stand out of turn."""

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from events.bundle.turns import in_turn


def _longest(versions: list[int]) -> int:
    """By trying every choice."""
    return max(
        length
        for length in range(len(versions) + 1)
        for chosen in combinations(versions, length)
        if all(one < next_ for one, next_ in pairwise(chosen))
    )


@given(versions=st.lists(st.integers(1, 9), max_size=9))
def test_as_many_as_possible_are_left_in_turn(versions: list[int]) -> None:
    run = in_turn(versions)
    assert run == sorted(run)
    assert all(versions[one] < versions[next_] for one, next_ in pairwise(run))
    assert len(run) == _longest(versions)
