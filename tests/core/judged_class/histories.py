"""Random stories of a class: a class that runs its course, with anything at all asked in between.

Most of what is asked in between is refused; what is not makes stories that nobody would think of.
"""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from functools import cache
from itertools import cycle, product
from typing import Any, TypeVar, get_args

import msgspec
from hypothesis import strategies as st

from events.envelope import Actor, Command, Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.authority import AUTHORITY
from events.judged_class.decide import decide
from events.judged_class.events import Authority, ClassEvent, OrderBy
from events.judged_class.evolve import fold
from events.judged_class.state import INITIAL, ClassState, Ride
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from tests.core.books import (
    CROSSING,
    NO_RIDER_MARK,
    PLACED,
    SMALL,
    SUMMED,
    TIES_ONLY,
    TIMED,
    shipped,
    small,
    tie,
)
from tests.core.judged_class.scene import (
    BACK_NUMBERS,
    NOON,
    OFFICE,
    SCHEDULE,
    STEWARD,
    accept,
    mark,
    rider,
    scribe,
)
from tests.strategies import pooled

T = TypeVar("T")
BOOKS = (
    SMALL,
    TIES_ONLY,
    CROSSING,
    NO_RIDER_MARK,
    small(
        ties=(tie("fewest_penalty_points", places=2), tie("rail_work"), tie("run_off", places=1))
    ),
    shipped("western-horsemanship"),
    SUMMED,
    PLACED,
    TIMED,
    shipped("western-riding"),
)
ENTRIES = ("e1", "e2", "e3", "e4")
FACTS: tuple[type[ask.FactCommand], ...] = get_args(ask.FactCommand)
SEATS = {"A": "judge", "B": "judge", "L": "learner"}
MANEUVERS = 2


def _rarely(rare: Sequence[T], usual: Sequence[T], times: int = 1) -> st.SearchStrategy[T]:
    """Mostly a usual value; the rare ones lie in the middle, since the ends are drawn most."""
    often = [*usual] * times
    return st.sampled_from([*often, *rare, *often])


_seats = _rarely("C", "ABLABA")
_entries = _rarely(["e9"], ENTRIES, 2)
_back_numbers = _rarely([5], BACK_NUMBERS[: len(ENTRIES)])
_permutations = st.permutations(ENTRIES)
_length = _rarely([1], [2, 3, 4, 2])
_ways: st.SearchStrategy[OrderBy] = _rarely(["run_off", "judges_decision"], ["rail_work"], 2)
_words: st.SearchStrategy[Authority] = _rarely(["judge", "ruling"], ["office_error"])
_replaced = _rarely([None], range(1, 9))
_protests = _rarely(["x1", "x2"], [None], 3)
_seldom = _rarely([True], [False], 5)
_minutes = _rarely([31, 59], [0, 5, 30])
_ids = st.sampled_from(["x1", "x2", "x3"])
refs = _rarely(
    [
        st.builds(ask.EntryRef, working_order=_rarely([5], [1, 2, 3, 4])),
        st.builds(ask.EntryRef, back_number=_back_numbers),
        pooled(ask.EntryRef, {"entry": _entries, "back_number": _back_numbers}),
    ],
    [st.builds(ask.EntryRef, entry=_entries)],
    3,
).flatmap(lambda refs: refs)
POOLS: dict[str, st.SearchStrategy[Any]] = {
    "EntryRef": refs,
    "seat": _seats,
    "entry": _entries,
    "back_number": _back_numbers,
    "judge": st.sampled_from(["judge-A", "judge-B", "judge-L", "judge-C"]),
    "name": st.sampled_from(["Walk", ""]),
    "maneuvers": st.sampled_from(["Walk", "Jog", "Walk", "Jog", ""]),
    "maneuver": _rarely([0, 3], [1, 2], 3),
    "mark": _rarely([3, 6, -6, 7, 11], [1, 0, -1, 2], 2),
    "points": st.sampled_from([6, 10, 2, 3]),
    "code": _rarely(["eyes-down", "rough"], ["tick", "cone-tick"], 2),
    "performed": st.sampled_from(["simple-change", "nothing"]),
    "ground": _rarely(["opinion"], ["sums", "arithmetic"], 2),
    "version": st.integers(1, 80),
    "versions": _rarely([0, 99], range(1, 20)),
    "order": _entries,
    "call": _ids,
    "observation": _ids,
    "order_id": _ids,
    "correction": st.sampled_from([f"x{number}" for number in range(9)]),
    "protest": _ids,
    "total": st.integers(130, 150),
    "milliseconds": _rarely([0], [9_000, 9_500]),
    "penalty_milliseconds": _rarely([-1], [0, 500]),
    "divisions": st.sampled_from(["youth", "novice"]),
    "carried": st.sampled_from([0, 140]),
    "size": _rarely([0], [1, 2]),
    "cuts": _rarely([-1], [0, 3]),
    "fee_paid": _rarely([False], [True], 3),
    "purse": _rarely([0, -5], [1, 100, 99_999]),
    "percentages": _rarely(["x", "-1", "101", "1/0"], ["50", "30", "12.5", "100/3"], 2),
    "division": _rarely(["open"], [None, "youth"]),
}
"""Few values for each part of a command or an event, so that stories run into each other."""

