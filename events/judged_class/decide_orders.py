"""Decisions about the orders that judges set over totals."""

from collections.abc import Mapping

from events.envelope import Actor, Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_cards import rider_on_card
from events.judged_class.decide_corrections import check_word
from events.judged_class.evolve import evolve
from events.judged_class.references import card_of
from events.judged_class.standing import basis, rivals, scores, seat_placing, stale_orders
from events.judged_class.state import Card, ClassState, StandingOrder
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from events.scoring.placing import Placed
from events.scoring.total import RideScore

_AT_LEAST = 2


def set_order(
    state: ClassState, command: ask.SetOrder, rulebook: RuleBook, actor: Actor
) -> tuple[Event, ...]:
    """An order names placed entries that the rule book lets the judge put in order."""
    card = card_of(state, command.seat)
    names = _named(state, command)
    known = scores(state, card, rulebook)
    standing = next((o for o in card.orders if o.event.order_id == command.order_id), None)
    if standing is not None:
        return _already(standing, command, names)
    check_word(state, card, command, actor)
    _check_step(rulebook, command)
    _check_placed(state, names, known)
    _check_lifts_nobody(rulebook, names, known)
    if command.by != "rail_work" or rulebook.rail.role == "ties":
        _check_equal(names, known)
    placing = seat_placing(state, card, rulebook, _one_section(state, names))
    _check_whole_ties(placing, names)
    _check_reach(rulebook, command, placing, names)
    event = happened.OrderSet(
        seat=command.seat,
        order_id=command.order_id,
        by=command.by,
        order=names,
        basis=basis(names, known),
        reason=command.reason,
        authority=command.authority,
        protest=command.protest,
    )
    _check_effect(state, event, rulebook)
    return (event,)


def _already(
    standing: StandingOrder, command: ask.SetOrder, names: tuple[str, ...]
) -> tuple[Event, ...]:
    if (standing.event.order, standing.event.by) == (names, command.by):
        return ()
    raise Refusal(
        "order_id_taken",
        "That order id belongs to another order on this card.",
        field="order_id",
        order_id=command.order_id,
    )


def confirm_order(
    state: ClassState, command: ask.ConfirmOrder, rulebook: RuleBook
) -> tuple[Event, ...]:
    """An order that went stale is let stand on what its entries stand at now.

    One that says nothing of who joined its tie cannot be let stand.
    """
    card = card_of(state, command.seat)
    order = _standing(card, command.order_id)
    known = scores(state, card, rulebook)
    gone = [name for name in order.event.order if name not in known or not known[name].placed]
    if gone:
        raise Refusal(
            "order_names_unplaced",
            "The order names an entry that no longer takes a place; withdraw it instead.",
            field="order_id",
            entries=tuple(gone),
        )
    among = rivals(state, order.event.order[0])
    placing = seat_placing(state, card, rulebook, among)
    _check_whole_ties(placing, order.event.order, field="order_id")
    now = basis(order.event.order, known)
    if now == order.basis:
        return ()
    return (happened.OrderConfirmed(seat=command.seat, order_id=command.order_id, basis=now),)


def withdraw_order(
    state: ClassState, command: ask.WithdrawOrder, rulebook: RuleBook
) -> tuple[Event, ...]:
    """An order is withdrawn freely before signing, and after it only once it is stale."""
    card = card_of(state, command.seat)
    order = next((o for o in card.orders if o.event.order_id == command.order_id), None)
    if order is None:
        return ()
    if card.signed is not None and command.order_id not in stale_orders(state, card, rulebook):
        raise Refusal(
            "order_not_stale",
            "The card is signed, and this order is not stale.",
            field="order_id",
            rule="an order on a signed card is withdrawn only when it is stale",
            order_id=command.order_id,
        )
    return (happened.OrderWithdrawn(seat=command.seat, order_id=command.order_id),)


def _named(state: ClassState, command: ask.SetOrder) -> tuple[str, ...]:
    names = []
    for index, ref in enumerate(command.order):
        entry = rider_on_card(state, ref, f"order[{index}]")
        if entry.id in names:
            raise Refusal(
                "order_names_twice",
                f"Back number {entry.back_number} stands in the order twice.",
                field=f"order[{index}]",
                entry=entry.id,
            )
        names.append(entry.id)
    if len(names) < _AT_LEAST:
        raise Refusal("order_too_short", "An order names at least two entries.", field="order")
    return tuple(names)


def _one_section(state: ClassState, names: tuple[str, ...]) -> frozenset[str] | None:
    """Those whom all the named are placed among; nobody is compared with another section."""
    among = rivals(state, names[0])
    other = next((i for i, name in enumerate(names) if among and name not in among), None)
    if other is not None:
        raise Refusal(
            "order_crosses_sections",
            f"Back number {state.entries[names[other]].back_number} rides in section "
            f"{state.section(names[other])}, the first one named in section "
            f"{state.section(names[0])}: an order names entries of one section.",
            field=f"order[{other}]",
            rule="each section is placed by itself",
            entry=names[other],
        )
    return among


