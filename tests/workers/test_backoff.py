"""Waits that grow, and come out anywhere below their bound."""

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from service.workers.backoff import Waits

WAITS = Waits(first=timedelta(seconds=10), longest=timedelta(hours=12), attempts=20)


def test_each_bound_is_twice_the_one_before_until_the_longest() -> None:
    bounds = [WAITS.bound(attempt).total_seconds() for attempt in range(1, 15)]
    assert bounds[:5] == [10, 20, 40, 80, 160]
    assert bounds[-2:] == [40_960, 43_200]


@given(st.integers(1, 10_000))
def test_a_wait_is_never_negative_and_never_beyond_its_bound(attempt: int) -> None:
    wait = WAITS.after(attempt)
    assert timedelta(0) <= wait <= WAITS.bound(attempt) <= WAITS.longest


def test_waits_of_the_same_attempt_differ() -> None:
    assert len({WAITS.after(10) for _ in range(20)}) > 1


def test_a_receiver_that_is_down_for_a_day_is_still_being_tried() -> None:
    mean = sum((WAITS.bound(n) / 2 for n in range(1, WAITS.attempts)), timedelta())
    assert mean > timedelta(days=1)
