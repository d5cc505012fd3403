"""What is put right or changed in a class that was set up. The tags never change."""

from datetime import date

from events.envelope import Event, TextRef
from events.half_points import HalfPoints
from events.judged_class.card_events import Authority
from events.rulebook.model import PanelChoice


class ClassCancelled(Event, frozen=True, kw_only=True, tag="class.cancelled"):
    """The class is not held; its entries and its cards stay in the log and come to nothing."""

    reason: TextRef


class CancellationLifted(Event, frozen=True, kw_only=True, tag="class.cancellation_lifted"):
    """A class that had been cancelled is held after all, and goes on where it was."""

    reason: TextRef


class ClassCombined(Event, frozen=True, kw_only=True, tag="class.combined"):
    """The entries of another class were taken into this one, each class a division of its own.

    The entries that were here before ride in ``own_division``, those taken over in ``division``;
    ``both`` names those here that had been entered in both.
    """

    other: str
    division: str
    own_division: str
    reason: TextRef
    both: tuple[str, ...] = ()


class CombinedInto(Event, frozen=True, kw_only=True, tag="class.combined_into"):
    """The class is held within another one, which has taken its entries over."""

    into: str
    reason: TextRef


class ClassRescheduled(Event, frozen=True, kw_only=True, tag="class.rescheduled"):
    """The class was renamed, renumbered, or moved to another ring or day; all four as they are."""

    name: str
    reason: TextRef
    number: int | None = None
    ring: str | None = None
    day: date | None = None


class PanelChanged(Event, frozen=True, kw_only=True, tag="class.panel_changed"):
    """The judges are combined in another way; without ``panel`` as the rule book says."""

    reason: TextRef
    panel: PanelChoice | None = None


class JudgeUnseated(Event, frozen=True, kw_only=True, tag="class.judge_unseated"):
    """A seat was given up before anything stood on its card."""

    seat: str
    reason: TextRef


class JudgeReplaced(Event, frozen=True, kw_only=True, tag="class.judge_replaced"):
    """From here on another judge fills the seat's card; what stood on it stands."""

    seat: str
    judge: str
    reason: TextRef


class SeatClosed(Event, frozen=True, kw_only=True, tag="class.seat_closed"):
    """A judge could not go on: the card is kept as it was, and the panel goes on without it.

    ``panel`` is how the others are combined from here on, where that had to change.
    """

    seat: str
    reason: TextRef
    panel: PanelChoice | None = None


class EntryReadmitted(Event, frozen=True, kw_only=True, tag="class.entry_readmitted"):
    """An entry that was wrongly turned away at the gate, or excused, stands as it did before."""

    entry: str
    reason: TextRef
    authority: Authority | None = None
    protest: str | None = None


class EntryReinstated(Event, frozen=True, kw_only=True, tag="class.entry_reinstated"):
    """A scratch was undone: the entry runs, and counts in the class size, as before.

    ``office_error`` says that the office had scratched it by mistake.
    """

    entry: str
    reason: TextRef
    office_error: bool = False


class CarriedTotalSet(Event, frozen=True, kw_only=True, tag="class.carried_total_set"):
    """The total that an entry brings from the round before is another one than it was entered with.

    So it is after a correction in that round.
    """

    entry: str
    carried: HalfPoints
