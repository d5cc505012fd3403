"""Every event and every command has its place in every table."""

from typing import get_args

from events.envelope import Command, Event
from events.judged_class import commands as ask
from events.judged_class import decide, evolve
from events.judged_class import events as happened
from events.judged_class.authority import AUTHORITY


def of_module(module: object, base: type) -> set[type]:
    """The classes of a module that derive from ``base``."""
    return {
        each
        for each in vars(module).values()
        if isinstance(each, type) and issubclass(each, base) and each is not base
    }


def test_the_union_holds_every_event_of_a_class() -> None:
    assert set(get_args(happened.ClassEvent)) == of_module(happened, Event)


def test_every_event_moves_the_state_by_a_handler_of_its_own() -> None:
    assert set(evolve.HANDLERS) == set(get_args(happened.ClassEvent))


def test_every_command_is_decided_and_has_its_authority() -> None:
    commands = of_module(ask, Command)
    assert set(decide.HANDLERS) == commands
    assert set(AUTHORITY) == commands


def test_there_is_a_command_for_every_fact_that_a_card_may_hold() -> None:
    facts = get_args(happened.CardFact)
    assert len(get_args(ask.FactCommand)) == len(facts)
    takes_back = get_args(happened.TakenBack)
    assert len(takes_back) == len(facts)
    assert set(get_args(happened.RideEvent)) == {*facts, *takes_back, happened.CorrectionMade}


def test_tags_are_storage_names_of_their_own() -> None:
    tags = [event.__struct_config__.tag for event in get_args(happened.ClassEvent)]
    assert len(set(tags)) == len(tags)
    assert all(isinstance(tag, str) and tag.count(".") == 1 for tag in tags)
