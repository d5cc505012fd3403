"""What the head of a paper says of its class, its show and the moment it is of."""

from zoneinfo import ZoneInfo

from events.envelope import stream_of
from events.judged_class.state import Card
from events.show.events import ShowPlanned
from service.desk.carry_out import no_show
from service.desk.desk import Desk
from service.desk.look import ClassLook
from service.desk.moments import event_of
from service.print.press import Head
from service.print.words import Clock, day_words

Facts = tuple[tuple[str, str], ...]


def planned_of(desk: Desk, show_id: str) -> ShowPlanned:
    """What was planned of a show; or a refusal where there is none."""
    planned = desk.shows.latest(stream_of("show", show_id)).state.planned
    if planned is None:
        raise no_show(show_id)
    return planned


def clock_of(planned: ShowPlanned) -> Clock:
    """The clock of a show."""
    return Clock(ZoneInfo(planned.time_zone))


def class_head(desk: Desk, seen: ClassLook, kind: str, further: Facts = ()) -> Head:
    """The head of a paper about a class as it is looked at."""
    planned = planned_of(desk, seen.show)
    return Head(
        kind=kind,
        show=f"{planned.name}, {planned.place}",
        subject=subject_of(seen),
        facts=(*_facts(seen), *further),
        standing=_standing(desk, seen, clock_of(planned)),
    )


def subject_of(seen: ClassLook) -> str:
    """A class by its number and its name."""
    scheduled = seen.state.scheduled
    assert scheduled is not None  # noqa: S101 - only scheduled classes are looked at
    return scheduled.name if scheduled.number is None else f"{scheduled.number}. {scheduled.name}"


def judge_of(seen: ClassLook, card: Card) -> str:
    """Who fills a seat's card, and who filled it before."""
    names = (card.judge, *(judge for judge, _ in reversed(card.before)))
    return ", before that ".join(seen.names.person(name) for name in names)


def _facts(seen: ClassLook) -> Facts:
    scheduled = seen.state.scheduled
    assert scheduled is not None  # noqa: S101 - only scheduled classes are looked at
    facts = (
        ("Day", day_words(scheduled.day) if scheduled.day else ""),
        ("Ring", scheduled.ring or ""),
        ("Rule book", f"{seen.book.title}, edition {seen.book.edition}"),
        ("Stage", "cancelled, not held" if seen.state.phase == "cancelled" else ""),
        ("Round", scheduled.round.kind.replace("_", " ") if scheduled.round else ""),
    )
    return tuple((label, value) for label, value in facts if value)


def _standing(desk: Desk, seen: ClassLook, clock: Clock) -> str:
    at = clock.moment(event_of(desk, seen.id, seen.version).recorded_at)
    beyond = seen.latest > seen.version
    since = f" The class has gone on to event {seen.latest} since." if beyond else ""
    return f"Class {seen.id} as it stood after event {seen.version}, recorded {at}.{since}"
