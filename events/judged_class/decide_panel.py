"""Whether the settings of a panel fit one another, the class and its seats."""

from collections.abc import Sequence

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.panel import judging, misfit, panel_choice, weight_of
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import PanelChoice, RuleBook

_NEEDS_VALUES = {"placing_values", "weighted"}


def check_panel(choice: PanelChoice) -> None:
    """Refuse a choice of panel that its method cannot work with."""
    if choice.method in _NEEDS_VALUES and not choice.values:
        raise Refusal(
            "panel_values_missing",
            f"A panel by {choice.method.replace('_', ' ')} needs the values of the places.",
            field="panel.values",
        )
    if choice.method == "weighted" and not choice.weights:
        raise Refusal(
            "panel_weights_missing", "A weighted panel needs weights.", field="panel.weights"
        )
    for index, share in enumerate(choice.weights):
        if weight_of(share.weight) is None:
            raise Refusal(
                "panel_weight_unreadable",
                f"The weight of seat {share.seat} cannot be read: write a decimal number above 0, "
                "such as 0.3.",
                field=f"panel.weights[{index}].weight",
            )
    if choice.tie_judge is not None and choice.call_judges:
        raise Refusal(
            "panel_two_tie_rules",
            "A panel has call judges or a tie judge, not both.",
            field="panel.tie_judge",
        )


def refuse_numberless(
    choice: PanelChoice | None, number: int | None, *, field: str = "number"
) -> None:
    """Refuse a tie judge, who goes by the number of the class, in a class without one."""
    if choice is not None and choice.tie_judge is not None and number is None:
        raise Refusal(
            "panel_needs_number",
            "A tie judge goes by the number of the class: give it one.",
            field=field,
            rule="a tie judge goes by odd and even class numbers",
        )


def refuse_unweighted(state: ClassState, seat: str, rulebook: RuleBook) -> None:
    """Refuse a judge in a seat to which a weighted panel gives no weight."""
    choice = panel_choice(state, rulebook)
    weighed = [share.seat for share in choice.weights]
    if choice.method == "weighted" and seat not in weighed:
        raise Refusal(
            "seat_without_weight",
            f"The panel weighs the seats {', '.join(weighed)}, and seat {seat} has no weight.",
            field="seat",
            rule=f"{rulebook.id} {rulebook.edition}, panel",
            seat=seat,
        )


def refuse_unfit(
    state: ClassState,
    choice: PanelChoice | None,
    seats: Sequence[str],
    rulebook: RuleBook,
    *,
    field: str,
) -> None:
    """Refuse settings that do not fit these seats; without ``choice`` those that stand."""
    if choice is not None:
        check_panel(choice)
        number = state.scheduled.number if state.scheduled else None
        refuse_numberless(choice, number, field="panel.tie_judge")
    said = misfit(state, choice or panel_choice(state, rulebook), seats)
    if said is not None:
        raise Refusal(
            "panel_unfit",
            f"The judges' cards could not be combined: {said}",
            field=field,
            rule=f"{rulebook.id} {rulebook.edition}, panel",
            seats=tuple(seats),
        )


def change_panel(
    state: ClassState, command: ask.ChangePanel, rulebook: RuleBook
) -> tuple[Event, ...]:
    """Another method is chosen before the first ride; it fits the judges who are seated.

    Once rides began only a choice that the judges' cards could not be combined by is changed.
    """
    if state.scheduled is not None and state.scheduled.panel == command.panel:
        return ()
    if state.phase == "running" and not misfit(
        state, panel_choice(state, rulebook), judging(state)
    ):
        raise Refusal(
            "panel_stands",
            "Rides have begun, and the judges can be combined as it was said before them.",
            field="panel",
            rule="how judges are combined is said before the first ride",
        )
    chosen = command.panel or PanelChoice(
        method=rulebook.panel.method, values=rulebook.panel.values
    )
    refuse_unfit(state, chosen, judging(state), rulebook, field="panel")
    return (happened.PanelChanged(panel=command.panel, reason=command.reason),)
