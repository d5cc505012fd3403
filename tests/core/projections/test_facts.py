"""Everything that stands, flat: one key a fact."""

from hypothesis import given

from events.judged_class import commands as ask
from events.projections.facts import FactKey, FactKind, fact, facts
from tests.histories import SUMMED, histories
from tests.stories import OFFICE, PATTERN, Recorder, Told, entry

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


def test_a_cut_and_another_horse_are_facts_of_their_own() -> None:
    story = Recorder().planned(entries=2)
    story.record(ask.ChangeHorse(ref=entry("n1"), horse="h9"), OFFICE)
    story.ride("n1", first=2).ride("n2").signed().later(minutes=1)
    story.record(ask.PostResults(), OFFICE)
    story.record(ask.MakeCut(size=1), OFFICE)
    known = facts(story.told.history.at_version(story.version))
    assert known[FactKey("horse", entry="n1")].value == "h9"
    cut = known[FactKey("cut")]
    assert cut.version == story.version
    assert cut.value == {"as": "class.cut_made", "size": 1, "qualified": ("n1",)}


def test_a_run_off_is_a_fact_of_its_own() -> None:
    story = Recorder(SUMMED).planned(entries=2).ride("n1").ride("n2").signed()
    story.record(ask.HoldRunOff(order=(entry("n2"), entry("n1"))), OFFICE)
    held = facts(story.told.history.at_version(story.version))[FactKey("run_off", item="1")]
    assert held.version == story.version
    assert held.value == {"as": "class.run_off_held", "order": ("n2", "n1")}
