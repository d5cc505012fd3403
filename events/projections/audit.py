"""What in a class's log deserves a look, as named findings with the events behind them.

A finding accuses nobody: each has innocent explanations, and the steward decides what it means.
"""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from typing import Literal

import msgspec

from events.envelope import Event, RecordedEvent
from events.judged_class import events as happened
from events.projections.history import History

FindingKind = Literal[
    "mark_changed_after_later_ride",
    "penalty_after_totals_read",
    "device_clock_far_off",
    "correction_without_protest",
    "gate_decision_undone",
    "ruling_beyond_protest",
    "card_by_two_judges",
    "device_wrote_for_two_seats",
    "marks_implausibly_fast",
    "read_before_signing",
    "drawn_anew",
    "judge_exhibits",
]


class Reading(msgspec.Struct, frozen=True, kw_only=True):
    """Results of the class were read with a seat's key at a time of the server's clock."""

    seat: str
    key: str
    at: datetime


class AuditLimits(msgspec.Struct, frozen=True, kw_only=True):
    """From where on something deserves a look. Our own values; a show may set others.

    ``clock_ahead``: a device's time later than the server's. ``clock_behind``: earlier, which a
    tablet that was offline also shows. ``fastest_mark``: seconds a mark of one ride takes at
    least, on average.
    """

    clock_ahead: timedelta = timedelta(seconds=30)
    clock_behind: timedelta = timedelta(minutes=15)
    fastest_mark: timedelta = timedelta(seconds=0.5)
    marks_at_least: int = 4


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that deserves a look; ``versions`` are the events behind it, in order."""

    kind: FindingKind
    says: str
    seat: str | None
    entry: str | None
    versions: tuple[int, ...]


def audit(
    history: History, readings: Sequence[Reading] = (), limits: AuditLimits | None = None
) -> tuple[Finding, ...]:
    """All findings of a class, in the order of the first event behind each."""
    within = limits or AuditLimits()
    found = [
        *_late_changes(history.events),
        *_after_reading(history.events, readings),
        *_read_before_signing(history.events, readings),
        *_clocks(history.events, within),
        *_corrections(history.events),
        *_undone(history.events),
        *_beyond(history.events),
        *_judges_changed(history.events),
        *_devices(history.events),
        *_fast(history.events, within),
        *_draws(history.events),
        *_own_judges(history.events),
    ]
    return tuple(sorted(found, key=lambda finding: (finding.versions or (0,), finding.kind)))


def _late_changes(events: Sequence[RecordedEvent]) -> Iterator[Finding]:
    """Marks given anew, or taken back, after the same seat had begun to mark a later ride."""
    given: dict[tuple[str, str, int], int] = {}
    last_begun: dict[str, tuple[str, int]] = {}
    seen: set[tuple[str, str]] = set()
    for event in events:
        mark = event.data
        if not isinstance(mark, happened.MarkGiven | happened.MarkWithdrawn):
            continue
        slot = (mark.seat, mark.entry, mark.maneuver)
        latest = last_begun.get(mark.seat)
        if slot in given and latest is not None and latest[0] != mark.entry:
            did = "changed" if isinstance(mark, happened.MarkGiven) else "took back"
            yield Finding(
                kind="mark_changed_after_later_ride",
                says=f"Seat {mark.seat} {did} the mark of maneuver {mark.maneuver} after it had "
                "begun to mark a later ride.",
                seat=mark.seat,
                entry=mark.entry,
                versions=(given[slot], latest[1], event.version),
            )
        given[slot] = event.version
        if (mark.seat, mark.entry) not in seen:
            seen.add((mark.seat, mark.entry))
            last_begun[mark.seat] = (mark.entry, event.version)


def _after_reading(
    events: Sequence[RecordedEvent], readings: Sequence[Reading]
) -> Iterator[Finding]:
    for event in events:
        penalty = event.data
        if not isinstance(penalty, happened.PenaltyCalled):
            continue
        times = [r.at for r in readings if r.seat == penalty.seat and r.at < event.recorded_at]
        if times:
            yield Finding(
                kind="penalty_after_totals_read",
                says=f"Seat {penalty.seat} called a penalty after its key had read totals, the "
                f"last time at {max(times).astimezone(UTC):%H:%M:%S} UTC.",
                seat=penalty.seat,
                entry=penalty.entry,
                versions=(event.version,),
            )


def _read_before_signing(
    events: Sequence[RecordedEvent], readings: Sequence[Reading]
) -> Iterator[Finding]:
    signed = {
        event.data.seat: event for event in events if isinstance(event.data, happened.CardSigned)
    }
    for seat in sorted({reading.seat for reading in readings}):
        signature = signed.get(seat)
        early = [
            r
            for r in readings
            if r.seat == seat and (signature is None or r.at < signature.recorded_at)
        ]
        if early:
            yield Finding(
                kind="read_before_signing",
                says=f"The key of seat {seat} read results before the card was signed, "
                f"{len(early)} time{'s' if len(early) > 1 else ''}.",
                seat=seat,
                entry=None,
                versions=(signature.version,) if signature else (),
            )


def _clocks(events: Sequence[RecordedEvent], limits: AuditLimits) -> Iterator[Finding]:
    """One finding a device and direction, with all the events it wrote so."""
    far: dict[tuple[str, str], list[RecordedEvent]] = {}
    for event in events:
        ahead = event.occurred_at - event.recorded_at
        direction = (
            "ahead of"
            if ahead > limits.clock_ahead
            else "behind"
            if -ahead > limits.clock_behind
            else None
        )
        if direction:
            far.setdefault((event.actor.device or event.actor.key, direction), []).append(event)
    for (device, direction), those in far.items():
        furthest = max(abs(event.occurred_at - event.recorded_at) for event in those)
        yield Finding(
            kind="device_clock_far_off",
            says=f"The times of {device} lie up to {_span(furthest)} "
            f"{direction} the server's: its clock is off, or it was offline.",
            seat=those[0].actor.seat,
            entry=None,
            versions=tuple(event.version for event in those),
        )


def _span(length: timedelta) -> str:
    """A length of time in the largest unit of which there are at least two."""
    seconds = int(length.total_seconds())
    for size, unit in ((86_400, "days"), (3600, "hours"), (60, "minutes")):
        if seconds >= 2 * size:
            return f"{seconds // size} {unit}"
    return f"{seconds} seconds"


def _corrections(events: Sequence[RecordedEvent]) -> Iterator[Finding]:
    for event in events:
        if isinstance(event.data, happened.CorrectionMade) and event.data.protest is None:
            yield Finding(
                kind="correction_without_protest",
                says=f"A correction on the card of seat {event.data.seat} was made without a "
                f"protest, on the authority of: {event.data.authority.replace('_', ' ')}.",
                seat=event.data.seat,
                entry=event.data.entry,
                versions=tuple(v for v in (event.data.replaces, event.version) if v is not None),
            )


def _undone(events: Sequence[RecordedEvent]) -> Iterator[Finding]:
    """Entries that were out of the class, and were brought back into it."""
    out: dict[str, tuple[int, ...]] = {}
    for event in events:
        data = event.data
        if isinstance(
            data, happened.EntryMissedGate | happened.EntryExcused | happened.EntryScratched
        ):
            out[data.entry] = (event.version,)
        elif isinstance(data, happened.EntryReadmitted | happened.EntryReinstated):
            yield Finding(
                kind="gate_decision_undone",
                says="An entry that had been scratched, excused or turned away at the gate was "
                "brought back into the class.",
                seat=None,
                entry=data.entry,
                versions=(*out.get(data.entry, ()), event.version),
            )


def _beyond(events: Sequence[RecordedEvent]) -> Iterator[Finding]:
    """What was changed on a ruling, but on another card or for others than its protest is about.

    It is not refused: a ruling that two riders' marks were swapped must put both right. Its reason
    says why, and here it is held up to be read.
    """
    about: dict[str, happened.ProtestFiled] = {}
    for event in events:
        data = event.data
        if isinstance(data, happened.ProtestFiled):
            about[data.protest] = data
        if not isinstance(data, _ON_A_RULING) or data.authority != "ruling":
            continue
        filed = about.get(data.protest or "")
        if filed is not None and _goes_beyond(data, filed):
            yield Finding(
                kind="ruling_beyond_protest",
                says="A ruling was carried out on another card, or for another entry, than its "
                "protest is about; its reason should say why.",
                seat=getattr(data, "seat", None),
                entry=getattr(data, "entry", None),
                versions=(event.version,),
            )


_ON_A_RULING = (
    happened.CorrectionMade,
    happened.OrderSet,
    happened.CardPlaced,
    happened.EntryReadmitted,
)


def _goes_beyond(data: Event, filed: happened.ProtestFiled) -> bool:
    seat = getattr(data, "seat", None)
    named = (getattr(data, "entry", None), *getattr(data, "order", ()))
    return (seat is not None and filed.seat not in {None, seat}) or (
        filed.entry is not None and filed.entry not in named
    )


def _judges_changed(events: Sequence[RecordedEvent]) -> Iterator[Finding]:
    for event in events:
        if isinstance(event.data, happened.JudgeReplaced):
            yield Finding(
                kind="card_by_two_judges",
                says=f"The card of seat {event.data.seat} was filled by one judge and then by "
                "another; whether it may count is for the rules in force to say.",
                seat=event.data.seat,
                entry=None,
                versions=(event.version,),
            )


def _devices(events: Sequence[RecordedEvent]) -> Iterator[Finding]:
    seats: dict[str, dict[str, int]] = {}
    for event in events:
        seat = getattr(event.data, "seat", None)
        if event.actor.device and event.actor.role == "scribe" and seat:
            seats.setdefault(event.actor.device, {}).setdefault(seat, event.version)
    for device, first in seats.items():
        if len(first) > 1:
            yield Finding(
                kind="device_wrote_for_two_seats",
                says=f"Device {device} wrote for the seats {', '.join(sorted(first))}.",
                seat=None,
                entry=None,
                versions=tuple(sorted(first.values())),
            )


def _fast(events: Sequence[RecordedEvent], limits: AuditLimits) -> Iterator[Finding]:
    """Rides whose marks a scribe's device entered faster than anybody rides or writes."""
    rides: dict[tuple[str, str], list[RecordedEvent]] = {}
    for event in events:
        if isinstance(event.data, happened.MarkGiven) and event.actor.role == "scribe":
            rides.setdefault((event.data.seat, event.data.entry), []).append(event)
    for (seat, entry), marks in rides.items():
        if len(marks) < limits.marks_at_least:
            continue
        times = [event.occurred_at for event in marks]
        span = max(times) - min(times)
        if span < limits.fastest_mark * (len(marks) - 1):
            yield Finding(
                kind="marks_implausibly_fast",
                says=f"Seat {seat} entered {len(marks)} marks of one ride within "
                f"{span.total_seconds():.1f} seconds.",
                seat=seat,
                entry=entry,
                versions=tuple(event.version for event in marks),
            )


