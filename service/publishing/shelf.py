"""What was published, as a caller may look it up: by class and revision, or a whole show."""

from collections.abc import Iterator

import msgspec

from events.envelope import stream_of
from events.refusals import Refusal
from service.desk import show_awards, standings
from service.desk.caller import Caller, check_show
from service.desk.carry_out import no_class, planned
from service.desk.desk import Desk
from service.publishing.published import Published, published
from service.publishing.standing_columns import AwardLine, Line
from service.store import publications
from service.store.publications import Publication

READS_REASONS = frozenset({"federation", "office", "steward", "system"})


class Whole(msgspec.Struct, frozen=True, kw_only=True):
    """A show's name, every revision of its classes in the order of the log, and its awards."""

    show: str
    title: str
    revisions: tuple[Published, ...]
    awards: tuple[AwardLine, ...] = ()


def revisions(desk: Desk, caller: Caller, class_id: str) -> tuple[Publication, ...]:
    """Every revision of a class that was published, oldest first."""
    _check_class(desk, caller, class_id)
    return publications.of_class(desk.database, class_id)


def publication(desk: Desk, caller: Caller, class_id: str, revision: int) -> Publication:
    """One revision as it was signed; or a refusal."""
    _check_class(desk, caller, class_id)
    found = publications.find(desk.database, class_id, revision)
    if found is None:
        raise Refusal(
            "unknown_revision",
            f"Class {class_id} has no published revision {revision}.",
            revision=revision,
        )
    return found


def joined(desk: Desk, caller: Caller, of: Publication) -> Published:
    """The revision as it reads today, with the reasons that the caller may read."""
    return published(desk, of, with_reasons=caller.role in READS_REASONS)


def newest(desk: Desk, class_id: str) -> int:
    """The revision of a class that is in force."""
    found = publications.find(desk.database, class_id)
    assert found is not None  # noqa: S101 - asked for classes with a revision alone
    return found.revision


def of_show(
    desk: Desk, caller: Caller, show_id: str, *, after: int, limit: int
) -> tuple[Publication, ...]:
    """What was published of a show beyond a position of the log, in that order."""
    _check_show(desk, caller, show_id)
    return publications.since(desk.database, after, limit, show_id=show_id)


def whole_show(desk: Desk, caller: Caller, show_id: str) -> Whole:
    """All that was published of a show, as it reads today."""
    title = _check_show(desk, caller, show_id)
    every = publications.of_show(desk.database, show_id)
    return Whole(
        show=show_id,
        title=title,
        revisions=tuple(joined(desk, caller, each) for each in every),
        awards=tuple(_awards(desk, caller, show_id)),
    )


def _awards(desk: Desk, caller: Caller, show_id: str) -> Iterator[AwardLine]:
    for of in show_awards.current(desk, caller, show_id):
        known = standings.read(desk, of, of.rows, with_lines=False).names
        for row in of.rows:
            yield AwardLine(of.rules.award, of.rules.name, Line(row, of.rules.carrier, known))


def _check_class(desk: Desk, caller: Caller, class_id: str) -> None:
    state = desk.classes.latest(stream_of("class", class_id)).state
    if state.scheduled is None:
        raise no_class(class_id)
    check_show(caller, state.scheduled.show)


def _check_show(desk: Desk, caller: Caller, show_id: str) -> str:
    show = planned(desk.shows.latest(stream_of("show", show_id)).state, show_id).planned
    check_show(caller, show_id)
    assert show is not None  # noqa: S101 - that it is planned was looked at
    return show.name
