"""Numbers as people write them, counted exactly."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.exact import exact, ordinal, to_plain, to_words


def test_three_tenths_are_three_tenths_and_not_their_nearest_binary_fraction() -> None:
    assert exact(0.3) == Fraction(3, 10)
    assert exact("1/3") == Fraction(1, 3)
    assert exact(4) == 4


@pytest.mark.parametrize("number", ["", "a", "1/0", float("nan"), float("inf"), True])
def test_what_is_no_number_is_refused(number: float | str) -> None:
    with pytest.raises(ValueError, match="not a number that can be counted with"):
        exact(number)


@given(st.decimals(-1000, 1000, places=4))
def test_a_decimal_comes_back_as_it_was_written(number: object) -> None:
    assert exact(to_words(exact(str(number)))) == exact(str(number))


def test_words_are_decimal_where_a_decimal_is_exact() -> None:
    assert [to_words(Fraction(n, 6)) for n in (3, 6, 7)] == ["0.5", "1", "7/6"]


def test_a_whole_value_is_plain_without_a_point() -> None:
    assert str(to_plain(Fraction(6, 2))) == "3"
    assert str(to_plain(Fraction(7, 2))) == "3.5"


def test_ordinals_read_as_people_say_them() -> None:
    said = [ordinal(n) for n in (1, 2, 3, 4, 10, 11, 12, 13, 21, 22, 101, 111, 112)]
    assert said == ["1st", "2nd", "3rd", "4th", "10th", "11th", "12th", "13th", "21st", "22nd",
                    "101st", "111th", "112th"]  # fmt: skip