def _draws(events: Sequence[RecordedEvent]) -> Iterator[Finding]:
    """Working orders set over another one without a reason; who came late to it is no change."""
    before: tuple[str, ...] = ()
    at: tuple[int, ...] = ()
    for event in events:
        data = event.data
        if not isinstance(data, happened.DrawSet | happened.DrawRepaired):
            continue
        kept = [entry for entry in before if entry in data.order]
        if isinstance(data, happened.DrawSet) and kept != [e for e in data.order if e in before]:
            yield Finding(
                kind="drawn_anew",
                says="The working order was set anew over the one before, and no reason was given.",
                seat=None,
                entry=None,
                versions=(*at, event.version),
            )
        before, at = data.order, (event.version,)


def _own_judges(events: Sequence[RecordedEvent]) -> Iterator[Finding]:
    """Judges who are entered in the class themselves, also where another took over later."""
    seated: dict[str, dict[str, int]] = {}
    entered: dict[str, tuple[str, int]] = {}
    for event in events:
        match event.data:
            case happened.JudgeSeated(seat=seat, judge=judge, kind=kind):
                seated[seat] = {judge: event.version} if kind == "judge" else {}
            case happened.JudgeReplaced(seat=seat, judge=judge) if seated.get(seat):
                seated[seat][judge] = event.version
            case happened.JudgeUnseated(seat=seat):
                seated.pop(seat, None)
            case happened.EntryAccepted(exhibitor=exhibitor, entry=name):
                entered.setdefault(exhibitor, (name, event.version))
            case _:
                pass
    for seat, judges in seated.items():
        for judge in judges.keys() & entered.keys():
            entry, version = entered[judge]
            yield Finding(
                kind="judge_exhibits",
                says=f"A judge of seat {seat} was entered in the class as an exhibitor.",
                seat=seat,
                entry=entry,
                versions=tuple(sorted((judges[judge], version))),
            )
