"""What was made last under a name, remembered with what it follows from."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

Made = TypeVar("Made")


class Last:
    """Remembers little: of each name the last, and the names that were asked for last."""

    def __init__(self, names: int = 32) -> None:
        self._names = names
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, tuple[Hashable, Any]] = OrderedDict()

    def made(self, name: Hashable, follows_from: Hashable, make: Callable[[], Made]) -> Made:
        """What was made of the same before, or is made now."""
        with self._lock:
            kept = self._kept.get(name)
        if kept is not None and kept[0] == follows_from:
            known: Made = kept[1]
            return known
        made = make()
        with self._lock:
            self._kept[name] = (follows_from, made)
            self._kept.move_to_end(name)
            if len(self._kept) > self._names:
                self._kept.popitem(last=False)
        return made
