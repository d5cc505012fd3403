"""Decisions about run-offs, and the cut to the next round."""

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.cut import ranked_for_cut
from events.judged_class.decide_results import refuse_outdated
from events.judged_class.decide_unscored import named_once
from events.judged_class.panel import panel_result
from events.judged_class.references import running_entry
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def hold_run_off(
    state: ClassState, command: ask.HoldRunOff, rulebook: RuleBook
) -> tuple[Event, ...]:
    """A run-off is between entries that the panel left equal."""
    order = named_once(state, command.order, "order")
    declined = named_once(state, command.declined, "declined", so_far=order)
    award_to = running_entry(state, command.award_to, "award_to").id if command.award_to else None
    event = happened.RunOffHeld(order=order, declined=declined, award_to=award_to)
    if any(known.event == event for known in state.run_offs):
        return ()
    result = panel_result(state, rulebook)
    if result.method == "separate":
        raise Refusal(
            "run_off_not_a_tie",
            "Each card is a result of its own here: a run-off is an order on the card whose tie "
            "it parts.",
            field="order",
        )
    rows = result.rows
    places = {row.place for row in rows if row.tied and row.entry in {*order, *declined}}
    named = {row.entry for row in rows if row.tied and row.place in places}
    if len(places) != 1 or named != {*order, *declined}:
        raise Refusal(
            "run_off_not_a_tie",
            "A run-off is between all the entries that share one place of the panel.",
            field="order",
        )
    if award_to is not None and award_to not in named:
        raise Refusal(
            "award_to_outsider",
            "The award goes to one of those who were tied.",
            field="award_to",
            entry=award_to,
        )
    return (event,)


def set_contest_cuts(state: ClassState, command: ask.SetContestCuts) -> tuple[Event, ...]:
    """Cuts lie between neighbouring places, none below nought; they move no official result."""
    if not command.cuts:
        raise Refusal("cuts_missing", "Cuts lie between at least two places.", field="cuts")
    for index, cut in enumerate(command.cuts):
        if cut < 0:
            raise Refusal("cut_negative", "A cut counts from 0.", field=f"cuts[{index}]")
    if state.contest_cuts == command.cuts:
        return ()
    return (happened.ContestCutsSet(cuts=command.cuts),)


def make_cut(state: ClassState, command: ask.MakeCut, rulebook: RuleBook) -> tuple[Event, ...]:
    """The first entries go on; those tied at the cut all do, or none of them does."""
    if command.size < 1:
        raise Refusal("cut_empty", "At least one entry goes on.", field="size")
    refuse_outdated(state, "a cut is made from results that have been posted")
    groups = ranked_for_cut(state, rulebook)
    qualified: list[str] = []
    tied_out: tuple[str, ...] = ()
    for group in groups:
        if len(qualified) >= command.size:
            break
        if len(qualified) + len(group) > command.size and not command.with_ties:
            tied_out = group
            break
        qualified.extend(group)
    event = happened.CutMade(size=command.size, qualified=tuple(qualified), tied_out=tied_out)
    return () if state.cut is not None and state.cut.event == event else (event,)
