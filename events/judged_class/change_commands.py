"""What may be asked to put right, or to change, of a class that was set up."""

from events.envelope import Command, TextRef
from events.judged_class.events import Authority
from events.judged_class.naming import EntryRef


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
