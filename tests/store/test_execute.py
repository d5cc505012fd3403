"""A command is decided on the latest state, appended once, and tried again when it came late."""

from collections.abc import Callable, Sequence

import pytest

from events.envelope import Event
from events.judged_class.events import MarkGiven
from events.refusals import Refusal
from service.store.errors import (
    CommandIdReused,
    ConcurrencyGaveUp,
    WrongExpectedVersion,
)
from service.store.execute import ATTEMPTS, Executed, execute
from service.store.folds import Aggregate, StreamFolds
from service.store.log import Log
from service.store.texts import bodies, keeping, seal
from tests.store.given import CLASS, NOON, SCRIBE, command, mark, several

Marks = tuple[int, ...]
Decide = Callable[[Marks], Sequence[Event]]


def collect(state: Marks, event: MarkGiven) -> Marks:
    return (*state, event.mark)


@pytest.fixture
def folds(log: Log) -> StreamFolds[Marks]:
    """Classes folded to the marks given in them."""
    return StreamFolds(log, Aggregate((), collect))


def run(
    folds: StreamFolds[Marks],
    decide: Decide,
    name: str = "command-1",
    *,
    expected_version: int | None = None,
) -> Executed:
    return execute(
        folds,
        CLASS,
        decide,
        command=command(name),
        actor=SCRIBE,
        occurred_at=NOON,
        expected_version=expected_version,
    )


def next_mark(state: Marks) -> list[Event]:
    return [mark(len(state))]


def never(state: Marks) -> list[Event]:
    raise AssertionError(state)


def signed(state: Marks) -> list[Event]:
    raise Refusal("card_signed", f"the card was signed after {len(state)} marks")


def test_events_are_decided_on_the_latest_state(folds: StreamFolds[Marks]) -> None:
    folds.log.append(CLASS, several(3), expected_version=0)
    done = run(folds, next_mark)
    assert done == (4, folds.log.read(CLASS, after=3), False)
    (recorded,) = done.events
    assert recorded.data == mark(3)
    assert (recorded.actor, recorded.occurred_at, recorded.command) == (SCRIBE, NOON, "command-1")


def test_a_repeated_command_is_answered_with_what_it_led_to(folds: StreamFolds[Marks]) -> None:
    first = run(folds, lambda _: [mark(1), mark(2)])
    run(folds, next_mark, "command-2")
    again = run(folds, next_mark)
    assert again == (2, first.events, True)
    assert folds.log.version(CLASS) == 3


def test_a_repeated_command_is_not_refused_for_what_it_led_to(folds: StreamFolds[Marks]) -> None:
    first = run(folds, next_mark)
    assert run(folds, signed) == (1, first.events, True)
    assert run(folds, next_mark, expected_version=0) == (1, first.events, True)


def test_a_command_that_is_already_so_is_carried_out_without_events(
    folds: StreamFolds[Marks],
) -> None:
    run(folds, next_mark)
    assert run(folds, lambda _: (), "command-2") == (1, (), False)
    assert run(folds, next_mark, "command-2") == (1, (), True)


def test_a_refusal_writes_nothing_and_is_not_remembered(folds: StreamFolds[Marks]) -> None:
    with pytest.raises(Refusal, match="after 0 marks"):
        run(folds, signed)
    assert folds.log.carried_out(command()) is None
    assert run(folds, next_mark) == (1, folds.log.read(CLASS), False)


def test_a_command_id_used_for_something_else_is_refused(folds: StreamFolds[Marks]) -> None:
    run(folds, next_mark)
    for decide in (next_mark, signed):
        with pytest.raises(CommandIdReused):
            execute(
                folds, CLASS, decide, command=command(asked="another"), actor=SCRIBE,
                occurred_at=NOON,
            )  # fmt: skip


@pytest.mark.parametrize("expected", [0, 1, 3])
def test_a_command_that_insists_on_another_version_is_refused_undecided(
    folds: StreamFolds[Marks], expected: int
) -> None:
    folds.log.append(CLASS, several(2), expected_version=0)
    with pytest.raises(WrongExpectedVersion) as refused:
        run(folds, never, expected_version=expected)
    assert (refused.value.expected, refused.value.actual) == (expected, 2)
    assert run(folds, next_mark, expected_version=2).version == 3


def overtaken(log: Log, times: int) -> tuple[Decide, list[Marks]]:
    """A decision during which others append, and the states that it was asked to decide on."""
    states: list[Marks] = []

    def decide(state: Marks) -> list[Event]:
        states.append(state)
        if len(states) <= times:
            log.append(CLASS, several(1), expected_version=len(state))
        return [mark(7)]

    return decide, states


def test_a_command_that_was_overtaken_is_decided_again(folds: StreamFolds[Marks]) -> None:
    decide, states = overtaken(folds.log, times=2)
    assert run(folds, decide).version == 3
    assert states == [(), (0,), (0, 0)]
    assert folds.latest(CLASS) == ((0, 0, 7), 3)


def test_after_three_attempts_it_gives_up(folds: StreamFolds[Marks]) -> None:
    decide, states = overtaken(folds.log, times=99)
    with pytest.raises(ConcurrencyGaveUp) as gave_up:
        run(folds, decide)
    assert (gave_up.value.stream, gave_up.value.attempts) == (CLASS, ATTEMPTS)
    assert len(states) == ATTEMPTS == 3
    assert folds.log.carried_out(command()) is None


def test_a_command_that_insists_is_not_tried_again(folds: StreamFolds[Marks]) -> None:
    decide, states = overtaken(folds.log, times=1)
    with pytest.raises(WrongExpectedVersion) as refused:
        run(folds, decide, expected_version=0)
    assert (refused.value.expected, refused.value.actual) == (0, 1)
    assert states == [()]


def test_texts_are_kept_only_beside_events(folds: StreamFolds[Marks]) -> None:
    sealed = seal("the reason")

    def ask(decide: Decide, name: str) -> None:
        execute(
            folds, CLASS, decide, command=command(name), actor=SCRIBE, occurred_at=NOON,
            beside=keeping([sealed]),
        )  # fmt: skip

    ask(lambda _: (), "command-1")
    assert bodies(folds.log.database, [sealed.ref]) == {}
    ask(next_mark, "command-2")
    assert bodies(folds.log.database, [sealed.ref]) == {sealed.ref: "the reason"}
