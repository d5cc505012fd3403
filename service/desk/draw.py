"""The draw at the desk: by lot from a recorded seed, in sections, late entries placed."""

import secrets
from collections.abc import Callable, Sequence

import msgspec

from events.envelope import Event, stream_of
from events.judged_class.commands import RepairDraw, SetDraw
from events.judged_class.evolve import evolve
from events.judged_class.state import ClassState
from events.rulebook.model import DrawRule, RuleBook
from events.scoring.draw_clashes import Clash, SpacingLimits, clashes
from events.scoring.draw_order import in_sections
from service.desk.caller import Ask, Caller, Receipt
from service.desk.carry_out import on_class, receipt, scheduled
from service.desk.classes import decided_on
from service.desk.desk import Desk
from service.desk.draw_steps import (
    LateRule,
    LotPlan,
    SplitPlan,
    Step,
    cut_up,
    limits_of,
    rides_of,
    standing_parts,
    steps_by_lot,
    steps_of_late,
    steps_of_split,
)
from service.desk.fingerprint import fingerprint
from service.desk.look import ClassLook, look
from service.store.errors import ConcurrencyGaveUp
from service.store.texts import SealedText, seal

SEED_BYTES = 16
TRIES = 3


class DrawLook(msgspec.Struct, frozen=True, kw_only=True):
    """The working order: whom it leaves too close, and the sections it is ridden in.

    ``rule`` is what the rule book says of draws, which is done unless the office says otherwise.
    """

    seen: ClassLook
    limits: SpacingLimits | None
    clashes: tuple[Clash, ...]
    sections: tuple[tuple[str, ...], ...]
    rule: DrawRule | None


Planner = Callable[[ClassState, RuleBook], tuple[Step, ...]]


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

    def steps_for(state: ClassState, book: RuleBook) -> tuple[Step, ...]:
        return steps_by_lot(state, book, wanted, seed)

    return _carried_out(desk, ask, class_id, steps_for, seed=seed, asked=asked)


def place_late(desk: Desk, ask: Ask, class_id: str, rule: LateRule | None = None) -> Receipt:
    """Put the entries that came after the draw into it, where the rule book or ``rule`` says."""

    def steps_for(state: ClassState, book: RuleBook) -> tuple[Step, ...]:
        return steps_of_late(state, book, rule)

    asked = fingerprint("place late", class_id, rule)
    return _carried_out(desk, ask, class_id, steps_for, seed=None, asked=asked)


def split(desk: Desk, ask: Ask, class_id: str, plan: SplitPlan) -> Receipt:
    """Cut the working order that stands into sections, or make one class of them again."""

    def steps_for(state: ClassState, _: RuleBook) -> tuple[Step, ...]:
        return steps_of_split(state, plan)

    asked = fingerprint("split", class_id, plan)
    return _carried_out(desk, ask, class_id, steps_for, seed=None, asked=asked)


def draw_of(desk: Desk, caller: Caller, class_id: str, at_most: int | None = None) -> DrawLook:
    """The working order as it stands; ``at_most`` shows it as it would be split."""
    seen = look(desk, caller, class_id)
    rule = seen.book.draw
    limits = limits_of(rule)
    standing = standing_parts(seen.state)
    order = tuple(name for part in standing for name in part)
    return DrawLook(
        seen=seen,
        limits=limits,
        clashes=clashes(rides_of(seen.state, order), limits) if limits else (),
        sections=cut_up(order, in_sections(len(order), at_most)) if at_most else standing,
        rule=rule,
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
        if (state.entries, _drawn(state)) != (before.entries, _drawn(before)):
            raise _MovedOn
        return _decided(desk, ask, state, commands)

    return receipt(class_id, on_class(desk, ask, class_id, decided, asked=asked, kept=kept))


def _commands(
    steps: Sequence[Step], kept: Sequence[SealedText], seed: str | None
) -> tuple[SetDraw | RepairDraw, ...]:
    refs = iter(kept)
    return tuple(
        RepairDraw(order=step.order, reason=next(refs).ref, sections=step.sections)
        if step.reason
        else SetDraw(order=step.order, seed=seed, sections=step.sections)
        for step in steps
    )


def _decided(
    desk: Desk, ask: Ask, state: ClassState, commands: Sequence[SetDraw | RepairDraw]
) -> tuple[Event, ...]:
    """What the commands lead to; nothing when the order that they end in stands already."""
    if _drawn(state) == (commands[-1].order, commands[-1].sections):
        return ()
    events: list[Event] = []
    for command in commands:
        for event in decided_on(desk, ask, state, command):
            events.append(event)
            state = evolve(state, event)  # type: ignore[arg-type]  # a class decides class events
    return tuple(events)


def _drawn(state: ClassState) -> tuple[tuple[str, ...], tuple[int, ...]]:
    return state.draw, state.sections
