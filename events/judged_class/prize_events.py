"""What can happen to prize money. The tags are names in storage: they never change."""

import msgspec

from events.envelope import Event, TextRef
from events.scoring.payout import OddCents, Unfilled


class PrizeSchedule(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The part of a purse for each place in per cent, first place first, as it was written."""

    percentages: tuple[str, ...]
    odd_cents: OddCents = "kept"
    unfilled: Unfilled = "kept"


class PrizeAwarded(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """What one entry is paid: ``cents`` in all, ``odd_cents`` of them beyond its ``percent``."""

    entry: str
    place: int
    percent: str
    cents: int
    odd_cents: int = 0


class PrizeMoneyAwarded(Event, frozen=True, kw_only=True, tag="prize_money.awarded"):
    """A purse was awarded by a schedule, on official results, in cents.

    It is the prizes, what the schedule leaves of it, the money of places that nobody holds, and
    what rounding left. ``results`` is the version that made the results official; ``seat``,
    ``division`` and ``section`` say whose placing it is for, where it is not that of the whole
    panel and class.
    """

    purse: int
    schedule: PrizeSchedule
    prizes: tuple[PrizeAwarded, ...]
    results: int
    unscheduled: int = 0
    unfilled: int = 0
    odd_cents: int = 0
    seat: str | None = None
    division: str | None = None
    section: int | None = None
    reason: TextRef | None = None


class PrizeMoneyWithdrawn(Event, frozen=True, kw_only=True, tag="prize_money.withdrawn"):
    """A purse that was awarded is not paid."""

    reason: TextRef
    seat: str | None = None
    division: str | None = None
    section: int | None = None
