"""A stream's state at any version, as if it had been folded from its beginning."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from events.judged_class.events import MarkGiven
from service.store.engine import Database
from service.store.folds import Aggregate, Fold, StreamFolds
from service.store.log import Log
from tests.store.given import CLASS, OTHER, several

Marks = tuple[int, ...]
NO_MARKS: Marks = ()


def collect(state: Marks, event: MarkGiven) -> Marks:
    return (*state, event.mark)


@pytest.fixture
def folds(log: Log) -> StreamFolds[Marks]:
    """Two streams at most, folded to the marks given in them."""
    return StreamFolds(log, Aggregate(NO_MARKS, collect), capacity=2)


def test_a_stream_with_no_events_is_at_its_initial_state(folds: StreamFolds[Marks]) -> None:
    assert folds.latest(CLASS) == Fold((), 0)
    assert folds.at(CLASS, 5) == Fold((), 0)


def test_the_latest_state_follows_every_append(folds: StreamFolds[Marks]) -> None:
    folds.log.append(CLASS, several(2), expected_version=0)
    assert folds.latest(CLASS) == Fold((0, 1), 2)
    folds.log.append(CLASS, several(3), expected_version=2)
    assert folds.latest(CLASS) == Fold((0, 1, 0, 1, 2), 5)


@pytest.mark.parametrize("warm", [False, True])
@pytest.mark.parametrize("version", range(7))
def test_a_past_state_is_the_one_that_was_the_latest_then(
    folds: StreamFolds[Marks], version: int, warm: bool
) -> None:
    folds.log.append(CLASS, several(5), expected_version=0)
    if warm:
        folds.latest(CLASS)
    stood = min(version, 5)
    assert folds.at(CLASS, version) == Fold(tuple(range(stood)), stood)


def test_only_what_is_new_is_read(folds: StreamFolds[Marks]) -> None:
    folds.log.append(CLASS, several(2), expected_version=0)
    seen: list[Marks] = []

    def evolve(state: Marks, event: MarkGiven) -> Marks:
        seen.append(state)
        return collect(state, event)

    counted = StreamFolds(folds.log, Aggregate(NO_MARKS, evolve))
    counted.latest(CLASS)
    counted.latest(CLASS)
    folds.log.append(CLASS, several(1), expected_version=2)
    counted.latest(CLASS)
    assert seen == [(), (0,), (0, 1)]
    counted.at(CLASS, 3)
    assert len(seen) == 3


def test_looking_back_does_not_forget_the_latest(folds: StreamFolds[Marks]) -> None:
    folds.log.append(CLASS, several(4), expected_version=0)
    folds.latest(CLASS)
    folds.at(CLASS, 1)
    assert folds.latest(CLASS) == Fold((0, 1, 2, 3), 4)


def test_an_append_carries_the_state_forward(folds: StreamFolds[Marks]) -> None:
    fold = folds.latest(CLASS)
    recorded = folds.log.append(CLASS, several(2), expected_version=0)
    assert folds.advance(CLASS, fold, [each.data for each in recorded]) == Fold((0, 1), 2)
    assert folds.latest(CLASS) == Fold((0, 1), 2)


def test_a_slower_thread_does_not_put_a_state_back(folds: StreamFolds[Marks]) -> None:
    early = folds.latest(CLASS)
    recorded = folds.log.append(CLASS, several(2), expected_version=0)
    folds.latest(CLASS)
    folds.advance(CLASS, early, [recorded[0].data])
    assert folds.latest(CLASS) == Fold((0, 1), 2)


def test_streams_beyond_the_capacity_are_folded_again(folds: StreamFolds[Marks]) -> None:
    for stream in (CLASS, OTHER, "class-third"):
        folds.log.append(stream, several(2), expected_version=0)
    for stream in (CLASS, OTHER, "class-third", CLASS):
        assert folds.latest(stream) == Fold((0, 1), 2)


def test_threads_share_one_cache(sqlite: Database) -> None:
    log = Log(sqlite)
    folds = StreamFolds(log, Aggregate(NO_MARKS, collect), capacity=2)
    done = threading.Event()

    def look() -> bool:
        last = 0
        while not done.is_set():
            state, version = folds.latest(CLASS)
            assert state == (0,) * version
            assert version >= last
            last = version
        return last > 0

    with ThreadPoolExecutor(3) as threads:
        looking = [threads.submit(look) for _ in range(3)]
        for version in range(40):
            log.append(CLASS, several(1), expected_version=version)
        done.set()
        assert all(each.result() for each in looking)


def test_several_streams_are_carried_to_their_ends_at_once(folds: StreamFolds[Marks]) -> None:
    folds.log.append(CLASS, several(2), expected_version=0)
    folds.latest(CLASS)
    folds.log.append(CLASS, several(1), expected_version=2)
    folds.log.append(OTHER, several(1), expected_version=0)
    assert folds.latest_of([CLASS, OTHER]) == {CLASS: Fold((0, 1, 0), 3), OTHER: Fold((0,), 1)}
    assert folds.latest_of([]) == {}
