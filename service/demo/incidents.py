"""What happens in a class besides its rides, as it was dealt to it."""

import random
from collections.abc import Iterator, Sequence
from datetime import time, timedelta
from typing import NamedTuple

import msgspec

from events.rulebook.model import RuleBook
from service.demo import happenings as then
from service.demo.happenings import Happening
from service.demo.scenario import ClassStory, Observed, Outcome, Penalty, Ride

OFFICIAL_AFTER = timedelta(minutes=31)
"""Protests are taken in for half an hour."""


class Says(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is dealt to the classes in turn, and the reasons that are given."""

    deal: tuple[str, ...]
    scratch: tuple[str, ...]
    reinstated: tuple[str, ...]
    readmitted: tuple[str, ...]
    change_of_horse: tuple[str, ...]
    excused: tuple[str, ...]
    ride_again: tuple[str, ...]
    outcome: tuple[str, ...]
    disqualified: tuple[str, ...]
    office_error: tuple[str, ...]
    card_given_back: tuple[str, ...]
    denied: tuple[str, ...]
    upheld: tuple[str, ...]
    statement: tuple[str, ...]
    rail: tuple[str, ...]
    tie: tuple[str, ...]


CORRECTED = frozenset({"office error", "official error", "upheld"})
"""What ends in a penalty that is corrected; no order of the judge is set beforehand."""

_ELSEWHERE = frozenset({"disqualified", "excused", "missed_gate", "no_time"})
"""Outcomes that come from the gate or the clock, or are dealt by themselves."""

_IN_FEW_BOOKS = frozenset({"severe_fault", "no_score"})
"""Outcomes that are called where there is a rule for them, so that the show has some."""

ANY_CLASS = frozenset(
    {
        "scratch",
        "reinstated",
        "late entry",
        "missed gate",
        "readmitted",
        "change of horse",
        "denied",
    }
)


class Slip(NamedTuple):
    """The penalty that a correction is about."""

    seat: str
    back: int
    maneuver: int


class Protester(NamedTuple):
    """Who would protest, under which back number."""

    back: int
    rider: str


def fitting(incident: str, story: ClassStory, book: RuleBook, *, plain: bool) -> str:
    """The incident, or nothing where it cannot happen; ``plain`` says that one judge scores it."""
    if not incident or incident in ANY_CLASS:
        return incident
    if incident == "wrong line" and plain and book.judging == "timed":
        return incident
    if not plain or book.judging != "scored":
        return ""
    if incident in CORRECTED | {"withdrawn penalty"} and not book.penalties:
        return ""
    if incident == "fault" and not book.faults:
        return ""
    if incident == "ride again" and story.on_paper:
        return ""
    return incident


def before(
    incident: str, lot: random.Random, says: Says, story: ClassStory, others: Sequence[int]
) -> Iterator[Happening]:
    """What happens before the first ride; ``others`` carry back numbers and are not entered."""
    early = (story.begins - timedelta(minutes=50)).time()
    if incident in {"scratch", "reinstated"}:
        back, reason = lot.choice(story.entries), lot.choice(says.scratch)
        yield then.Scratch(at=early, back=back, reason=reason)
        if incident == "reinstated":
            yield then.Reinstate(at=early, back=back, reason=lot.choice(says.reinstated))
    if incident == "change of horse":
        yield then.ChangeHorse(
            at=early,
            back=lot.choice(story.entries),
            horse_of=lot.choice(others),
            reason=lot.choice(says.change_of_horse),
        )


def on_a_ride(
    incident: str, lot: random.Random, says: Says, ride: Ride, book: RuleBook, another: int
) -> Ride:
    """The ride as it went with the incident; ``another`` is a back number that goes later."""
    last = len(ride.marks)
    changed = msgspec.structs.replace
    match incident:
        case "outcome" | "disqualified" | "lifted outcome":
            return changed(ride, outcome=_outcome(incident, lot, says, book, last))
        case "excused":
            half = max(1, last // 2)
            return Ride(
                marks=ride.marks[:half],
                penalties=tuple(each for each in ride.penalties if each.maneuver <= half),
                excused=lot.choice(says.excused),
            )
        case "withdrawn penalty":
            called = Penalty(maneuver=last, code=lot.choice(book.penalties).code, withdrawn=True)
            return changed(ride, penalties=(*ride.penalties, called))
        case "wrong line":
            noted = tuple(Observed(maneuver=1, code=each.code) for each in book.faults[:1])
            return changed(ride, observed=noted, for_another=another)
        case "ride again":
            return changed(ride, again=lot.choice(says.ride_again))
        case "fault":
            seen = Observed(maneuver=lot.randint(1, last), code=lot.choice(book.faults).code)
            return changed(ride, observed=(seen,))
        case _:
            return ride


def slipped(lot: random.Random, ride: Ride, book: RuleBook) -> tuple[Ride, int]:
    """The ride with one penalty that will be corrected, and the maneuver that it stands at."""
    maneuver = lot.randint(1, len(ride.marks))
    others = tuple(each for each in ride.penalties if each.maneuver != maneuver)
    called = Penalty(maneuver=maneuver, code=book.penalties[0].code)
    return msgspec.structs.replace(ride, penalties=(*others, called)), maneuver


def afterwards(
    incident: str,
    says: Says,
    story: ClassStory,
    slip: Slip | None,
    protester: Protester,
    lot: random.Random,
) -> Iterator[Happening]:
    """From the signatures to the results that are official; ``story`` holds the rides."""
    clock = _Clock(story)
    for seat in story.seats:
        signer = "office" if story.on_paper else seat
        yield then.Sign(at=clock.on(1), by=signer, seat=seat)
    if incident == "card given back":
        seat = next(iter(story.judges))
        reason = lot.choice(says.card_given_back)
        yield then.GiveCardBack(at=clock.on(1), seat=seat, reason=reason)
        yield then.Sign(at=clock.on(2), by="office" if story.on_paper else seat, seat=seat)
    if incident == "office error" and slip is not None:
        yield _corrected(clock.on(1), slip, lot.choice(says.office_error))
    yield then.Post(at=clock.on(2))
    if incident in {"denied", "withdrawn protest", "upheld"}:
        yield from _protested(incident, says, slip, protester, lot, clock)
    yield then.MakeOfficial(at=clock.on(31))
    if incident == "official error" and slip is not None:
        reason = lot.choice(says.office_error)
        yield then.Reopen(at=clock.on(20), reason=reason)
        yield _corrected(clock.on(1), slip, reason)
        yield then.Post(at=clock.on(1))
        yield then.MakeOfficial(at=clock.on(31))


class _Clock:
    """Counts on from the end of the last ride."""

    def __init__(self, story: ClassStory) -> None:
        rides = max(len(story.gate_calls), 5)
        self._now = story.begins + timedelta(seconds=rides * story.seconds_a_ride, minutes=2)
        if story.on_paper:
            self._now += timedelta(seconds=60 * rides)

    def on(self, minutes: int) -> time:
        """So many minutes later."""
        self._now += timedelta(minutes=minutes)
        return self._now.time()


def _protested(
    incident: str,
    says: Says,
    slip: Slip | None,
    protester: Protester,
    lot: random.Random,
    clock: _Clock,
) -> Iterator[Happening]:
    protest = f"protest-{protester.back}"
    yield then.FileProtest(
        at=clock.on(6),
        protest=protest,
        filed_by=protester.rider,
        back=protester.back,
        ground="rule-application",
        statement=lot.choice(says.statement),
    )
    if incident == "withdrawn protest":
        yield then.WithdrawProtest(at=clock.on(9), protest=protest)
    elif incident == "denied":
        reason = lot.choice(says.denied)
        yield then.Deny(at=clock.on(12), by="steward", protest=protest, reason=reason)
    elif slip is not None:
        reason = lot.choice(says.upheld)
        yield then.Uphold(at=clock.on(12), by="steward", protest=protest, reason=reason)
        yield _corrected(clock.on(1), slip, reason, protest)
        yield then.Post(at=clock.on(2))


def _corrected(
    at: time, slip: Slip, reason: str, protest: str | None = None
) -> then.CorrectPenalty:
    return then.CorrectPenalty(
        at=at,
        by="steward" if protest else "office",
        seat=slip.seat,
        back=slip.back,
        maneuver=slip.maneuver,
        authority="ruling" if protest else "office_error",
        protest=protest,
        reason=reason,
    )


def _outcome(incident: str, lot: random.Random, says: Says, book: RuleBook, last: int) -> Outcome:
    if incident == "disqualified":
        return Outcome(kind="disqualified", reason=lot.choice(says.disqualified))
    kinds = [each.kind for each in book.outcomes if each.kind not in _ELSEWHERE]
    rare = [each for each in kinds if each in _IN_FEW_BOOKS]
    return Outcome(
        kind=lot.choice(rare or kinds or ["disqualified"]),
        maneuver=lot.randint(1, last),
        reason=lot.choice(says.outcome),
        lifted=incident == "lifted outcome",
    )
