"""Decisions about corrections, and on whose word they rest."""

from collections.abc import Iterator
from contextlib import contextmanager

from events.envelope import Actor, Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_cards import fact_of, ride_of, stands
from events.judged_class.evolve_cards import take
from events.judged_class.references import card_of, protest_of, running_entry
from events.judged_class.state import Card, ClassState, Entry, Known, Ride
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def correct(
    state: ClassState, command: ask.MakeCorrection, rulebook: RuleBook, actor: Actor
) -> tuple[Event, ...]:
    """A correction replaces a standing fact, takes it away, or adds one that was left out."""
    card = card_of(state, command.seat)
    entry = running_entry(state, command.ref)
    event = happened.CorrectionMade(
        correction=command.correction,
        seat=command.seat,
        entry=entry.id,
        authority=command.authority,
        reason=command.reason,
        replaces=command.replaces,
        fact=_asked_for(state, command, entry, rulebook),
        protest=command.protest,
    )
    known = state.corrections.get(command.correction)
    if known is not None:
        if known.event == event:
            return ()
        raise Refusal(
            "correction_id_taken", "That id belongs to another correction.", field="correction"
        )
    check_authority(state, command.authority, command.protest, actor)
    _check_change(ride_of(card, entry), command.replaces, event.fact)
    return (event,)


def _asked_for(
    state: ClassState, command: ask.MakeCorrection, entry: Entry, rulebook: RuleBook
) -> happened.CardFact | None:
    fact = command.fact
    if fact is None:
        return None
    with _found_under_fact():
        _check_same_ride(state, command, fact, entry)
        return fact_of(state, fact, entry, rulebook)


@contextmanager
def _found_under_fact() -> Iterator[None]:
    """What is wrong with the fact of a correction is found under that name."""
    try:
        yield
    except Refusal as refused:
        raise Refusal(
            refused.code,
            refused.message,
            field=f"fact.{refused.field}",
            rule=refused.rule,
            **refused.facts,
        ) from None


def _check_same_ride(
    state: ClassState, command: ask.MakeCorrection, fact: ask.FactCommand, entry: Entry
) -> None:
    elsewhere = "seat" if fact.seat != command.seat else None
    if running_entry(state, fact.ref).id != entry.id:
        elsewhere = "entry"
    if elsewhere is not None:
        raise Refusal(
            "fact_elsewhere",
            "The corrected fact belongs to the same seat and entry as the correction.",
            field=elsewhere,
        )


def check_authority(
    state: ClassState, authority: happened.Authority, protest: str | None, actor: Actor
) -> None:
    """Refuse a correction, or a reopening, that nobody entitled to it stands behind.

    Common practice: before results are official the judge's word is enough; afterwards it takes a
    ruling or a recorded error of the office. Only a steward acts on a ruling, and a ruling has an
    upheld protest.
    """
    known = None if protest is None else protest_of(state, protest)
    if authority == "judge" and state.has_been_official:
        raise Refusal(
            "authority_too_low",
            "Results have been official: only a ruling or a recorded office error corrects them.",
            field="authority",
            rule="after results are official, only with a ruling or a recorded office error",
        )
    if authority != "ruling":
        return
    rule = "a ruling is carried out by the steward, on a protest that was upheld"
    if actor.role != "steward":
        raise Refusal(
            "ruling_by_steward_only",
            "Only the steward carries out a ruling.",
            field="authority",
            rule=rule,
        )
    ruled = known.ruled if known is not None else None
    if ruled is None or ruled.event.verdict != "upheld":
        raise Refusal(
            "protest_not_upheld",
            "A ruling names a protest of this class that was upheld.",
            field="protest",
            rule=rule,
            protest=protest,
        )


def check_word(
    state: ClassState, card: Card, command: ask.SetOrder | ask.PlaceCard, actor: Actor
) -> None:
    """Refuse what moves places on a signed card after results were official, on nobody's word.

    It takes what a correction takes: a reason and an authority, and for a ruling its protest.
    """
    rule = "once results were official a signed card changes on somebody's authority, for a reason"
    late = card.kind == "judge" and card.signed is not None and state.has_been_official
    if late and command.authority is None:
        raise Refusal(
            "authority_missing",
            "Results have been official: say on whose word this changes.",
            field="authority",
            rule=rule,
        )
    if late and command.reason is None:
        raise Refusal(
            "reason_missing",
            "Results have been official: say why this changes.",
            field="reason",
            rule=rule,
        )
    if command.authority is not None:
        check_authority(state, command.authority, command.protest, actor)


def _facts(ride: Ride) -> list[Known[happened.CardFact]]:
    alone = (ride.rider_mark, ride.outcome, ride.time)
    single = [known for known in alone if known is not None]
    return [*ride.marks.values(), *ride.penalties, *ride.observations, *single]  # type: ignore[list-item]


def _fact_at(ride: Ride, version: int) -> happened.CardFact:
    for known in _facts(ride):
        if known.version == version:
            return known.event
    raise Refusal(
        "fact_not_standing",
        f"Event {version} put nothing on this card for this entry that still stands.",
        field="replaces",
        replaces=version,
    )


def _check_change(ride: Ride, replaces: int | None, fact: happened.CardFact | None) -> None:
    replaced = None if replaces is None else _fact_at(ride, replaces)
    if replaced is None and fact is None:
        raise Refusal(
            "correction_empty",
            "A correction names the fact it replaces, the fact it adds, or both.",
            field="fact",
        )
    if replaced is not None and fact is not None and type(replaced) is not type(fact):
        raise Refusal(
            "correction_of_another_kind",
            "A fact is replaced by one of the same kind; take it away and add the other instead.",
            field="fact",
        )
    if fact is None:
        return
    left = ride if replaces is None else take(ride, replaces)
    with _found_under_fact():
        already = replaced == fact or stands(left, fact)
    if already:
        raise Refusal("correction_changes_nothing", "That very fact already stands.", field="fact")
    if (
        (isinstance(fact, happened.MarkGiven) and fact.maneuver in left.marks)
        or (isinstance(fact, happened.RiderMarkGiven) and left.rider_mark is not None)
        or (isinstance(fact, happened.OutcomeCalled) and left.outcome is not None)
        or (isinstance(fact, happened.TimeGiven) and left.time is not None)
    ):
        raise Refusal(
            "fact_in_the_way",
            "Another fact stands there; name it in replaces.",
            field="replaces",
        )
