"""A command is carried out once for each key, however often it is sent."""

import msgspec
import pytest

from service.store.errors import CommandIdReused, CommandRepeated, WrongExpectedVersion
from service.store.log import Log
from tests.store.given import CLASS, OTHER, command, several


def test_a_command_is_remembered_with_its_events(log: Log) -> None:
    log.append(OTHER, several(4), expected_version=0)
    recorded = log.append(CLASS, several(2), expected_version=0, command=command())
    stored = log.stored_command("key-1", "command-1")
    assert stored is not None
    assert (stored.stream, stored.version, stored.events, stored.position) == (CLASS, 2, 2, 6)
    assert stored.recorded_at == recorded[-1].recorded_at
    assert stored == log.carried_out(command())


@pytest.mark.parametrize("expected", [0, 2, 5])
def test_a_repeated_command_is_told_what_it_led_to(log: Log, expected: int) -> None:
    log.append(CLASS, several(2), expected_version=0, command=command())
    with pytest.raises(CommandRepeated) as repeated:
        log.append(CLASS, several(2), expected_version=expected, command=command())
    assert repeated.value.stored == log.stored_command("key-1", "command-1")
    assert log.head().position == 2


def test_a_repeated_command_may_name_another_stream_and_still_writes_nothing(log: Log) -> None:
    log.append(CLASS, several(2), expected_version=0, command=command())
    with pytest.raises(CommandRepeated) as repeated:
        log.append(OTHER, several(2), expected_version=0, command=command())
    assert repeated.value.stored.stream == CLASS
    assert log.read(OTHER) == ()


def test_a_command_id_used_for_something_else_is_refused(log: Log) -> None:
    log.append(CLASS, several(2), expected_version=0, command=command())
    with pytest.raises(CommandIdReused) as refused:
        log.append(CLASS, several(1), expected_version=2, command=command(asked="another"))
    assert (refused.value.key, refused.value.command) == ("key-1", "command-1")
    with pytest.raises(CommandIdReused):
        log.carried_out(command(asked="another"))
    assert log.head().position == 2


def test_command_ids_count_within_their_key(log: Log) -> None:
    log.append(CLASS, several(1), expected_version=0, command=command())
    log.append(CLASS, several(1), expected_version=1, command=command(key="key-2", asked="else"))
    assert log.version(CLASS) == 2


def test_a_command_that_is_already_so_is_remembered_without_events(log: Log) -> None:
    log.append(CLASS, several(3), expected_version=0)
    assert log.append(CLASS, [], expected_version=3, command=command()) == ()
    stored = log.stored_command("key-1", "command-1")
    assert stored is not None
    assert (stored.version, stored.events, stored.position) == (3, 0, 3)
    with pytest.raises(CommandRepeated):
        log.append(CLASS, several(1), expected_version=3, command=command())


def test_a_refused_command_is_not_remembered(log: Log) -> None:
    with pytest.raises(WrongExpectedVersion):
        log.append(CLASS, several(1), expected_version=1, command=command())
    assert log.carried_out(command()) is None
    log.append(CLASS, several(1), expected_version=0, command=command())


def test_an_answer_is_kept_with_the_command(log: Log) -> None:
    answered = msgspec.structs.replace(command(), answer='{"place":1}')
    log.append(CLASS, several(1), expected_version=0, command=answered)
    stored = log.carried_out(command())
    assert stored is not None
    assert stored.answer == '{"place":1}'
