"""What can be asked of a show, and how it reads."""

import zoneinfo
from collections.abc import Callable, Mapping, Sequence
from functools import cache

import msgspec
from sqlalchemy import Executable

from events.envelope import Command, Event, stream_of
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from events.show.commands import AdoptRuleBook, PlanShow
from events.show.decide import decide
from events.show.events import ClassSlotted
from events.show.state import ShowState
from service.desk import registered
from service.desk.books import kept, reference
from service.desk.caller import Ask, Caller, Receipt, check_show, check_whole_house
from service.desk.carry_out import no_show, planned, receipt
from service.desk.desk import Desk
from service.desk.directory import Listed
from service.desk.fingerprint import fingerprint
from service.desk.names import Names, names
from service.desk.texts import sealed
from service.store import rulebooks, texts
from service.store.batch import CommandRecord
from service.store.execute import execute


class ShowLook(msgspec.Struct, frozen=True, kw_only=True):
    """A show as it stands, with the names of the people it names."""

    id: str
    state: ShowState
    names: Names


def plan(desk: Desk, ask: Ask, show: PlanShow, show_id: str | None = None) -> Receipt:
    """Plan a new show; planning the very same again under its id is so already."""
    name = show_id or ask.made_id()

    def decided(state: ShowState) -> Sequence[Event]:
        check_whole_house(ask.caller, "planning a new show")
        _check_time_zone(show.time_zone)
        events = decide(state, show, actor=ask.caller.actor)
        if state.planned is not None and events:
            raise Refusal(
                "show_id_taken",
                f"The id {name} belongs to another show.",
                field="id",
                id=name,
            )
        return events

    return _on_show(desk, ask, name, decided, asked=fingerprint("plan", name, show))


def replan(desk: Desk, ask: Ask, show_id: str, show: PlanShow) -> Receipt:
    """Change what was planned of a show."""

    def decided(state: ShowState) -> Sequence[Event]:
        _check_time_zone(show.time_zone)
        return _decide(ask, show_id, state, show)

    return _on_show(desk, ask, show_id, decided, asked=fingerprint("replan", show_id, show))


def carry_out(
    desk: Desk,
    ask: Ask,
    show_id: str,
    command: Command,
    *,
    asked: Command | None = None,
    beside: Sequence[Executable] = (),
) -> Receipt:
    """Carry out any further command to a planned show; its texts come as plain text.

    ``asked`` is the command as it was sent, where the desk has added to it; ``beside`` is written
    with what comes of it.
    """
    to_core, kept_texts = sealed(command)

    def decided(state: ShowState) -> Sequence[Event]:
        planned(state, show_id)
        registered.check(desk.database, to_core)
        return _decide(ask, show_id, state, to_core)

    return _on_show(
        desk,
        ask,
        show_id,
        decided,
        asked=fingerprint(show_id, asked or command),
        beside=(*beside, *texts.keeping(kept_texts)),
    )


def adopt(desk: Desk, ask: Ask, show_id: str, book: RuleBook) -> Receipt:
    """Let the show's classes be held under a rule book, which is kept under its digest.

    Another book of the same id replaces it for classes still to be scheduled.
    """
    command = AdoptRuleBook(rulebook=reference(book))

    def decided(state: ShowState) -> Sequence[Event]:
        return _decide(ask, show_id, state, command)

    return _on_show(
        desk,
        ask,
        show_id,
        decided,
        asked=fingerprint(show_id, command),
        beside=rulebooks.keeping(desk.database, kept(book)),
    )


def look(desk: Desk, caller: Caller, show_id: str) -> ShowLook:
    """A show as it stands."""
    check_show(caller, show_id)
    state = planned(desk.shows.latest(stream_of("show", show_id)).state, show_id)
    return _look(desk, show_id, state)


def listed(desk: Desk, caller: Caller) -> tuple[Listed, ...]:
    """The shows that a caller may look at, in the order of planning."""
    return tuple(each for each in desk.directory.shows() if caller.show in {None, each.id})


def looks(desk: Desk, of: Sequence[Listed]) -> tuple[ShowLook, ...]:
    """Several shows as they stand, without names."""
    streams = {each.id: stream_of("show", each.id) for each in of}
    found = desk.shows.latest_of(streams.values())
    return tuple(
        ShowLook(id=name, state=found[stream].state, names=Names())
        for name, stream in streams.items()
    )


def classes_now(
    desk: Desk, caller: Caller, show_id: str, after: int = 0
) -> tuple[tuple[Listed, ClassState, ClassSlotted | None], ...]:
    """The classes scheduled beyond a position of the log, as they stand, each with its slot."""
    slots = look(desk, caller, show_id).state.slots
    beyond = [each for each in desk.directory.classes(show_id) if each.position > after]
    streams = [stream_of("class", each.id) for each in beyond]
    found = desk.classes.latest_of(streams)
    return tuple(
        (each, found[stream].state, slots.get(each.id))
        for each, stream in zip(beyond, streams, strict=True)
    )


def classes_of(desk: Desk, caller: Caller, show_id: str) -> tuple[Listed, ...]:
    """The classes of a show, in the order of scheduling."""
    look(desk, caller, show_id)
    return desk.directory.classes(show_id)


def slots_of(desk: Desk, show_id: str) -> Mapping[str, ClassSlotted]:
    """The slot of each class of a show that has one, by the id of the class."""
    return desk.shows.latest(stream_of("show", show_id)).state.slots


def _look(desk: Desk, show_id: str, state: ShowState) -> ShowLook:
    officials = [each.official for each in state.officials]
    return ShowLook(id=show_id, state=state, names=names(desk.database, people=officials))


def _decide(ask: Ask, show_id: str, state: ShowState, command: Command) -> tuple[Event, ...]:
    if state.planned is None:
        raise no_show(show_id)
    check_show(ask.caller, show_id)
    return decide(state, command, actor=ask.caller.actor)


def _on_show(
    desk: Desk,
    ask: Ask,
    show_id: str,
    decided: Callable[[ShowState], Sequence[Event]],
    *,
    asked: str,
    beside: Sequence[Executable] = (),
) -> Receipt:
    stream = stream_of("show", show_id)
    command = CommandRecord(key=ask.caller.key, command=ask.id, fingerprint=asked)
    occurred_at = ask.occurred_at or desk.clock()
    done = desk.turns.take(
        stream,
        lambda: execute(
            desk.shows,
            stream,
            decided,
            command=command,
            actor=ask.caller.actor,
            occurred_at=occurred_at,
            expected_version=ask.expected_version,
            beside=beside,
        ),
    )
    return receipt(show_id, done)


@cache
def _time_zones() -> frozenset[str]:
    return frozenset(zoneinfo.available_timezones())


def _check_time_zone(name: str) -> None:
    if name.strip() and name not in _time_zones():
        raise Refusal(
            "unknown_time_zone",
            f"No time zone is called {name}.",
            field="time_zone",
            time_zone=name,
        )
