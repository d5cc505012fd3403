"""Decisions about the awards of a show, and about ties that only a coin or lots can settle."""

from hashlib import sha256

from events.awards.check import check_rules
from events.envelope import Event
from events.refusals import Refusal
from events.show import commands as ask
from events.show import events as happened
from events.show.state import ShowState


def define_award(state: ShowState, command: ask.DefineAward) -> tuple[Event, ...]:
    """An award of a show is reckoned over the show alone, for everybody who shows."""
    rules = command.rules
    check_rules(rules)
    for field in ("minimum_shows", "members_only"):
        if getattr(rules, field):
            raise Refusal(
                "not_of_one_show",
                "An award of a show is reckoned over that show, and knows no members.",
                field=f"rules.{field}",
            )
    known = state.awards.get(rules.award)
    if known == rules:
        return ()
    if known is not None and command.reason is None:
        raise Refusal(
            "reason_missing",
            f"The award {known.name} is defined already; changing it takes a reason.",
            field="reason",
        )
    return (happened.ShowAwardDefined(rules=rules, reason=command.reason),)


def drop_award(state: ShowState, command: ask.DropAward) -> tuple[Event, ...]:
    """What is not reckoned is not reckoned already."""
    if command.award not in state.awards:
        return ()
    return (happened.ShowAwardDropped(award=command.award, reason=command.reason),)


def settle_tie(state: ShowState, command: ask.SettleTie) -> tuple[Event, ...]:
    """A tie is settled by what happened outside, or by lots that anybody can draw again."""
    if command.award not in state.awards:
        raise Refusal(
            "unknown_award", f"The show has no award {command.award}.", award=command.award
        )
    if sorted(command.order) != sorted(each.carrier for each in command.basis):
        raise Refusal(
            "not_a_tie",
            "A tie is settled between all those who share one place of the award.",
            field="order",
        )
    event = happened.AwardTieSettled(
        award=command.award,
        order=_order(command),
        by=command.by,
        basis=tuple(sorted(command.basis, key=lambda each: each.carrier)),
        seed=command.seed,
        reason=command.reason,
    )
    between = [
        each.event
        for each in state.settled(command.award)
        if set(each.event.order) == set(event.order)
    ]
    stands = between[-1] if between and between[-1].basis == event.basis else None
    if stands is not None and _same(stands, event):
        return ()
    if event.reason is None and (stands is not None or event.by == "coin"):
        raise Refusal(
            "reason_missing",
            "This tie is settled already; settling it again takes a reason."
            if stands is not None
            else "Say who tossed the coin, and before whom.",
            field="reason",
        )
    return (event,)


def withdraw_settlement(state: ShowState, command: ask.WithdrawSettlement) -> tuple[Event, ...]:
    """Only what settled a tie can be taken back."""
    known = {each.version: each for each in state.settlements.get(command.award, ())}
    settlement = known.get(command.settlement)
    if settlement is None:
        raise Refusal(
            "unknown_settlement",
            f"Event {command.settlement} of the show settled no tie of the award {command.award}.",
            field="settlement",
        )
    if settlement.withdrawn:
        return ()
    return (
        happened.AwardSettlementWithdrawn(
            award=command.award, settlement=command.settlement, reason=command.reason
        ),
    )


def lot(seed: str, carrier: str) -> str:
    """The lot of a carrier: the SHA-256 of ``seed:carrier`` in UTF-8, as hexadecimal."""
    return sha256(f"{seed}:{carrier}".encode()).hexdigest()


def _order(command: ask.SettleTie) -> tuple[str, ...]:
    if command.by == "coin":
        if command.seed is not None:
            raise Refusal("seed_without_lots", "A coin has no seed.", field="seed")
        return command.order
    if not (command.seed or "").strip():
        raise Refusal(
            "seed_missing",
            "Lots are drawn from a seed, so that anybody can draw them again.",
            field="seed",
        )
    return tuple(sorted(command.order, key=lambda carrier: lot(command.seed or "", carrier)))


def _same(one: happened.AwardTieSettled, other: happened.AwardTieSettled) -> bool:
    return (one.order, one.by, one.seed) == (other.order, other.by, other.seed)
