"""Decisions about a season. All of them are the federation's."""

from collections.abc import Callable, Mapping
from typing import Any

from events.awards.check import check_rules
from events.envelope import Actor, Command, Event
from events.refusals import Refusal
from events.season import commands as ask
from events.season import events as happened
from events.season.state import SeasonState


def decide(state: SeasonState, command: Command, *, actor: Actor) -> tuple[Event, ...]:
    """The events that the command makes happen; ``()`` when it is so already."""
    if actor.role != "federation":
        raise Refusal(
            "role_not_allowed",
            f"A key with the role {actor.role} may not do this: a federation keeps its season.",
            rule="a federation keeps its season",
            role=actor.role,
        )
    if state.opened is None and not isinstance(command, ask.OpenSeason):
        raise Refusal("season_not_opened", "The season has not been opened yet.")
    return HANDLERS[type(command)](state, command)


def _open(state: SeasonState, command: ask.OpenSeason) -> tuple[Event, ...]:
    if not command.name.strip():
        raise Refusal("name_missing", "A season needs a name.", field="name")
    if not command.federation.strip():
        raise Refusal("federation_missing", "A season is a federation's.", field="federation")
    if command.last_day < command.first_day:
        raise Refusal(
            "days_reversed",
            f"The last day, {command.last_day}, comes before the first, {command.first_day}.",
            field="last_day",
        )
    event = happened.SeasonOpened(
        federation=command.federation,
        name=command.name,
        first_day=command.first_day,
        last_day=command.last_day,
    )
    if state.opened is not None and state.opened != event:
        raise Refusal("season_opened_already", "The season is open already, with other days.")
    return () if state.opened == event else (event,)


def _define_award(state: SeasonState, command: ask.DefineAward) -> tuple[Event, ...]:
    check_rules(command.rules)
    known = state.awards.get(command.rules.award)
    if known == command.rules:
        return ()
    if known is not None and command.reason is None:
        raise Refusal(
            "reason_missing",
            f"The award {known.name} is defined already; changing it takes a reason.",
            field="reason",
        )
    return (happened.AwardDefined(rules=command.rules, reason=command.reason),)


def _drop_award(state: SeasonState, command: ask.DropAward) -> tuple[Event, ...]:
    if command.award not in state.awards:
        return ()
    return (happened.AwardDropped(award=command.award, reason=command.reason),)


def _count_show(state: SeasonState, command: ask.CountShow) -> tuple[Event, ...]:
    return () if command.show in state.shows else (happened.ShowCounted(show=command.show),)


def _drop_show(state: SeasonState, command: ask.DropShow) -> tuple[Event, ...]:
    if command.show not in state.shows:
        return ()
    return (happened.ShowDropped(show=command.show, reason=command.reason),)


def _leave_out_class(state: SeasonState, command: ask.LeaveOutClass) -> tuple[Event, ...]:
    if command.class_id in state.left_out:
        return ()
    return (happened.ClassLeftOut(class_id=command.class_id, reason=command.reason),)


def _put_class_back(state: SeasonState, command: ask.PutClassBack) -> tuple[Event, ...]:
    if command.class_id not in state.left_out:
        return ()
    return (happened.ClassPutBack(class_id=command.class_id, reason=command.reason),)


def _enrol(state: SeasonState, command: ask.EnrolMember) -> tuple[Event, ...]:
    if state.members.get(command.member) == command.since:
        return ()
    return (happened.MemberEnrolled(member=command.member, since=command.since),)


def _strike_off(state: SeasonState, command: ask.StrikeOffMember) -> tuple[Event, ...]:
    if command.member not in state.members:
        return ()
    return (happened.MemberStruckOff(member=command.member, reason=command.reason),)


HANDLERS: Mapping[type[Command], Callable[[SeasonState, Any], tuple[Event, ...]]] = {
    ask.OpenSeason: _open,
    ask.DefineAward: _define_award,
    ask.DropAward: _drop_award,
    ask.CountShow: _count_show,
    ask.DropShow: _drop_show,
    ask.LeaveOutClass: _leave_out_class,
    ask.PutClassBack: _put_class_back,
    ask.EnrolMember: _enrol,
    ask.StrikeOffMember: _strike_off,
}
