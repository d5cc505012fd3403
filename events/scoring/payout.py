"""Prize money by a schedule of percentages, in whole cents: what comes in goes out or is stated.

Entries that share a place share the money of the places they hold between them, in equal cents. Who
gets the odd cent is said by no publication read, so a schedule says it.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Literal

import msgspec

from events.scoring.exact import exact, to_words
from events.scoring.held_places import Held, held_places

_WHOLE = 100

OddCents = Literal["kept", "to_first"]
Unfilled = Literal["kept", "shared_evenly"]


class ScheduleUnfit(ValueError):
    """A schedule that would give out what is not there; ``field`` names what is wrong."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


class Schedule(msgspec.Struct, frozen=True, kw_only=True):
    """The part of the purse for each place, in per cent, first place first.

    ``odd_cents``: what rounding down leaves is ``kept`` in the purse, or goes ``to_first``, as far
    as those who share first place can have equal cents. ``unfilled``: the money of places that
    nobody holds is ``kept``, or ``shared_evenly`` among those who place (PRCA 2019 Rule Book,
    R5.6.5).
    """

    percentages: tuple[Fraction, ...]
    odd_cents: OddCents = "kept"
    unfilled: Unfilled = "kept"


class Prize(msgspec.Struct, frozen=True, kw_only=True):
    """What one entry is paid: ``percent`` of the purse, rounded down, and ``odd_cents`` on top."""

    entry: str
    place: int
    percent: Fraction
    cents: int
    odd_cents: int = 0


class Payout(msgspec.Struct, frozen=True, kw_only=True):
    """A purse paid out: ``purse`` = ``paid`` + ``unscheduled`` + ``unfilled`` + ``odd_cents``.

    In cents. ``unscheduled`` is what the schedule leaves of the purse, ``unfilled`` the money of
    places that nobody holds, ``odd_cents`` what rounding left. ``notes`` say so in sentences.
    """

    purse: int
    prizes: tuple[Prize, ...]
    paid: int
    unscheduled: int
    unfilled: int
    odd_cents: int
    notes: tuple[str, ...] = ()


def schedule(
    percentages: Sequence[float | str],
    *,
    odd_cents: OddCents = "kept",
    unfilled: Unfilled = "kept",
) -> Schedule:
    """The schedule with these percentages, exactly as they are written (``"100/3"`` is a third).

    ``ScheduleUnfit`` when one is below nought, or they come to more than the purse.
    """
    parts = tuple(exact(part) for part in percentages)
    if any(part < 0 for part in parts):
        raise ScheduleUnfit("percentages", "A place cannot be paid less than nothing.")
    if sum(parts) > _WHOLE:
        raise ScheduleUnfit(
            "percentages",
            f"The schedule comes to {to_words(sum(parts, Fraction(0)))} % of the purse.",
        )
    return Schedule(percentages=parts, odd_cents=odd_cents, unfilled=unfilled)


def pay_out(purse: int, by: Schedule, places: Mapping[str, int]) -> Payout:
    """The prizes of the placed entries, best first, from a purse in cents.

    ``ScheduleUnfit`` for a purse below nought, ``PlacesUnsound`` for a place held twice.
    """
    if purse < 0:
        raise ScheduleUnfit("purse", "A purse cannot be less than nothing.")
    held = held_places(places)
    percent = _percent(by, held)
    scheduled = sum(by.percentages, Fraction(0))
    given = sum((percent[entry] for group in held for entry in group.entries), Fraction(0))
    prizes = [
        Prize(
            entry=entry,
            place=group.places[0],
            percent=percent[entry],
            cents=_cents(purse, percent[entry]),
        )
        for group in held
        for entry in group.entries
    ]
    odd = _cents(purse, given) - sum(prize.cents for prize in prizes)
    if by.odd_cents == "to_first" and held:
        prizes, odd = _with_odd_cents(prizes, len(held[0].entries), odd)
    unscheduled = purse - _cents(purse, scheduled)
    return Payout(
        purse=purse,
        prizes=tuple(prizes),
        paid=sum(prize.cents for prize in prizes),
        unscheduled=unscheduled,
        unfilled=purse - unscheduled - _cents(purse, given),
        odd_cents=odd,
        notes=_notes(scheduled, given, odd),
    )


def _cents(purse: int, percent: Fraction) -> int:
    return int(purse * percent / _WHOLE)


def _percent(by: Schedule, held: Sequence[Held]) -> dict[str, Fraction]:
    """The part of the purse for each entry, in per cent."""
    of_place = dict(enumerate(by.percentages, start=1))
    percent = {
        entry: sum((of_place.get(place, Fraction(0)) for place in group.places), Fraction(0))
        / len(group.places)
        for group in held
        for entry in group.entries
    }
    placing = [entry for group in held if group.places[0] in of_place for entry in group.entries]
    if by.unfilled == "shared_evenly" and placing:
        unfilled = sum(by.percentages, Fraction(0)) - sum(percent.values(), Fraction(0))
        for entry in placing:
            percent[entry] += unfilled / len(placing)
    return percent


def _with_odd_cents(prizes: Sequence[Prize], sharing: int, odd: int) -> tuple[list[Prize], int]:
    each, left = divmod(odd, sharing)
    first = [
        msgspec.structs.replace(prize, cents=prize.cents + each, odd_cents=each)
        for prize in prizes[:sharing]
    ]
    return [*first, *prizes[sharing:]], left


def _notes(scheduled: Fraction, given: Fraction, odd: int) -> tuple[str, ...]:
    notes = []
    if scheduled != _WHOLE:
        notes.append(
            f"The schedule comes to {to_words(scheduled)} %, not 100 %: "
            f"{to_words(_WHOLE - scheduled)} % of the purse is not scheduled."
        )
    if given != scheduled:
        notes.append(f"Nobody holds places worth {to_words(scheduled - given)} % of the purse.")
    if odd:
        notes.append(f"Rounding down to the cent leaves {odd} in the purse.")
    return tuple(notes)
