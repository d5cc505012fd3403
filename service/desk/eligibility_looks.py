"""How entries stand by the divisions of their show, with the facts as they are known now."""

from collections.abc import Iterable, Mapping

import msgspec

from events.envelope import stream_of
from events.judged_class.standing import running_entries
from events.judged_class.state import ClassState, Entry
from events.refusals import Refusal
from events.show.entering import InDivision, in_division, in_divisions
from events.show.state import ShowState
from service.desk import registered, shows
from service.desk.caller import Caller, check_show
from service.desk.desk import Desk
from service.desk.eligibility import day_of, known
from service.desk.moments import At, version_at
from service.desk.names import Names, names
from service.desk.story import READS_TEXTS


class EntryLook(msgspec.Struct, frozen=True, kw_only=True):
    """How an entry stands; ``show_version`` is that of the divisions that it was held against."""

    entry: Entry
    show_version: int
    divisions: tuple[InDivision, ...]


class ClassEligibility(msgspec.Struct, frozen=True, kw_only=True):
    """How the entries of a class stand that are not scratched."""

    version: int
    entries: tuple[EntryLook, ...]
    names: Names


def of_class(
    desk: Desk,
    caller: Caller,
    class_id: str,
    *,
    at: At = None,
    entry: str | None = None,
    as_checked: bool = False,
) -> ClassEligibility:
    """How the entries of a class stand, or one of them, by the show's divisions as they are now.

    ``at`` is the moment of the class whose entries they are. With ``as_checked`` each is held
    against the divisions as they were when it was checked, where it was.
    """
    version = version_at(desk, class_id, at)
    state = desk.classes.at(stream_of("class", class_id), version).state
    assert state.scheduled is not None  # noqa: S101 - looked at with the version
    check_show(caller, state.scheduled.show)
    stream = stream_of("show", state.scheduled.show)
    now = desk.shows.latest(stream).state
    wanted = _wanted(state, entry)
    by = {
        each.id: each.checked_at if as_checked and each.checked_at is not None else now.version
        for each in wanted
    }
    states = {number: desk.shows.at(stream, number).state for number in set(by.values())}
    return ClassEligibility(
        version=version,
        entries=_looks(desk, class_id, state, wanted, {name: states[by[name]] for name in by}),
        names=names(
            desk.database,
            people=(each.exhibitor for each in wanted),
            horses=(each.horse for each in wanted if each.horse is not None),
        ),
    )


def of_pair(
    desk: Desk, caller: Caller, show_id: str, exhibitor: str, horse: str | None
) -> tuple[ShowState, tuple[InDivision, ...]]:
    """A show, and how a rider, alone or with a horse, stands in each of its divisions."""
    state = shows.look(desk, caller, show_id).state
    registered.check_pair(desk.database, exhibitor, horse)
    whom = known(desk.database, [exhibitor], [horse]).entering(exhibitor, horse, ())
    return state, tuple(in_division(state, name, whom) for name in sorted(state.divisions))


def divisions_of(desk: Desk, caller: Caller, show_id: str) -> tuple[ShowState, Names]:
    """A show with its divisions, and why they changed for whom that is open to."""
    state = shows.look(desk, caller, show_id).state
    if caller.role not in READS_TEXTS:
        return state, Names()
    why = (each.reason for each in state.divisions.values() if each.reason is not None)
    return state, names(desk.database, texts=why)


def evidence_of(desk: Desk, caller: Caller, show_id: str) -> tuple[ShowState, Names]:
    """A show with the evidence that counts at it, and the names and texts in it."""
    state = shows.look(desk, caller, show_id).state
    seen = state.evidence.values()
    return state, names(
        desk.database,
        people=(each.exhibitor for each in seen if each.exhibitor is not None),
        horses=(each.horse for each in seen if each.horse is not None),
        texts=(each.reason for each in seen),
    )


def _wanted(state: ClassState, entry: str | None) -> tuple[Entry, ...]:
    if entry is None:
        return tuple(running_entries(state))
    if entry not in state.entries:
        raise Refusal("unknown_entry", f"No entry has the id {entry}.", field="entry", entry=entry)
    return (state.entries[entry],)


def _looks(
    desk: Desk,
    class_id: str,
    state: ClassState,
    wanted: Iterable[Entry],
    by: Mapping[str, ShowState],
) -> tuple[EntryLook, ...]:
    facts = known(
        desk.database,
        (each.exhibitor for each in wanted),
        (each.horse for each in wanted),
    )
    return tuple(
        EntryLook(
            entry=each,
            show_version=by[each.id].version,
            divisions=in_divisions(
                by[each.id],
                class_id,
                facts.entering(
                    each.exhibitor,
                    each.horse,
                    each.divisions,
                    day_of(by[each.id], class_id, state),
                ),
            ),
        )
        for each in wanted
    )
