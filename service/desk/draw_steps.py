"""The steps by which a working order comes about: lots, repairs, late entries, sections."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate
from typing import Literal

import msgspec

from events.judged_class.draw import drawn_by_lot
from events.judged_class.standing import running_entries
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import DrawRule, RuleBook
from events.scoring.draw_clashes import Ride, SpacingLimits
from events.scoring.draw_order import (
    LatePlace,
    in_equal_parts,
    in_sections,
    with_late_in_sections,
)
from events.scoring.draw_spacing import Repair, Spacing, space_draw

LateRule = Literal["first_reversed", "last"]
PLACES: Mapping[LateRule, LatePlace] = {"first_reversed": "first_in_reverse", "last": "bottom"}
GO: Mapping[LateRule, str] = {
    "first_reversed": "go first, the last received first of all",
    "last": "follow the draw in the order they were received",
}


class LotPlan(msgspec.Struct, frozen=True, kw_only=True):
    """How lots are drawn; what is ``None`` is left to the rule book.

    A class of more than ``split_above`` entries is split. ``as_far_as_possible`` takes an order in
    which not everybody could be kept apart.
    """

    seed: str | None = None
    limits: SpacingLimits | None = None
    late_entries: LateRule | None = None
    split_above: int | None = None
    as_far_as_possible: bool = False


class SplitPlan(msgspec.Struct, frozen=True, kw_only=True):
    """How a working order that stands is cut up: into so many sections, or of so many at most."""

    into: int | None = None
    at_most: int | None = None
    reason: str | None = None


class Step(msgspec.Struct, frozen=True, kw_only=True):
    """A working order, how many ride in each section, and why it came to it."""

    order: tuple[str, ...]
    sections: tuple[int, ...] = ()
    reason: str | None = None


def steps_by_lot(state: ClassState, book: RuleBook, plan: LotPlan, seed: str) -> tuple[Step, ...]:
    """The order by lot, then each repair.

    Riders are kept apart across sections too, since one section may follow right on another.
    """
    order = drawn_by_lot(state, seed)
    if not order:
        raise Refusal("nobody_to_draw", "The class has no entries to draw.")
    late = tuple(name for name, entry in state.entries.items() if entry.late and name in order)
    place = PLACES[plan.late_entries or (book.draw.late_entries if book.draw else "last")]
    drawn = tuple(name for name in order if name not in late)
    most = plan.split_above or (book.draw.split_above if book.draw else None)
    sizes = in_equal_parts(len(drawn), len(in_sections(len(order), most)) if most else 1)

    def step(reason: str | None = None) -> Step:
        open_to_late = [True] * len(sizes)
        parts = cut_up(drawn, sizes)
        return _step(with_late_in_sections(parts, late, place, open_to_late=open_to_late), reason)

    steps = [step()]
    limits = plan.limits or limits_of(book.draw)
    if limits is None or not drawn:
        return tuple(steps)
    spacing = space_draw(rides_of(state, drawn), limits)
    if spacing.verdict != "clear" and not plan.as_far_as_possible:
        raise _not_spaced(spacing, book)
    for repair in spacing.repairs:
        drawn = _after(drawn, repair)
        steps.append(step(_why(state, repair, sizes)))
    return tuple(steps)


def steps_of_late(state: ClassState, book: RuleBook, rule: LateRule | None) -> tuple[Step, ...]:
    """Everybody who is not drawn yet in a section that can still take them; one step."""
    parts = standing_parts(state)
    running = [entry.id for entry in running_entries(state)]
    late = tuple(name for name in state.entries if name in running and name not in state.draw)
    if not parts:
        raise Refusal("no_draw_yet", "There is no draw yet that late entries could be put into.")
    if not late:
        raise Refusal("nobody_to_draw", "Every entry has its place in the draw.")
    says = rule or (book.draw.late_entries if book.draw else "last")
    ridden = set(_ridden(state))
    if says == "first_reversed":
        open_to_late = [ridden.isdisjoint(part) for part in parts]
    else:
        open_to_late = [not ridden.issuperset(part) for part in parts[:-1]] + [True]
    # Whoever has ridden keeps the number, so nobody is put in before them.
    for number in range(len(parts)):
        if any(not ridden.isdisjoint(part) for part in parts[number + 1 :]):
            open_to_late[number] = False
    if not any(open_to_late):
        raise Refusal(
            "class_has_begun",
            "The class has begun, so nobody can go first any more; put them last.",
            field="late.place",
        )
    if ridden:  # the scratched keep their places, so that no number changes
        parts = cut_up(state.draw, state.sections or (len(state.draw),))
    into = with_late_in_sections(parts, late, PLACES[says], open_to_late=open_to_late)
    return (_step(into, _why_there(state, late, says, into)),)


def steps_of_split(state: ClassState, plan: SplitPlan) -> tuple[Step, ...]:
    """The order that stands, cut into sections as equal as they can be; one step."""
    order = tuple(name for part in standing_parts(state) for name in part)
    if not order:
        raise Refusal("no_draw_yet", "There is no draw to split yet.")
    if plan.into is not None and plan.into > len(order):
        raise Refusal(
            "sections_do_not_add_up",
            f"The draw has {len(order)} entries, which make no {plan.into} sections.",
            field="split.into",
        )
    sizes = (
        in_equal_parts(len(order), plan.into)
        if plan.into is not None
        else in_sections(len(order), plan.at_most or len(order))
    )
    held = ", ".join(map(str, sizes))
    says = f"Split into sections of {held}." if len(sizes) > 1 else "Ridden as one class."
    return (_step(cut_up(order, sizes), f"{plan.reason} ({says})" if plan.reason else says),)


def _step(parts: Sequence[tuple[str, ...]], reason: str | None = None) -> Step:
    return Step(
        order=tuple(name for part in parts for name in part),
        sections=tuple(map(len, parts)) if len(parts) > 1 else (),
        reason=reason,
    )


def standing_parts(state: ClassState) -> tuple[tuple[str, ...], ...]:
    """The working order that stands without the scratched, in its sections if there are any."""
    running = {entry.id for entry in running_entries(state)}
    parts = cut_up(state.draw, state.sections or (len(state.draw),))
    standing = tuple(tuple(name for name in part if name in running) for part in parts)
    return standing if any(standing) else ()


def cut_up(order: Sequence[str], sizes: Sequence[int]) -> tuple[tuple[str, ...], ...]:
    """The order in parts of these sizes, which are those of the whole."""
    ends = accumulate(sizes)
    return tuple(tuple(order[end - size : end]) for size, end in zip(sizes, ends, strict=True))


def _ridden(state: ClassState) -> Iterator[str]:
    """Those of whom anything stands on a card, and who missed the gate or were excused."""
    for card in state.cards.values():
        yield from card.rides
        yield from card.placed.event.order if card.placed else ()
    yield from (entry.id for entry in state.entries.values() if entry.gate is not None)


def _not_spaced(spacing: Spacing, book: RuleBook) -> Refusal:
    return Refusal(
        "draw_not_spaced",
        spacing.why or "Not everybody can be kept apart.",
        rule=f"{book.id} {book.edition}, draw",
        verdict=spacing.verdict,
        clashes=tuple(clash.says for clash in spacing.left),
    )


def limits_of(rule: DrawRule | None) -> SpacingLimits | None:
    """How far apart a rule book wants rides, ``None`` where it says nothing of it."""
    if rule is None or not (rule.rider_apart or rule.horse_apart or rule.most_rides):
        return None
    return SpacingLimits(
        rider_apart=rule.rider_apart, horse_apart=rule.horse_apart, most_rides=rule.most_rides
    )


def rides_of(state: ClassState, order: Sequence[str]) -> tuple[Ride, ...]:
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


def _why(state: ClassState, repair: Repair, sizes: Sequence[int]) -> str:
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
    sections = [number for number, size in enumerate(sizes, start=1) for _ in range(size)]
    crossed = ", ".join(
        f"back number {state.entries[move.entry].back_number} to section {after}"
        for move in repair.moves
        if sections[move.before - 1] != (after := sections[move.after - 1])
    )
    return (
        f"Back numbers {first} and {second} have one {clash.kind}: {clash.between} between them, "
        f"{clash.wanted} wanted. Moved ({repair.step}): {moves}."
        + (f" In another section now: {crossed}." if crossed else "")
    )


def _why_there(
    state: ClassState, late: Sequence[str], says: LateRule, into: Sequence[Sequence[str]]
) -> str:
    whose = "" if len(into) == 1 else ", each in the section that was smallest then"
    numbers = ", ".join(
        f"{state.entries[name].back_number}" + ("" if len(into) == 1 else f" in section {section}")
        for name in late
        for section, part in enumerate(into, start=1)
        if name in part
    )
    return f"Late entries {GO[says]}{whose}: back number {numbers}."
