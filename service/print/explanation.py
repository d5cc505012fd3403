"""Why an entry stands where it stands, on a sheet that its rider is handed."""

from typing import ClassVar

import msgspec

from events.half_points import to_text
from events.projections.explain import Explanation, Term
from events.projections.history import Witness
from service.desk.desk import Desk
from service.desk.look import ClassLook
from service.print.about import class_head, clock_of, judge_of, planned_of
from service.print.press import Sheet
from service.print.words import Clock, place_words, points


class Reason(msgspec.Struct, frozen=True, kw_only=True):
    """One term of a total or one step of a place, and the event behind it."""

    points: str
    says: str
    event: str = ""
    hand: str = ""
    occurred: str = ""
    recorded: str = ""


class ExplanationSheet(Sheet, frozen=True, kw_only=True):
    """Every term of the total, and every step that gave the place."""

    TEMPLATE: ClassVar[str] = "explanation"

    place: str
    total: str
    terms: tuple[Reason, ...]
    steps: tuple[Reason, ...]
    besides: tuple[str, ...]


def explanation_sheet(desk: Desk, seen: ClassLook, found: Explanation) -> ExplanationSheet:
    """The explanation of a class as it is looked at."""
    clock = clock_of(planned_of(desk, seen.show))
    entry = seen.state.entries[found.entry]
    horse = () if entry.horse is None else (("Horse", seen.names.horse(entry.horse)),)
    judge = judge_of(seen, seen.state.cards[found.seat])
    missing = (f"Still missing: {', '.join(found.missing)}.",) if found.missing else ()
    return ExplanationSheet(
        head=class_head(
            desk,
            seen,
            "Explanation of a placing",
            (
                ("Seat", f"{found.seat}: {judge}"),
                ("Back number", str(found.back_number)),
                ("Rider", seen.names.person(entry.exhibitor)),
                *horse,
            ),
        ),
        place=place_words(found.place, tied=found.tied),
        total=points(found.total),
        terms=tuple(_term(term, clock) for term in found.terms),
        steps=tuple(
            _reason("", step.says, step.witnesses[-1] if step.witnesses else None, clock)
            for step in found.steps
        ),
        besides=(*((f"{found.outcome}.",) if found.outcome else ()), *missing),
    )


def _term(of: Term, clock: Clock) -> Reason:
    shown = to_text(of.points) if of.kind == "base" else points(of.points, signed=True)
    return _reason(shown, of.says, of.witness, clock)


def _reason(shown: str, says: str, witness: Witness | None, clock: Clock) -> Reason:
    if witness is None:
        return Reason(points=shown, says=says)
    actor = witness.actor
    hand = (actor.role, f"seat {actor.seat}" if actor.seat else "", actor.device or "")
    return Reason(
        points=shown,
        says=says,
        event=str(witness.version),
        hand=", ".join(part for part in hand if part),
        occurred=clock.second(witness.occurred_at),
        recorded=clock.second(witness.recorded_at),
    )
