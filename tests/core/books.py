"""Small rule books made for the tests, and the shipped western horsemanship one."""

from functools import cache
from importlib.resources import files

import msgspec

from events.half_points import HalfPoints
from events.rulebook.load import load_toml
from events.rulebook.model import (
    FaultCode,
    GradedPenalty,
    MarkCap,
    MarkRange,
    OutcomeKind,
    OutcomeRule,
    PanelRule,
    Penalty,
    ProtestGround,
    ProtestRule,
    RailRule,
    RiderMark,
    RuleBook,
    Scale,
    TieStep,
    TieStepName,
)

SOURCE = "made for the tests"


@cache
def shipped(book_id: str) -> RuleBook:
    """A rule book that ships with the project."""
    text = files("events.rulebook").joinpath("books", f"{book_id}.toml").read_text("utf-8")
    return load_toml(text)


def tie(step: TieStepName, *, maneuver: str | None = None, places: int | None = None) -> TieStep:
    return TieStep(step=step, maneuver=maneuver, places=places, source=SOURCE)


def rail(role: str, *, crosses_outcomes: bool = False) -> RailRule:
    return msgspec.convert(
        {"role": role, "crosses_outcomes": crosses_outcomes, "source": SOURCE}, RailRule
    )


def outcome(kind: OutcomeKind, placing: str, total: str, size: bool, tier: int = 1) -> OutcomeRule:
    return msgspec.convert(
        {
            "kind": kind,
            "placing": placing,
            "total": total,
            "in_class_size": size,
            "wording": kind.replace("_", " "),
            "tier": tier,
            "source": SOURCE,
        },
        OutcomeRule,
    )


OUTCOMES = (
    outcome("off_pattern", "below", "kept", True),
    outcome("severe_fault", "below", "kept", True, tier=2),
    outcome("zero", "below", "zero", True, tier=3),
    outcome("disqualified", "unplaced", "none", True),
    outcome("excused", "unplaced", "none", True),
    outcome("missed_gate", "unplaced", "none", False),
)
"""Every outcome but ``no_score``, so that one is left that the book does not know."""

SCALE = Scale(
    base=140,
    mark=MarkRange(lowest=-6, highest=6, step=1, source=SOURCE),
    rider_mark=RiderMark(name="Form", lowest=0, highest=10, step=1, source=SOURCE),
    source=SOURCE,
)

SMALL = RuleBook(
    id="small",
    edition="1",
    title="Small",
    notice="For tests only.",
    scale=SCALE,
    rail=rail("adjusts"),
    panel=PanelRule(method="separate", source=SOURCE),
    outcomes=OUTCOMES,
    penalties=(
        Penalty(code="tick", points=6, wording="Cone ticked", source=SOURCE),
        Penalty(code="stop-late", points=10, wording="Stopped late", source=SOURCE),
    ),
    graded_penalties=(
        GradedPenalty(
            code="rough", lowest=2, highest=8, step=2, wording="Rough hands", source=SOURCE
        ),
    ),
    caps=(MarkCap(code="simple-change", highest=0, wording="Simple change", source=SOURCE),),
    ties=(tie("rail_work"), tie("judges_decision")),
    faults=(FaultCode(code="eyes-down", part="head", wording="Looking down", source=SOURCE),),
    protests=ProtestRule(
        grounds=(
            ProtestGround(code="sums", protestable=True, wording="Arithmetic", source=SOURCE),
            ProtestGround(
                code="opinion", protestable=False, wording="A judge's opinion", source=SOURCE
            ),
        ),
        minutes=30,
        fee="50 dollars",
        source=SOURCE,
    ),
)
"""70 is average, marks -3 to +3 and a rider mark 0 to 5 by half points, rail work adjusts."""


def small(**changes: object) -> RuleBook:
    """``SMALL`` with some of its parts changed."""
    return msgspec.structs.replace(SMALL, **changes)


def bounded(floor: HalfPoints | None, ceiling: HalfPoints | None) -> RuleBook:
    """``SMALL`` with a floor and a ceiling to its totals."""
    return small(scale=msgspec.structs.replace(SCALE, floor=floor, ceiling=ceiling))


NO_RIDER_MARK = small(scale=msgspec.structs.replace(SCALE, rider_mark=None))
TIES_ONLY = small(
    rail=rail("ties"), ties=(tie("rail_work"), tie("run_off"), tie("judges_decision"))
)
NO_RAIL = small(rail=rail("none"), ties=(tie("judges_decision"),))
CROSSING = small(rail=rail("adjusts", crosses_outcomes=True))
NO_PROTESTS = small(protests=None)
PLACED = small(judging="placed", rail=rail("none"), ties=())
TIMED = small(judging="timed", rail=rail("none"), ties=(tie("run_off"),))
SUMMED = small(panel=PanelRule(method="sum", source=SOURCE))
