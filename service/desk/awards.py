"""Prize money of a class by a schedule of percentages, as its placing stands."""

from collections.abc import Mapping, Sequence

import msgspec

from events.projections.placing import PanelRow, PlacingRow
from events.refusals import Refusal
from events.scoring.held_places import PlacesUnsound
from events.scoring.payout import (
    OddCents,
    Payout,
    ScheduleUnfit,
    Unfilled,
    pay_out,
    schedule,
)
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.look import ClassLook, look, placing_of


class Purse(msgspec.Struct, frozen=True, kw_only=True):
    """What is to be paid out, in cents, for which result: a seat's, else the panel's."""

    cents: int
    percentages: tuple[str, ...]
    odd_cents: OddCents = "kept"
    unfilled: Unfilled = "kept"
    seat: str | None = None
    division: str | None = None


def payout_of(desk: Desk, caller: Caller, class_id: str, purse: Purse) -> tuple[Payout, ClassLook]:
    """What each placed entry would be paid; ties share, and what is left is stated."""
    seen = look(desk, caller, class_id)
    rows = _rows(seen, purse)
    places = {row.entry: row.place for row in rows if row.place is not None}
    return _paid(purse, places), seen


def _paid(purse: Purse, places: Mapping[str, int]) -> Payout:
    try:
        by = schedule(purse.percentages, odd_cents=purse.odd_cents, unfilled=purse.unfilled)
        return pay_out(purse.cents, by, places)
    except ScheduleUnfit as unfit:
        raise Refusal("schedule_unfit", str(unfit), field=unfit.field) from unfit
    except PlacesUnsound as unsound:
        raise Refusal("places_unsound", str(unsound)) from unsound


def _rows(seen: ClassLook, purse: Purse) -> Sequence[PlacingRow | PanelRow]:
    """The rows of the result that is paid for."""
    whole = placing_of(seen)
    seats, panel = whole.seats, whole.panel
    if purse.division is not None:
        for each in whole.divisions:
            if each.name == purse.division:
                seats, panel = each.seats, each.panel
                break
        else:
            raise Refusal(
                "unknown_division",
                f"No entry of the class rides in the division {purse.division}.",
                field="division",
            )
    judges = [each for each in seats if each.kind == "judge"]
    if purse.seat is None and panel.method != "separate":
        if panel.open:
            raise Refusal("panel_not_finished", panel.open)
        return panel.rows
    chosen = [each for each in judges if purse.seat in {None, each.seat}]
    if len(chosen) != 1:
        named = ", ".join(each.seat for each in judges) or "none yet"
        raise Refusal(
            "result_not_named",
            f"Say whose result is paid for; the judges' seats are: {named}.",
            field="seat",
        )
    return chosen[0].rows
