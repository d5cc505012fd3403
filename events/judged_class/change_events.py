"""What is put right or changed in a class that was set up. The tags never change."""

from events.envelope import Event, TextRef
from events.judged_class.card_events import Authority


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
