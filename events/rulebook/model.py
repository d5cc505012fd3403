"""The shape of a rule book; all points are whole half points.

A rule book is data, never code, because books differ between bodies and between years. Each rule
carries its ``source``: a publication, ``common practice``, or ``from memory``.
"""

from typing import Annotated, Literal

import msgspec

from events.half_points import HalfPoints

Count = Annotated[int, msgspec.Meta(ge=1)]
"""A whole number from 1 up: the one kind of number in a rule book that is not half points."""

Slug = Annotated[str, msgspec.Meta(pattern="^[a-z0-9]+(-[a-z0-9]+)*$")]
"""A short name that can be typed and read aloud, such as ``stop-late``."""

OutcomeKind = Literal[
    "off_pattern",
    "severe_fault",
    "zero",
    "no_score",
    "disqualified",
    "excused",
    "missed_gate",
    "no_time",
]
Judging = Literal["scored", "placed", "timed"]
"""How a class is judged: by marks around a base, by the judge's order alone, or by the clock."""

TieStepName = Literal[
    "rail_work",
    "rider_mark",
    "fewest_penalty_points",
    "named_maneuver",
    "call_judge",
    "run_off",
    "judges_decision",
]
PanelMethod = Literal[
    "separate",
    "sum",
    "mean",
    "drop_high_low_sum",
    "placing_values",
    "weighted",
    "majority",
]


