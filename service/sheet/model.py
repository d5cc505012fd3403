"""What a score sheet says, once it could be read; every part knows where it stands in the file."""

import msgspec

from events.half_points import HalfPoints
from events.judged_class.events import OrderBy
from events.rulebook.model import Judging, OutcomeKind, PanelChoice
from events.scoring.payout import OddCents, Unfilled
from events.scoring.points.model import PointsTable
from service.sheet.faults import Path


class _Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    path: Path


class SheetEntry(_Part, frozen=True, kw_only=True):
    """An entry by its working-order number, as text, and its back number."""

    entry: str
    back_number: int
    scratched: bool = False
    divisions: tuple[str, ...] = ()
    section: int | None = None


class SheetMark(_Part, frozen=True, kw_only=True):
    """The mark of one maneuver; ``performed`` names the lesser way it was done in, if it was."""

    maneuver: int
    mark: HalfPoints
    performed: str | None = None


class SheetPenalty(_Part, frozen=True, kw_only=True):
    """A penalty by code, by size, or by both, and how often it was called."""

    maneuver: int | None = None
    points: HalfPoints | None = None
    code: str | None = None
    count: int = 1


class SheetOutcome(_Part, frozen=True, kw_only=True):
    """What a ride was called instead of a normal score."""

    kind: OutcomeKind
    maneuver: int | None = None
    reason: str | None = None


class SheetObservation(_Part, frozen=True, kw_only=True):
    """A fault of position or performance that the judge noted."""

    code: str
    maneuver: int | None = None
    note: str | None = None


class SheetRide(_Part, frozen=True, kw_only=True):
    """One ride on one card; a maneuver without a mark has not been marked yet."""

    entry: str
    back_number: int | None = None
    marks: tuple[SheetMark, ...] = ()
    rider_mark: HalfPoints | None = None
    penalties: tuple[SheetPenalty, ...] = ()
    outcome: SheetOutcome | None = None
    observations: tuple[SheetObservation, ...] = ()


class SheetOrder(_Part, frozen=True, kw_only=True):
    """Entries in a judge's order, best first; ``by`` rail work where nothing else is given."""

    order: tuple[str, ...]
    by: OrderBy | None = None
    reason: str | None = None


class SheetTime(_Part, frozen=True, kw_only=True):
    """The time of one ride in milliseconds, or that it has none."""

    entry: str
    milliseconds: int | None = None
    penalty_milliseconds: int = 0
    no_time: bool = False


class SheetCard(_Part, frozen=True, kw_only=True):
    """One judge's card, or a learner's, which never counts.

    It scores ``rides``, or only places (``placed``, best first), or holds ``times``.
    """

    seat: str
    judging: Judging = "scored"
    learner: bool = False
    rides: tuple[SheetRide, ...] = ()
    rail: tuple[SheetOrder, ...] = ()
    placed: tuple[str, ...] = ()
    times: tuple[SheetTime, ...] = ()


class SheetPurse(_Part, frozen=True, kw_only=True):
    """A purse in cents, and the part of it for each place in per cent, as written.

    It is for one judge's placing, or else for that of all together; for a section, a division, or
    the class.
    """

    cents: int
    percentages: tuple[str, ...]
    odd_cents: OddCents = "kept"
    unfilled: Unfilled = "kept"
    seat: str | None = None
    division: str | None = None
    section: int | None = None


class Sheet(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A whole class: its pattern, its entries and its judges' cards."""

    maneuvers: tuple[str, ...]
    entries: tuple[SheetEntry, ...]
    cards: tuple[SheetCard, ...]
    panel: PanelChoice | None = None
    class_number: int | None = None
    cuts: tuple[int, ...] = ()
    points: PointsTable | None = None
    purse: SheetPurse | None = None

    @property
    def judging(self) -> Judging:
        """How the class is judged: as its judges' cards are."""
        judges = [card for card in self.cards if not card.learner] or [*self.cards]
        return judges[0].judging if judges else "scored"