COMBINED = POOLS | {"division": st.sampled_from(["youth", "novice", ""])}
"""The divisions of classes that are combined have names, or blank ones."""

GATE = POOLS | {"call": st.integers(0, 4)}
"""At the gate a call is a number."""


class Step(msgspec.Struct, frozen=True):
    """A command as it was asked, by whom and when, and what came of it."""

    command: Command
    by: Actor
    minutes: int
    happened: tuple[Event, ...] = ()
    refused: str | None = None


class Story(msgspec.Struct, frozen=True):
    """Everything that was asked of a class, in order."""

    book: RuleBook
    steps: tuple[Step, ...]

    @property
    def events(self) -> tuple[ClassEvent, ...]:
        return tuple(event for step in self.steps for event in step.happened)  # type: ignore[misc]

    @property
    def state(self) -> ClassState:
        return fold(self.events)


def tell(book: RuleBook, asked: Sequence[tuple[Command, Actor, int]]) -> Story:
    """Each command is put to the class as the ones before it have left it."""
    state, steps = INITIAL, []
    for command, by, minutes in asked:
        aimed = _aimed(state, command)
        now = NOON + timedelta(minutes=minutes)
        try:
            made = decide(state, aimed, rulebook=book, now=now, actor=by)
        except Refusal as refused:
            steps.append(Step(aimed, by, minutes, refused=refused.code))
            continue
        steps.append(Step(aimed, by, minutes, made))
        state = fold(made, state)  # type: ignore[arg-type]
    return Story(book, tuple(steps))


def _aimed(state: ClassState, command: Command) -> Command:
    """A correction aimed at one of the facts that stand for its entry, if there are any."""
    if not isinstance(command, ask.MakeCorrection) or command.replaces is None:
        return command
    card = state.cards.get(command.seat)
    ride = card.rides.get(command.ref.entry or "", Ride()) if card is not None else Ride()
    single = [known for known in (ride.rider_mark, ride.outcome) if known is not None]
    standing = [*ride.marks.values(), *ride.penalties, *ride.observations, *single]
    if not standing:
        return command
    version = sorted(known.version for known in standing)[command.replaces % len(standing)]
    return msgspec.structs.replace(command, replaces=version)


@cache
def commands(kinds: Sequence[type[Command]] = tuple(AUTHORITY)) -> st.SearchStrategy[Command]:
    """Any command of these kinds, or of any, in words that the class may know."""
    return st.sampled_from(kinds).flatmap(_command)