class _Rule(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Anything in a rule book that has a source."""

    source: str


class MarkWord(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The word that the trade has for a mark, e.g. ``very good`` for +2."""

    mark: HalfPoints
    word: str


class MarkRange(_Rule, frozen=True, kw_only=True):
    """The marks a judge may give: from ``lowest`` to ``highest`` in steps of ``step``."""

    lowest: HalfPoints
    highest: HalfPoints
    step: HalfPoints
    words: tuple[MarkWord, ...] = ()

    def holds(self, mark: HalfPoints) -> bool:
        """Whether ``mark`` is one of the range's values."""
        return self.lowest <= mark <= self.highest and (mark - self.lowest) % self.step == 0

    def word_for(self, mark: HalfPoints) -> str | None:
        """The word for ``mark``, or for the nearest worded mark below it; ``None`` below all."""
        below = [entry for entry in self.words if entry.mark <= mark]
        return max(below, key=lambda entry: entry.mark).word if below else None


class RiderMark(MarkRange, frozen=True, kw_only=True):
    """A mark added once a ride for the rider, such as form and effectiveness."""

    name: str


class Band(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The word for every total from ``lowest`` up to the next band."""

    lowest: HalfPoints
    word: str


class Scale(_Rule, frozen=True, kw_only=True):
    """Where a score starts, what is added for each maneuver, and between which bounds it stays.

    ``bands`` are the words that some books have for totals.
    """

    base: HalfPoints
    mark: MarkRange
    rider_mark: RiderMark | None = None
    floor: HalfPoints | None = None
    ceiling: HalfPoints | None = None
    bands: tuple[Band, ...] = ()

    def band_for(self, total: HalfPoints) -> str | None:
        """The word for ``total``; ``None`` where the book has none."""
        reached = [band for band in self.bands if band.lowest <= total]
        return max(reached, key=lambda band: band.lowest).word if reached else None


class Penalty(_Rule, frozen=True, kw_only=True):
    """Points taken off for each occurrence of a fault."""

    code: Slug
    points: HalfPoints
    wording: str


class GradedPenalty(_Rule, frozen=True, kw_only=True):
    """A fault for which the judge chooses the points between two bounds, each occurrence."""

    code: Slug
    lowest: HalfPoints
    highest: HalfPoints
    step: HalfPoints
    wording: str


class MarkCap(_Rule, frozen=True, kw_only=True):
    """The highest mark that a maneuver may earn when it was performed in a lesser way."""

    code: Slug
    highest: HalfPoints
    wording: str


class OutcomeRule(_Rule, frozen=True, kw_only=True):
    """What becomes of a ride that did not end in a normal score.

    ``placing``: ``below`` places it under every complete run, in the order of ``tier`` (1 stands
    directly under the complete runs); ``unplaced`` gives it no place. ``total``: ``kept`` shows
    and ranks by the marks, ``zero`` sets it to nought, ``none`` leaves the ride without one.
    ``in_class_size`` says whether the entry counts as shown.
    """

    kind: OutcomeKind
    placing: Literal["below", "unplaced"]
    total: Literal["kept", "zero", "none"]
    in_class_size: bool
    wording: str
    tier: Count = 1


class RailRule(_Rule, frozen=True, kw_only=True):
    """What rail work may do to the pattern scores.

    ``none``: nothing; ``ties``: part equal totals only; ``adjusts``: re-order the entries that a
    judge names inside the places they hold together. ``crosses_outcomes`` lets it lift an entry
    over the line between complete and other runs.
    """

    role: Literal["none", "ties", "adjusts"]
    crosses_outcomes: bool = False


class TieStep(_Rule, frozen=True, kw_only=True):
    """One step that may part equal totals; what no step parts shares the place.

    ``maneuver`` names the maneuver of a ``named_maneuver`` step; a pattern without it skips the
    step. ``places`` bounds the step to ties for that place or a better one (1: ties for first
    place only); without it the step parts any tie.
    """

    step: TieStepName
    maneuver: str | None = None
    places: Count | None = None


class PanelRule(_Rule, frozen=True, kw_only=True):
    """How the cards of several judges make one result; ``values`` are those of the places."""

    method: PanelMethod
    values: tuple[Count, ...] = ()


class DrawRule(_Rule, frozen=True, kw_only=True):
    """How a working order is drawn.

    ``late_entries`` go first, the last received first of all, or follow the draw. ``rider_apart``
    is how many others go between a rider's first and second ride, then second and third, and so on;
    ``horse_apart`` likewise. A class of more than ``split_above`` entries is split into sections.
    Whoever has not come after ``gate_calls`` calls has missed the gate.
    """

    late_entries: Literal["first_reversed", "last"] = "last"
    rider_apart: tuple[Count, ...] = ()
    horse_apart: tuple[Count, ...] = ()
    most_rides: Count | None = None
    split_above: Count | None = None
    gate_calls: Count | None = None


class FaultCode(_Rule, frozen=True, kw_only=True):
    """A fault of position or performance that a judge may note; it costs nothing by itself."""

    code: Slug
    part: str
    wording: str


class ProtestGround(_Rule, frozen=True, kw_only=True):
    """Something that exhibitors protest, and whether the book lets it be protested."""

    code: Slug
    protestable: bool
    wording: str


Early = Literal["office", "steward", "nobody"]


class ProtestRule(_Rule, frozen=True, kw_only=True):
    """How a protest is taken in.

    It is in time until ``minutes`` after a posting (``None``: no limit). ``fee`` is as the book
    words it (``None``: none); ``fee_returned`` says whether it goes back when upheld. Before the
    time is up results become official for a reason alone, if ``early`` lets whoever says it: the
    office or the steward, the steward alone, or nobody.
    """

    grounds: tuple[ProtestGround, ...]
    minutes: Count | None = None
    early: Early = "office"
    fee: str | None = None
    fee_returned: bool = True


NO_MARKS = Scale(
    base=0,
    mark=MarkRange(lowest=0, highest=0, step=1, source="the class is not scored"),
    source="the class is not scored",
)
"""The scale of a book whose classes are placed or timed: nothing is ever marked on it."""


class RuleBook(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Everything a class is judged by.

    ``id`` and ``edition`` name the book; its digest, taken over the content, is what a class is
    held to. ``notice`` tells its user to hold it against the handbook in force. Books are kept
    without their defaults, so a default in this file never changes.
    """

    id: Slug
    edition: Slug
    title: str
    notice: str
    rail: RailRule
    panel: PanelRule
    outcomes: tuple[OutcomeRule, ...]
    judging: Judging = "scored"
    scale: Scale = NO_MARKS
    penalties: tuple[Penalty, ...] = ()
    graded_penalties: tuple[GradedPenalty, ...] = ()
    caps: tuple[MarkCap, ...] = ()
    ties: tuple[TieStep, ...] = ()
    faults: tuple[FaultCode, ...] = ()
    protests: ProtestRule | None = None
    draw: DrawRule | None = None

    def penalty(self, code: str) -> Penalty | GradedPenalty | None:
        """The penalty of that code, fixed or graded."""
        rules: tuple[Penalty | GradedPenalty, ...] = (*self.penalties, *self.graded_penalties)
        return next((rule for rule in rules if rule.code == code), None)

    def allows_size(self, points: HalfPoints) -> bool:
        """Whether a penalty of this size is in the book, whatever its code."""
        return points in self.sizes

    @property
    def sizes(self) -> tuple[HalfPoints, ...]:
        """The sizes of all penalties of the book, the smallest first."""
        graded = (range(rule.lowest, rule.highest + 1, rule.step) for rule in self.graded_penalties)
        return tuple(sorted({rule.points for rule in self.penalties}.union(*graded)))

    def outcome(self, kind: str) -> OutcomeRule | None:
        """What the book says of an outcome; ``None`` when it does not know it."""
        return next((rule for rule in self.outcomes if rule.kind == kind), None)

    def cap(self, code: str) -> MarkCap | None:
        """The cap of that code."""
        return next((rule for rule in self.caps if rule.code == code), None)


class RuleBookRef(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The rule book that a class is held to; its content is kept once under the digest."""

    id: str
    edition: str
    digest: str


class SeatShare(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """How much one seat weighs on a weighted panel; ``weight`` is a decimal number as text."""

    seat: str
    weight: str


class TieSeats(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The seats whose cards part ties in classes of odd and of even number."""

    odd: str
    even: str


class PanelChoice(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """How the panel of one class is combined, where it is not left to the rule book."""

    method: PanelMethod
    values: tuple[int, ...] = ()
    weights: tuple[SeatShare, ...] = ()
    call_judges: tuple[str, ...] = ()
    tie_judge: TieSeats | None = None
