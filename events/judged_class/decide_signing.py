"""Decisions about the signature on a card, and what keeps a card from going on."""

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.references import card_of
from events.judged_class.standing import scores, stale_orders
from events.judged_class.state import Card, ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def sign(state: ClassState, command: ask.SignCard, rulebook: RuleBook) -> tuple[Event, ...]:
    """A card is signed once nothing is missing on it and no order on it is stale.

    Who is placed or called back without scores may have been shown all at once, without a draw.
    """
    card = card_of(state, command.seat)
    if card.signed is not None:
        return ()
    if not state.draw and card.placed is None and card.called_back is None:
        raise Refusal("no_draw_yet", "There is no draw, so no card to sign.", field="seat")
    if state.pattern is None and rulebook.judging == "scored":
        raise Refusal("no_pattern", "The pattern has not been set.", field="seat")
    refuse_incomplete(state, card, rulebook, field="seat")
    refuse_stale(state, card, rulebook, field="seat")
    return (happened.CardSigned(seat=command.seat),)


def refuse_incomplete(
    state: ClassState, card: Card, rulebook: RuleBook, *, field: str | None
) -> None:
    """Refuse to go on while a ride on the card wants a mark."""
    for entry, ride in scores(state, card, rulebook).items():
        if ride.missing:
            number = state.entries[entry].back_number
            missing = ", ".join(
                f"maneuver {part}" if isinstance(part, int) else f"the {part.replace('_', ' ')}"
                for part in ride.missing
            )
            raise Refusal(
                "card_incomplete",
                f"On the card of seat {card.seat} back number {number} still wants a mark: "
                f"{missing}.",
                field=field,
                seat=card.seat,
                entry=entry,
                back_number=number,
                missing=tuple(str(part) for part in ride.missing),
            )


def reopen(state: ClassState, command: ask.ReopenCard) -> tuple[Event, ...]:
    """A signed card is given back to its judge."""
    if card_of(state, command.seat).signed is None:
        return ()
    return (happened.CardReopened(seat=command.seat, reason=command.reason),)


def refuse_stale(state: ClassState, card: Card, rulebook: RuleBook, *, field: str | None) -> None:
    """Refuse to go on while an order on the card does not stand firm."""
    stale = stale_orders(state, card, rulebook)
    if stale:
        raise Refusal(
            "order_stale",
            f"An order on the card of seat {card.seat} is stale: totals under it have moved, or "
            "somebody joined its tie. Its judge confirms it, withdraws it or sets another first.",
            field=field,
            rule="an order stands on the totals it was set on",
            seat=card.seat,
            orders=stale,
        )
