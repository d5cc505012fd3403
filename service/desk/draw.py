"""The draw at the desk: by lot from a recorded seed, repaired for spacing, late entries placed."""

import secrets
from collections.abc import Callable, Mapping, Sequence
from typing import Literal

import msgspec

from events.envelope import Event, stream_of
from events.judged_class.commands import RepairDraw, SetDraw
from events.judged_class.draw import drawn_by_lot
from events.judged_class.evolve import evolve
from events.judged_class.standing import running_entries
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import DrawRule, RuleBook
from events.scoring.draw_clashes import Clash, Ride, SpacingLimits, clashes
from events.scoring.draw_order import LatePlace, sections, with_late_entries
from events.scoring.draw_spacing import Repair, Spacing, space_draw
from service.desk.caller import Ask, Caller, Receipt
from service.desk.carry_out import on_class, receipt, scheduled
from service.desk.classes import decided_on
from service.desk.desk import Desk
from service.desk.fingerprint import fingerprint
from service.desk.look import ClassLook, look
from service.store.errors import ConcurrencyGaveUp
from service.store.texts import SealedText, seal

SEED_BYTES = 16
TRIES = 3
LateRule = Literal["first_reversed", "last"]
PLACES: Mapping[LateRule, LatePlace] = {"first_reversed": "first_in_reverse", "last": "bottom"}
GO: Mapping[LateRule, str] = {
    "first_reversed": "go first, the last received first of all",
    "last": "follow the draw in the order they were received",
}


class LotPlan(msgspec.Struct, frozen=True, kw_only=True):
    """How lots are drawn; without ``limits`` or ``late_entries`` it is the rule book that says.

    ``as_far_as_possible`` takes an order in which not everybody could be kept apart.
    """

    seed: str | None = None
    limits: SpacingLimits | None = None
    late_entries: LateRule | None = None
    as_far_as_possible: bool = False


class DrawLook(msgspec.Struct, frozen=True, kw_only=True):
    """The working order: whom it leaves too close, and the sections it is ridden in."""

    seen: ClassLook
    limits: SpacingLimits | None
    clashes: tuple[Clash, ...]
    sections: tuple[tuple[str, ...], ...]


class _Step(msgspec.Struct, frozen=True, kw_only=True):
    """A working order, and why it came to it."""

    order: tuple[str, ...]
    reason: str | None = None


Planner = Callable[[ClassState, RuleBook], tuple[_Step, ...]]


class _MovedOn(Exception):
    """The entries are no longer those that the draw was planned for."""


def by_lot(desk: Desk, ask: Ask, class_id: str, plan: LotPlan | None = None) -> Receipt:
    """Draw the working order by lot, and repair what stands too close, each repair an event.

    The office may bring a seed of its own, such as dice thrown in front of the riders.
    """
    wanted = plan or LotPlan()
    seed = wanted.seed or secrets.token_hex(SEED_BYTES)
    further = () if wanted == LotPlan(seed=wanted.seed) else (wanted,)
    asked = fingerprint("draw by lot", class_id, wanted.seed, *further)

    def steps_for(state: ClassState, book: RuleBook) -> tuple[_Step, ...]:
        return _steps_by_lot(state, book, wanted, seed)

    return _carried_out(desk, ask, class_id, steps_for, seed=seed, asked=asked)


def place_late(desk: Desk, ask: Ask, class_id: str, rule: LateRule | None = None) -> Receipt:
    """Put the entries that came after the draw into it, where the rule book or ``rule`` says."""

    def steps_for(state: ClassState, book: RuleBook) -> tuple[_Step, ...]:
        return _steps_of_late(state, book, rule)

    asked = fingerprint("place late", class_id, rule)
    return _carried_out(desk, ask, class_id, steps_for, seed=None, asked=asked)


def draw_of(desk: Desk, caller: Caller, class_id: str, at_most: int | None = None) -> DrawLook:
    """The working order as it stands; ``at_most`` overrides how large a section may be."""
    seen = look(desk, caller, class_id)
    rule = seen.book.draw
    limits = _limits(rule)
    most = at_most or (rule.split_above if rule else None)
    running = {entry.id for entry in running_entries(seen.state)}
    order = tuple(name for name in seen.state.draw if name in running)
    return DrawLook(
        seen=seen,
        limits=limits,
        clashes=clashes(_rides(seen.state, order), limits) if limits else (),
        sections=sections(order, most) if most and order else ((order,) if order else ()),
    )


def _carried_out(
    desk: Desk,
    ask: Ask,
    class_id: str,
    steps_for: Planner,
    *,
    seed: str | None,
    asked: str,
) -> Receipt:
    """Carry the steps out; they are planned anew when entries come or go meanwhile."""
    for _ in range(TRIES - 1):
        try:
            return _try(desk, ask, class_id, steps_for, seed=seed, asked=asked)
        except _MovedOn:
            continue
    try:
        return _try(desk, ask, class_id, steps_for, seed=seed, asked=asked)
    except _MovedOn as moved:
        raise ConcurrencyGaveUp(stream_of("class", class_id), TRIES) from moved


