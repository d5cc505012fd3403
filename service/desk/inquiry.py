"""What a steward asks of a class: what moved, what a ruling would change, why, what to look at."""

from collections.abc import Sequence
from datetime import datetime

import msgspec

from events.envelope import stream_of
from events.judged_class.commands import EntryRef, FactCommand
from events.judged_class.references import card_of, entry_meant
from events.judged_class.state import ClassState
from events.projections.audit import Finding, Reading, audit
from events.projections.compare import Comparison, compare
from events.projections.explain import Explanation, explain
from events.projections.history import History
from events.projections.what_if import WhatIf, what_if
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from service.desk import texts
from service.desk.caller import Caller, check_show
from service.desk.carry_out import no_class
from service.desk.desk import Desk
from service.desk.look import ClassLook, look
from service.desk.moments import At, version_at
from service.desk.names import Names, names
from service.store import readings


class Told(msgspec.Struct, frozen=True, kw_only=True):
    """A class's recorded story, its rule book, and the names in it as the caller may read them."""

    history: History
    book: RuleBook
    names: Names


def told(desk: Desk, caller: Caller, class_id: str) -> Told:
    """The whole story of a scheduled class of a show that the caller may see."""
    stream = stream_of("class", class_id)
    state = desk.classes.latest(stream).state
    if state.scheduled is None:
        raise no_class(class_id)
    check_show(caller, state.scheduled.show)
    events = desk.log.read(stream)
    return Told(
        history=History(events),
        book=desk.books.held_to(state.scheduled.rulebook),
        names=names(
            desk.database,
            people=(entry.exhibitor for entry in state.entries.values()),
            horses=(entry.horse for entry in state.entries.values() if entry.horse),
            texts=texts.refs(event.data for event in events),
        ),
    )


def comparison(
    desk: Desk, caller: Caller, class_id: str, earlier: At, later: At
) -> tuple[Comparison, Told]:
    """What moved between two moments, the first of them the earlier."""
    story = told(desk, caller, class_id)
    first, last = version_at(desk, class_id, earlier), version_at(desk, class_id, later)
    if first > last:
        raise Refusal(
            "moments_reversed",
            f"Version {first} comes after version {last}: name the earlier moment first.",
            field="from",
        )
    return compare(story.history, first, last, story.book), story


def tried(
    desk: Desk,
    caller: Caller,
    class_id: str,
    strike: Sequence[int],
    add: Sequence[FactCommand],
) -> tuple[WhatIf, Told]:
    """What striking events and adding facts would change; nothing is stored."""
    story = told(desk, caller, class_id)
    return what_if(story.history, story.book, strike=strike, add=add), story


def explanation(
    desk: Desk, caller: Caller, class_id: str, seat: str, ref: EntryRef, at: At = None
) -> tuple[Explanation, ClassLook]:
    """Why an entry stands where it does on a card that the caller may see, at a moment."""
    seen = look(desk, caller, class_id, at)
    card_of(seen.state, seat)
    entry = entry_meant(seen.state, ref).id
    if seat not in seen.seats:
        raise Refusal(
            "card_not_open",
            f"The card of seat {seat} is not for this key, or not before results are posted.",
            field="seat",
            seat=seat,
        )
    history = History(desk.log.read(stream_of("class", class_id), to=seen.version))
    return explain(history, seen.version, seen.book, seat=seat, entry=entry), seen


def happened_by(
    desk: Desk, caller: Caller, class_id: str, moment: datetime
) -> tuple[ClassState, Told]:
    """The class as it stood in the ring by a time of the devices' clocks."""
    story = told(desk, caller, class_id)
    return story.history.happened_by(moment), story


def findings(desk: Desk, caller: Caller, class_id: str) -> tuple[tuple[Finding, ...], Told]:
    """What in the class's log deserves a look."""
    story = told(desk, caller, class_id)
    read = readings.of_class(desk.database, class_id)
    known = [Reading(seat=each.seat, key=each.key, at=each.read_at) for each in read]
    return audit(story.history, known), story


def note_reading(desk: Desk, caller: Caller, seen: ClassLook) -> None:
    """Keep that a scribe read results while the card of its own seat was not signed."""
    if caller.role != "scribe" or caller.seat is None:
        return
    card = seen.state.cards.get(caller.seat)
    if card is not None and card.signed is None:
        readings.note(
            desk.database,
            readings.KeptReading(
                class_id=seen.id,
                seat=caller.seat,
                key=caller.key,
                version=seen.version,
                read_at=desk.clock(),
            ),
        )
