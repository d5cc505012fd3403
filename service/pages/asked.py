"""What the query of a page asks for: a moment of a class, or a day of a show."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from flask import request

from events.envelope import stream_of
from events.refusals import Refusal
from service.desk.desk import Desk
from service.desk.moments import At


def moment_asked(desk: Desk, class_id: str) -> At:
    """The version or time that is asked for; without an offset it is the show's own time."""
    at = request.args.get("at", "").strip()
    if not at:
        return None
    if at.isascii() and at.isdigit():
        return int(at)
    try:
        found = datetime.fromisoformat(at)
    except ValueError:
        raise Refusal(
            "at_unknown", f"{at!r} is neither a version nor a time.", field="at"
        ) from None
    if found.tzinfo:
        return found
    scheduled = desk.classes.latest(stream_of("class", class_id)).state.scheduled
    return found.replace(tzinfo=zone_of(desk, scheduled.show) if scheduled else UTC)


def day_asked() -> date | None:
    """The day that is asked for; ``None``: today."""
    asked = request.args.get("day", "").strip()
    if not asked:
        return None
    try:
        return date.fromisoformat(asked)
    except ValueError:
        raise Refusal("day_outside_show", f"{asked!r} is not a day.", field="day") from None


def zone_of(desk: Desk, show: str) -> ZoneInfo:
    """What the show's clocks show."""
    planned = desk.shows.latest(stream_of("show", show)).state.planned
    return ZoneInfo(planned.time_zone if planned else "UTC")
