"""The log of a class or a show, page by page, as those read it who may."""

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from events.envelope import RecordedEvent, stream_of
from events.judged_class import events as happened
from events.refusals import Refusal
from events.show import events as of_show
from service.desk import shows, texts
from service.desk.caller import Caller, check_show
from service.desk.carry_out import no_class
from service.desk.desk import Desk
from service.desk.moments import At, version_at
from service.desk.names import Names, names
from service.store import keys
from service.store.texts import withhold

NAMES_A_HORSE = (
    happened.EntryAccepted,
    happened.HorseChanged,
    of_show.BackNumberGiven,
    of_show.EvidenceSeen,
    of_show.EvidenceTakenBack,
)
READS_TEXTS = frozenset({"office", "steward", "system"})


class StoryPage(msgspec.Struct, frozen=True, kw_only=True):
    """Some events of a stream in order; ``upto`` is the version that the story is told to.

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
    return _page(desk, caller, stream_of("class", class_id), after, limit, upto)


def story_of_show(desk: Desk, caller: Caller, show_id: str, *, after: int, limit: int) -> StoryPage:
    """The events of a show beyond a version, up to now, told as those of a class are."""
    upto = shows.look(desk, caller, show_id).state.version
    return _page(desk, caller, stream_of("show", show_id), after, limit, upto)


def _page(desk: Desk, caller: Caller, stream: str, after: int, limit: int, upto: int) -> StoryPage:
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
    try:
        version_at(desk, class_id, version)
    except Refusal as refused:
        refused.field = "version"  # as it is named here, where nothing is looked at as of a moment
        raise
    _check_class(desk, caller, class_id)
    return _withhold(desk, stream_of("class", class_id), version)


def withhold_texts_of_show(desk: Desk, caller: Caller, show_id: str, version: int) -> int:
    """Forget for good what the texts of one event of a show say; how many there were to forget."""
    latest = shows.look(desk, caller, show_id).state.version
    if not 1 <= version <= latest:
        raise Refusal(
            "at_unknown",
            f"The show has versions 1 to {latest}, not {version}.",
            field="version",
            latest=latest,
        )
    return _withhold(desk, stream_of("show", show_id), version)


def _withhold(desk: Desk, stream: str, version: int) -> int:
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
            case of_show.OfficialNamed(official=person):
                yield person
            case of_show.BackNumberGiven(exhibitor=person):
                yield person
            case (
                of_show.EvidenceSeen(exhibitor=str(person))
                | of_show.EvidenceTakenBack(exhibitor=str(person))
            ):
                yield person
            case _:
                pass


def _horses(events: Sequence[msgspec.Struct]) -> Iterator[str]:
    for event in events:
        if isinstance(event, NAMES_A_HORSE) and event.horse is not None:
            yield event.horse
