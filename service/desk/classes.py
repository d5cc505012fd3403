"""What can be asked of a class, from its scheduling to its protests."""

from collections.abc import Sequence
from datetime import date

import msgspec

from events.envelope import Command, Event, stream_of
from events.judged_class import commands as ask_class
from events.judged_class.commands import AcceptEntry, ChangeHorse, EntryRef
from events.judged_class.decide import decide
from events.judged_class.events import ClassRound
from events.judged_class.references import entry_meant
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import PanelChoice
from events.show.state import ShowState
from service.desk import eligibility, office_rules, registered
from service.desk.caller import Ask, Receipt, check_show
from service.desk.carry_out import on_class, planned, receipt, scheduled
from service.desk.desk import Desk
from service.desk.fingerprint import fingerprint
from service.desk.texts import sealed
from service.store import texts
from service.store.batch import CommandRecord
from service.store.execute import Wanted, execute


class ClassPlan(msgspec.Struct, frozen=True, kw_only=True):
    """A class as it is put on a show's schedule; ``rulebook`` is the id of an adopted book."""

    name: str
    rulebook: str
    number: int | None = None
    ring: str | None = None
    day: date | None = None
    panel: PanelChoice | None = None
    round: ClassRound | None = None


class HandDraw(msgspec.Struct, frozen=True, kw_only=True):
    """What goes with a working order set by hand: why it changes, how many ride in each section."""

    reason: str | None = None
    sections: tuple[int, ...] | None = None


def schedule(
    desk: Desk, ask: Ask, show_id: str, plan: ClassPlan, class_id: str | None = None
) -> Receipt:
    """Put a class on the show's schedule, in one of its rings, on one of its days."""
    name = class_id or ask.made_id()
    show = planned(desk.shows.latest(stream_of("show", show_id)).state, show_id)

    def decided(state: ClassState) -> Sequence[Event]:
        check_show(ask.caller, show_id)
        command = _as_command(desk, show, show_id, plan)
        if state.scheduled is not None and state.version > 0:
            _refuse_other(name, state, command)
        return decided_on(desk, ask, state, command)

    done = on_class(desk, ask, name, decided, asked=fingerprint("schedule", show_id, name, plan))
    return receipt(name, done)


def carry_out(
    desk: Desk, ask: Ask, class_id: str, command: Command, *, thing: str | None = None
) -> Receipt:
    """Carry out any command to a scheduled class; its texts come as plain text.

    ``thing`` is the id of what the command makes or is about, where that is not the class itself.
    """
    stream, of = stream_of("class", class_id), wanted(desk, ask, class_id, command)
    done = desk.turns.take(stream, lambda: execute(desk.classes, stream, **of._asdict()))
    return receipt(thing or class_id, done)


def wanted(desk: Desk, ask: Ask, class_id: str, command: Command) -> Wanted[ClassState]:
    """Any command to a scheduled class, ready to be carried out; its texts come as plain text."""
    to_core, kept = sealed(command)

    def decided(state: ClassState) -> Sequence[Event]:
        known = scheduled(state, class_id, ask).scheduled
        registered.check(desk.database, to_core)
        if known is not None:
            office_rules.check(desk, ask, known.show, class_id, to_core)
        return eligible_on(desk, ask, class_id, state, to_core)

    return Wanted(
        decide=decided,
        command=CommandRecord(
            key=ask.caller.key, command=ask.id, fingerprint=fingerprint(class_id, command)
        ),
        actor=ask.caller.actor,
        occurred_at=ask.occurred_at or desk.clock(),
        expected_version=ask.expected_version,
        beside=texts.keeping(kept),
    )


def set_draw(
    desk: Desk, ask: Ask, class_id: str, order: tuple[EntryRef, ...], how: HandDraw | None = None
) -> Receipt:
    """Set the working order, or change it for a reason once it stands."""
    reason, sections = (how.reason, how.sections) if how else (None, None)
    plain = (
        ask_class.SetDraw(order=(), sections=sections)
        if reason is None
        else ask_class.RepairDraw(order=(), reason=reason, sections=sections)
    )
    to_core, kept = sealed(plain)

    def decided(state: ClassState) -> Sequence[Event]:
        scheduled(state, class_id, ask)
        names = tuple(
            entry_meant(state, ref, f"order[{index}]").id for index, ref in enumerate(order)
        )
        return decided_on(desk, ask, state, msgspec.structs.replace(to_core, order=names))

    further = () if sections is None else (sections,)
    asked = fingerprint("draw", class_id, order, reason, *further)
    return receipt(class_id, on_class(desk, ask, class_id, decided, asked=asked, kept=kept))


class ClassChange(msgspec.Struct, frozen=True, kw_only=True):
    """What is to be different about a class on the schedule; the rest stays as it is."""

    reason: str
    name: str | msgspec.UnsetType = msgspec.UNSET
    number: int | msgspec.UnsetType | None = msgspec.UNSET
    ring: str | msgspec.UnsetType | None = msgspec.UNSET
    day: date | msgspec.UnsetType | None = msgspec.UNSET


