"""The total of one ride on one card."""

from typing import Literal

import msgspec

from events.half_points import HalfPoints
from events.rulebook.model import OutcomeKind, RuleBook, Scale

Missing = int | Literal["pattern", "rider_mark", "time", "placing"]


class RideFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What a card says of one ride: a mark for each maneuver, ``None`` where there is none.

    ``carried`` is the total brought from an earlier round.
    """

    marks: tuple[HalfPoints | None, ...]
    penalties: tuple[HalfPoints, ...] = ()
    rider_mark: HalfPoints | None = None
    outcome: OutcomeKind | None = None
    carried: HalfPoints = 0


class RideScore(msgspec.Struct, frozen=True, kw_only=True):
    """What one ride comes to.

    ``tier`` is 0 for a complete run, 1 and up for rides placed below them, ``None`` for a ride that
    takes no place. ``total`` is ``None`` while marks are missing or when the outcome leaves none.
    ``missing`` names the maneuvers (from 1) that still want a mark, ``"rider_mark"``, or the
    ``"pattern"`` while no maneuver is known that could be marked; in classes without scores the
    ``"time"`` or the ``"placing"``. ``milliseconds`` is the time with its penalties in a timed
    class, ``judged`` the place a judge gave in a placed one.
    """

    total: HalfPoints | None
    tier: int | None
    outcome: OutcomeKind | None
    missing: tuple[Missing, ...]
    marks: tuple[HalfPoints | None, ...]
    penalty_points: HalfPoints
    rider_mark: HalfPoints | None
    milliseconds: int | None = None
    judged: int | None = None

    @property
    def rank(self) -> int:
        """What the ride is ranked by, least first: its time, its judged place, or its total."""
        if self.milliseconds is not None:
            return self.milliseconds
        return self.judged if self.judged is not None else -(self.total or 0)

    @property
    def complete(self) -> bool:
        """Whether nothing is missing that this ride needs."""
        return not self.missing

    @property
    def placed(self) -> bool:
        """Whether the ride takes part in the placing."""
        return self.tier is not None and self.complete


def total_of(scale: Scale, facts: RideFacts) -> HalfPoints:
    """Base + marks + rider mark - penalties, kept between floor and ceiling, + what was carried.

    Missing marks add nothing: ask ``score`` whether the ride is complete. Common practice in
    western horsemanship; marks and penalties are independent of each other.
    """
    given = sum(filter(None, facts.marks))
    total = scale.base + given + (facts.rider_mark or 0) - sum(facts.penalties)
    if scale.floor is not None:
        total = max(total, scale.floor)
    if scale.ceiling is not None:
        total = min(total, scale.ceiling)
    return total + facts.carried


def score(book: RuleBook, facts: RideFacts) -> RideScore:
    """The ride's total and standing under the book.

    An outcome that the book does not know leaves the ride without total and place, so that a log
    can always be read.
    """
    rule = book.outcome(facts.outcome) if facts.outcome else None
    if facts.outcome and (rule is None or rule.total != "kept"):
        total = 0 if rule is not None and rule.total == "zero" else None
        missing: tuple[Missing, ...] = ()
    else:
        missing = _missing(book.scale, facts)
        total = None if missing else total_of(book.scale, facts)
    return RideScore(
        total=total,
        tier=tier_of(book, facts.outcome),
        outcome=facts.outcome,
        missing=missing,
        marks=facts.marks,
        penalty_points=sum(facts.penalties),
        rider_mark=facts.rider_mark,
    )


def timed(book: RuleBook, milliseconds: int | None, outcome: OutcomeKind | None) -> RideScore:
    """A ride against the clock: least time first, ``milliseconds`` with its penalty time."""
    missing: tuple[Missing, ...] = ("time",) if milliseconds is None and outcome is None else ()
    return _without_marks(book, outcome, missing, milliseconds=milliseconds)


def judged(
    book: RuleBook, place: int | None, outcome: OutcomeKind | None, *, finished: bool
) -> RideScore:
    """A ride that a judge placed; once the card is ``finished``, no place means none was given."""
    missing: tuple[Missing, ...] = () if finished or outcome is not None else ("placing",)
    ride = _without_marks(book, outcome, missing, judged=place)
    return ride if place is not None else msgspec.structs.replace(ride, tier=None)


def tier_of(book: RuleBook, outcome: OutcomeKind | None) -> int | None:
    """0 for a normal run, 1 and up below those, ``None`` for a run that takes no place."""
    if outcome is None:
        return 0
    rule = book.outcome(outcome)
    return rule.tier if rule is not None and rule.placing == "below" else None


def _without_marks(
    book: RuleBook,
    outcome: OutcomeKind | None,
    missing: tuple[Missing, ...],
    *,
    milliseconds: int | None = None,
    judged: int | None = None,
) -> RideScore:
    return RideScore(
        total=None,
        tier=tier_of(book, outcome),
        outcome=outcome,
        missing=missing,
        marks=(),
        penalty_points=0,
        rider_mark=None,
        milliseconds=milliseconds,
        judged=judged,
    )


def _missing(scale: Scale, facts: RideFacts) -> tuple[Missing, ...]:
    missing: list[Missing] = [] if facts.marks else ["pattern"]
    if None in facts.marks:
        missing += [number for number, mark in enumerate(facts.marks, start=1) if mark is None]
    if scale.rider_mark is not None and facts.rider_mark is None:
        missing.append("rider_mark")
    return tuple(missing)
