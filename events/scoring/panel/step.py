"""One comparison that a place on a panel's placing rests on."""

from fractions import Fraction
from typing import Literal

import msgspec

StepName = Literal[
    "outcome",
    "figure",
    "majority",
    "majority_size",
    "majority_total",
    "next_place",
    "best_rounds",
    "all_rounds",
    "call_judge",
    "run_off",
]


class Step(msgspec.Struct, frozen=True, kw_only=True):
    """What an entry is compared by at one step: the lower ``key`` stands before the higher."""

    name: StepName
    key: Fraction
    says: str
