"""What the purse of a sheet pays to whom, and what is left of it."""

from collections.abc import Mapping

import msgspec

from events.judged_class.decide_prizes import paid_out
from events.judged_class.events import PrizeSchedule
from events.judged_class.paid_places import paid_places
from events.judged_class.panel import panel_choice
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from events.scoring.payout import Payout
from service.sheet.faults import SheetFault, SheetRefused, json_path
from service.sheet.model import SheetPurse


class PaidPurse(msgspec.Struct, frozen=True, kw_only=True):
    """A purse paid out by the places of a seat, or of all judges together; of a division, or all.

    ``section`` is the one that is paid for. ``cents`` holds what each entry is paid.
    """

    payout: Payout
    seat: str | None
    division: str | None
    section: int | None
    cents: Mapping[str, int]

    def pays(self, seat: str | None, division: str | None) -> bool:
        """Whether it is that placing which is paid for."""
        return (self.seat, self.division) == (seat, division)


def paid_purse(state: ClassState, book: RuleBook, purse: SheetPurse) -> PaidPurse:
    """The purse paid out; ``SheetRefused`` with what is wrong with it."""
    by = PrizeSchedule(
        percentages=purse.percentages, odd_cents=purse.odd_cents, unfilled=purse.unfilled
    )
    try:
        places = paid_places(
            state, book, seat=purse.seat, division=purse.division, section=purse.section
        )
        payout = paid_out(purse.cents, by, places)
    except Refusal as refused:
        where = purse.path if refused.field is None else (*purse.path, refused.field)
        raise SheetRefused((SheetFault(json_path(where), refused.message),)) from refused
    return PaidPurse(
        payout=payout,
        seat=_seat(state, book, purse),
        division=purse.division,
        section=purse.section,
        cents={prize.entry: prize.cents for prize in payout.prizes},
    )


def money(cents: int) -> str:
    """An amount as people write it: ``1250.00``."""
    return f"{cents // 100}.{cents % 100:02}"


def told(purse: PaidPurse) -> list[str]:
    """What the purse comes to, with every remainder and why it is left."""
    of, named = purse.payout, []
    if purse.section is not None:
        named.append(f"section {purse.section}")
    if purse.division is not None:
        named.append(f"division {purse.division}")
    if purse.seat is not None:
        named.append(f"seat {purse.seat}")
    parts = (
        (of.paid, "paid"),
        (of.unscheduled, "not scheduled"),
        (of.unfilled, "for places that nobody holds"),
        (of.odd_cents, "left by rounding"),
    )
    sums = ", ".join(f"{money(cents)} {word}" for cents, word in parts if cents or word == "paid")
    whose = f" for {', '.join(named)}" if named else ""
    return [f"Purse of {money(of.purse)}{whose}: {sums}.", *of.notes]


def _seat(state: ClassState, book: RuleBook, purse: SheetPurse) -> str | None:
    """Whose placing it is: of one judge alone even where nobody is named."""
    if purse.seat is not None or panel_choice(state, book).method != "separate":
        return purse.seat
    return next(seat for seat, card in sorted(state.cards.items()) if card.kind == "judge")
