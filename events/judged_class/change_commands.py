"""What may be asked to put right, or to change, of a class that was set up."""

from datetime import date

from events.envelope import Command, TextRef
from events.half_points import HalfPoints
from events.judged_class.events import Authority
from events.judged_class.naming import EntryRef
from events.rulebook.model import PanelChoice


class CancelClass(Command, frozen=True, kw_only=True):
    """Cancel the class, for a reason."""

    reason: TextRef


class LiftCancellation(Command, frozen=True, kw_only=True):
    """Hold a cancelled class after all."""

    reason: TextRef


class CombineClass(Command, frozen=True, kw_only=True):
    """Take the entries of another class into this one, each class a division of its own.

    ``both`` names the entries here that had been entered in both.
    """

    other: str
    division: str
    own_division: str
    reason: TextRef
    both: tuple[str, ...] = ()


class CombineInto(Command, frozen=True, kw_only=True):
    """Give the entries of this class over to another, which has taken them."""

    into: str
    reason: TextRef


class RescheduleClass(Command, frozen=True, kw_only=True):
    """Rename or renumber the class, or move it to another ring or day, for a reason."""

    name: str
    reason: TextRef
    number: int | None = None
    ring: str | None = None
    day: date | None = None


class ChangePanel(Command, frozen=True, kw_only=True):
    """Combine the judges in another way; without ``panel`` as the rule book says."""

    reason: TextRef
    panel: PanelChoice | None = None


class UnseatJudge(Command, frozen=True, kw_only=True):
    """Give a seat up before anything stands on its card."""

    seat: str
    reason: TextRef


class ReplaceJudge(Command, frozen=True, kw_only=True):
    """Let another judge fill the seat's card from here on."""

    seat: str
    judge: str
    reason: TextRef


class CloseSeat(Command, frozen=True, kw_only=True):
    """Let the panel go on without a seat, combined as ``panel`` says if that has to change."""

    seat: str
    reason: TextRef
    panel: PanelChoice | None = None


class ReadmitEntry(Command, frozen=True, kw_only=True):
    """Undo a missed gate or an excuse; once results were posted, on somebody's authority."""

    ref: EntryRef
    reason: TextRef
    authority: Authority | None = None
    protest: str | None = None


class ReinstateEntry(Command, frozen=True, kw_only=True):
    """Undo a scratch."""

    ref: EntryRef
    reason: TextRef
    office_error: bool = False


class SetCarriedTotal(Command, frozen=True, kw_only=True):
    """Give an entry the total that it brings from the round before."""

    ref: EntryRef
    carried: HalfPoints
