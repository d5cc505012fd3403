"""What a sheet asks of a class, as the commands that an office would give from paper."""

import hashlib
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence

import msgspec

from events.envelope import Command, TextRef
from events.judged_class import commands as ask
from events.judged_class.events import SeatKind
from events.rulebook.load import digest
from events.rulebook.model import RuleBook, RuleBookRef
from service.sheet.faults import Path
from service.sheet.model import Sheet, SheetCard, SheetOrder, SheetRide


class Asked(msgspec.Struct, frozen=True):
    """A command, and where in the sheet a refusal of it belongs.

    ``at`` maps the code of a refusal, or the field it names, to a path; all others go to ``path``.
    """

    command: Command
    path: Path
    at: Mapping[str, Path] = {}


def text_ref(text: str | None) -> TextRef | None:
    """The reference of a text; nothing is stored, so it needs no salt."""
    return None if text is None else f"sha256:{hashlib.sha256(text.encode()).hexdigest()}"


def setting_up(sheet: Sheet, book: RuleBook) -> Iterator[Asked]:
    """The class, its pattern, its seats and its entries."""
    held_to = RuleBookRef(id=book.id, edition=book.edition, digest=digest(book))
    scheduled = ask.ScheduleClass(
        show="sheet",
        name=book.title,
        rulebook=held_to,
        number=sheet.class_number,
        panel=sheet.panel,
    )
    yield Asked(scheduled, ("panel",), _panel_fields())
    if sheet.judging == "scored":
        yield Asked(ask.SetPattern(maneuvers=sheet.maneuvers), ("maneuvers",))
    for card in sheet.cards:
        if card.judging == sheet.judging:
            kind: SeatKind = "learner" if card.learner else "judge"
            seated = ask.SeatJudge(seat=card.seat, judge=card.seat, kind=kind)
            yield Asked(seated, (*card.path, "seat"))
    for entry in sheet.entries:
        at = {field: (*entry.path, field) for field in ("entry", "back_number")}
        accept = ask.AcceptEntry(
            entry=entry.entry,
            back_number=entry.back_number,
            exhibitor=entry.entry,
            divisions=entry.divisions,
        )
        yield Asked(accept, entry.path, at)
        if entry.scratched:
            yield Asked(ask.ScratchEntry(ref=ask.EntryRef(entry=entry.entry)), entry.path)


def drawing(sheet: Sheet, entries: Iterable[str]) -> Asked:
    """The draw by working-order numbers, one section after another."""
    ridden_in = {entry.entry: entry.section or 1 for entry in sheet.entries}
    order = tuple(sorted(entries, key=lambda entry: (ridden_in[entry], int(entry))))
    sizes = Counter(ridden_in[entry] for entry in order)
    sections = tuple(size for _, size in sorted(sizes.items()))
    return Asked(ask.SetDraw(order=order, sections=sections), ("entries",))


def judging(card: SheetCard, entries: Container[str]) -> Iterator[Asked]:
    """Everything a judge put on the card for the rides of these entries."""
    for ride in card.rides:
        if ride.entry not in entries:
            continue
        ref = ask.EntryRef(entry=ride.entry, back_number=ride.back_number)
        named = {
            "entry": (*ride.path, "entry"),
            "entry_numbers_disagree": (*ride.path, "back_number"),
            "unknown_back_number": (*ride.path, "back_number"),
        }
        for asked in _ride(card.seat, ref, ride):
            yield msgspec.structs.replace(asked, at={**named, **asked.at})


def placing_alone(card: SheetCard) -> Asked:
    """The judge's placing without scores."""
    at = {f"order[{place}]": (*card.path, "placed", place) for place in range(len(card.placed))}
    order = tuple(ask.EntryRef(entry=entry) for entry in card.placed)
    return Asked(ask.PlaceCard(seat=card.seat, order=order), (*card.path, "placed"), at)


