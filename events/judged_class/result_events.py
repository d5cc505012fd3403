"""What can happen to results. The tags are names in storage: they never change."""

from typing import Literal

from events.envelope import Event, Moment, TextRef
from events.judged_class.card_events import Authority

Verdict = Literal["upheld", "denied"]


class ResultsPosted(Event, frozen=True, kw_only=True, tag="results.posted"):
    """Results were posted; each posting has the next revision number.

    ``protests_until`` is when the rule book's time for protests runs out, if it sets one.
    """

    revision: int
    protests_until: Moment | None = None


class ResultsMadeOfficial(Event, frozen=True, kw_only=True, tag="results.made_official"):
    """The posted results became official.

    ``reason`` says why it was not waited until the time for protests was over.
    """

    revision: int
    reason: TextRef | None = None


class ResultsReopened(Event, frozen=True, kw_only=True, tag="results.reopened"):
    """Official results were opened again, by a ruling or for an error of the office."""

    authority: Authority
    reason: TextRef
    protest: str | None = None


class ProtestFiled(Event, frozen=True, kw_only=True, tag="protest.filed"):
    """A protest was taken in, on a ground that the rule book lets be protested.

    It is against the class, or narrowed to an entry, a seat, or certain events by version.
    """

    protest: str
    filed_by: str
    ground: str
    statement: TextRef
    entry: str | None = None
    seat: str | None = None
    versions: tuple[int, ...] = ()
    fee_paid: bool = False


class ProtestWithdrawn(Event, frozen=True, kw_only=True, tag="protest.withdrawn"):
    """Whoever filed the protest took it back before a ruling."""

    protest: str


class ProtestRuled(Event, frozen=True, kw_only=True, tag="protest.ruled"):
    """The steward upheld or denied a protest, with reasons."""

    protest: str
    verdict: Verdict
    reason: TextRef
    fee_returned: bool = False
