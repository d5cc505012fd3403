"""Decisions about protests."""

from datetime import UTC, datetime

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.references import card_of, entry_meant, protest_of
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def file_protest(
    state: ClassState, command: ask.FileProtest, rulebook: RuleBook, now: datetime
) -> tuple[Event, ...]:
    """A protest is taken in on a ground that the rule book lets be protested, in time, with fee."""
    entry = entry_meant(state, command.ref).id if command.ref else None
    if command.seat is not None:
        card_of(state, command.seat)
    event = happened.ProtestFiled(
        protest=command.protest,
        filed_by=command.filed_by,
        ground=command.ground,
        statement=command.statement,
        entry=entry,
        seat=command.seat,
        versions=command.versions,
        fee_paid=command.fee_paid,
    )
    known = state.protests.get(command.protest)
    if known is not None:
        if known.filed.event == event:
            return ()
        raise Refusal("protest_id_taken", "That id belongs to another protest.", field="protest")
    for index, version in enumerate(command.versions):
        if not 1 <= version <= state.version:
            raise Refusal(
                "unknown_version",
                f"The class has events 1 to {state.version}, not {version}.",
                field=f"versions[{index}]",
            )
    _check_rules(state, command, rulebook, now)
    return (event,)


def _check_rules(
    state: ClassState, command: ask.FileProtest, rulebook: RuleBook, now: datetime
) -> None:
    rules = rulebook.protests
    rule = f"{rulebook.id} {rulebook.edition}, protests"
    if rules is None:
        raise Refusal(
            "no_protest_rules",
            f"The rule book {rulebook.title} says nothing of protests; ask the steward.",
            field="ground",
            rule=rule,
        )
    ground = next((known for known in rules.grounds if known.code == command.ground), None)
    if ground is None:
        known = ", ".join(each.code for each in rules.grounds)
        raise Refusal(
            "unknown_ground",
            f"The rule book has no ground named {command.ground}; it has: {known}.",
            field="ground",
            rule=rule,
        )
    if not ground.protestable:
        raise Refusal(
            "ground_not_protestable",
            f"This may not be protested: {ground.wording}.",
            field="ground",
            rule=f"{rule}, {ground.code} ({ground.source})",
            ground=ground.code,
        )
    if state.protests_until is not None and now > state.protests_until:
        raise Refusal(
            "protest_late",
            f"Protests were taken in until {state.protests_until.astimezone(UTC):%Y-%m-%d %H:%M} "
            "UTC.",
            rule=f"{rule}, minutes ({rules.source})",
            until=state.protests_until.isoformat(),
        )
    if rules.fee is not None and not command.fee_paid:
        raise Refusal(
            "protest_fee_unpaid",
            f"A protest comes with a fee of {rules.fee}.",
            field="fee_paid",
            rule=f"{rule}, fee ({rules.source})",
        )


def withdraw_protest(state: ClassState, command: ask.WithdrawProtest) -> tuple[Event, ...]:
    """A protest is taken back while it waits for a ruling."""
    protest = protest_of(state, command.protest)
    if protest.withdrawn is not None:
        return ()
    if protest.ruled is not None:
        raise Refusal("protest_settled", "The protest has been ruled on.", field="protest")
    return (happened.ProtestWithdrawn(protest=command.protest),)


def rule_protest(
    state: ClassState, command: ask.RuleProtest, rulebook: RuleBook
) -> tuple[Event, ...]:
    """A protest that waits is upheld or denied, once; its fee goes back as the rule book says."""
    protest = protest_of(state, command.protest)
    if protest.ruled is not None and protest.ruled.event.verdict == command.verdict:
        return ()
    if not protest.is_open:
        raise Refusal(
            "protest_settled",
            "The protest has been withdrawn or ruled on.",
            field="protest",
        )
    rules = rulebook.protests
    return (
        happened.ProtestRuled(
            protest=command.protest,
            verdict=command.verdict,
            reason=command.reason,
            fee_returned=protest.filed.event.fee_paid
            and command.verdict == "upheld"
            and rules is not None
            and rules.fee_returned,
        ),
    )
