"""Rounds at the desk: whoever the cut of one round sends on is entered in the next."""

from collections.abc import Sequence
from fractions import Fraction

from events.envelope import Event, stream_of
from events.half_points import HalfPoints
from events.judged_class.commands import AcceptEntry
from events.judged_class.state import ClassState
from events.projections.placing import placing
from events.refusals import Refusal
from service.desk import many
from service.desk.caller import Ask, Receipt
from service.desk.carry_out import on_class, receipt, scheduled
from service.desk.desk import Desk
from service.desk.fingerprint import fingerprint


def enter_qualified(desk: Desk, ask: Ask, class_id: str) -> Receipt:
    """Enter those who qualified in the round before, all or none, with totals where it carries."""

    def decided(state: ClassState) -> Sequence[Event]:
        scheduled(state, class_id, ask)
        return many.accept(desk, ask, state, _entries(desk, state))

    asked = fingerprint("qualified", class_id)
    return receipt(class_id, on_class(desk, ask, class_id, decided, asked=asked))


def _entries(desk: Desk, state: ClassState) -> tuple[AcceptEntry, ...]:
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
    carried = _totals(desk, before) if of.carries else {}
    return tuple(
        AcceptEntry(
            entry=name,
            back_number=before.entries[name].back_number,
            exhibitor=before.entries[name].exhibitor,
            horse=before.entries[name].horse,
            divisions=before.entries[name].divisions,
            carried=carried[name] if of.carries else None,
            checked_at=before.entries[name].checked_at,
        )
        for name in before.cut.event.qualified
    )


def _totals(desk: Desk, before: ClassState) -> dict[str, HalfPoints]:
    """The one total of each who goes on: of the only judge, or the mean of the panel."""
    assert before.scheduled is not None  # noqa: S101 - it was cut
    assert before.cut is not None  # noqa: S101 - as above
    whole = placing(before, desk.books.held_to(before.scheduled.rulebook))
    judges = [seat for seat in whole.seats if seat.kind == "judge"]
    found: dict[str, HalfPoints | None] = {}
    if len(judges) == 1:
        found = {row.entry: row.total for row in judges[0].rows}
    elif whole.panel.method == "mean":
        found = {row.entry: _whole(row.figure) for row in whole.panel.rows}
    carried: dict[str, HalfPoints] = {}
    for name in before.cut.event.qualified:
        total = found.get(name)
        if total is None:
            raise Refusal(
                "total_not_carried",
                f"Back number {before.entries[name].back_number} has no one total in half points "
                "to carry.",
                rule="a total is carried from one judge, or from the mean of a panel",
                entry=name,
            )
        carried[name] = total
    return carried


def _whole(points: Fraction | None) -> HalfPoints | None:
    if points is None or (points * 2).denominator != 1:
        return None
    return int(points * 2)