@cache
def _command(kind: type[Command]) -> st.SearchStrategy[Command]:
    if kind is ask.MakeCorrection:
        return corrections()
    if kind is ask.SetDraw or kind is ask.RepairDraw:
        drawn = st.permutations(ENTRIES).map(tuple)
        return pooled(kind, POOLS) | st.builds(ask.RepairDraw, order=drawn, reason=st.just("x"))
    if kind is ask.SetOrder:
        return orders(POOLS["seat"])
    if kind is ask.ObserveFault:
        return pooled(kind, POOLS | {"code": _rarely(["nothing"], ["eyes-down"], 2)})
    if kind is ask.CombineClass:
        return pooled(kind, COMBINED)
    return pooled(kind, GATE if kind is ask.CallEntry else POOLS)


@st.composite
def orders(draw: st.DrawFn, seats: st.SearchStrategy[str]) -> ask.SetOrder:
    """An order over two entries or more, mostly of the rail work."""
    named = draw(_permutations)[: draw(_length)]
    return ask.SetOrder(
        seat=draw(seats),
        order_id=draw(_ids),
        order=tuple(ask.EntryRef(entry=name) for name in named),
        by=draw(_ways),
        reason=draw(st.sampled_from([None, "sha256:quieter"])),
        authority=draw(_rarely([None], ["office_error"]) if draw(_seldom) else st.none()),
    )


@st.composite
def corrections(draw: st.DrawFn) -> ask.MakeCorrection:
    """A correction, mostly of the seat and the entry that its fact is about."""
    fact = draw(commands(FACTS))
    assert isinstance(fact, FACTS)
    return ask.MakeCorrection(
        correction=draw(POOLS["correction"]),
        seat="A" if draw(_seldom) else fact.seat,
        ref=ask.EntryRef(entry="e1") if draw(_seldom) else fact.ref,
        authority=draw(_words),
        reason="sha256:misheard",
        replaces=draw(_replaced),
        fact=None if draw(_seldom) else fact,
        protest=draw(_protests),
    )


DRAW = ask.SetDraw(order=ENTRIES)
SIGNATURE = ask.SignCard(seat="A")
ON_CARDS: tuple[type[Command], ...] = (
    *FACTS,
    ask.WithdrawPenalty,
    ask.WithdrawMark,
    ask.WithdrawRiderMark,
    ask.WithdrawTime,
    ask.WithdrawObservation,
    ask.LiftOutcome,
    ask.SetOrder,
    ask.SetOrder,
    ask.ConfirmOrder,
    ask.WithdrawOrder,
    ask.PlaceCard,
    ask.CallBack,
)
WHILE_RIDING = (
    *ON_CARDS,
    ask.RepairDraw,
    ask.CallEntry,
    ask.RecordMissedGate,
    ask.ExcuseEntry,
    ask.ReadmitEntry,
    ask.ReadmitEntry,
    ask.GrantReride,
    ask.ChangeHorse,
    ask.ReplaceJudge,
    ask.CloseSeat,
    ask.RescheduleClass,
    *ON_CARDS,
)
BEFORE_SIGNING = (ask.SetOrder, ask.SetOrder, *ON_CARDS, ask.SetOrder)
AFTERWARDS: tuple[type[Command], ...] = (
    *[ask.MakeCorrection] * 3,
    ask.SetOrder,
    ask.ConfirmOrder,
    ask.WithdrawOrder,
    ask.ReadmitEntry,
    ask.SetCarriedTotal,
    ask.FileProtest,
    ask.FileProtest,
    ask.RuleProtest,
    ask.WithdrawProtest,
    ask.ReopenCard,
    ask.PostResults,
    ask.MakeOfficial,
    ask.ReopenResults,
    ask.HoldRunOff,
    ask.MakeCut,
    ask.PlaceCard,
    *[ask.MakeCorrection] * 3,
)


def card_commands(seat: str) -> st.SearchStrategy[Command]:
    """What a scribe may ask for one seat."""
    kinds: tuple[type[Command], ...] = (*ON_CARDS, ask.SignCard)
    return commands(kinds).map(lambda asked: msgspec.structs.replace(asked, seat=seat))


ACTORS = (OFFICE, STEWARD, scribe("A"), scribe("B"), scribe("L"), Actor(key="f", role="federation"))


def hands(command: Command) -> st.SearchStrategy[Actor]:
    """Mostly somebody who may ask it, at some time."""
    return _hands(type(command), getattr(command, "seat", None))