def _standing(card: Card, order_id: str) -> StandingOrder:
    order = next((o for o in card.orders if o.event.order_id == order_id), None)
    if order is None:
        raise Refusal(
            "unknown_order",
            f"No order {order_id} stands on the card of seat {card.seat}.",
            field="order_id",
            order_id=order_id,
        )
    return order


def _check_step(rulebook: RuleBook, command: ask.SetOrder) -> None:
    if command.by == "rail_work":
        if rulebook.rail.role == "none":
            raise Refusal(
                "no_rail_work",
                f"Under {rulebook.title} rail work changes nothing.",
                field="by",
                rule=f"{rulebook.id} {rulebook.edition}, rail",
            )
    elif all(step.step != command.by for step in rulebook.ties):
        raise Refusal(
            "tie_step_not_in_rule_book",
            f"Under {rulebook.title} ties are not parted by {command.by.replace('_', ' ')}.",
            field="by",
            rule=f"{rulebook.id} {rulebook.edition}, ties",
        )


def _check_placed(
    state: ClassState, names: tuple[str, ...], known: Mapping[str, RideScore]
) -> None:
    for index, name in enumerate(names):
        if not known[name].placed:
            raise Refusal(
                "entry_not_placed",
                f"Back number {state.entries[name].back_number} has no place to be moved from: "
                "its marks are incomplete or its outcome takes none.",
                field=f"order[{index}]",
                entry=name,
            )


def _check_lifts_nobody(
    rulebook: RuleBook, names: tuple[str, ...], known: Mapping[str, RideScore]
) -> None:
    """An order may run on past the complete runs, but may not put one below them over one."""
    tiers = [known[name].tier or 0 for name in names]
    lifted = next((i for i, tier in enumerate(tiers) if tier > min(tiers[i:])), None)
    if not rulebook.rail.crosses_outcomes and lifted is not None:
        raise Refusal(
            "order_crosses_outcomes",
            "The order lifts a run over one with a better outcome; it may not cross that line.",
            field=f"order[{lifted}]",
            rule=f"{rulebook.id} {rulebook.edition}, rail",
        )


def _check_equal(names: tuple[str, ...], known: Mapping[str, RideScore]) -> None:
    if len({(known[name].tier, known[name].rank) for name in names}) > 1:
        raise Refusal(
            "order_not_a_tie",
            "This order may part ties only, and these are not all tied.",
            field="order",
            entries=names,
        )


def _check_reach(
    rulebook: RuleBook, command: ask.SetOrder, placing: tuple[Placed, ...], names: tuple[str, ...]
) -> None:
    """Some books part ties by a step only down to a place, such as a run-off for first."""
    if command.by == "rail_work" and rulebook.rail.role == "adjusts":
        return
    bounds = [step.places for step in rulebook.ties if step.step == command.by]
    best = min(row.place for row in placing if row.entry in names and row.place is not None)
    if all(bound is not None and bound < best for bound in bounds):
        raise Refusal(
            "tie_step_not_for_this_place",
            f"Under {rulebook.title} this tie for place {best} is not parted by "
            f"{command.by.replace('_', ' ')}.",
            field="order",
            rule=f"{rulebook.id} {rulebook.edition}, ties",
            place=best,
        )


def _check_effect(state: ClassState, event: happened.OrderSet, rulebook: RuleBook) -> None:
    """A judge who puts entries in order must find them in that order afterwards."""
    after = evolve(state, event)
    among = rivals(after, event.order[0])
    rows = seat_placing(after, after.cards[event.seat], rulebook, among)
    places = {row.entry: row.place for row in rows if row.place is not None}
    found = [places[name] for name in event.order]
    if found != sorted(set(found)):
        raise Refusal(
            "order_without_effect",
            f"Under {rulebook.title} these are parted before it comes to "
            f"{event.by.replace('_', ' ')}, so the order would change nothing.",
            field="order",
            rule=f"{rulebook.id} {rulebook.edition}, ties",
            entries=event.order,
        )


def _check_whole_ties(
    placing: tuple[Placed, ...], names: tuple[str, ...], field: str = "order"
) -> None:
    """An order that names some of those who share a place would leave the others in the air."""
    shared = {row.place for row in placing if row.tied and row.entry in names}
    left_out = tuple(
        row.entry for row in placing if row.tied and row.place in shared and row.entry not in names
    )
    if left_out:
        raise Refusal(
            "order_splits_a_tie",
            "The order names some of the entries that share a place; one must name all of them.",
            field=field,
            entries=left_out,
        )
