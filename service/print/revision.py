"""What a corrected revision says of itself: what is different from the one before, and why."""

from collections.abc import Iterator, Sequence

import msgspec

from events.envelope import RecordedEvent, stream_of
from events.judged_class.events import CorrectionMade, ResultsPosted, ResultsReopened
from events.projections.compare import Standing, StandingChange, moved
from events.projections.history import History
from events.projections.placing import placing
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.look import ClassLook
from service.desk.names import Names, names
from service.desk.story import READS_TEXTS
from service.desk.texts import refs
from service.print.card_notes import AUTHORITIES
from service.print.words import outcome_words, place_words, points

_STANDS = frozenset({"posted", "official"})


class Revision(msgspec.Struct, frozen=True, kw_only=True):
    """The revision whose place this one takes, what moved since, and on whose word."""

    title: str
    moved: tuple[str, ...]
    reasons: tuple[str, ...]


def revision_of(desk: Desk, caller: Caller, seen: ClassLook) -> Revision | None:
    """What differs from the posting before; ``None`` for a first posting, or none that stands."""
    if seen.state.phase not in _STANDS or seen.state.revision < 2:  # noqa: PLR2004 - a first one corrects nothing
        return None
    history = History(desk.log.read(stream_of("class", seen.id), to=seen.version))
    *_, before, _ = (
        event.version for event in history.events if isinstance(event.data, ResultsPosted)
    )
    earlier = history.at_version(before)
    since = history.events[before : seen.version]
    known = names(
        desk.database,
        texts=refs(event.data for event in since) if caller.role in READS_TEXTS else (),
    )
    judges = {card.seat for card in seen.state.cards.values() if card.kind == "judge"}
    changes = moved(placing(earlier, seen.book), placing(seen.state, seen.book))
    return Revision(
        title=f"What is different from revision {earlier.revision}",
        moved=tuple(_change(each) for each in changes if each.seat in judges & seen.seats),
        reasons=tuple(_reasons(seen, since, known)),
    )


def _reasons(seen: ClassLook, since: Sequence[RecordedEvent], known: Names) -> Iterator[str]:
    for event in since:
        match event.data:
            case ResultsReopened() as opened:
                what, protest = "Results opened again", opened.protest
            case CorrectionMade() as made:
                back = seen.state.entries[made.entry].back_number
                what = f"Seat {made.seat}, back number {back}: card corrected"
                protest = made.protest
            case _:
                continue
        word = AUTHORITIES[event.data.authority]
        rests = "" if protest is None else f" (protest {protest})"
        reason = known.text(event.data.reason).rstrip(".")
        yield f"{what} on the word of {word}{rests}. Reason: {reason}."


def _change(of: StandingChange) -> str:
    before, now = _stood(of.before), _stood(of.after)
    return f"Seat {of.seat}, back number {of.back_number}: {before}; now {now}."


def _stood(of: Standing | None) -> str:
    if of is None:
        return "not among the entries"
    place = "no place" if of.place is None else f"place {place_words(of.place, tied=of.tied)}"
    total = "" if of.total is None else f", {points(of.total)} points"
    outcome = "" if of.outcome is None else f", {outcome_words(of.outcome)}"
    return f"{place}{total}{outcome}"
