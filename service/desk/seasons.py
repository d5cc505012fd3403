"""What can be asked of a season, and how it reads."""

from collections.abc import Callable, Sequence
from datetime import date

import msgspec
from sqlalchemy import Executable

from events.awards.rules import AwardRules, Carrier, Category, StandingTie
from events.envelope import Command, Event, stream_of
from events.refusals import Refusal
from events.scoring.points.model import PointsTable
from events.season import commands as ask_season
from events.season.decide import decide
from events.season.state import SeasonState
from service.desk.caller import Ask, Caller, Receipt, check_whole_house
from service.desk.carry_out import planned, receipt
from service.desk.desk import Desk
from service.desk.directory import Listed
from service.desk.fingerprint import fingerprint
from service.desk.points import kept, reference
from service.desk.texts import sealed
from service.store import points_tables, registry, texts
from service.store.batch import CommandRecord
from service.store.execute import execute


class AwardPlan(msgspec.Struct, frozen=True, kw_only=True):
    """An award as it is asked for, with the points table itself."""

    award: str
    name: str
    carrier: Carrier
    points: PointsTable
    categories: tuple[Category, ...]
    best_of: int | None = None
    minimum_shows: int = 0
    minimum_judges: int = 0
    minimum_categories: int = 0
    members_only: bool = False
    ties: tuple[StandingTie, ...] = ()
    minimum_classes: int = 0
    eligible_divisions: tuple[str, ...] = ()

    @property
    def rules(self) -> AwardRules:
        """The rules that go into the log, which name the table by its digest."""
        fields = {name: getattr(self, name) for name in self.__struct_fields__}
        return AwardRules(**fields | {"points": reference(self.points)})


class SeasonLook(msgspec.Struct, frozen=True, kw_only=True):
    """A season as it stands."""

    id: str
    state: SeasonState


class Member(msgspec.Struct, frozen=True, kw_only=True):
    """Who belongs to a season, since which day."""

    member: str
    since: date


def open_season(
    desk: Desk, ask: Ask, season: ask_season.OpenSeason, season_id: str | None = None
) -> Receipt:
    """Open a new season; opening the very same again under its id is so already."""
    name = season_id or ask.made_id()

    def decided(state: SeasonState) -> Sequence[Event]:
        _check_federation(ask.caller, season.federation)
        return decide(state, season, actor=ask.caller.actor)

    return _on_season(desk, ask, name, decided, asked=fingerprint("open", name, season))


def define_award(
    desk: Desk, ask: Ask, season_id: str, plan: AwardPlan, *, reason: str | None = None
) -> Receipt:
    """Define an award, or define it anew for a reason; its points table is kept with it."""
    command, kept_texts = sealed(ask_season.DefineAward(rules=plan.rules, reason=reason))

    def decided(state: SeasonState) -> Sequence[Event]:
        return _decide(ask, season_id, state, command)

    return _on_season(
        desk,
        ask,
        season_id,
        decided,
        asked=fingerprint("award", season_id, plan, reason),
        beside=(
            *points_tables.keeping(desk.database, kept(plan.points)),
            *texts.keeping(kept_texts),
        ),
    )


def carry_out(desk: Desk, ask: Ask, season_id: str, command: Command) -> Receipt:
    """Carry out any further command to an open season; its texts come as plain text."""
    to_core, kept_texts = sealed(command)

    def decided(state: SeasonState) -> Sequence[Event]:
        opened(state, season_id)
        _check_named(desk, state, to_core)
        return _decide(ask, season_id, state, to_core)

    return _on_season(
        desk,
        ask,
        season_id,
        decided,
        asked=fingerprint(season_id, command),
        beside=texts.keeping(kept_texts),
    )


def look(desk: Desk, caller: Caller, season_id: str) -> SeasonLook:
    """A season as it stands; or a refusal."""
    check_whole_house(caller, "a season")
    state = desk.seasons.latest(stream_of("season", season_id)).state
    return SeasonLook(id=season_id, state=opened(state, season_id))


