"""Decisions about cards without scores: times, placings, call-backs."""

from collections.abc import Sequence

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.references import card_of, running_entry
from events.judged_class.state import ClassState, Entry
from events.refusals import Refusal
from events.rulebook.model import Judging, RuleBook


def check_judging(rulebook: RuleBook, judging: Judging, what: str) -> None:
    """Refuse what does not belong on a card of a class that is judged otherwise."""
    if rulebook.judging != judging:
        raise Refusal(
            "judged_otherwise",
            f"Under {rulebook.title} a class is {rulebook.judging}: its cards hold no {what}.",
            rule=f"{rulebook.id} {rulebook.edition}, judging",
            judging=rulebook.judging,
        )


def time_of(command: ask.GiveTime, entry: Entry, rulebook: RuleBook) -> happened.TimeGiven:
    """The time as a fact, once it is one: above nought, with no less than no penalty."""
    check_judging(rulebook, "timed", "times")
    if command.milliseconds < 1:
        raise Refusal("time_not_positive", "A ride takes time.", field="milliseconds")
    if command.penalty_milliseconds < 0:
        raise Refusal(
            "penalty_time_negative",
            "Penalty time is added, never taken off.",
            field="penalty_milliseconds",
        )
    return happened.TimeGiven(
        seat=command.seat,
        entry=entry.id,
        milliseconds=command.milliseconds,
        penalty_milliseconds=command.penalty_milliseconds,
    )


def call_back(state: ClassState, command: ask.CallBack, rulebook: RuleBook) -> tuple[Event, ...]:
    """A judge calls running entries back, once each, in no order."""
    check_judging(rulebook, "placed", "call-backs")
    card = card_of(state, command.seat)
    entries = tuple(sorted(named_once(state, command.entries, "entries")))
    if card.called_back is not None and card.called_back.event.entries == entries:
        return ()
    return (happened.CardCalledBack(seat=command.seat, entries=entries),)


def named_once(
    state: ClassState, refs: Sequence[ask.EntryRef], field: str, *, so_far: Sequence[str] = ()
) -> tuple[str, ...]:
    """The ids of the running entries meant, none of them twice and none that is in ``so_far``."""
    names: list[str] = []
    for index, ref in enumerate(refs):
        entry = running_entry(state, ref, f"{field}[{index}]")
        if entry.id in names or entry.id in so_far:
            raise Refusal(
                "order_names_twice",
                f"Back number {entry.back_number} is named twice.",
                field=f"{field}[{index}]",
                entry=entry.id,
            )
        names.append(entry.id)
    return tuple(names)
