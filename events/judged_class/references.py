"""Which entry, seat or maneuver a command means."""

from events.judged_class.commands import EntryRef
from events.judged_class.state import Card, ClassState, Entry, Protest
from events.refusals import Refusal


def entry_meant(state: ClassState, ref: EntryRef, field: str = "entry") -> Entry:
    """The one entry that every given name of ``ref`` means, or a refusal.

    A working-order number and a back number that mean different entries are caught here.
    """
    found = [
        *_by_id(state, ref.entry, field),
        *_by_working_order(state, ref.working_order, field),
        *_by_back_number(state, ref.back_number, field),
    ]
    if not found:
        raise Refusal(
            "entry_not_named",
            "Name the entry by its id, its working-order number or its back number.",
            field=field,
        )
    first = found[0]
    if any(entry.id != first.id for entry in found):
        raise Refusal(
            "entry_numbers_disagree",
            _disagreement(state, ref, found),
            field=field,
            entry=ref.entry,
            working_order=ref.working_order,
            back_number=ref.back_number,
        )
    return first


def running_entry(state: ClassState, ref: EntryRef, field: str = "entry") -> Entry:
    """The entry meant, which was neither scratched nor turned away at the gate."""
    entry = entry_meant(state, ref, field)
    if entry.scratched is not None:
        raise Refusal(
            "entry_scratched",
            f"Back number {entry.back_number} was scratched.",
            field=field,
            entry=entry.id,
            back_number=entry.back_number,
        )
    if entry.gate is not None:
        raise Refusal(
            "entry_left",
            f"Back number {entry.back_number} missed the gate or was excused.",
            field=field,
            entry=entry.id,
            back_number=entry.back_number,
        )
    return entry


def card_of(state: ClassState, seat: str) -> Card:
    """The card of a seat, or a refusal that lists the seats there are."""
    card = state.cards.get(seat)
    if card is None:
        seats = ", ".join(sorted(state.cards)) or "none yet"
        raise Refusal(
            "unknown_seat", f"There is no seat {seat}; seated: {seats}.", field="seat", seat=seat
        )
    return card


def protest_of(state: ClassState, protest: str) -> Protest:
    """The protest of that id, or a refusal."""
    known = state.protests.get(protest)
    if known is None:
        raise Refusal("unknown_protest", f"No protest has the id {protest}.", field="protest")
    return known


def check_maneuver(state: ClassState, maneuver: int) -> None:
    """Refuse a maneuver that the pattern does not have."""
    count = len(state.pattern.maneuvers) if state.pattern else 0
    if not count:
        raise Refusal("no_pattern", "The pattern has not been set.", field="maneuver")
    if not 1 <= maneuver <= count:
        raise Refusal(
            "unknown_maneuver",
            f"The pattern has maneuvers 1 to {count}, not {maneuver}.",
            field="maneuver",
            maneuver=maneuver,
            maneuvers=count,
        )


def _by_id(state: ClassState, entry: str | None, field: str) -> list[Entry]:
    if entry is None:
        return []
    if entry not in state.entries:
        raise Refusal("unknown_entry", f"No entry has the id {entry}.", field=field, entry=entry)
    return [state.entries[entry]]


def _by_working_order(state: ClassState, number: int | None, field: str) -> list[Entry]:
    if number is None:
        return []
    drawn = state.draw[number - 1] if 1 <= number <= len(state.draw) else ""
    if drawn not in state.entries:  # a draw may outlast an entry that a what-if strikes out
        raise Refusal(
            "unknown_working_order",
            f"The draw has working-order numbers 1 to {len(state.draw)}; none is {number}."
            if state.draw
            else "There is no draw yet, so no working-order numbers.",
            field="working_order" if field == "entry" else field,
            working_order=number,
        )
    return [state.entries[drawn]]


def _by_back_number(state: ClassState, number: int | None, field: str) -> list[Entry]:
    if number is None:
        return []
    known = [entry for entry in state.entries.values() if entry.back_number == number]
    if not known:
        raise Refusal(
            "unknown_back_number",
            f"No entry of this class has back number {number}.",
            field="back_number" if field == "entry" else field,
            back_number=number,
        )
    return [next((entry for entry in known if entry.scratched is None), known[-1])]


def _disagreement(state: ClassState, ref: EntryRef, found: list[Entry]) -> str:
    if ref.working_order is not None and ref.back_number is not None:
        drawn = state.entries[state.draw[ref.working_order - 1]]
        if drawn.back_number != ref.back_number:
            return (
                f"Working-order number {ref.working_order} carries back number "
                f"{drawn.back_number}, not {ref.back_number}."
            )
    meant = " and ".join(dict.fromkeys(f"back number {entry.back_number}" for entry in found))
    return f"The names given mean different entries: {meant}."
