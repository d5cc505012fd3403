"""Looking at a class at a moment: what the caller may see of it, with names and texts joined."""

from collections.abc import Iterator
from itertools import chain
from typing import TypeVar

import msgspec

from events.envelope import stream_of
from events.judged_class.state import Card, ClassState
from events.projections.card import CardView, card_view
from events.projections.placing import (
    ClassPlacing,
    DivisionPlacing,
    PanelPlacing,
    SeatPlacing,
    SectionPlacing,
    placing,
)
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from service.desk import texts
from service.desk.caller import Caller, check_show
from service.desk.desk import Desk
from service.desk.moments import At, version_at
from service.desk.names import Names, names

PUBLIC_PHASES = frozenset({"posted", "official", "reopened"})
"""The stages of a class in which its cards are no longer the judges' own business."""


class ClassLook(msgspec.Struct, frozen=True, kw_only=True):
    """A class at one version of its story, as one caller may see it.

    ``seats`` are those whose cards the caller may see; ``names`` reads as the caller may read.
    ``latest`` and ``phase_now`` say how far the class has come meanwhile.
    """

    id: str
    show: str
    state: ClassState
    book: RuleBook
    latest: int
    phase_now: str
    seats: frozenset[str]
    names: Names

    @property
    def version(self) -> int:
        """The version that is looked at."""
        return self.state.version


def look(desk: Desk, caller: Caller, class_id: str, at: At = None) -> ClassLook:
    """The class at a moment; a public key looks at the last official results before it."""
    stream = stream_of("class", class_id)
    version = version_at(desk, class_id, at)
    now = desk.classes.latest(stream).state
    state = now if version == now.version else desk.classes.at(stream, version).state
    assert now.scheduled is not None  # noqa: S101 - that it is was looked at first
    check_show(caller, now.scheduled.show)
    if caller.role == "public":
        if not state.official_at:
            raise Refusal("no_official_results", "The results of this class are not official.")
        state = desk.classes.at(stream, state.official_at).state
    seats = frozenset(
        seat for seat, card in state.cards.items() if _may_see(caller, card, now.phase)
    )
    return ClassLook(
        id=class_id,
        show=now.scheduled.show,
        state=state,
        book=desk.books.held_to(now.scheduled.rulebook),
        latest=now.version,
        phase_now=now.phase,
        seats=seats,
        names=names(
            desk.database,
            people=_people(state),
            horses=_horses(state),
            texts=texts.refs(_read_by(caller, state, seats)),
        ),
    )


def placing_of(seen: ClassLook) -> ClassPlacing:
    """The placing of the seats that the caller may see, and what all of them come to together.

    What judges place together is shown to whoever may see each of their cards.
    """
    whole = placing(seen.state, seen.book)
    judges = {card.seat for card in seen.state.cards.values() if card.kind == "judge"}
    if judges <= seen.seats:
        return msgspec.structs.replace(whole, seats=_open_to(seen, whole.seats))
    return msgspec.structs.replace(
        whole,
        seats=_open_to(seen, whole.seats),
        panel=_closed(whole.panel),
        divisions=_opened(seen, whole.divisions),
        sections=tuple(
            msgspec.structs.replace(each, divisions=_opened(seen, each.divisions))
            for each in _opened(seen, whole.sections)
        ),
    )


_Part = TypeVar("_Part", DivisionPlacing, SectionPlacing)


def _opened(seen: ClassLook, parts: tuple[_Part, ...]) -> tuple[_Part, ...]:
    """Sections or divisions without the cards that are not open to the caller."""
    return tuple(
        msgspec.structs.replace(part, seats=_open_to(seen, part.seats), panel=_closed(part.panel))
        for part in parts
    )


def _open_to(seen: ClassLook, seats: tuple[SeatPlacing, ...]) -> tuple[SeatPlacing, ...]:
    return tuple(each for each in seats if each.seat in seen.seats)


def _closed(panel: PanelPlacing) -> PanelPlacing:
    return msgspec.structs.replace(panel, rows=(), open="Not open to this key before posting.")


def cards_of(seen: ClassLook) -> tuple[CardView, ...]:
    """The cards that the caller may see, in the order of their seats."""
    return tuple(card_of(seen, seat) for seat in sorted(seen.seats))


def card_of(seen: ClassLook, seat: str) -> CardView:
    """One card; or a refusal where there is none, or not for this caller."""
    card = seen.state.cards.get(seat)
    if card is None:
        raise Refusal("unknown_card", f"Nobody had seat {seat} at that moment.", seat=seat)
    if seat not in seen.seats:
        raise Refusal(
            "card_not_open",
            f"The card of seat {seat} is not for this key, or not before results are posted.",
            rule="a scribe sees the other cards once results are posted; learners' cards are for "
            "the office and the steward",
            seat=seat,
        )
    return card_view(seen.state, card, seen.book)


def _may_see(caller: Caller, card: Card, phase_now: str) -> bool:
    match caller.role:
        case "office" | "steward" | "system":
            return True
        case "scribe":
            own = card.seat == caller.seat
            return own or (card.kind == "judge" and phase_now in PUBLIC_PHASES)
        case "federation" | "public":
            return card.kind == "judge"


def _people(state: ClassState) -> Iterator[str]:
    yield from (entry.exhibitor for entry in state.entries.values())
    for card in state.cards.values():
        yield card.judge
        yield from (judge for judge, _ in card.before)
    yield from (protest.filed.event.filed_by for protest in state.protests.values())


def _horses(state: ClassState) -> Iterator[str]:
    yield from (entry.horse for entry in state.entries.values() if entry.horse is not None)


def _read_by(caller: Caller, state: ClassState, seats: frozenset[str]) -> Iterator[msgspec.Struct]:
    """The events whose texts a caller may read.

    Free text is for the office and the steward, and for a scribe on the judge's own card.
    """
    match caller.role:
        case "office" | "steward" | "system":
            return chain(_class_events(state), _card_events(state, seats))
        case "scribe":
            return _card_events(state, frozenset({caller.seat or ""}))
        case "federation" | "public":
            return iter(())


def _class_events(state: ClassState) -> Iterator[msgspec.Struct]:
    yield from (entry.gate.event for entry in state.entries.values() if entry.gate is not None)
    if state.cancelled is not None:
        yield state.cancelled
    yield from (known.event for known in state.combined)
    for protest in state.protests.values():
        yield protest.filed.event
        if protest.ruled is not None:
            yield protest.ruled.event
    yield from (known.event for known in state.corrections.values())


def _card_events(state: ClassState, seats: frozenset[str]) -> Iterator[msgspec.Struct]:
    for card in (state.cards[seat] for seat in seats if seat in state.cards):
        for ride in card.rides.values():
            yield from (known.event for known in ride.observations)
            if ride.outcome is not None:
                yield ride.outcome.event
        yield from (order.event for order in card.orders)
