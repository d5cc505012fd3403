"""A class's story as what is asked for, when, and by whom, in order of time."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

import msgspec

from events.envelope import Command
from events.half_points import from_number
from events.judged_class import commands as ask
from events.judged_class.commands import EntryRef
from service.demo.happenings import Happening
from service.demo.scenario import (
    ClassStory,
    Outcome,
    Penalty,
    Ride,
    ShowStory,
    Timing,
    entry_id,
)

CALL_AHEAD = timedelta(seconds=90)
PAPER_WAITS = timedelta(minutes=2)
A_PAPER_RIDE = timedelta(seconds=45)
A_PAPER_LINE = timedelta(seconds=4)
A_FEW_SECONDS = timedelta(seconds=3)
A_MANEUVER = timedelta(seconds=14)


class Timed(NamedTuple):
    """What happens at a time, by which of the show's keys."""

    at: datetime
    by: str
    what: Command | Happening


class _Pen:
    """One ride on one card, written down as it goes."""

    def __init__(self, story: ClassStory, seat: str, back_number: int, begins: datetime) -> None:
        self.seat = seat
        self.back_number = back_number
        self.ref = _ref(back_number)
        self.by = "office" if story.on_paper else seat
        self.pace = A_PAPER_LINE if story.on_paper else A_MANEUVER
        self.now = begins
        self.calls = 0

    def ride(self, ride: Ride) -> Iterator[Timed]:
        """Everything on the card for the ride, maneuver by maneuver."""
        if ride.for_another is not None:
            yield from self._for_another(ride, _ref(ride.for_another))
        if ride.again is not None:
            yield from self._first_try(ride, ride.again)
        for maneuver, mark in enumerate(ride.marks, start=1):
            # No two maneuvers take the same time, and none the same for two horses.
            self.now += self.pace + timedelta(seconds=(7 * maneuver + self.back_number) % 5)
            given = ask.GiveMark(
                seat=self.seat, ref=self.ref, maneuver=maneuver, mark=from_number(mark)
            )
            yield self._write(given)
            yield from self._of_maneuver(ride, maneuver)
        yield from self._at_the_end(ride)

    def time(self, timing: Timing) -> Iterator[Timed]:
        """What the clock has of the ride."""
        self.now += A_FEW_SECONDS + timedelta(milliseconds=timing.milliseconds)
        if timing.outcome is not None:
            yield from self._outcome(timing.outcome)
            return
        given = ask.GiveTime(
            seat=self.seat,
            ref=self.ref,
            milliseconds=timing.milliseconds,
            penalty_milliseconds=timing.penalty_milliseconds,
        )
        if timing.for_another is not None:
            other = _ref(timing.for_another)
            yield self._write(msgspec.structs.replace(given, ref=other))
            self.now += A_FEW_SECONDS
            yield self._write(ask.WithdrawTime(seat=self.seat, ref=other))
        yield self._write(given)

    def _for_another(self, ride: Ride, other: EntryRef) -> Iterator[Timed]:
        """The scribe begins on the wrong line, and takes all of it back."""
        seat, noted = self.seat, f"o-{self.seat}-wrong-line"
        written: list[Command] = [
            ask.GiveMark(seat=seat, ref=other, maneuver=1, mark=from_number(ride.marks[0])),
            *(
                ask.ObserveFault(seat=seat, ref=other, observation=noted, code=each.code)
                for each in ride.observed[:1]
            ),
        ]
        taken_back: list[Command] = [ask.WithdrawMark(seat=seat, ref=other, maneuver=1)]
        if ride.observed:
            taken_back.append(ask.WithdrawObservation(seat=seat, ref=other, observation=noted))
        if ride.rider_mark is not None:
            mark = from_number(ride.rider_mark)
            written.append(ask.GiveRiderMark(seat=seat, ref=other, mark=mark))
            taken_back.append(ask.WithdrawRiderMark(seat=seat, ref=other))
        for command in (*written, *taken_back):
            self.now += A_FEW_SECONDS
            yield self._write(command)

    def _first_try(self, ride: Ride, why: str) -> Iterator[Timed]:
        for maneuver in range(1, len(ride.marks) // 2 + 1):
            self.now += self.pace
            yield self._write(ask.GiveMark(seat=self.seat, ref=self.ref, maneuver=maneuver, mark=0))
        self.now += A_FEW_SECONDS
        yield Timed(self.now, "steward", ask.GrantReride(ref=self.ref, reason=why))

    def _of_maneuver(self, ride: Ride, maneuver: int) -> Iterator[Timed]:
        for penalty in (each for each in ride.penalties if each.maneuver == maneuver):
            yield from self._penalty(penalty)
        for noted in (each for each in ride.observed if each.maneuver == maneuver):
            self.now += A_FEW_SECONDS
            fault = ask.ObserveFault(
                seat=self.seat,
                ref=self.ref,
                observation=f"o-{self.seat}-{self.back_number}-{maneuver}",
                code=noted.code,
                maneuver=maneuver,
            )
            yield self._write(fault)

    def _penalty(self, penalty: Penalty) -> Iterator[Timed]:
        for _ in range(penalty.count):
            self.calls += 1
            self.now += A_FEW_SECONDS
            call = f"c-{self.seat}-{self.back_number}-{self.calls}"
            called = ask.CallPenalty(
                seat=self.seat,
                ref=self.ref,
                call=call,
                code=penalty.code,
                points=None if penalty.points is None else from_number(penalty.points),
                maneuver=penalty.maneuver,
            )
            yield self._write(called)
            if penalty.withdrawn:
                self.now += A_FEW_SECONDS
                yield self._write(ask.WithdrawPenalty(seat=self.seat, ref=self.ref, call=call))

    def _at_the_end(self, ride: Ride) -> Iterator[Timed]:
        self.now += A_FEW_SECONDS
        if ride.rider_mark is not None:
            mark = from_number(ride.rider_mark)
            yield self._write(ask.GiveRiderMark(seat=self.seat, ref=self.ref, mark=mark))
        if ride.outcome is not None:
            yield from self._outcome(ride.outcome)
        if ride.excused is not None:
            yield Timed(self.now, "steward", ask.ExcuseEntry(ref=self.ref, reason=ride.excused))

    def _outcome(self, outcome: Outcome) -> Iterator[Timed]:
        called = ask.CallOutcome(
            seat=self.seat,
            ref=self.ref,
            kind=outcome.kind,
            maneuver=outcome.maneuver,
            reason=outcome.reason,
        )
        yield self._write(called)
        if outcome.lifted:
            self.now += A_FEW_SECONDS
            yield self._write(ask.LiftOutcome(seat=self.seat, ref=self.ref))

    def _write(self, command: Command) -> Timed:
        return Timed(self.now, self.by, command)


def timeline(show: ShowStory, story: ClassStory, draw: Sequence[int]) -> tuple[Timed, ...]:
    """Gate calls, rides and happenings of a class drawn in that order of back numbers."""
    riding = [number for number in draw if number in story.gate_calls]
    begins = show.moment(story.begins)
    found: list[Timed] = []
    for turn, number in enumerate(riding):
        enters = begins + turn * timedelta(seconds=story.seconds_a_ride)
        call = ask.CallEntry(ref=EntryRef(entry=entry_id(number)), call=1)
        found.append(Timed(enters - CALL_AHEAD, "office", call))
    found += _written(story, riding, begins)
    found += [Timed(show.moment(story.begins, each.at), each.by, each) for each in story.then]
    return tuple(sorted(found, key=lambda timed: timed.at))


def _written(story: ClassStory, riding: Sequence[int], begins: datetime) -> Iterator[Timed]:
    interval = timedelta(seconds=story.seconds_a_ride)
    if story.on_paper:
        begins += len(riding) * interval + PAPER_WAITS
        interval = A_PAPER_RIDE
    for turn, number in enumerate(riding):
        enters = begins + turn * interval
        for seat, card in story.cards.items():
            if number in card:
                yield from _Pen(story, seat, number, enters).ride(card[number])
        for seat, clock in story.times.items():
            if number in clock:
                yield from _Pen(story, seat, number, enters).time(clock[number])


def _ref(back_number: int) -> EntryRef:
    return EntryRef(entry=entry_id(back_number), back_number=back_number)
