"""Reads what stands on one card: rides, and the orders a judge set over them."""

from collections.abc import Mapping
from typing import cast, get_args

from events.judged_class.events import OrderBy
from events.rulebook.model import OutcomeKind
from service.sheet.model import (
    SheetMark,
    SheetObservation,
    SheetOrder,
    SheetOutcome,
    SheetPenalty,
    SheetRide,
)
from service.sheet.part import Part
from service.sheet.values import choice, line, number_as_text, points, whole, words

_MOST_CALLS = 99
"""How often one penalty can be called in one ride; a larger number is a slip of the pen."""
_MOST_MANEUVERS = 999
_RIDE = ("back_number", "marks", "rider_mark", "penalties", "outcome", "observations")
_KINDS: tuple[str, ...] = get_args(OutcomeKind)
_BY: tuple[str, ...] = get_args(OrderBy)

_maneuver = whole(_MOST_MANEUVERS)


def read_ride(part: Part) -> SheetRide | None:
    """One ride; ``None`` if it cannot be said whose."""
    keys = part.table(("entry",), _RIDE)
    marks = [_mark(item, number) for number, item in enumerate(keys["marks"].items(), start=1)]
    penalties = [_penalty(item) for item in keys["penalties"].items()]
    observations = [_observation(item) for item in keys["observations"].items()]
    entry = keys["entry"].read(number_as_text)
    back_number = keys["back_number"].read(whole())
    rider_mark = keys["rider_mark"].read(points)
    outcome = _outcome(keys["outcome"]) if keys["outcome"].given else None
    if entry is None:
        return None
    return SheetRide(
        path=part.path,
        entry=entry,
        back_number=back_number,
        marks=tuple(mark for mark in marks if mark is not None),
        rider_mark=rider_mark,
        penalties=tuple(penalty for penalty in penalties if penalty is not None),
        outcome=outcome,
        observations=tuple(noted for noted in observations if noted is not None),
    )


def read_order(part: Part) -> SheetOrder | None:
    """One order, best first; ``None`` unless every entry in it could be read."""
    keys = part.table(("order",), ("reason", "by"))
    named = [item.read(number_as_text) for item in keys["order"].items()]
    by = cast("OrderBy | None", keys["by"].read(choice(_BY)))
    reason = keys["reason"].read(words)
    order = tuple(entry for entry in named if entry is not None)
    if len(order) < len(named):
        return None
    return SheetOrder(path=part.path, order=order, by=by, reason=reason)


def _mark(part: Part, maneuver: int) -> SheetMark | None:
    if part.value is None:  # not marked yet
        return None
    performed = None
    if isinstance(part.value, dict):
        keys = part.table(("mark",), ("performed",))
        mark, performed = keys["mark"].read(points), keys["performed"].read(line)
    else:
        mark = part.read(points)
    if mark is None:
        return None
    return SheetMark(path=part.path, maneuver=maneuver, mark=mark, performed=performed)


def _penalty(part: Part) -> SheetPenalty | None:
    keys = part.table((), ("maneuver", "points", "code", "count"))
    maneuver, code, size, count = (
        keys["maneuver"].read(_maneuver),
        keys["code"].read(line),
        keys["points"].read(points),
        keys["count"].read(whole(_MOST_CALLS)),
    )
    if _any_unread(keys, maneuver=maneuver, code=code, points=size, count=count):
        return None
    return SheetPenalty(path=part.path, maneuver=maneuver, points=size, code=code, count=count or 1)


def _outcome(part: Part) -> SheetOutcome | None:
    keys = part.table(("kind",), ("maneuver", "reason"))
    kind = keys["kind"].read(choice(_KINDS))
    maneuver, reason = keys["maneuver"].read(_maneuver), keys["reason"].read(words)
    if kind is None:
        return None
    return SheetOutcome(
        path=part.path, kind=cast("OutcomeKind", kind), maneuver=maneuver, reason=reason
    )


def _observation(part: Part) -> SheetObservation | None:
    keys = part.table(("code",), ("maneuver", "note"))
    code = keys["code"].read(line)
    maneuver, note = keys["maneuver"].read(_maneuver), keys["note"].read(words)
    if code is None:
        return None
    return SheetObservation(path=part.path, code=code, maneuver=maneuver, note=note)


def _any_unread(keys: Mapping[str, Part], **found: object) -> bool:
    return any(keys[key].given and value is None for key, value in found.items())
