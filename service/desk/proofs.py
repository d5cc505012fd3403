"""What proves a class to others, for those who may have all of it."""

from events.envelope import stream_of
from service.desk.caller import Caller, check_show
from service.desk.carry_out import no_class
from service.desk.desk import Desk
from service.trust.trust import Trust


def bundle(
    desk: Desk, caller: Caller, trust: Trust, class_id: str, since: int | None = None
) -> bytes:
    """A class's events with their proofs, its book and its results, sealed.

    With ``since``, the size of an earlier checkpoint, also that the log only grew from there.
    """
    state = desk.classes.latest(stream_of("class", class_id)).state
    if state.scheduled is None:
        raise no_class(class_id)
    check_show(caller, state.scheduled.show)
    return trust.bundle(class_id, since)
