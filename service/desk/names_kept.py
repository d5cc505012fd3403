"""Names that are announced again and again, remembered until one is corrected or erased."""

import threading
from collections.abc import Iterable

from service.desk.names import Names, names
from service.store.engine import Database

MOST = 10_000


class NamesKept:
    """The names of people and horses of one database; may be shared between threads.

    Whoever asks says how often names were changed by then: what was read before another change is
    not told any more.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._turn = -1
        self._known = Names()

    def at(self, turn: int, *, people: Iterable[str], horses: Iterable[str]) -> Names:
        """What these read as after so many changes, or later."""
        persons, animals = set(people), set(horses)
        with self._lock:
            known = self._known if self._turn == turn else Names()
        unknown = names(
            self._database,
            people=persons - known.people.keys(),
            horses=animals - known.horses.keys(),
        )
        if not unknown.people and not unknown.horses:
            return known
        found = Names(
            people={**known.people, **unknown.people}, horses={**known.horses, **unknown.horses}
        )
        with self._lock:
            if self._turn <= turn and len(found.people) + len(found.horses) <= MOST:
                self._turn, self._known = turn, found
        return found
