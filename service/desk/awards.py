"""Prize money of a class by a schedule of percentages, as its placing stands."""

import msgspec

from events.judged_class.decide_prizes import paid_out
from events.judged_class.events import PrizeSchedule
from events.judged_class.paid_places import paid_places
from events.scoring.payout import OddCents, Payout, Unfilled
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.look import ClassLook, look


class Purse(msgspec.Struct, frozen=True, kw_only=True):
    """What is to be paid out, in cents, for which result: a seat's, else the panel's."""

    cents: int
    percentages: tuple[str, ...]
    odd_cents: OddCents = "kept"
    unfilled: Unfilled = "kept"
    seat: str | None = None
    division: str | None = None
    section: int | None = None

    @property
    def schedule(self) -> PrizeSchedule:
        """The schedule as it is recorded."""
        return PrizeSchedule(
            percentages=self.percentages, odd_cents=self.odd_cents, unfilled=self.unfilled
        )


def payout_of(desk: Desk, caller: Caller, class_id: str, purse: Purse) -> tuple[Payout, ClassLook]:
    """What each placed entry would be paid; ties share, and what is left is stated."""
    seen = look(desk, caller, class_id)
    places = paid_places(
        seen.state, seen.book, seat=purse.seat, division=purse.division, section=purse.section
    )
    return paid_out(purse.cents, purse.schedule, places), seen
