"""Streams folded to their state, kept in memory and carried forward by what is new."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import Any, Generic, NamedTuple, TypeVar

from events.envelope import Event
from service.store.log import LATEST, Log
from service.store.tips import tips

S = TypeVar("S")


class Aggregate(NamedTuple, Generic[S]):
    """How one kind of stream is folded: its events, or with ``envelopes`` each as recorded."""

    initial: S
    evolve: Callable[[S, Any], S]
    envelopes: bool = False


class Fold(NamedTuple, Generic[S]):
    """The state of a stream at a version; version 0 is a stream with no events."""

    state: S
    version: int


class StreamFolds(Generic[S]):
    """The latest states of the streams of one kind that were used last.

    Safe to share between threads. What is kept saves folding a stream's beginning again; but for
    ``remembered``, the log is asked for its end each time, so that no state is stale.
    """

    def __init__(self, log: Log, aggregate: Aggregate[S], *, capacity: int = 256) -> None:
        self.log = log
        self._aggregate = aggregate
        self._capacity = capacity
        self._kept: OrderedDict[str, Fold[S]] = OrderedDict()
        self._lock = threading.Lock()

    def latest(self, stream: str) -> Fold[S]:
        """The stream as it stands now."""
        fold = self._carried(self._find(stream), stream, LATEST)
        self.keep(stream, fold)
        return fold

    def remembered(self, stream: str) -> Fold[S]:
        """The stream as it stood when it was last looked at here, which may be a while ago."""
        with self._lock:
            kept = self._kept.get(stream)
        return kept or self.latest(stream)

    def come_to(self, stream: str, version: int) -> Fold[S]:
        """The stream at a version that it is known to have come to, or further.

        The log is asked only for what is not remembered.
        """
        kept = self._find(stream)
        if kept.version < version:
            return self.latest(stream)
        self.keep(stream, kept)
        return kept

    def latest_of(self, streams: Collection[str]) -> Mapping[str, Fold[S]]:
        """Several streams as they stand now; one query for all of those that have not moved."""
        if not streams:
            return {}
        far = tips(self.log.database, streams).versions
        return {stream: self.come_to(stream, far[stream]) for stream in streams}

    def at(self, stream: str, version: int) -> Fold[S]:
        """The stream as it stood at a version, or as it stands now if it has not come so far."""
        kept = self._find(stream)
        start = kept if kept.version <= version else Fold(self._aggregate.initial, 0)
        return self._carried(start, stream, version)

    def advance(self, stream: str, fold: Fold[S], events: Iterable[Event]) -> Fold[S]:
        """The stream after the events that were just appended to it at that fold."""
        advanced = self.after(fold, events)
        self.keep(stream, advanced)
        return advanced

    def after(self, fold: Fold[S], events: Iterable[Any]) -> Fold[S]:
        """What these events would make of a fold; nothing is remembered."""
        state, version = fold
        for event in events:
            state = self._aggregate.evolve(state, event)
            version += 1
        return Fold(state, version)

    def keep(self, stream: str, fold: Fold[S]) -> None:
        """Remember how a stream stands, unless something later is remembered already."""
        with self._lock:
            known = self._kept.get(stream)
            # Another thread may have come further meanwhile.
            if known is None or known.version < fold.version:
                self._kept[stream] = fold
            self._kept.move_to_end(stream)
            if len(self._kept) > self._capacity:
                self._kept.popitem(last=False)

    def _find(self, stream: str) -> Fold[S]:
        with self._lock:
            return self._kept.get(stream) or Fold(self._aggregate.initial, 0)

    def _carried(self, fold: Fold[S], stream: str, to: int) -> Fold[S]:
        read = self.log.read if self._aggregate.envelopes else self.log.read_data
        found: Sequence[Any] = read(stream, after=fold.version, to=to)
        return self.after(fold, found)
