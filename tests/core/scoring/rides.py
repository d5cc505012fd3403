"""Rides and placings written down briefly."""

from collections.abc import Mapping, Sequence

from events.half_points import HalfPoints
from events.rulebook.model import OutcomeKind, RuleBook, TieStepName
from events.scoring.orders import Basis, JudgesOrder
from events.scoring.placing import place
from events.scoring.total import RideFacts, RideScore, score
from tests.core.books import SMALL


def facts(
    *marks: HalfPoints | None,
    rider: HalfPoints | None = 0,
    penalties: Sequence[HalfPoints] = (),
    outcome: OutcomeKind | None = None,
) -> RideFacts:
    return RideFacts(marks=marks, rider_mark=rider, penalties=tuple(penalties), outcome=outcome)


def scored(
    book: RuleBook = SMALL, **rides: RideFacts | HalfPoints | None
) -> Mapping[str, RideScore]:
    """Scores by entry; a bare number is a ride of one maneuver with that mark."""
    return {
        name: score(book, ride if isinstance(ride, RideFacts) else facts(ride))
        for name, ride in rides.items()
    }


def order(
    names: str, scores: Mapping[str, RideScore], by: TieStepName = "rail_work"
) -> JudgesOrder:
    """The entries named, in that order, on what they now stand at."""
    return JudgesOrder(
        order_id=f"{by} {names}",
        by=by,
        order=tuple(names.split()),
        basis=tuple(
            Basis(entry=name, total=scores[name].total, outcome=scores[name].outcome)
            for name in names.split()
        ),
    )


def placing(
    book: RuleBook,
    scores: Mapping[str, RideScore],
    *orders: JudgesOrder,
    maneuvers: Sequence[str] = ("Walk",),
) -> str:
    """The placing as people write it: ``1 A, 2= B, 2= C, - D``."""
    return ", ".join(
        f"{row.place or '-'}{'=' if row.tied else ''} {row.entry}"
        for row in place(book, scores, orders, maneuvers)
    )
