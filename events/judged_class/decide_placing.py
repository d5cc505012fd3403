"""Decisions about a card that only places."""

from events.envelope import Actor, Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_corrections import check_word
from events.judged_class.decide_unscored import check_judging, named_once
from events.judged_class.references import card_of
from events.judged_class.state import Card, ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def place_card(
    state: ClassState, command: ask.PlaceCard, rulebook: RuleBook, actor: Actor
) -> tuple[Event, ...]:
    """A judge's placing names running entries once each; on a signed card it has a reason.

    In a class ridden in sections it leaves those sections as they were placed that it does not name
    anybody of.
    """
    check_judging(rulebook, "placed", "placings")
    card = card_of(state, command.seat)
    order = _with_other_sections(state, card, named_once(state, command.order, "order"))
    if card.placed is not None and card.placed.event.order == order:
        return ()
    if card.signed is not None and command.reason is None:
        raise Refusal(
            "reason_missing",
            "The card is signed: say why its placing changes.",
            field="reason",
            rule="on a signed card a placing changes for a reason",
        )
    check_word(state, card, command, actor)
    return (
        happened.CardPlaced(
            seat=command.seat,
            order=order,
            reason=command.reason,
            authority=command.authority,
            protest=command.protest,
        ),
    )


def _with_other_sections(state: ClassState, card: Card, order: tuple[str, ...]) -> tuple[str, ...]:
    if not (state.sections and order):
        return order
    for index, name in enumerate(order):
        if state.section(name) is None:
            raise Refusal(
                "entry_not_drawn",
                f"Back number {state.entries[name].back_number} is in no section; set or repair "
                "the draw first.",
                field=f"order[{index}]",
                entry=name,
            )
    named = {state.section(name) for name in order}
    standing = card.placed.event.order if card.placed else ()
    kept = [name for name in standing if state.section(name) not in named]
    return tuple(sorted((*kept, *order), key=lambda name: state.section(name) or 0))