def timing(card: SheetCard, entries: Container[str]) -> Iterator[Asked]:
    """The times on a card, and who has none."""
    for time in card.times:
        if time.entry not in entries:
            continue
        ref = ask.EntryRef(entry=time.entry)
        if time.no_time:
            none = ask.CallOutcome(seat=card.seat, ref=ref, kind="no_time")
            yield Asked(none, (*time.path, "no_time"))
        elif time.milliseconds is not None:
            given = ask.GiveTime(
                seat=card.seat,
                ref=ref,
                milliseconds=time.milliseconds,
                penalty_milliseconds=time.penalty_milliseconds,
            )
            at = {"milliseconds": (*time.path, "seconds"), "entry": (*time.path, "entry")}
            yield Asked(given, time.path, at)


def _panel_fields() -> dict[str, Path]:
    fields = ("values", "weights", "tie_judge")
    return {f"panel.{field}": ("panel", field) for field in fields}


def ordering(card: SheetCard, order: SheetOrder, positions: Sequence[int]) -> Asked:
    """One order, its entries taken from these positions of what the sheet says."""
    at = {
        f"order[{place}]": (*order.path, "order", position)
        for place, position in enumerate(positions)
    }
    command = ask.SetOrder(
        seat=card.seat,
        order_id=f"order-{card.rail.index(order) + 1}",
        order=tuple(ask.EntryRef(entry=order.order[position]) for position in positions),
        by=order.by or "rail_work",
        reason=text_ref(order.reason),
    )
    if order.by is not None:
        at["by"] = (*order.path, "by")
    return Asked(command, (*order.path, "order"), at)


def _ride(seat: str, ref: ask.EntryRef, ride: SheetRide) -> Iterator[Asked]:
    yield from _marks(seat, ref, ride)
    yield from _penalties(seat, ref, ride)
    if ride.outcome is not None:
        outcome = ask.CallOutcome(
            seat=seat,
            ref=ref,
            kind=ride.outcome.kind,
            maneuver=ride.outcome.maneuver,
            reason=text_ref(ride.outcome.reason),
        )
        yield Asked(outcome, ride.outcome.path, _fields(ride.outcome.path, "kind", "maneuver"))
    for number, noted in enumerate(ride.observations, start=1):
        observed = ask.ObserveFault(
            seat=seat,
            ref=ref,
            observation=f"{ride.entry}-{number}",
            code=noted.code,
            maneuver=noted.maneuver,
            note=text_ref(noted.note),
        )
        yield Asked(observed, noted.path, _fields(noted.path, "code", "maneuver"))


def _marks(seat: str, ref: ask.EntryRef, ride: SheetRide) -> Iterator[Asked]:
    for given in ride.marks:
        mark = ask.GiveMark(
            seat=seat, ref=ref, maneuver=given.maneuver, mark=given.mark, performed=given.performed
        )
        fields = ("mark", "performed") if given.performed is not None else ()
        yield Asked(mark, given.path, _fields(given.path, *fields))
    if ride.rider_mark is not None:
        rider_mark = ask.GiveRiderMark(seat=seat, ref=ref, mark=ride.rider_mark)
        yield Asked(rider_mark, (*ride.path, "rider_mark"))


def _penalties(seat: str, ref: ask.EntryRef, ride: SheetRide) -> Iterator[Asked]:
    for number, given in enumerate(ride.penalties, start=1):
        at = _fields(given.path, *(("points",) if given.points is not None else ()))
        at |= _fields(given.path, "code", "maneuver")
        for occurrence in range(1, given.count + 1):
            penalty = ask.CallPenalty(
                seat=seat,
                ref=ref,
                call=f"{ride.entry}-{number}-{occurrence}",
                code=given.code,
                points=given.points,
                maneuver=given.maneuver,
            )
            yield Asked(penalty, given.path, at)


def _fields(path: Path, *fields: str) -> dict[str, Path]:
    return {field: (*path, field) for field in fields}


def texts(sheet: Sheet) -> dict[str, str]:
    """The free texts of a sheet by their references."""
    found = []
    for card in sheet.cards:
        found += [order.reason for order in card.rail]
        found += [ride.outcome.reason for ride in card.rides if ride.outcome is not None]
        found += [noted.note for ride in card.rides for noted in ride.observations]
    return {ref: text for text in found if text is not None and (ref := text_ref(text))}
