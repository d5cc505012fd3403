"""Which version of a class a moment names."""

from datetime import datetime

from events.envelope import RecordedEvent, stream_of
from events.refusals import Refusal
from service.desk.carry_out import no_class
from service.desk.desk import Desk

At = int | datetime | None
"""A moment: a version, a time of the server's clock, or ``None`` for now."""


def version_at(desk: Desk, class_id: str, at: At) -> int:
    """The version of a scheduled class at a moment that has come; or a refusal naming ``at``."""
    stream = stream_of("class", class_id)
    latest = desk.classes.latest(stream)
    if latest.state.scheduled is None:
        raise no_class(class_id)
    match at:
        case None:
            return latest.version
        case int():
            return _checked(at, latest.version)
        case datetime():
            return _at_time(desk, stream, at)


def _checked(version: int, latest: int) -> int:
    if not 1 <= version <= latest:
        raise Refusal(
            "at_unknown",
            f"The class has versions 1 to {latest}, not {version}.",
            field="at",
            latest=latest,
        )
    return version


def _at_time(desk: Desk, stream: str, moment: datetime) -> int:
    if moment > desk.clock():
        raise Refusal("at_unknown", f"{moment.isoformat()} has not come yet.", field="at")
    version = desk.log.version_at(stream, moment)
    if version == 0:
        raise Refusal(
            "at_unknown", f"At {moment.isoformat()} the class was not scheduled yet.", field="at"
        )
    return version


def event_of(desk: Desk, class_id: str, version: int) -> RecordedEvent:
    """The event that brought a class to a version that it has."""
    [event] = desk.log.read(stream_of("class", class_id), after=version - 1, to=version)
    return event
