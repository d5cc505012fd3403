"""Decisions about results: posting them, making them official, opening them again."""

from datetime import UTC, datetime, timedelta

from events.envelope import Actor, Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_corrections import check_authority
from events.judged_class.decide_signing import refuse_incomplete, refuse_stale
from events.judged_class.panel import panel_result
from events.judged_class.state import Card, ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def post(state: ClassState, rulebook: RuleBook, now: datetime) -> tuple[Event, ...]:
    """Results are posted once every judge has signed a card on which no mark is missing.

    Posting them unchanged is so already.
    """
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
    for card in _judges(state):  # an entry taken after the signature, or a mark struck out
        refuse_incomplete(state, card, rulebook, field=None)
    _refuse_unfinished_panel(state, rulebook)
    minutes = rulebook.protests.minutes if rulebook.protests else None
    until = None if minutes is None else now + timedelta(minutes=minutes)
    return (happened.ResultsPosted(revision=state.revision + 1, protests_until=until),)


def _refuse_unfinished_panel(state: ClassState, rulebook: RuleBook) -> None:
    panel = panel_result(state, rulebook)
    left = ", ".join(seat for seat, _ in panel.unfinished)
    why = panel.unfit or (f"seat {left} has not finished." if left else None)
    if why is not None:
        raise Refusal(
            "panel_unfit",
            f"The judges' cards cannot be combined: {why}",
            rule=f"{rulebook.id} {rulebook.edition}, panel",
        )


def make_official(
    state: ClassState, command: ask.MakeOfficial, rulebook: RuleBook, now: datetime, actor: Actor
) -> tuple[Event, ...]:
    """Posted results become official when nothing is stale, changed since, or under protest.

    Before the time for protests is over it takes a reason, of somebody whom the rule book lets.
    """
    if state.phase == "official":
        return ()
    for card in _judges(state):
        refuse_stale(state, card, rulebook, field=None)
    refuse_outdated(state, "what becomes official is what was posted")
    waiting = tuple(name for name, protest in state.protests.items() if protest.is_open)
    if waiting:
        raise Refusal(
            "protest_open",
            "A protest waits for a ruling.",
            rule="results become official once every protest is settled",
            protests=waiting,
        )
    until = state.protests_until
    if until is None or now >= until:
        return (happened.ResultsMadeOfficial(revision=state.revision),)
    _check_early(command, rulebook, until, actor)
    return (happened.ResultsMadeOfficial(revision=state.revision, reason=command.reason),)


def _check_early(
    command: ask.MakeOfficial, rulebook: RuleBook, until: datetime, actor: Actor
) -> None:
    rules = rulebook.protests
    early = rules.early if rules is not None else "office"
    rule = f"{rulebook.id} {rulebook.edition}, protests, early"
    closes = f"Protests are taken in until {until.astimezone(UTC):%Y-%m-%d %H:%M} UTC"
    if early == "nobody" or (early == "steward" and actor.role != "steward"):
        who = "nobody may" if early == "nobody" else "only the steward may"
        raise Refusal(
            "protests_not_over",
            f"{closes}, and {who} make results official before.",
            rule=rule,
            until=until.isoformat(),
        )
    if command.reason is None:
        raise Refusal(
            "protests_not_over",
            f"{closes}: wait, or say why nobody can protest any more.",
            field="reason",
            rule=rule,
            until=until.isoformat(),
        )


def refuse_outdated(state: ClassState, rule: str) -> None:
    """Refuse to go on from results that something has changed since they were posted."""
    if state.changed_at > state.posted_at:
        raise Refusal(
            "posting_out_of_date",
            "Something changed since results were posted; post them again first.",
            rule=rule,
            revision=state.revision,
        )


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
