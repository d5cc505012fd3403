"""Carrying out a command: decided on what is remembered, and never on what is out of date."""

from collections.abc import Sequence
from datetime import UTC, datetime

import pytest

from events.envelope import Actor, Event
from events.refusals import Refusal
from events.show.events import RingAdded
from events.show.state import INITIAL, ShowState, evolve
from service.store.batch import CommandRecord
from service.store.errors import ConcurrencyGaveUp, NotTogether, WrongExpectedVersion
from service.store.execute import Executed, Wanted, execute, execute_together
from service.store.folds import Aggregate, StreamFolds
from service.store.log import Log

STREAM = "show-s1"
ACTOR = Actor(key="k1", role="office")


@pytest.fixture
def here(log: Log) -> StreamFolds[ShowState]:
    return StreamFolds(log, Aggregate(INITIAL, evolve))


@pytest.fixture
def elsewhere(log: Log) -> StreamFolds[ShowState]:
    """What another process remembers of the same log."""
    return StreamFolds(log, Aggregate(INITIAL, evolve))


def add(ring: str, state: ShowState) -> Sequence[Event]:
    return () if ring in state.rings else (RingAdded(ring=ring),)


def ask(
    folds: StreamFolds[ShowState], ring: str, command: str, expected: int | None = None
) -> Executed:
    return execute(
        folds,
        STREAM,
        lambda state: add(ring, state),
        command=CommandRecord(key="k1", command=command, fingerprint=ring),
        actor=ACTOR,
        occurred_at=datetime(2026, 5, 9, 14, tzinfo=UTC),
        expected_version=expected,
    )


def test_what_was_remembered_out_of_date_is_decided_again(
    here: StreamFolds[ShowState], elsewhere: StreamFolds[ShowState]
) -> None:
    ask(here, "A", "1")
    ask(elsewhere, "B", "2")
    done = ask(here, "C", "3")
    assert (done.version, here.latest(STREAM).state.rings) == (3, ("A", "B", "C"))


def test_what_somebody_else_did_meanwhile_is_already_so(
    here: StreamFolds[ShowState], elsewhere: StreamFolds[ShowState]
) -> None:
    ask(here, "A", "1")
    ask(elsewhere, "B", "2")
    done = ask(here, "B", "3")
    assert (done.version, done.events, done.repeated) == (2, (), False)


def test_nothing_is_refused_on_what_is_out_of_date(
    here: StreamFolds[ShowState], elsewhere: StreamFolds[ShowState]
) -> None:
    ask(here, "A", "1")
    ask(elsewhere, "B", "2")

    def needs_b(state: ShowState) -> Sequence[Event]:
        if "B" not in state.rings:
            raise Refusal("no_b", "There is no ring B.")
        return add("C", state)

    done = execute(
        here,
        STREAM,
        needs_b,
        command=CommandRecord(key="k1", command="3", fingerprint="C"),
        actor=ACTOR,
        occurred_at=datetime(2026, 5, 9, 14, tzinfo=UTC),
    )
    assert done.version == 3


def test_a_version_that_is_insisted_on_is_the_logs_and_not_the_remembered_one(
    here: StreamFolds[ShowState], elsewhere: StreamFolds[ShowState]
) -> None:
    ask(here, "A", "1")
    ask(elsewhere, "B", "2")
    with pytest.raises(WrongExpectedVersion) as moved:
        ask(here, "C", "3", expected=1)
    assert (moved.value.expected, moved.value.actual) == (1, 2)
    assert ask(here, "C", "4", expected=2).version == 3


def test_a_command_that_somebody_else_carried_out_is_repeated(
    here: StreamFolds[ShowState], elsewhere: StreamFolds[ShowState]
) -> None:
    ask(here, "A", "1")
    first = ask(elsewhere, "B", "2")
    again = ask(here, "B", "2")
    assert (again.version, again.events, again.repeated) == (first.version, first.events, True)


def test_whoever_is_always_slower_gives_up(
    here: StreamFolds[ShowState], elsewhere: StreamFolds[ShowState]
) -> None:
    ask(here, "A", "1")
    tries = 0

    def overtaken(state: ShowState) -> Sequence[Event]:
        nonlocal tries
        tries += 1
        ask(elsewhere, f"faster {tries}", f"faster {tries}")
        return add("slow", state)

    with pytest.raises(ConcurrencyGaveUp):
        execute(
            here,
            STREAM,
            overtaken,
            command=CommandRecord(key="k1", command="slow", fingerprint="slow"),
            actor=ACTOR,
            occurred_at=datetime(2026, 5, 9, 14, tzinfo=UTC),
        )
    assert "slow" not in here.latest(STREAM).state.rings


def wanted(ring: str, command: str, expected: int | None = None) -> Wanted[ShowState]:
    def decide(state: ShowState) -> Sequence[Event]:
        if ring == "full":
            raise Refusal("no_room", "There is no room for another ring.")
        return add(ring, state)

    return Wanted(
        decide=decide,
        command=CommandRecord(key="k1", command=command, fingerprint=ring),
        actor=ACTOR,
        occurred_at=datetime(2026, 5, 9, 14, tzinfo=UTC),
        expected_version=expected,
        beside=(),
    )


def test_commands_that_go_together_are_decided_one_after_the_other(
    here: StreamFolds[ShowState], elsewhere: StreamFolds[ShowState]
) -> None:
    together = [wanted("A", "1"), wanted("A", "2"), wanted("B", "3", expected=1)]
    done = execute_together(here, STREAM, together)
    assert [(each.version, len(each.events)) for each in done] == [(1, 1), (1, 0), (2, 1)]
    assert here.remembered(STREAM) == elsewhere.latest(STREAM)
    assert here.log.read(STREAM) == (*done[0].events, *done[2].events)
    assert [ask(elsewhere, ring, name).repeated for ring, name in ("A1", "A2", "B3")] == [True] * 3


@pytest.mark.parametrize("third", [wanted("full", "3"), wanted("C", "3", expected=7)])
def test_commands_go_together_up_to_the_first_that_is_refused(
    here: StreamFolds[ShowState], third: Wanted[ShowState]
) -> None:
    done = execute_together(here, STREAM, [wanted("A", "1"), wanted("B", "2"), third])
    assert [each.version for each in done] == [1, 2]
    assert here.latest(STREAM).state.rings == ("A", "B")
    assert execute_together(here, STREAM, [third]) == []


def test_nothing_goes_together_where_somebody_else_was_faster(
    here: StreamFolds[ShowState], elsewhere: StreamFolds[ShowState]
) -> None:
    ask(here, "A", "1")
    ask(elsewhere, "B", "2")
    with pytest.raises(NotTogether):
        execute_together(here, STREAM, [wanted("C", "3"), wanted("D", "4")])
    assert here.latest(STREAM).state.rings == ("A", "B")


def test_nothing_goes_together_where_one_was_carried_out_before_or_has_the_id_of_another(
    here: StreamFolds[ShowState],
) -> None:
    ask(here, "A", "1")
    for name in ("1", "2"):
        with pytest.raises(NotTogether):
            execute_together(here, STREAM, [wanted("B", "2"), wanted("C", name)])
    assert here.latest(STREAM).state.rings == ("A",)
