"""Which events of a bundle are missing, and which stand out of their turn."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise

from events.bundle.reading import Fault, Reading


def turn_faults(reading: Reading) -> Iterator[Fault]:
    """What is wrong with the order and the number of the events, each of which holds by itself."""
    keep = in_turn([event.version for event in reading.events])
    for index in sorted(set(range(len(reading.events))) - set(keep)):
        yield _out_of_turn(reading, index)
    for before, after in pairwise(keep):
        earlier, later = reading.events[before], reading.events[after]
        if earlier.position >= later.position:
            yield Fault(
                code="positions_reversed",
                says=f"Event {later.version} of the class stands before event {earlier.version} "
                "in the log.",
                line=reading.lines[after],
                version=later.version,
            )
    yield from _missing(reading)


def in_turn(versions: Sequence[int]) -> list[int]:
    """The indexes of a longest strictly rising run among the versions, as few as can be left out.

    By patience sorting: ``ends[n]`` is the smallest end of a run of n + 1 versions.
    """
    ends: list[int] = []
    end_at: list[int] = []
    before: list[int] = []
    for index, version in enumerate(versions):
        length = bisect_left(ends, version)
        before.append(end_at[length - 1] if length else -1)
        ends[length : length + 1] = [version]
        end_at[length : length + 1] = [index]
    run: list[int] = []
    index = end_at[-1] if end_at else -1
    while index >= 0:
        run.append(index)
        index = before[index]
    return run[::-1]


def _out_of_turn(reading: Reading, index: int) -> Fault:
    event, line = reading.events[index], reading.lines[index]
    return Fault(
        code="event_out_of_turn",
        says=f"Event {event.version} of the class is out of place at line {line}.",
        line=line,
        version=event.version,
    )


def _missing(reading: Reading) -> Iterator[Fault]:
    versions = sorted({event.version for event in reading.events})
    most = versions[-1] if versions else 0
    announced = reading.head.events if reading.head else most
    for before, after in pairwise([0, *versions, max(announced, most) + 1]):
        first, last = before + 1, after - 1
        if first <= last and not reading.names_all(first, last):
            missing = f"Event {first} is" if first == last else f"Events {first} to {last} are"
            says = f"{missing} missing of the class."
            yield Fault(code="event_missing", says=says, version=first)
    if most > announced:
        says = f"The first line speaks of {announced} events, and there is event {most}."
        yield Fault(code="events_too_many", says=says, version=most)
