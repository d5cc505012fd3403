"""Decisions about the working order of a class, and the sections it is ridden in."""

from collections import Counter
from collections.abc import Iterator

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.state import ClassState
from events.refusals import Refusal

Sizes = tuple[int, ...]


def set_draw(state: ClassState, command: ask.SetDraw) -> tuple[Event, ...]:
    """The draw names every running entry once, and its sections hold all whom it names."""
    _check_order(state, command.order)
    sections = _sections(state, command.order, command.sections)
    if (state.draw, state.sections) == (command.order, sections):
        return ()
    return (happened.DrawSet(order=command.order, seed=command.seed, sections=sections),)


def repair_draw(state: ClassState, command: ask.RepairDraw) -> tuple[Event, ...]:
    """A draw is repaired for a reason, and still names every running entry once."""
    if not state.draw:
        raise Refusal("no_draw_yet", "There is no draw to repair yet.", field="order")
    _check_order(state, command.order)
    sections = _sections(state, command.order, command.sections)
    if (state.draw, state.sections) == (command.order, sections):
        return ()
    _check_begun(state, command.order, sections)
    _check_ridden_stay(state, command.order)
    return (happened.DrawRepaired(order=command.order, reason=command.reason, sections=sections),)


def _sections(state: ClassState, order: tuple[str, ...], asked: Sizes | None) -> Sizes:
    """How many ride in each section; one section alone is none at all."""
    sizes = _as_they_stand(state, order) if asked is None else asked
    if sizes and (min(sizes) < 0 or sum(sizes) != len(order)):
        raise Refusal(
            "sections_do_not_add_up",
            f"The sections hold {' + '.join(map(str, sizes))} entries, and the order names "
            f"{len(order)}.",
            field="sections",
            named=len(order),
        )
    return () if len(sizes) == 1 else sizes


def _as_they_stand(state: ClassState, order: tuple[str, ...]) -> Sizes:
    """The sizes of the sections when everybody named stays in the section that they are in."""
    if not state.sections:
        return ()
    reached = 1
    for index, name in enumerate(order):
        section = state.section(name)
        if section is None or section < reached:
            where = "is in no section yet" if section is None else f"is in section {section}"
            raise Refusal(
                "sections_not_said",
                f"Back number {state.entries[name].back_number} {where}, and the order puts it "
                f"into another: say how many ride in each section.",
                field=f"order[{index}]",
                entry=name,
            )
        reached = section
    counted = Counter(map(state.section, order))
    return tuple(counted[number] for number in range(1, len(state.sections) + 1))


def _check_begun(state: ClassState, order: tuple[str, ...], sections: Sizes) -> None:
    """Once somebody has been judged the sections stay, and so does everybody judged in them."""
    if state.phase == "planned":
        return
    if len(sections) != len(state.sections):
        raise Refusal(
            "class_has_begun",
            "The class has begun: it is split, or its sections made one, only before the first "
            "ride.",
            field="sections",
            rule="a class is split, or its sections made one, before its first ride",
        )
    told = [section for section, size in enumerate(sections, start=1) for _ in range(size)]
    judged = set(_judged(state))
    for index, (name, section) in enumerate(zip(order, told, strict=False)):  # none: nothing told
        if name in judged and state.section(name) != section:
            number = state.entries[name].back_number
            raise Refusal(
                "entry_judged",
                f"Back number {number} has been judged in section {state.section(name)} and stays "
                "in it.",
                field=f"order[{index}]",
                entry=name,
            )


def _check_ridden_stay(state: ClassState, order: tuple[str, ...]) -> None:
    """Whoever has ridden keeps the number under which the cards were written."""
    cards = [card for card in state.cards.values() if card.kind != "learner"]
    ridden = {name for card in cards for name in card.rides}
    for index, name in enumerate(state.draw):
        if name in ridden and order[index : index + 1] != (name,):
            number = state.entries[name].back_number
            raise Refusal(
                "draw_moves_ridden",
                f"Back number {number} has ridden as number {index + 1} and keeps that place.",
                field="order",
                rule="who has ridden keeps the place in the draw",
                entry=name,
                working_order=index + 1,
            )


def _judged(state: ClassState) -> Iterator[str]:
    for card in state.cards.values():
        if card.kind == "judge":
            yield from card.rides
            yield from card.placed.event.order if card.placed else ()


def _check_order(state: ClassState, order: tuple[str, ...]) -> None:
    for index, name in enumerate(order):
        if name not in state.entries:
            raise Refusal(
                "unknown_entry", f"No entry has the id {name}.", field=f"order[{index}]", entry=name
            )
        if name in order[:index]:
            raise Refusal(
                "draw_names_twice",
                f"Back number {state.entries[name].back_number} is drawn twice.",
                field=f"order[{index}]",
                entry=name,
            )
    left_out = [
        entry
        for entry in state.entries.values()
        if entry.scratched is None and entry.id not in order
    ]
    if left_out:
        numbers = ", ".join(str(entry.back_number) for entry in left_out)
        raise Refusal(
            "draw_leaves_out",
            f"The draw leaves out back number {numbers}.",
            field="order",
            entries=tuple(entry.id for entry in left_out),
        )