def reschedule(desk: Desk, ask: Ask, class_id: str, change: ClassChange) -> Receipt:
    """Rename or renumber a class, or move it to another ring or day of its show."""
    plain = ask_class.RescheduleClass(name="", reason=change.reason)
    to_core, kept = sealed(plain)

    def decided(state: ClassState) -> Sequence[Event]:
        known = scheduled(state, class_id, ask).scheduled
        assert known is not None  # noqa: S101 - looked at before
        show = desk.shows.latest(stream_of("show", known.show)).state
        wanted = msgspec.structs.replace(
            to_core,
            **{
                name: getattr(known, name) if given is msgspec.UNSET else given
                for name in ("name", "number", "ring", "day")
                for given in (getattr(change, name),)
            },
        )
        if wanted.ring != known.ring:
            _check_ring(show, wanted.ring)
        if wanted.day != known.day:
            _check_day(show, wanted.day)
        return decided_on(desk, ask, state, wanted)

    asked = fingerprint("reschedule", class_id, change)
    return receipt(class_id, on_class(desk, ask, class_id, decided, asked=asked, kept=kept))


def _as_command(
    desk: Desk, show: ShowState, show_id: str, plan: ClassPlan
) -> ask_class.ScheduleClass:
    """The plan as the core takes it, once it fits the show."""
    book = show.rulebooks.get(plan.rulebook)
    if book is None:
        adopted = ", ".join(sorted(show.rulebooks)) or "none yet"
        raise Refusal(
            "rule_book_not_adopted",
            f"The show has not adopted the rule book {plan.rulebook}; adopted: {adopted}.",
            field="rulebook",
            rulebook=plan.rulebook,
        )
    _check_ring(show, plan.ring)
    _check_day(show, plan.day)
    _check_round(desk, show_id, plan.round)
    return ask_class.ScheduleClass(
        show=show_id,
        name=plan.name,
        rulebook=book,
        number=plan.number,
        ring=plan.ring,
        day=plan.day,
        panel=plan.panel,
        round=plan.round,
    )


def _check_ring(show: ShowState, ring: str | None) -> None:
    if ring is not None and ring not in show.rings:
        rings = ", ".join(show.rings) or "none yet"
        raise Refusal(
            "unknown_ring",
            f"The show has no ring called {ring}; it has: {rings}.",
            field="ring",
            ring=ring,
        )


def _check_day(show: ShowState, day: date | None) -> None:
    if day is None or show.planned is None:
        return
    if not show.planned.first_day <= day <= show.planned.last_day:
        raise Refusal(
            "day_outside_show",
            f"The show runs from {show.planned.first_day} to {show.planned.last_day}.",
            field="day",
            first_day=str(show.planned.first_day),
            last_day=str(show.planned.last_day),
        )


def _check_round(desk: Desk, show_id: str, of: ClassRound | None) -> None:
    if of is None or of.after is None:
        return
    if of.after not in {each.id for each in desk.directory.classes(show_id)}:
        raise Refusal(
            "round_before_unknown",
            f"The show has no class with the id {of.after}.",
            field="round.after",
        )
    if desk.classes.latest(stream_of("class", of.after)).state.phase == "cancelled":
        raise Refusal(
            "round_before_cancelled",
            f"The class {of.after} was cancelled, so nobody comes from it.",
            field="round.after",
        )


def _refuse_other(class_id: str, state: ClassState, command: ask_class.ScheduleClass) -> None:
    standing = state.scheduled
    if standing is None or any(
        getattr(standing, field) != getattr(command, field) for field in command.__struct_fields__
    ):
        raise Refusal(
            "class_id_taken",
            f"The id {class_id} belongs to another class.",
            field="id",
            id=class_id,
        )


def eligible_on(
    desk: Desk, ask: Ask, class_id: str, state: ClassState, command: Command
) -> tuple[Event, ...]:
    """What the core decides, unless it enters somebody whom the show's divisions do not admit.

    The core comes first: what the registry knows is not for a key that may not ask this.
    """
    if not isinstance(command, AcceptEntry | ChangeHorse):
        return decided_on(desk, ask, state, command)
    assert state.scheduled is not None  # noqa: S101 - looked at before
    show = desk.shows.latest(stream_of("show", state.scheduled.show)).state
    events = decided_on(desk, ask, state, eligibility.stamped(show, command))
    if events:
        eligibility.check(desk, show, class_id, state, command)
    return events


def decided_on(desk: Desk, ask: Ask, state: ClassState, command: Command) -> tuple[Event, ...]:
    """What the core decides on a command to a class, by the class's own rule book."""
    if isinstance(command, ask_class.ScheduleClass):
        ref = command.rulebook
    else:
        assert state.scheduled is not None  # noqa: S101 - looked at before
        ref = state.scheduled.rulebook
    return decide(
        state, command, rulebook=desk.books.held_to(ref), now=desk.clock(), actor=ask.caller.actor
    )
