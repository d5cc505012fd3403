"""Decisions about run-offs, and the cut to the next round."""

from collections.abc import Sequence

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.cut import ranked_for_cut
from events.judged_class.decide_results import refuse_outdated
from events.judged_class.decide_unscored import named_once
from events.judged_class.panel import panel_result
from events.judged_class.references import running_entry
from events.judged_class.standing import rivals, sections
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
    among = rivals(state, (*order, *declined)[0]) if order or declined else None
    result = panel_result(state, rulebook, among)
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


def set_carried(state: ClassState, command: ask.SetCarriedTotal) -> tuple[Event, ...]:
    """A running entry brings one total from the round before."""
    entry = running_entry(state, command.ref)
    if entry.carried == command.carried:
        return ()
    return (happened.CarriedTotalSet(entry=entry.id, carried=command.carried),)


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
    """The first entries go on, of all or of each section; those tied at the cut all do, or none."""
    if command.size < 1:
        raise Refusal("cut_empty", "At least one entry goes on.", field="size")
    refuse_outdated(state, "a cut is made from results that have been posted")
    if command.per_section and not state.sections:
        raise Refusal("class_without_sections", "The class is ridden as one.", field="per_section")
    parts = tuple(sections(state)) if command.per_section else (None,)
    cuts = [_first(ranked_for_cut(state, rulebook, part), command) for part in parts]
    event = happened.CutMade(
        size=command.size,
        qualified=tuple(name for qualified, _ in cuts for name in qualified),
        tied_out=tuple(name for _, tied_out in cuts for name in tied_out),
        per_section=command.per_section,
    )
    # The same cut, made again of results that have changed since, holds for what they are now.
    still = state.cut is not None and state.cut.version > state.changed_at
    return () if still and state.cut is not None and state.cut.event == event else (event,)


def _first(
    groups: Sequence[tuple[str, ...]], command: ask.MakeCut
) -> tuple[Sequence[str], tuple[str, ...]]:
    """The first of the groups that fit in the cut, and those whom a tie at it keeps out."""
    qualified: list[str] = []
    for group in groups:
        if len(qualified) >= command.size:
            break
        if len(qualified) + len(group) > command.size and not command.with_ties:
            return qualified, group
        qualified.extend(group)
    return qualified, ()
