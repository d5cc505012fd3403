"""Whole half points inside, plain numbers at the edge."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.half_points import from_number, to_number, to_text

HALVES = st.integers(-(2**40), 2**40)


@pytest.mark.parametrize(
    ("number", "half"), [(0, 0), (1.5, 3), (-0.5, -1), (70, 140), (71.0, 142), (-0.0, 0)]
)
def test_plain_numbers_are_read(number: float, half: int) -> None:
    assert from_number(number) == half
    assert isinstance(from_number(number), int)


@pytest.mark.parametrize("number", [0.25, 0.1, 1e-9, float("inf"), float("-inf"), float("nan")])
def test_what_is_no_multiple_of_a_half_is_refused(number: float) -> None:
    with pytest.raises(ValueError, match=r"is not a multiple of 0\.5"):
        from_number(number)


def test_a_number_beyond_all_floats_is_read_exactly() -> None:
    assert from_number(10**400) == 2 * 10**400


@given(HALVES)
def test_half_points_survive_the_edge(half: int) -> None:
    assert from_number(to_number(half)) == half
    assert Fraction(to_number(half)) == Fraction(half, 2)


@given(HALVES)
def test_whole_points_are_whole_numbers(half: int) -> None:
    assert isinstance(to_number(half), int) == (half % 2 == 0)


@given(st.floats() | st.integers())
def test_a_number_is_read_exactly_or_not_at_all(number: float) -> None:
    try:
        half = from_number(number)
    except ValueError:
        assert number != number or abs(number) == float("inf") or Fraction(number) * 2 % 1  # noqa: PLR0124 - nan
    else:
        assert Fraction(half, 2) == Fraction(number)


@pytest.mark.parametrize(
    ("half", "plain", "signed"),
    [
        (143, "71.5", "+71.5"),
        (3, "1.5", "+1.5"),
        (-1, "-0.5", "-0.5"),
        (0, "0", "0"),
        (4, "2", "+2"),
    ],
)
def test_points_are_written_as_people_write_them(half: int, plain: str, signed: str) -> None:
    assert to_text(half) == plain
    assert to_text(half, signed=True) == signed
