"""Decisions about corrections and about results."""

from datetime import datetime, timedelta

from events.envelope import Actor, Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_cards import fact_of, refuse_stale, ride_of, stands
from events.judged_class.references import card_of, running_entry
from events.judged_class.state import Card, ClassState, Known, Ride
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def correct(
    state: ClassState, command: ask.MakeCorrection, rulebook: RuleBook, actor: Actor
) -> tuple[Event, ...]:
    """A correction replaces a standing fact, takes it away, or adds one that was left out."""
    if command.correction in state.corrections:
        return ()
    check_authority(state, command.authority, command.protest, actor)
    card = card_of(state, command.seat)
    entry = running_entry(state, command.ref)
    ride = ride_of(card, entry)
    replaced = None if command.replaces is None else _fact_at(ride, command.replaces)
    fact = None
    if command.fact is not None:
        _check_same_slot(command, command.fact)
        fact = fact_of(state, command.fact, entry, rulebook)
    _check_change(ride, replaced, fact)
    return (
        happened.CorrectionMade(
            correction=command.correction,
            seat=command.seat,
            entry=entry.id,
            authority=command.authority,
            reason=command.reason,
            replaces=command.replaces,
            fact=fact,
            protest=command.protest,
        ),
    )


def check_authority(
    state: ClassState, authority: happened.Authority, protest: str | None, actor: Actor
) -> None:
    """Refuse a correction, or a reopening, that nobody entitled to it stands behind.

    Design of the trade: before results are official the judge's word is enough; afterwards it
    takes a ruling or a recorded error of the office. Only a steward acts on a ruling, and a ruling
    has an upheld protest.
    """
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
    known = state.protests.get(protest or "")
    ruled = known.ruled if known is not None else None
    if ruled is None or ruled.event.verdict != "upheld":
        raise Refusal(
            "protest_not_upheld",
            "A ruling names a protest of this class that was upheld.",
            field="protest",
            rule=rule,
            protest=protest,
        )


def _facts(ride: Ride) -> list[Known[happened.CardFact]]:
    single = [known for known in (ride.rider_mark, ride.outcome) if known is not None]
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


def _check_same_slot(command: ask.MakeCorrection, fact: ask.FactCommand) -> None:
    if fact.seat != command.seat or fact.ref != command.ref:
        raise Refusal(
            "fact_elsewhere",
            "The corrected fact belongs to the same seat and entry as the correction.",
            field="fact",
        )


def _check_change(
    ride: Ride, replaced: happened.CardFact | None, fact: happened.CardFact | None
) -> None:
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
    if replaced == fact or stands(ride, fact):
        raise Refusal("correction_changes_nothing", "That very fact already stands.", field="fact")
    occupied = (
        (isinstance(fact, happened.MarkGiven) and fact.maneuver in ride.marks)
        or (isinstance(fact, happened.RiderMarkGiven) and ride.rider_mark is not None)
        or (isinstance(fact, happened.OutcomeCalled) and ride.outcome is not None)
    )
    moved = (
        isinstance(fact, happened.MarkGiven)
        and isinstance(replaced, happened.MarkGiven)
        and fact.maneuver != replaced.maneuver
    )
    if (replaced is None and occupied) or (moved and occupied):
        raise Refusal(
            "fact_in_the_way",
            "Another fact stands there; name it in replaces.",
            field="replaces",
        )


def post(state: ClassState, rulebook: RuleBook, now: datetime) -> tuple[Event, ...]:
    """Results are posted once every judge has signed; posting them unchanged is so already."""
    if state.phase == "posted" and state.changed_at <= state.posted_at:
        return ()
    unsigned = tuple(card.seat for card in _judges(state) if card.signed is None)
    if unsigned or not _judges(state):
        raise Refusal(
            "cards_not_signed",
            f"Not signed yet: seat {', '.join(unsigned)}."
            if unsigned
            else "No judge is seated, so there is nothing to post.",
            rule="results are posted once every judge has signed",
            seats=unsigned,
        )
    minutes = rulebook.protests.minutes if rulebook.protests else None
    until = None if minutes is None else now + timedelta(minutes=minutes)
    return (happened.ResultsPosted(revision=state.revision + 1, protests_until=until),)


def make_official(state: ClassState, rulebook: RuleBook) -> tuple[Event, ...]:
    """Posted results become official when nothing is stale, changed since, or under protest."""
    if state.phase == "official":
        return ()
    for card in _judges(state):
        refuse_stale(state, card, rulebook)
    if state.changed_at > state.posted_at:
        raise Refusal(
            "posting_out_of_date",
            "Something changed since results were posted; post them again first.",
            rule="what becomes official is what was posted",
            revision=state.revision,
        )
    waiting = tuple(name for name, protest in state.protests.items() if protest.is_open)
    if waiting:
        raise Refusal(
            "protest_open",
            "A protest waits for a ruling.",
            rule="results become official once every protest is settled",
            protests=waiting,
        )
    return (happened.ResultsMadeOfficial(revision=state.revision),)


def reopen_results(
    state: ClassState, command: ask.ReopenResults, actor: Actor
) -> tuple[Event, ...]:
    """Official results are opened again on a ruling or for an error of the office."""
    if state.phase == "reopened":
        return ()
    check_authority(state, command.authority, command.protest, actor)
    return (
        happened.ResultsReopened(
            authority=command.authority, reason=command.reason, protest=command.protest
        ),
    )


def _judges(state: ClassState) -> list[Card]:
    return [card for card in state.cards.values() if card.kind == "judge"]
