"""Everything that stands, flat: one key a fact."""

from hypothesis import given

from events.projections.facts import FactKey, FactKind, fact, facts
from tests.histories import histories
from tests.stories import PATTERN, Recorder, Told

NOWHERE: tuple[FactKind, ...] = ("seat", "entry", "protest", "pattern", "schedule", "draw")


@given(told=histories())
def test_a_single_fact_is_the_one_among_all(told: Told) -> None:
    state = told.history.at_version(told.history.version)
    everything = facts(state)
    for key, standing in everything.items():
        assert fact(state, key) == standing


@given(told=histories())
def test_a_facts_version_is_that_of_the_event_that_put_it_there(told: Told) -> None:
    state = told.history.at_version(told.history.version)
    for key, standing in facts(state).items():
        if standing.version is not None:
            before = fact(told.history.at_version(standing.version - 1), key)
            after = fact(told.history.at_version(standing.version), key)
            assert before != after == standing


def test_there_is_no_fact_where_nothing_stands() -> None:
    state = Recorder().told.history.at_version(0)
    assert [key.kind for key in facts(state)] == ["phase"]
    assert all(fact(state, FactKey(kind)) is None for kind in NOWHERE)
    assert fact(state, FactKey("mark", "A", "n1", "1")) is None
    assert fact(state, FactKey("gate", entry="n1")) is None


def test_facts_are_plain_data_without_stored_tags() -> None:
    story = Recorder().planned(entries=1)
    story.mark("n1", 2, 3)
    state = story.told.history.at_version(story.version)
    assert facts(state)[FactKey("pattern")].value == {"maneuvers": PATTERN}
    given = facts(state)[FactKey("mark", "A", "n1", "2")]
    assert given.value == {"as": "card.mark_given", "maneuver": 2, "mark": 3}
    assert given.version == story.version
