"""Which position of the log a moment of a season's standings names.

Standings are as far as the follower that makes them has come; a moment beyond it is refused, rather
than answered with less than was known then.
"""

from datetime import UTC, date, datetime, timedelta

from events.refusals import Refusal
from service.desk.desk import Desk
from service.store import followers
from service.store import standings as kept
from service.store.followers import UnknownFollower

AsOf = int | datetime | date | None
"""A moment: a position of the log, a time, the end of a day in UTC, or ``None`` for now."""

_ONE_DAY = timedelta(days=1)


def position_of(
    desk: Desk, owner: str, as_of: int | datetime | date, *, field: str = "as_of"
) -> int:
    """The position that a moment comes to for a season's awards or a show's.

    Or a refusal naming ``field``.
    """
    match as_of:
        case datetime():
            if as_of > desk.clock():
                raise _not_come(as_of, field)
            return _by_time(desk, owner, as_of, field)
        case date():
            today = desk.clock().astimezone(UTC).date()
            if as_of > today:
                raise _not_come(as_of, field)
            midnight = datetime(as_of.year, as_of.month, as_of.day, tzinfo=UTC)
            end = midnight + _ONE_DAY - timedelta(microseconds=1)
            return _by_time(desk, owner, min(end, desk.clock()), field)
        case int():
            return _checked(desk, as_of, field)


def _checked(desk: Desk, position: int, field: str) -> int:
    followed = followed_to(desk)
    if position <= followed:
        return position
    head = desk.log.head().position
    if position > head:
        raise Refusal(
            "moment_unknown",
            f"The log has positions up to {head}, not {position}.",
            field=field,
            head=head,
        )
    raise _behind(followed, field)


def _by_time(desk: Desk, owner: str, moment: datetime, field: str) -> int:
    followed = followed_to(desk)
    following = kept.recorded_at(desk.database, followed + 1)
    if following is not None and following <= moment:
        raise _behind(followed, field)
    return kept.position_by(desk.database, owner, moment)


def followed_to(desk: Desk) -> int:
    """The position up to which standings are reckoned; 0 where no worker has ever run."""
    try:
        return followers.mark(desk.database, kept.NAME).position
    except UnknownFollower:
        return 0


def _not_come(moment: date, field: str) -> Refusal:
    return Refusal("moment_unknown", f"{moment.isoformat()} has not come yet.", field=field)


def _behind(followed: int, field: str) -> Refusal:
    return Refusal(
        "standings_behind",
        f"Standings have been reckoned up to the event at {followed} so far.",
        field=field,
        position=followed,
    )