@cache
def _hands(kind: type[Command], seat: str | None) -> st.SearchStrategy[Actor]:
    roles = {role for row in AUTHORITY[kind] for role in row.roles}
    fit = [each for each in ACTORS if each.role in roles and each.seat in {None, seat}]
    return _rarely(ACTORS, fit, 12)


def setting_up() -> Iterator[Command]:
    """The class up to its draw."""
    yield SCHEDULE
    yield ask.SetPattern(maneuvers=("Walk", "Jog"))
    for seat, kind in SEATS.items():
        yield msgspec.convert({"seat": seat, "judge": f"judge-{seat}", "kind": kind}, ask.SeatJudge)
    yield from (accept(number + 1) for number in range(len(ENTRIES)))
    yield DRAW


def riding(book: RuleBook, marks: Sequence[int], seats: str = "ABL") -> Iterator[Command]:
    """A complete ride of every entry on every card, its marks taken from ``marks`` in turn."""
    given = cycle(marks)
    for seat, name in product(seats, ENTRIES):
        ref = ask.EntryRef(entry=name)
        if book.judging == "timed":
            yield ask.GiveTime(seat=seat, ref=ref, milliseconds=9_000 + 500 * next(given))
        elif book.judging == "scored":
            for maneuver in range(1, MANEUVERS + 1):
                yield mark(seat, name, maneuver, next(given))
            if book.scale.rider_mark is not None:
                yield rider(seat, name, abs(next(given)))
    if book.judging == "placed":
        order = tuple(ask.EntryRef(entry=name) for name in ENTRIES)
        yield from (ask.PlaceCard(seat=seat, order=order) for seat in seats)


def closing() -> Iterator[Command]:
    """From signing to official, and over again."""
    yield SIGNATURE
    yield from (ask.SignCard(seat=seat) for seat in SEATS if seat != SIGNATURE.seat)
    yield from (ask.PostResults(), ask.MakeOfficial(reason="sha256:seen"))
    yield ask.ReopenResults(authority="office_error", reason="sha256:sums")
    yield from (ask.PostResults(), ask.MakeOfficial(reason="sha256:seen"))


@st.composite
def stories(draw: st.DrawFn, *, between: int = 20) -> Story:
    """A class that runs its course, or part of it, with up to so many commands in between."""
    book = draw(st.sampled_from(BOOKS))
    marks = draw(st.lists(st.integers(-1, 1), min_size=3, max_size=7))
    course = [*setting_up(), *riding(book, marks), *closing()]
    asked: list[tuple[Command, Actor, int]] = [(command, OFFICE, 0) for command in course]
    drawn, ridden = course.index(DRAW) + 1, course.index(SIGNATURE)
    parts = (
        (AFTERWARDS, ridden + len(SEATS), len(course)),
        (BEFORE_SIGNING, ridden, ridden),
        (WHILE_RIDING, drawn, ridden),
    )
    for kinds, first, last in parts:
        for _ in range(draw(st.integers(0, between))):
            command = draw(commands(kinds))
            asked.insert(
                draw(st.integers(first, last)), (command, draw(hands(command)), draw(_minutes))
            )
    if draw(_seldom):
        command = draw(commands())
        asked.insert(draw(st.integers(0, len(asked))), (command, draw(hands(command)), 0))
    cut = draw(st.none() | st.integers(0, len(asked)))
    return tell(book, asked[:cut])


def nonsense() -> st.SearchStrategy[list[ClassEvent]]:
    """Events of every kind that no decision would ever have let happen together."""
    kinds: tuple[type[ClassEvent], ...] = get_args(ClassEvent)
    return st.lists(st.sampled_from(kinds).flatmap(_event), max_size=40)


@cache
def _event(kind: type[ClassEvent]) -> st.SearchStrategy[ClassEvent]:
    pools = GATE if kind is happened.EntryCalled else POOLS
    if kind is happened.ClassCombined:
        pools = COMBINED
    return pooled(kind, pools | {"replaces": st.integers(1, 40)})
