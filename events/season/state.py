"""What is known of a season after its first n events."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any

import msgspec

from events.awards.rules import AwardRules
from events.envelope import Event
from events.season import events as happened
from events.season.events import SeasonEvent


class SeasonState(msgspec.Struct, frozen=True, kw_only=True):
    """A season as it is known at one version of its stream."""

    version: int = 0
    opened: happened.SeasonOpened | None = None
    awards: Mapping[str, AwardRules] = {}
    shows: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    members: Mapping[str, date] = {}

    def counts(self, show: str, class_id: str, day: date | None) -> bool:
        """Whether a class of a show on a day counts in the season.

        One whose day was never set counts as one of the season's own.
        """
        if self.opened is None or show not in self.shows or class_id in self.left_out:
            return False
        return day is None or self.opened.first_day <= day <= self.opened.last_day

    def belonged(self, member: str, day: date | None) -> bool:
        """Whether a person or a horse belonged to the season on a day; ``None`` is any day."""
        since = self.members.get(member)
        return since is not None and (day is None or since <= day)


INITIAL = SeasonState()
_replace = msgspec.structs.replace


def evolve(state: SeasonState, event: SeasonEvent) -> SeasonState:
    """The state after one more event. Total."""
    return _replace(HANDLERS[type(event)](state, event), version=state.version + 1)


def fold(events: Iterable[SeasonEvent], state: SeasonState = INITIAL) -> SeasonState:
    """The state after all of ``events``."""
    for event in events:
        state = evolve(state, event)
    return state


def _opened(state: SeasonState, event: happened.SeasonOpened) -> SeasonState:
    return _replace(state, opened=event)


def _award_defined(state: SeasonState, event: happened.AwardDefined) -> SeasonState:
    return _replace(state, awards={**state.awards, event.rules.award: event.rules})


def _award_dropped(state: SeasonState, event: happened.AwardDropped) -> SeasonState:
    awards = {name: rules for name, rules in state.awards.items() if name != event.award}
    return _replace(state, awards=awards)


def _show_counted(state: SeasonState, event: happened.ShowCounted) -> SeasonState:
    return _replace(state, shows=(*state.shows, event.show))


def _show_dropped(state: SeasonState, event: happened.ShowDropped) -> SeasonState:
    return _replace(state, shows=tuple(show for show in state.shows if show != event.show))


def _class_left_out(state: SeasonState, event: happened.ClassLeftOut) -> SeasonState:
    return _replace(state, left_out=(*state.left_out, event.class_id))


def _class_put_back(state: SeasonState, event: happened.ClassPutBack) -> SeasonState:
    return _replace(state, left_out=tuple(c for c in state.left_out if c != event.class_id))


def _member_enrolled(state: SeasonState, event: happened.MemberEnrolled) -> SeasonState:
    return _replace(state, members={**state.members, event.member: event.since})


def _member_struck_off(state: SeasonState, event: happened.MemberStruckOff) -> SeasonState:
    members = {name: since for name, since in state.members.items() if name != event.member}
    return _replace(state, members=members)


HANDLERS: Mapping[type[Event], Callable[[SeasonState, Any], SeasonState]] = {
    happened.SeasonOpened: _opened,
    happened.AwardDefined: _award_defined,
    happened.AwardDropped: _award_dropped,
    happened.ShowCounted: _show_counted,
    happened.ShowDropped: _show_dropped,
    happened.ClassLeftOut: _class_left_out,
    happened.ClassPutBack: _class_put_back,
    happened.MemberEnrolled: _member_enrolled,
    happened.MemberStruckOff: _member_struck_off,
}
