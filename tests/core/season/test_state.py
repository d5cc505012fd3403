"""Which classes count in a season, and who belongs to it on which day."""

from datetime import date, timedelta
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.season import events as happened
from events.season.state import HANDLERS, INITIAL, evolve, fold
from tests.core.season.seasons import DAY, OPENED, REASON, SHOW, season
from tests.strategies import pooled

STORIES = st.lists(
    st.sampled_from(get_args(happened.SeasonEvent)).flatmap(lambda kind: pooled(kind, {})),
    max_size=8,
)


def test_every_event_of_a_season_is_folded() -> None:
    assert set(HANDLERS) == set(get_args(happened.SeasonEvent))


@given(STORIES)
def test_any_story_can_be_read_and_counts_its_events(
    story: list[happened.SeasonEvent],
) -> None:
    state = fold(story)
    assert state.version == len(story)
    again = INITIAL
    for event in story:
        again = evolve(again, event)
    assert again == state


@pytest.mark.parametrize(
    ("show", "class_id", "day", "counts"),
    [
        (SHOW, "c-1", DAY, True),
        (SHOW, "c-1", None, True),
        (SHOW, "c-1", OPENED.first_day, True),
        (SHOW, "c-1", OPENED.last_day, True),
        (SHOW, "c-1", OPENED.first_day - timedelta(1), False),
        (SHOW, "c-1", OPENED.last_day + timedelta(1), False),
        (SHOW, "c-9", DAY, False),
        ("s-9", "c-1", DAY, False),
    ],
)
def test_a_class_counts_by_its_show_and_its_day_unless_it_is_left_out(
    show: str, class_id: str, day: date | None, *, counts: bool
) -> None:
    state = season(happened.ClassLeftOut(class_id="c-9", reason=REASON))
    assert state.counts(show, class_id, day) is counts


def test_nothing_counts_in_a_season_that_was_never_opened() -> None:
    assert not fold([happened.ShowCounted(show=SHOW)]).counts(SHOW, "c-1", DAY)


def test_a_member_belongs_from_the_day_of_enrolling_on() -> None:
    state = season(happened.MemberEnrolled(member="p-1", since=DAY))
    days = (DAY - timedelta(1), DAY, DAY + timedelta(1), None)
    assert [state.belonged("p-1", day) for day in days] == [False, True, True, True]
    assert not state.belonged("p-2", None)
