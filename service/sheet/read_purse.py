"""Reads the purse of a sheet: what is to be paid, and by which schedule."""

import re
from typing import Any, cast, get_args

from events.scoring.payout import OddCents, Unfilled
from service.sheet.model import SheetPurse
from service.sheet.part import Part
from service.sheet.values import Unreadable, choice, line, must_be, whole

_PERCENT = re.compile(r"\d{1,3}(\.\d{1,6}|/[1-9]\d{0,3})?", re.ASCII)
_OPTIONS = ("odd_cents", "unfilled", "seat", "division", "section")


def read_purse(part: Part) -> SheetPurse | None:
    """The purse; ``None`` where there is none, or not a readable one."""
    if not part.given:
        return None
    keys = part.table(("cents", "percentages"), _OPTIONS)
    cents = keys["cents"].read(whole())
    percentages = [item.read(_percent) for item in keys["percentages"].items()]
    odd_cents = keys["odd_cents"].read(choice(get_args(OddCents)))
    unfilled = keys["unfilled"].read(choice(get_args(Unfilled)))
    seat, division = keys["seat"].read(line), keys["division"].read(line)
    section = keys["section"].read(whole())
    if cents is None or not percentages or None in percentages:
        if keys["percentages"].value == []:
            keys["percentages"].fault("This list is empty; something must stand in it.")
        return None
    return SheetPurse(
        path=part.path,
        cents=cents,
        percentages=tuple(each for each in percentages if each is not None),
        odd_cents=cast("OddCents", odd_cents or "kept"),
        unfilled=cast("Unfilled", unfilled or "kept"),
        seat=seat,
        division=division,
        section=section,
    )


def _percent(value: Any) -> str:  # noqa: ANN401 - any JSON
    """A part of the purse in per cent, as the text that it is written as."""
    text = value if isinstance(value, str) else repr(value)
    if isinstance(value, bool) or not _PERCENT.fullmatch(text):
        raise Unreadable(must_be('a percentage such as 50, 12.5 or "100/3"', value))
    return text
