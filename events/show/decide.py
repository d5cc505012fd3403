"""Decisions about a show. All of them are the office's."""

from collections.abc import Callable, Mapping
from typing import Any

from events.envelope import Actor, Command, Event
from events.refusals import Refusal
from events.show import commands as ask
from events.show import events as happened
from events.show.state import ShowState


def decide(state: ShowState, command: Command, *, actor: Actor) -> tuple[Event, ...]:
    """The events that the command makes happen; ``()`` when it is so already."""
    if actor.role != "office":
        raise Refusal(
            "role_not_allowed",
            f"A key with the role {actor.role} may not do this: the office plans a show.",
            rule="the office plans a show",
            role=actor.role,
        )
    if state.planned is None and not isinstance(command, ask.PlanShow):
        raise Refusal("show_not_planned", "The show has not been planned yet.")
    return HANDLERS[type(command)](state, command)


def _plan(state: ShowState, command: ask.PlanShow) -> tuple[Event, ...]:
    for field in ("name", "place", "time_zone"):
        if not getattr(command, field).strip():
            raise Refusal(f"{field}_missing", f"A show needs a {field}.", field=field)
    if command.last_day < command.first_day:
        raise Refusal(
            "days_reversed",
            f"The last day, {command.last_day}, comes before the first, {command.first_day}.",
            field="last_day",
        )
    event = happened.ShowPlanned(
        name=command.name,
        place=command.place,
        time_zone=command.time_zone,
        first_day=command.first_day,
        last_day=command.last_day,
    )
    return () if state.planned == event else (event,)


def _add_ring(state: ShowState, command: ask.AddRing) -> tuple[Event, ...]:
    if not command.ring.strip():
        raise Refusal("ring_missing", "A ring needs a name.", field="ring")
    return () if command.ring in state.rings else (happened.RingAdded(ring=command.ring),)


def _name_official(state: ShowState, command: ask.NameOfficial) -> tuple[Event, ...]:
    event = happened.OfficialNamed(official=command.official, role=command.role)
    return () if event in state.officials else (event,)


def _adopt_rulebook(state: ShowState, command: ask.AdoptRuleBook) -> tuple[Event, ...]:
    if state.rulebooks.get(command.rulebook.id) == command.rulebook:
        return ()
    return (happened.RuleBookAdopted(rulebook=command.rulebook),)


HANDLERS: Mapping[type[Command], Callable[[ShowState, Any], tuple[Event, ...]]] = {
    ask.PlanShow: _plan,
    ask.AddRing: _add_ring,
    ask.NameOfficial: _name_official,
    ask.AdoptRuleBook: _adopt_rulebook,
}
