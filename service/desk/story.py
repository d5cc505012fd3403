"""The log of a class, page by page, as the office, the steward and a federation read it."""

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from events.envelope import RecordedEvent, stream_of
from events.judged_class import events as happened
from events.refusals import Refusal
from service.desk import texts
from service.desk.caller import Caller, check_show
from service.desk.carry_out import no_class
from service.desk.desk import Desk
from service.desk.moments import At, version_at
from service.desk.names import Names, names
from service.store import keys
from service.store.texts import withhold

READS_TEXTS = frozenset({"office", "steward", "system"})


class StoryPage(msgspec.Struct, frozen=True, kw_only=True):
    """Some events of a class in order; ``upto`` is the version that the story is told to.

    ``labels`` says what each key is called.
    """

    events: tuple[RecordedEvent, ...]
    upto: int
    labels: Mapping[str, str]
    names: Names


def story(
    desk: Desk, caller: Caller, class_id: str, *, after: int, limit: int, at: At = None
) -> StoryPage:
    """The events beyond a version, up to a moment, each with its hand, device and both times."""
    upto = version_at(desk, class_id, at)
    _check_class(desk, caller, class_id)
    stream = stream_of("class", class_id)
    events = desk.log.read(stream, after=after, to=min(upto, after + limit))
    data = [each.data for each in events]
    return StoryPage(
        events=events,
        upto=upto,
        labels={key.id: key.label for key in keys.list_keys(desk.database)},
        names=names(
            desk.database,
            people=_people(data),
            horses=_horses(data),
            texts=texts.refs(data) if caller.role in READS_TEXTS else (),
        ),
    )


def withhold_texts(desk: Desk, caller: Caller, class_id: str, version: int) -> int:
    """Forget for good what the texts of one event say; how many there were to forget."""
    version_at(desk, class_id, version)
    _check_class(desk, caller, class_id)
    stream = stream_of("class", class_id)
    events = desk.log.read(stream, after=version - 1, to=version)
    now = desk.clock()
    named = list(texts.refs([each.data for each in events]))
    if not named:
        raise Refusal("no_text_there", f"Event {version} names no text.", version=version)
    return sum(withhold(desk.database, ref, now=now) for ref in named)


def _check_class(desk: Desk, caller: Caller, class_id: str) -> None:
    scheduled = desk.classes.latest(stream_of("class", class_id)).state.scheduled
    if scheduled is None:
        raise no_class(class_id)
    check_show(caller, scheduled.show)


def _people(events: Sequence[msgspec.Struct]) -> Iterator[str]:
    for event in events:
        match event:
            case happened.EntryAccepted(exhibitor=person) | happened.JudgeSeated(judge=person):
                yield person
            case happened.ProtestFiled(filed_by=person):
                yield person
            case _:
                pass


def _horses(events: Sequence[msgspec.Struct]) -> Iterator[str]:
    for event in events:
        if isinstance(event, happened.EntryAccepted) and event.horse is not None:
            yield event.horse
