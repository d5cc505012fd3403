"""Prize money that was awarded, and whether it is still what the official places pay."""

from typing import Literal

import msgspec

from events.judged_class.decide_prizes import paid_out, prizes
from events.judged_class.events import PrizeMoneyAwarded
from events.judged_class.paid_places import paid_places
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook

Standing = Literal["stands", "open", "stale"]
"""``open`` while results are open again, ``stale`` when the official places pay otherwise now."""


class PrizeMoney(msgspec.Struct, frozen=True, kw_only=True):
    """A purse that was awarded, the version of that event, and whether it stands."""

    version: int
    event: PrizeMoneyAwarded
    standing: Standing

    @property
    def paid(self) -> int:
        """What the prizes come to, in cents."""
        return sum(prize.cents for prize in self.event.prizes)


def prize_money(state: ClassState, book: RuleBook) -> tuple[PrizeMoney, ...]:
    """Every purse of a class that was not taken back, oldest first."""
    return tuple(
        PrizeMoney(
            version=known.version, event=known.event, standing=_standing(state, book, known.event)
        )
        for known in sorted(state.purses.values(), key=lambda known: known.version)
    )


def _standing(state: ClassState, book: RuleBook, event: PrizeMoneyAwarded) -> Standing:
    if state.phase != "official":
        return "open"
    try:
        places = paid_places(
            state, book, seat=event.seat, division=event.division, section=event.section
        )
        now = prizes(paid_out(event.purse, event.schedule, places))
    except Refusal:  # whose placing it was is not there any more
        return "stale"
    return "stands" if now == event.prizes else "stale"
