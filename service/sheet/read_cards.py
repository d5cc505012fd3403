"""Reads the cards of a sheet: scored ride by ride, placed, or timed."""

from decimal import Decimal

from service.sheet.model import SheetCard, SheetTime
from service.sheet.part import Part
from service.sheet.read_rides import read_order, read_ride
from service.sheet.values import Unreadable, line, must_be, number_as_text, yes_or_no

_MOST_SECONDS = 86_400
_KINDS = ("rides", "placed", "times")


def read_card(part: Part) -> SheetCard | None:
    """One card; ``None`` where it could not be read, its faults noted."""
    keys = part.table(("seat",), (*_KINDS, "rail", "learner"))
    seat = keys["seat"].read(line)
    learner = keys["learner"].read(yes_or_no) or False
    given = [name for name in _KINDS if keys[name].given]
    if not isinstance(part.value, dict):
        return None
    if not given:
        keys["rides"].fault("This is missing. A card has rides, or placed, or times.")
        return None
    if len(given) > 1:
        keys[given[1]].fault(f"This card has {given[0]} already; it takes one kind only.")
        return None
    if keys["rail"].given and given != ["rides"]:
        keys["rail"].fault("Rail work belongs to a card that is scored ride by ride.")
    rides = [read_ride(item) for item in keys["rides"].items()] if "rides" in given else []
    orders = [read_order(item) for item in keys["rail"].items()]
    times = [_time(item) for item in keys["times"].items()] if "times" in given else []
    placed = [i.read(number_as_text) for i in keys["placed"].items()] if "placed" in given else []
    if seat is None:
        return None
    return SheetCard(
        path=part.path,
        seat=seat,
        judging="placed" if "placed" in given else "timed" if "times" in given else "scored",
        learner=learner,
        rides=tuple(ride for ride in rides if ride is not None),
        rail=tuple(order for order in orders if order is not None),
        placed=tuple(entry for entry in placed if entry is not None),
        times=tuple(time for time in times if time is not None),
    )


def _time(part: Part) -> SheetTime | None:
    keys = part.table(("entry",), ("seconds", "penalty_seconds", "no_time"))
    entry = keys["entry"].read(number_as_text)
    no_time = keys["no_time"].read(yes_or_no) or False
    seconds = keys["seconds"].read(milliseconds)
    penalty = keys["penalty_seconds"].read(milliseconds) or 0
    if not no_time and not keys["seconds"].given:
        part.fault("A ride has its seconds, or no_time.")
    if no_time and keys["seconds"].given:
        keys["no_time"].fault("A ride with a time cannot have no time as well.")
    if entry is None:
        return None
    return SheetTime(
        path=part.path,
        entry=entry,
        milliseconds=seconds,
        penalty_milliseconds=penalty,
        no_time=no_time,
    )


def milliseconds(value: object) -> int:
    """A number of seconds, to the thousandth."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Unreadable(must_be("a number of seconds", value))
    if not 0 <= value <= _MOST_SECONDS:
        raise Unreadable(f"This must be from 0 to {_MOST_SECONDS} seconds.")
    thousandths = Decimal(repr(value)) * 1000  # as it is written, not as a binary fraction
    if thousandths % 1:
        raise Unreadable("Seconds are given to the thousandth, such as 17.532.")
    return int(thousandths)
