"""Which shows and seasons there are, and which classes each show holds."""

import threading

import msgspec

from events.envelope import split_stream
from events.judged_class.events import ClassScheduled
from events.season.events import SeasonOpened
from events.show.events import ShowPlanned
from service.store.beginnings import beginnings
from service.store.log import Log

PAGE = 1000


class Listed(msgspec.Struct, frozen=True):
    """A show, a season or a class, and the position of the log at which its story begins."""

    position: int
    id: str


class Directory:
    """What the first events of the streams say, remembered and carried forward.

    A class is scheduled by the first event of its stream and never put under another show, so
    what is remembered stays right.
    """

    def __init__(self, log: Log) -> None:
        self._log = log
        self._lock = threading.Lock()
        self._position = 0
        self._shows: list[Listed] = []
        self._seasons: list[Listed] = []
        self._classes: dict[str, list[Listed]] = {}
        self._show_of: dict[str, str] = {}

    def shows(self) -> tuple[Listed, ...]:
        """Every show, in the order of planning."""
        with self._lock:
            self._catch_up()
            return tuple(self._shows)

    def seasons(self) -> tuple[Listed, ...]:
        """Every season, in the order of opening."""
        with self._lock:
            self._catch_up()
            return tuple(self._seasons)

    def classes(self, show: str) -> tuple[Listed, ...]:
        """The classes of a show, in the order of scheduling."""
        with self._lock:
            self._catch_up()
            return tuple(self._classes.get(show, ()))

    def show_of(self, class_id: str) -> str | None:
        """The show that a class is scheduled at; ``None`` for no class."""
        with self._lock:
            if class_id not in self._show_of:
                self._catch_up()
            return self._show_of.get(class_id)

    def _catch_up(self) -> None:
        while found := beginnings(self._log, self._position, PAGE):
            for first in found:
                _, name = split_stream(first.stream)
                listed = Listed(first.position, name)
                match first.data:
                    case ShowPlanned():
                        self._shows.append(listed)
                    case SeasonOpened():
                        self._seasons.append(listed)
                    case ClassScheduled(show=show):
                        self._classes.setdefault(show, []).append(listed)
                        self._show_of[name] = show
                    case _:
                        pass
            self._position = found[-1].position
            if len(found) < PAGE:
                return