def _try(
    desk: Desk,
    ask: Ask,
    class_id: str,
    steps_for: Planner,
    *,
    seed: str | None,
    asked: str,
) -> Receipt:
    """The reasons of all repairs are sealed before it is decided, so the plan comes first."""
    before = scheduled(desk.classes.latest(stream_of("class", class_id)).state, class_id, ask)
    assert before.scheduled is not None  # noqa: S101 - looked at before
    steps = steps_for(before, desk.books.held_to(before.scheduled.rulebook))
    kept = [seal(step.reason) for step in steps if step.reason]
    commands = _commands(steps, kept, seed)

    def decided(state: ClassState) -> Sequence[Event]:
        scheduled(state, class_id, ask)
        if (state.entries, state.draw) != (before.entries, before.draw):
            raise _MovedOn
        return _decided(desk, ask, state, commands)

    return receipt(class_id, on_class(desk, ask, class_id, decided, asked=asked, kept=kept))


def _commands(
    steps: Sequence[_Step], kept: Sequence[SealedText], seed: str | None
) -> tuple[SetDraw | RepairDraw, ...]:
    refs = iter(kept)
    return tuple(
        RepairDraw(order=step.order, reason=next(refs).ref)
        if step.reason
        else SetDraw(order=step.order, seed=seed)
        for step in steps
    )


def _decided(
    desk: Desk, ask: Ask, state: ClassState, commands: Sequence[SetDraw | RepairDraw]
) -> tuple[Event, ...]:
    """What the commands lead to; nothing when the order that they end in stands already."""
    if state.draw == commands[-1].order:
        return ()
    events: list[Event] = []
    for command in commands:
        for event in decided_on(desk, ask, state, command):
            events.append(event)
            state = evolve(state, event)  # type: ignore[arg-type]  # a class decides class events
    return tuple(events)


def _steps_by_lot(state: ClassState, book: RuleBook, plan: LotPlan, seed: str) -> tuple[_Step, ...]:
    order = drawn_by_lot(state, seed)
    if not order:
        raise Refusal("nobody_to_draw", "The class has no entries to draw.")
    late = tuple(name for name, entry in state.entries.items() if entry.late and name in order)
    place = PLACES[plan.late_entries or (book.draw.late_entries if book.draw else "last")]
    drawn = tuple(name for name in order if name not in late)
    limits = plan.limits or _limits(book.draw)
    steps = [_Step(order=with_late_entries(drawn, late, place))]
    if limits is None or not drawn:
        return tuple(steps)
    spacing = space_draw(_rides(state, drawn), limits)
    if spacing.verdict != "clear" and not plan.as_far_as_possible:
        raise _not_spaced(spacing, book)
    for repair in spacing.repairs:
        drawn = _after(drawn, repair)
        order = with_late_entries(drawn, late, place)
        steps.append(_Step(order=order, reason=_why(state, repair)))
    return tuple(steps)


def _steps_of_late(state: ClassState, book: RuleBook, rule: LateRule | None) -> tuple[_Step, ...]:
    running = {entry.id for entry in running_entries(state)}
    standing = tuple(name for name in state.draw if name in running)
    late = tuple(name for name in state.entries if name in running and name not in standing)
    if not standing:
        raise Refusal("no_draw_yet", "There is no draw yet that late entries could be put into.")
    if not late:
        raise Refusal("nobody_to_draw", "Every entry has its place in the draw.")
    says = rule or (book.draw.late_entries if book.draw else "last")
    if says == "first_reversed" and any(card.rides for card in state.cards.values()):
        raise Refusal(
            "class_has_begun",
            "The class has begun, so nobody can go first any more; put them last.",
            field="late_entries",
        )
    numbers = ", ".join(str(state.entries[name].back_number) for name in late)
    return (
        _Step(
            order=with_late_entries(standing, late, PLACES[says]),
            reason=f"Late entries {GO[says]}: back number {numbers}.",
        ),
    )


def _not_spaced(spacing: Spacing, book: RuleBook) -> Refusal:
    return Refusal(
        "draw_not_spaced",
        spacing.why or "Not everybody can be kept apart.",
        rule=f"{book.id} {book.edition}, draw",
        verdict=spacing.verdict,
        clashes=tuple(clash.says for clash in spacing.left),
    )


def _limits(rule: DrawRule | None) -> SpacingLimits | None:
    if rule is None or not (rule.rider_apart or rule.horse_apart or rule.most_rides):
        return None
    return SpacingLimits(
        rider_apart=rule.rider_apart, horse_apart=rule.horse_apart, most_rides=rule.most_rides
    )


def _rides(state: ClassState, order: Sequence[str]) -> tuple[Ride, ...]:
    """Who rides what; an entry without a horse shares it with nobody."""
    return tuple(
        Ride(
            entry=name,
            rider=state.entries[name].exhibitor,
            horse=state.entries[name].horse or f"of entry {name}",
        )
        for name in order
    )


def _after(order: Sequence[str], repair: Repair) -> tuple[str, ...]:
    moved = list(order)
    for move in repair.moves:
        moved[move.after - 1] = move.entry
    return tuple(moved)


def _why(state: ClassState, repair: Repair) -> str:
    """The repair in a sentence that names nobody but by back number."""
    clash = repair.clears
    first, second = (state.entries[name].back_number for name in (clash.first, clash.second))
    places = {move.entry: move for move in repair.moves}
    moves = "; ".join(
        f"back number {state.entries[name].back_number} from {places[name].before} "
        f"to {places[name].after}"
        for name in repair.moved
        if name in places
    )
    return (
        f"Back numbers {first} and {second} have one {clash.kind}: {clash.between} between them, "
        f"{clash.wanted} wanted. Moved ({repair.step}): {moves}."
    )
