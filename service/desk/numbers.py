"""The back numbers of a show, as they are read."""

from events.show.state import ShowState
from service.desk import shows
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.names import Names, names


def given(desk: Desk, caller: Caller, show_id: str) -> tuple[ShowState, Names]:
    """A show with its back numbers, and the names of those who carry them."""
    state = shows.look(desk, caller, show_id).state
    held = state.back_numbers.values()
    return state, names(
        desk.database,
        people=(each.exhibitor for each in held),
        horses=(each.horse for each in held if each.horse is not None),
    )
