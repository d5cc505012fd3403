"""Rounds at the desk: whoever the cut of one round sends on is entered in the next."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

import msgspec

from events.envelope import Event, stream_of
from events.half_points import HalfPoints
from events.judged_class.commands import AcceptEntry, EntryRef, SetCarriedTotal
from events.judged_class.events import CutMade
from events.judged_class.state import ClassState, Entry, Known
from events.projections.placing import placing
from events.refusals import Refusal
from service.desk import many
from service.desk.caller import Ask, Caller, Receipt
from service.desk.carry_out import on_class, receipt, scheduled
from service.desk.classes import decided_on
from service.desk.desk import Desk
from service.desk.fingerprint import fingerprint
from service.desk.look import ClassLook, look


class Qualified(msgspec.Struct, frozen=True, kw_only=True):
    """One who qualified, as the round before knows it, beside what is entered here.

    ``total`` is what it has there by now, ``None`` where there is no one total in half points.
    ``agrees`` says that it is entered and, where this round carries totals, carries that one.
    """

    entry: Entry
    section: int | None
    total: HalfPoints | None
    entered: bool
    carried: HalfPoints | None
    agrees: bool


class Between(msgspec.Struct, frozen=True, kw_only=True):
    """A round and the one before it: who qualified, and how that agrees with who is entered.

    ``outdated`` says that something changed there since the cut was made. ``others`` are entered
    here and did not qualify.
    """

    seen: ClassLook
    after: str
    carries: bool
    phase: str
    cut_at: int
    outdated: bool
    rows: tuple[Qualified, ...]
    tied_out: tuple[Entry, ...]
    others: tuple[Entry, ...]


class _Before(NamedTuple):
    """The round before: its id, how it stands, its cut, and whether its totals are carried."""

    id: str
    state: ClassState
    cut: Known[CutMade]
    carries: bool


def enter_qualified(desk: Desk, ask: Ask, class_id: str) -> Receipt:
    """Enter those who qualified in the round before, all or none, with totals where it carries.

    Whoever is entered already stays as entered, and is given the total of the round before anew.
    """

    def decided(state: ClassState) -> Sequence[Event]:
        scheduled(state, class_id, ask)
        commands = _commands(desk, state)
        accepted = [each for each in commands if isinstance(each, AcceptEntry)]
        events = list(many.accept(desk, ask, state, accepted))
        for command in commands:
            if isinstance(command, SetCarriedTotal):
                events += decided_on(desk, ask, state, command)
        return events

    asked = fingerprint("qualified", class_id)
    return receipt(class_id, on_class(desk, ask, class_id, decided, asked=asked))


def between(desk: Desk, caller: Caller, class_id: str) -> Between:
    """The round before a class, and whether what was taken over from it still agrees with it."""
    seen = look(desk, caller, class_id)
    before = _before(desk, seen.state)
    totals = _totals(desk, before.state)
    entries = seen.state.entries
    running = {name for name, entry in entries.items() if entry.scratched is None}
    qualified = before.cut.event.qualified
    return Between(
        seen=look(desk, caller, before.id),
        after=before.id,
        carries=before.carries,
        phase=before.state.phase,
        cut_at=before.cut.version,
        outdated=before.state.changed_at > before.cut.version,
        rows=tuple(
            Qualified(
                entry=before.state.entries[name],
                section=before.state.section(name),
                total=totals.get(name),
                entered=name in running,
                carried=entries[name].carried if name in running else None,
                agrees=name in running
                and (not before.carries or entries[name].carried == totals.get(name)),
            )
            for name in qualified
        ),
        tied_out=tuple(before.state.entries[name] for name in before.cut.event.tied_out),
        others=tuple(entries[name] for name in entries if name in running - {*qualified}),
    )


def _before(desk: Desk, state: ClassState) -> _Before:
    of = state.scheduled.round if state.scheduled else None
    if of is None or of.after is None:
        raise Refusal(
            "round_without_one_before", "This class does not say which round came before it."
        )
    before = desk.classes.latest(stream_of("class", of.after)).state
    if before.phase == "cancelled":
        raise Refusal(
            "round_before_cancelled",
            f"The class {of.after} was cancelled, so nobody comes from it.",
            **{"class": of.after},
        )
    if before.cut is None:
        raise Refusal(
            "no_cut_yet", f"The class {of.after} has not been cut.", **{"class": of.after}
        )
    return _Before(of.after, before, before.cut, of.carries)


def _commands(desk: Desk, state: ClassState) -> tuple[AcceptEntry | SetCarriedTotal, ...]:
    """What takes each over who qualified; who was scratched in this round stays out of it."""
    before = _before(desk, state)
    if before.state.changed_at > before.cut.version:
        raise Refusal(
            "cut_outdated",
            f"Something changed in the class {before.id} since its cut was made; make the cut "
            "again first.",
            rule="those go on who qualify by the results as they stand",
            **{"class": before.id},
        )
    totals = _carried(desk, before) if before.carries else {}
    return tuple(
        command
        for name in before.cut.event.qualified
        if (command := _taken_over(before, state, name, totals.get(name))) is not None
    )


def _taken_over(
    before: _Before, state: ClassState, name: str, carried: HalfPoints | None
) -> AcceptEntry | SetCarriedTotal | None:
    entry, here = before.state.entries[name], state.entries.get(name)
    if here is None:
        return AcceptEntry(
            entry=name,
            back_number=entry.back_number,
            exhibitor=entry.exhibitor,
            horse=entry.horse,
            divisions=entry.divisions,
            carried=carried,
            checked_at=entry.checked_at,
        )
    if carried is None or here.scratched is not None:
        return None
    return SetCarriedTotal(ref=EntryRef(entry=name), carried=carried)


def _carried(desk: Desk, before: _Before) -> dict[str, HalfPoints]:
    """The one total of each who goes on; a refusal where somebody has none."""
    totals = _totals(desk, before.state)
    carried: dict[str, HalfPoints] = {}
    for name in before.cut.event.qualified:
        total = totals.get(name)
        if total is None:
            raise Refusal(
                "total_not_carried",
                f"Back number {before.state.entries[name].back_number} has no one total in half "
                "points to carry.",
                rule="a total is carried from one judge, or from the mean of a panel",
                entry=name,
            )
        carried[name] = total
    return carried


def _totals(desk: Desk, before: ClassState) -> Mapping[str, HalfPoints | None]:
    """The one total of each entry: of the only judge, or the mean of the panel."""
    assert before.scheduled is not None  # noqa: S101 - it was cut
    whole = placing(before, desk.books.held_to(before.scheduled.rulebook))
    judges = [seat for seat in whole.seats if seat.kind == "judge"]
    if len(judges) == 1:
        return {row.entry: row.total for row in judges[0].rows}
    if whole.panel.method == "mean":
        return {row.entry: _whole(row.figure) for row in whole.panel.rows}
    return {}


def _whole(points: Fraction | None) -> HalfPoints | None:
    if points is None or (points * 2).denominator != 1:
        return None
    return int(points * 2)
