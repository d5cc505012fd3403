"""Agreement between judges against the definitions, written out independently."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.desk.agreement import concordance, correlations, kendall, spearman


def as_ranks(lines: Sequence[Sequence[float]]) -> dict[str, dict[str, float]]:
    return {
        f"J{judge}": {f"e{entry}": float(rank) for entry, rank in enumerate(line)}
        for judge, line in enumerate(lines)
    }


def w_by_definition(lines: Sequence[Sequence[float]]) -> float:
    """W = 12 S / (m^2 (n^3 - n)), M. G. Kendall and B. Babington Smith, 1939 (from memory)."""
    judges, entries = len(lines), len(lines[0])
    sums = [sum(line[entry] for line in lines) for entry in range(entries)]
    mean = sum(sums) / entries
    around = sum((each - mean) ** 2 for each in sums)
    return 12 * around / (judges**2 * (entries**3 - entries))


@given(st.integers(3, 8).flatmap(lambda n: st.lists(st.permutations(range(1, n + 1)), min_size=3)))
def test_the_concordance_is_that_of_its_definition(lines: list[list[int]]) -> None:
    found = concordance(as_ranks(lines))
    assert found == pytest.approx(w_by_definition(lines), abs=1e-9)


def test_judges_who_place_alike_agree_wholly_and_two_who_reverse_do_not_at_all() -> None:
    assert concordance(as_ranks([[1, 2, 3, 4]] * 3)) == pytest.approx(1)
    assert concordance(as_ranks([[1, 2, 3, 4], [4, 3, 2, 1]])) == pytest.approx(0)


def test_where_nothing_can_be_said_nothing_is_said() -> None:
    assert concordance(as_ranks([[1, 2, 3]])) is None
    assert concordance(as_ranks([[1, 2], [1, 2]])) is None
    assert concordance(as_ranks([[2, 2, 2], [2, 2, 2]])) is None
    [pair] = correlations(as_ranks([[2, 2, 2], [1, 2, 3]]))
    assert (pair.spearman, pair.kendall) == (None, None)


@given(st.permutations(range(1, 8)))
def test_rank_correlations_are_those_of_their_definitions(order: list[int]) -> None:
    one = {f"e{at}": float(at + 1) for at in range(7)}
    other = {f"e{at}": float(rank) for at, rank in enumerate(order)}
    squares = sum((one[name] - other[name]) ** 2 for name in one)
    # rho = 1 - 6 sum d^2 / (n (n^2 - 1)); tau = 1 - 4 discordant pairs / (n (n - 1)); from memory
    assert spearman(one, other) == pytest.approx(1 - 6 * squares / (7 * 48))
    turned = sum(order[i] > order[j] for i in range(7) for j in range(i + 1, 7))
    assert kendall(one, other) == pytest.approx(1 - 4 * turned / 42)


@given(st.permutations(range(1, 6)))
def test_the_order_of_the_entries_makes_no_difference(order: list[int]) -> None:
    lines = [list(range(1, 6)), order]
    turned = [list(reversed(line)) for line in lines]
    assert concordance(as_ranks(lines)) == pytest.approx(concordance(as_ranks(turned)))
