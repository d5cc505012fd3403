"""What parts entries that a panel's method leaves equal: call judges, then a run-off."""

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from events.scoring.exact import ordinal
from events.scoring.panel.cards import PanelUnfit, SeatCard
from events.scoring.panel.step import Step


class TieJudge(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The seats whose cards break ties in classes of odd and of even number.

    IHSA Western Scoring Explanation: fixed before the show, for all placings in the class.
    """

    odd: str
    even: str

    def of(self, class_number: int) -> str:
        """The seat that breaks ties in the class of that number."""
        return self.odd if class_number % 2 else self.even


class RunOff(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How a run-off between equal entries ended.

    ``order`` names those who rode, best first; whoever is in ``declined`` stands behind them. When
    all declined, nobody rode and they share the title; ``award_to`` is who won the toss for the
    award, which moves no place. NRHA Rules for Judging, B(2).
    """

    order: tuple[str, ...] = ()
    declined: tuple[str, ...] = ()
    award_to: str | None = None


class TieRules(msgspec.Struct, frozen=True, kw_only=True):
    """What parts equal entries, in this order: the cards of the call judges in turn, run-offs.

    The places on a first, a second, a third call judge's card: 2018 AMHA World Championship
    Program, page 12. Without any of them, equal entries share the place.
    """

    call_judges: tuple[str, ...] = ()
    run_offs: tuple[RunOff, ...] = ()


NO_TIE_RULES = TieRules()


def check_ties(cards: Sequence[SeatCard], ties: TieRules) -> None:
    """Nothing, when every call judge sits on the panel; else ``PanelUnfit``."""
    unknown = sorted(set(ties.call_judges) - {card.seat for card in cards})
    if unknown:
        raise PanelUnfit(
            "call_judge", f"Seat {', '.join(unknown)}, whose card breaks ties, is not on the panel."
        )


def tie_steps(entry: str, cards: Sequence[SeatCard], ties: TieRules) -> tuple[Step, ...]:
    """What ``entry`` is compared by when all else is equal."""
    by_seat = {card.seat: card for card in cards}
    return (
        *(_call_judge(entry, by_seat[seat]) for seat in ties.call_judges),
        *(_run_off(entry, run_off) for run_off in ties.run_offs),
    )


def _call_judge(entry: str, card: SeatCard) -> Step:
    place = card.lines[entry].place
    said = "gave it no place" if place is None else f"placed it {ordinal(place)}"
    return Step(
        name="call_judge",
        key=Fraction(len(card.lines) + 1 if place is None else place),
        says=f"Seat {card.seat}, whose card breaks ties, {said}.",
    )


def _run_off(entry: str, run_off: RunOff) -> Step:
    behind = len(run_off.order)
    if entry in run_off.order:
        rank = run_off.order.index(entry)
        says = f"It came {ordinal(rank + 1)} in the run-off."
    elif entry in run_off.declined:
        rank = behind
        says = (
            "It declined the run-off that others rode."
            if behind
            else "All who were tied declined a run-off and share the place."
        )
    else:
        rank = behind
        says = "It was not in the run-off."
    return Step(name="run_off", key=Fraction(rank), says=says)
