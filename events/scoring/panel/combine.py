"""A panel's settings as a rule book or a show gives them, and the placing they make."""

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

import msgspec

from events.rulebook.model import PanelMethod
from events.scoring.panel.cards import PanelUnfit, SeatCard, check
from events.scoring.panel.majority import majority
from events.scoring.panel.ranking import Combined
from events.scoring.panel.ties import RunOff, TieJudge, TieRules
from events.scoring.panel.totals import drop_high_low_sum, total_mean, total_sum
from events.scoring.panel.values import placing_values, weighted

_BY_THE_CARDS_ALONE: Mapping[
    PanelMethod, Callable[[Sequence[SeatCard], TieRules], tuple[Combined, ...]]
] = {
    "sum": total_sum,
    "mean": total_mean,
    "drop_high_low_sum": drop_high_low_sum,
    "majority": majority,
}


class SeatWeight(msgspec.Struct, frozen=True, kw_only=True):
    """How much one seat counts on a weighted panel."""

    seat: str
    weight: Fraction


class Panel(msgspec.Struct, frozen=True, kw_only=True):
    """How the cards of a class are combined.

    ``values`` belong to placing values and to weighted panels, ``weights`` to the latter. Ties go
    to ``call_judges`` in turn, or to the ``tie_judge`` of the class's number, then share the place.
    """

    method: PanelMethod
    values: tuple[int, ...] = ()
    weights: tuple[SeatWeight, ...] = ()
    call_judges: tuple[str, ...] = ()
    tie_judge: TieJudge | None = None


def combine(
    panel: Panel,
    cards: Sequence[SeatCard],
    *,
    class_number: int | None = None,
    run_offs: Sequence[RunOff] = (),
) -> tuple[Combined, ...]:
    """The panel's placing, best first; empty for ``separate``, where each card is a full result.

    ``PanelIncomplete`` when a seat has not finished, ``PanelUnfit`` when a setting does not fit.
    Separate results: Australian Quarter Horse Association, 2015 Rule Book, rule 46.6.
    """
    ties = TieRules(call_judges=_call_judges(panel, class_number), run_offs=tuple(run_offs))
    if panel.method == "separate":
        check(cards)
        return ()
    if panel.method == "placing_values":
        return placing_values(cards, panel.values, ties)
    if panel.method == "weighted":
        return weighted(cards, panel.values, _weights(panel), ties)
    return _BY_THE_CARDS_ALONE[panel.method](cards, ties)


def _call_judges(panel: Panel, class_number: int | None) -> tuple[str, ...]:
    if panel.tie_judge is None:
        return panel.call_judges
    if panel.call_judges:
        raise PanelUnfit("tie_judge", "A panel has a call judge or a tie judge, not both.")
    if class_number is None:
        raise PanelUnfit("class_number", "A tie judge goes by the number of the class: give it.")
    return (panel.tie_judge.of(class_number),)


def _weights(panel: Panel) -> dict[str, Fraction]:
    weights = {seat.seat: seat.weight for seat in panel.weights}
    if len(weights) < len(panel.weights):
        raise PanelUnfit("weights", "A seat has two weights.")
    return weights