def looks(desk: Desk, of: Sequence[Listed]) -> tuple[SeasonLook, ...]:
    """Several seasons as they stand."""
    streams = {each.id: stream_of("season", each.id) for each in of}
    found = desk.seasons.latest_of(streams.values())
    return tuple(SeasonLook(id=name, state=found[s].state) for name, s in streams.items())


def listed(desk: Desk, caller: Caller) -> tuple[Listed, ...]:
    """Every season, in the order of opening."""
    check_whole_house(caller, "a season")
    return desk.directory.seasons()


def members(of: SeasonLook, after: str, limit: int) -> tuple[Member, ...]:
    """Some of those who belong to a season, by their ids, beyond one of them."""
    beyond = sorted(member for member in of.state.members if member > after)
    return tuple(Member(member=each, since=of.state.members[each]) for each in beyond[:limit])


def opened(state: SeasonState, season_id: str) -> SeasonState:
    """The season, which is open; or a refusal."""
    if state.opened is None:
        raise Refusal("unknown_season", f"No season has the id {season_id}.", season=season_id)
    return state


def _check_federation(caller: Caller, federation: str) -> None:
    check_whole_house(caller, "a season")
    if caller.federation not in {None, federation}:
        raise Refusal(
            "other_federation",
            "This key is bound to another federation.",
            rule="a key bound to one federation keeps the seasons of no other",
            key_federation=caller.federation,
        )


def _decide(ask: Ask, season_id: str, state: SeasonState, command: Command) -> tuple[Event, ...]:
    season = opened(state, season_id).opened
    assert season is not None  # noqa: S101 - looked at just now
    _check_federation(ask.caller, season.federation)
    return decide(state, command, actor=ask.caller.actor)


def _check_named(desk: Desk, state: SeasonState, command: Command) -> None:
    """Refuse a command that names a show, a class, a rider or a horse that there is not."""
    match command:
        case ask_season.CountShow(show=show):
            planned(desk.shows.latest(stream_of("show", show)).state, show)
        case ask_season.LeaveOutClass(class_id=class_id):
            _check_class(desk, state, class_id)
        case ask_season.EnrolMember(member=member):
            _check_member(desk, member)
        case _:
            pass


def _check_class(desk: Desk, state: SeasonState, class_id: str) -> None:
    scheduled = desk.classes.latest(stream_of("class", class_id)).state.scheduled
    if scheduled is None or scheduled.show not in state.shows:
        raise Refusal(
            "class_not_counted",
            f"No show that counts in the season has a class with the id {class_id}.",
            field="class",
            **{"class": class_id},
        )


def _check_member(desk: Desk, member: str) -> None:
    person = registry.find_person(desk.database, member)
    if person is not None and person.erased_at is not None:
        raise Refusal("person_erased", f"The person {member} was erased.", field="member")
    if person is None and registry.find_horse(desk.database, member) is None:
        raise Refusal(
            "member_not_registered",
            f"Neither a person nor a horse is registered under the id {member}.",
            field="member",
            member=member,
        )


def _on_season(
    desk: Desk,
    ask: Ask,
    season_id: str,
    decided: Callable[[SeasonState], Sequence[Event]],
    *,
    asked: str,
    beside: Sequence[Executable] = (),
) -> Receipt:
    stream = stream_of("season", season_id)
    command = CommandRecord(key=ask.caller.key, command=ask.id, fingerprint=asked)
    occurred_at = ask.occurred_at or desk.clock()
    done = desk.turns.take(
        stream,
        lambda: execute(
            desk.seasons,
            stream,
            decided,
            command=command,
            actor=ask.caller.actor,
            occurred_at=occurred_at,
            expected_version=ask.expected_version,
            beside=beside,
        ),
    )
    return receipt(season_id, done)
