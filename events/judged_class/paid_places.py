"""The places that a purse is paid for: of one judge or of all together, a section, a division."""

from collections.abc import Mapping

from events.judged_class.panel import panel_result
from events.judged_class.standing import divisions, seat_placing, sections
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def paid_places(
    state: ClassState,
    book: RuleBook,
    *,
    seat: str | None = None,
    division: str | None = None,
    section: int | None = None,
) -> Mapping[str, int]:
    """The place of every placed entry in the placing that is named; or a refusal.

    Without a seat it is what the judges place together; where each judge's card is a result of its
    own, one of several has to be named, and so has the section of a class ridden in sections.
    """
    among = _section(state, section)
    if division is not None:
        among = divisions(state, among).get(division)
        if among is None:
            raise Refusal(
                "unknown_division",
                f"No entry of the class rides in the division {division}.",
                field="division",
            )
    panel = panel_result(state, book, among)
    if seat is None and panel.method != "separate":
        if panel.unfit or panel.unfinished:
            open_seats = ", ".join(name for name, _ in panel.unfinished)
            raise Refusal(
                "panel_not_finished", panel.unfit or f"Seat {open_seats} has not finished."
            )
        return {row.entry: row.place for row in panel.rows if row.place is not None}
    judges = [card for _, card in sorted(state.cards.items()) if card.kind == "judge"]
    chosen = [card for card in judges if seat in {None, card.seat}]
    if len(chosen) != 1:
        named = ", ".join(card.seat for card in judges) or "none yet"
        raise Refusal(
            "result_not_named",
            f"Say whose result is paid for; the judges' seats are: {named}.",
            field="seat",
        )
    rows = seat_placing(state, chosen[0], book, among)
    return {row.entry: row.place for row in rows if row.place is not None}


def _section(state: ClassState, wanted: int | None) -> frozenset[str] | None:
    """Those of the section that is paid for; ``None`` where the class is ridden as one."""
    known = sections(state)
    if wanted is None and not known:
        return None
    if wanted is None or wanted not in known:
        raise Refusal(
            "unknown_section",
            f"Say which section is paid for: the class is ridden in sections 1 to {len(known)}."
            if known
            else "The class is not ridden in sections.",
            field="section",
        )
    return known[wanted]
