"""Random stories of a class, told through ``decide``, so that everything in them was allowed.

``tell`` asks ``pick(n)`` for a number below n wherever a story may go on in n ways.
"""

import contextlib
from collections.abc import Callable, Iterator, Sequence
from datetime import timedelta
from itertools import chain, product
from random import Random
from typing import Any, TypeVar

import msgspec
from hypothesis import strategies as st

from events.envelope import Actor, Command
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.panel import panel_result
from events.judged_class.standing import seat_placing
from events.judged_class.state import Card, ClassState, Known, Ride
from events.refusals import Refusal
from events.rulebook.model import OutcomeRule, PanelChoice, PanelRule, RuleBook, TieStep
from service.books import shipped_book
from tests.stories import (
    OFFICE,
    PATTERN,
    REASON,
    STEWARD,
    WESTERN,
    Recorder,
    Told,
    entry,
    scheduled,
    scribe,
)

T = TypeVar("T")
Pick = Callable[[int], int]


def _rule(kind: str, placing: str, total: str, tier: int = 1) -> OutcomeRule:
    rule = {"kind": kind, "placing": placing, "total": total, "tier": tier, "wording": kind}
    return msgspec.convert(rule | {"in_class_size": True, "source": "made up"}, OutcomeRule)


def _tie(step: str, maneuver: str | None = None) -> TieStep:
    return msgspec.convert({"step": step, "maneuver": maneuver, "source": "made up"}, TieStep)


CROSSING = msgspec.structs.replace(
    WESTERN,
    rail=msgspec.structs.replace(WESTERN.rail, crosses_outcomes=True),
    outcomes=(
        *WESTERN.outcomes,
        _rule("severe_fault", "below", "kept", 2),
        _rule("zero", "below", "zero", 3),
        _rule("no_score", "unplaced", "none"),
    ),
)
"""Every outcome there is, and rail work that lifts an entry over the line between them."""

NARROW = msgspec.structs.replace(
    WESTERN,
    scale=msgspec.structs.replace(WESTERN.scale, floor=0, ceiling=142, base=10),
    outcomes=CROSSING.outcomes,
    ties=(
        _tie("rider_mark"),
        _tie("fewest_penalty_points"),
        _tie("named_maneuver", "Stop"),
        _tie("run_off"),
        _tie("judges_decision"),
    ),
    rail=msgspec.structs.replace(WESTERN.rail, role="none"),
)
"""Penalties reach the floor at once, and ties are parted by everything but rail work."""

CAPPED = msgspec.structs.replace(
    NARROW, scale=msgspec.structs.replace(NARROW.scale, base=141, floor=138)
)
PLAIN = msgspec.structs.replace(WESTERN.rail, role="none")
PLACED = msgspec.structs.replace(WESTERN, judging="placed", rail=PLAIN, ties=())
TIMED = msgspec.structs.replace(WESTERN, judging="timed", rail=PLAIN, ties=(_tie("run_off"),))
"""Judged by placing alone, and against the clock."""

SUMMED = msgspec.structs.replace(
    WESTERN, panel=msgspec.convert({"method": "sum", "source": "made up"}, PanelRule)
)
"""One placing of all the judges, with run-offs between those it leaves equal."""

BOOKS = (
    WESTERN,
    CROSSING,
    NARROW,
    CAPPED,
    PLACED,
    TIMED,
    SUMMED,
    shipped_book("reining"),
    shipped_book("ranch-riding"),
    shipped_book("equitation-hundred"),
)


class _Teller(Recorder):
    """One story while it is told."""

    def __init__(self, pick: Pick, book: RuleBook) -> None:
        super().__init__(book)
        self.pick = pick
        self.names = 0

    def one(self, among: Sequence[T]) -> T:
        return among[self.pick(len(among))]

    def name(self, what: str) -> str:
        self.names += 1
        return f"{what}-{self.names}"

    def do(self, command: Command, by: Actor) -> None:
        """Some time later, and maybe offline, the command is asked; it may well be refused."""
        self.later(milliseconds=100 + 900 * self.pick(20))
        self.gap = 1 + self.pick(3)
        offline = timedelta(minutes=40) if self.pick(12) == 0 else timedelta(0)
        with contextlib.suppress(Refusal):
            self.record(command, by, self.now - offline)

    def set_up(self) -> None:
        self.do(scheduled(self.book), OFFICE)
        self.do(ask.SetPattern(maneuvers=PATTERN[: 1 + self.pick(3)]), OFFICE)
        for seat, kind in (("A", "judge"), ("B", "judge"), ("L", "learner"))[: 1 + self.pick(3)]:
            seated = {"seat": seat, "judge": f"judge-{seat}", "kind": kind}
            self.do(msgspec.convert(seated, ask.SeatJudge), OFFICE)
        for _ in range(1 + self.pick(4)):
            self.accept()
        order = self.shuffled(tuple(self.state.entries))
        first = self.pick(2) and self.pick(len(order))
        sections = (first, len(order) - first) if first else None
        self.do(ask.SetDraw(order=order, sections=sections), OFFICE)
        if not self.pick(4):
            self.before_riding()

    def shuffled(self, names: tuple[str, ...]) -> tuple[str, ...]:
        left = list(names)
        return tuple(left.pop(self.pick(len(left))) for _ in names)

    def accept(self) -> None:
        number = len(self.state.entries) + 1
        accept = ask.AcceptEntry(
            entry=f"n{number}",
            back_number=100 + 7 * number,
            exhibitor=f"p{number}",
            horse="h1",
            divisions=self.one(((), ("youth",), ("novice", "youth"))),
            carried=self.one((None, None, None, 140)),
        )
        self.do(accept, OFFICE)

    # --- one step each ------------------------------------------------------------------------

    def seat(self) -> str:
        return self.one(sorted(self.state.cards))

    def entry(self) -> ask.EntryRef:
        return entry(self.one(sorted(self.state.entries)))

    def maneuver(self) -> int:
        return 1 + self.pick(len(self.state.pattern.maneuvers if self.state.pattern else "1"))

    def fact(self, seat: str, ref: ask.EntryRef) -> ask.FactCommand:
        book, scale = self.book, self.book.scale
        if book.judging == "timed" and self.pick(3):
            return self.time(seat, ref)
        kinds = "marks", "rider", "penalty", "outcome", "observe"
        match self.one(kinds if scale.rider_mark else kinds[:1] + kinds[2:]):
            case "rider" if scale.rider_mark:
                mark = self.one(range(scale.rider_mark.lowest, scale.rider_mark.highest + 1))
                return ask.GiveRiderMark(seat=seat, ref=ref, mark=mark)
            case "penalty" if book.penalties:
                rule = self.one(book.penalties)
                return ask.CallPenalty(seat=seat, ref=ref, call=self.name("call"), code=rule.code)
            case "outcome":
                kind = self.one(book.outcomes).kind
                return ask.CallOutcome(seat=seat, ref=ref, kind=kind, reason=REASON)
            case "observe" if book.faults:
                seen = self.name("seen")
                code = self.one(book.faults).code
                return ask.ObserveFault(seat=seat, ref=ref, observation=seen, code=code)
            case _:
                mark = self.one(range(scale.mark.lowest, scale.mark.highest + 1, scale.mark.step))
                return ask.GiveMark(seat=seat, ref=ref, maneuver=self.maneuver(), mark=mark)

    def time(self, seat: str, ref: ask.EntryRef) -> ask.GiveTime:
        taken, added = 9_000 + 500 * self.pick(4), 1_000 * self.pick(2)
        return ask.GiveTime(seat=seat, ref=ref, milliseconds=taken, penalty_milliseconds=added)

    def place(self) -> None:
        """A card that is judged by placing alone."""
        seat = self.seat()
        named = self.shuffled(tuple(self.state.entries))[: 1 + self.pick(4)]
        signed = self.state.cards[seat].signed is not None
        refs = tuple(map(entry, named))
        command = self.one(
            (
                ask.PlaceCard(seat=seat, order=refs, reason=REASON if signed else None),
                ask.CallBack(seat=seat, entries=refs),
            )
        )
        self.do(command, STEWARD if signed else scribe(seat))

    def put(self) -> None:
        seat = self.seat()
        self.do(self.fact(seat, self.entry()), scribe(seat))

    def complete(self) -> None:
        """What is missing on every card is marked, timed or placed."""
        match self.book.judging:
            case "scored":
                self.complete_marks()
            case "timed":
                for seat, name in product(sorted(self.state.cards), self.state.draw):
                    ride = self.state.cards[seat].rides.get(name)
                    if ride is None or ride.time is None:
                        self.do(self.time(seat, entry(name)), scribe(seat))
            case "placed":
                for seat in sorted(self.state.cards):
                    order = tuple(map(entry, self.shuffled(self.state.draw)))
                    self.do(ask.PlaceCard(seat=seat, order=order), scribe(seat))

    def complete_marks(self) -> None:
        scale = self.book.scale
        for seat in sorted(self.state.cards):
            for name in self.state.draw:
                ride = self.state.cards[seat].rides.get(name, Ride())
                ref = entry(name)
                for number in range(1, len(self.state.pattern.maneuvers) + 1):  # type: ignore[union-attr]
                    if number not in ride.marks:
                        mark = scale.mark.lowest + scale.mark.step * self.pick(5)
                        self.do(
                            ask.GiveMark(seat=seat, ref=ref, maneuver=number, mark=mark),
                            scribe(seat),
                        )
                if scale.rider_mark and ride.rider_mark is None:
                    mark = scale.rider_mark.lowest + self.pick(2)
                    self.do(ask.GiveRiderMark(seat=seat, ref=ref, mark=mark), scribe(seat))

    def take_back(self) -> None:
        seat, ref = self.seat(), self.entry()
        ride = self.state.cards[seat].rides.get(ref.entry or "", Ride())
        of: list[Command] = [
            *(ask.WithdrawPenalty(seat=seat, ref=ref, call=k.event.call) for k in ride.penalties),
            *(ask.WithdrawMark(seat=seat, ref=ref, maneuver=number) for number in ride.marks),
            *(
                ask.WithdrawObservation(seat=seat, ref=ref, observation=k.event.observation)
                for k in ride.observations
            ),
            ask.WithdrawRiderMark(seat=seat, ref=ref),
            ask.WithdrawTime(seat=seat, ref=ref),
            ask.LiftOutcome(seat=seat, ref=ref),
        ]
        self.do(self.one(of), scribe(seat))

    def set_order(self) -> None:
        """Entries that stand next to one another are put in order, tied ones more often."""
        seat = self.seat()
        rows = seat_placing(self.state, self.state.cards[seat], self.book)
        tied = [row for row in rows if row.tied]
        among = [row.entry for row in (tied if tied and self.pick(3) else rows) if row.place]
        first = self.pick(1 + len(among) // 2)
        named = self.shuffled(tuple(among[first:][: 2 + self.pick(3)]))
        order = ask.SetOrder(
            seat=seat,
            order_id=self.name("order"),
            order=tuple(map(entry, named)),
            by=self.one(("rail_work", "rail_work", "run_off", "judges_decision")),
        )
        signed = self.state.cards[seat].signed is not None
        self.do(order, STEWARD if signed else scribe(seat))

    def settle_order(self) -> None:
        cards = [card for _, card in sorted(self.state.cards.items()) if card.orders]
        if not cards:
            return
        card = self.one(cards)
        settle = self.one((ask.ConfirmOrder, ask.ConfirmOrder, ask.WithdrawOrder))
        order = self.one(card.orders).event.order_id
        self.do(settle(seat=card.seat, order_id=order), STEWARD)

    def sign(self) -> None:
        for seat in sorted(self.state.cards):
            self.do(ask.SignCard(seat=seat), scribe(seat))

    def reopen_card(self) -> None:
        self.do(ask.ReopenCard(seat=self.seat(), reason=REASON), OFFICE)

    def gate(self) -> None:
        ref = self.entry()
        self.do(
            self.one(
                (
                    ask.CallEntry(ref=ref, call=1 + self.pick(2)),
                    ask.CallEntry(ref=ref, call=1),
                    ask.RecordMissedGate(ref=ref),
                    ask.ExcuseEntry(ref=ref),
                    ask.ScratchEntry(ref=ref, reason=REASON),
                    ask.ReadmitEntry(ref=ref, reason=REASON),
                    ask.ReinstateEntry(ref=ref, reason=REASON),
                    ask.SetCarriedTotal(ref=ref, carried=130 + self.pick(20)),
                    ask.RecordOutOfOrder(ref=ref),
                    ask.GrantReride(ref=ref, reason=REASON),
                    ask.ChangeHorse(ref=ref, horse=self.name("horse")),
                )
            ),
            self.one((OFFICE, STEWARD)),
        )

    def change(self) -> None:
        """Judges leave, the class is moved, or it is cancelled and then held after all."""
        seat = self.seat()
        alone = len(self.state.cards) == 1
        self.do(
            self.one(
                (
                    ask.ReplaceJudge(seat=seat, judge=self.name("judge"), reason=REASON),
                    ask.CloseSeat(seat=seat, reason=REASON),
                    ask.UnseatJudge(seat="B" if alone else seat, reason=REASON),
                    ask.RescheduleClass(
                        name=self.name("class"), number=self.pick(9), reason=REASON
                    ),
                )
            ),
            OFFICE,
        )

    def cancel(self) -> None:
        self.do(ask.CancelClass(reason=REASON), OFFICE)
        if self.pick(5):
            self.do(ask.LiftCancellation(reason=REASON), STEWARD)

    def before_riding(self) -> None:
        """The class is combined with another, or its judges in another way."""
        combined = ask.CombineClass(
            other=self.name("class"),
            division="amateur",
            own_division="open",
            reason=REASON,
            both=self.shuffled(tuple(self.state.entries))[:1],
        )
        panel = ask.ChangePanel(panel=PanelChoice(method="mean"), reason=REASON)
        together = self.book.panel.method != "separate"
        self.do(self.one((combined, panel)) if together else combined, OFFICE)

    def late_entry(self) -> None:
        self.accept()
        names = tuple(entry for entry in self.state.entries)
        running = tuple(name for name in names if self.state.entries[name].scratched is None)
        order, sections = self.shuffled(running), None
        if self.state.sections:
            order = tuple(sorted(order, key=lambda name: self.state.section(name) or len(running)))
            counted = [sum(self.state.section(name) == 1 for name in order)]
            sections = (counted[0], len(order) - counted[0])
        self.do(ask.RepairDraw(order=order, reason=REASON, sections=sections), OFFICE)

    def next_round(self) -> None:
        """Some go on to the next round, and cuts are set for learners."""
        cut = ask.MakeCut(
            size=1 + self.pick(3),
            with_ties=bool(self.pick(2)),
            per_section=bool(self.state.sections and self.pick(2)),
        )
        self.do(self.one((cut, ask.SetContestCuts(cuts=(self.pick(4), 2)))), OFFICE)

    def run_off(self) -> None:
        """Those whom the panel left equal ride once more."""
        tied = [row for row in panel_result(self.state, self.book).rows if row.tied]
        shared = tuple(row.entry for row in tied if row.place == tied[0].place)
        self.do(ask.HoldRunOff(order=tuple(map(entry, self.shuffled(shared)))), OFFICE)

    def post(self) -> None:
        self.do(ask.PostResults(), OFFICE)

    def make_official(self) -> None:
        self.do(ask.MakeOfficial(reason=REASON), OFFICE)

    def reopen(self) -> None:
        self.do(ask.ReopenResults(authority="office_error", reason=REASON), OFFICE)

    def correct(self) -> None:
        """A card is corrected, after official results were reopened for it."""
        if self.state.phase == "official":
            self.reopen()
        seat = self.seat()
        rides = [(e, r) for e, r in sorted(self.state.cards[seat].rides.items()) if _versions(r)]
        if not rides:
            return
        name, ride = self.one(rides)
        ref = entry(name)
        replaces = self.one((None, *_versions(ride)))
        fact = self.fact(seat, ref) if replaces is None or self.pick(3) else None
        upheld = [p for p, known in self.state.protests.items() if known.ruled is not None]
        command = ask.MakeCorrection(
            correction=self.name("correction"),
            seat=seat,
            ref=ref,
            authority=self.one(("judge", "office_error", "ruling")),
            reason=REASON,
            replaces=replaces,
            fact=fact,
            protest=self.one((None, *upheld)),
        )
        self.do(command, STEWARD)

    def protest(self) -> None:
        rules = self.book.protests
        grounds = [ground.code for ground in rules.grounds if ground.protestable] if rules else []
        if grounds:
            self.do(
                ask.FileProtest(
                    protest=self.name("protest"),
                    filed_by="p1",
                    ground=self.one(grounds),
                    statement=REASON,
                    fee_paid=True,
                ),
                OFFICE,
            )

    def settle_protest(self) -> None:
        waiting = [name for name, protest in self.state.protests.items() if protest.is_open]
        if not waiting:
            return
        name = self.one(waiting)
        if self.pick(4) == 0:
            self.do(ask.WithdrawProtest(protest=name), OFFICE)
        else:
            verdict = {"verdict": self.one(("upheld", "denied"))}
            ruling = {"protest": name, "reason": REASON} | verdict
            self.do(msgspec.convert(ruling, ask.RuleProtest), STEWARD)

    def finish(self) -> None:
        """All that stands between the class and official results is done, so far as it can be."""
        self.complete()
        for card in _judges(self.state):
            for order in card.orders:
                self.do(ask.ConfirmOrder(seat=card.seat, order_id=order.event.order_id), STEWARD)
        self.sign()
        self.run_off()
        self.settle_protest()
        self.post()
        self.make_official()


_STEPS: tuple[tuple[int, Callable[[_Teller], None]], ...] = (
    (16, _Teller.put),
    (2, _Teller.complete),
    (2, _Teller.take_back),
    (6, _Teller.set_order),
    (2, _Teller.settle_order),
    (1, _Teller.sign),
    (1, _Teller.reopen_card),
    (3, _Teller.gate),
    (2, _Teller.place),
    (2, _Teller.next_round),
    (1, _Teller.run_off),
    (1, _Teller.late_entry),
    (1, _Teller.change),
    (1, _Teller.cancel),
    (1, _Teller.post),
    (1, _Teller.make_official),
    (1, _Teller.reopen),
    (8, _Teller.correct),
    (2, _Teller.protest),
    (2, _Teller.settle_protest),
    (1, _Teller.finish),
)
_WEIGHED = tuple(step for weight, step in _STEPS for _ in range(weight))


EACH_BY_ITSELF = tuple(book for book in BOOKS if book.panel.method == "separate")
"""Under these each judge's card is a result of its own."""


def tell(pick: Pick, *, steps: int, book: RuleBook | None = None) -> Told:
    """A story of so many steps after the class was set up."""
    teller = _Teller(pick, book or BOOKS[pick(len(BOOKS))])
    teller.set_up()
    for _ in range(steps):
        teller.one(_WEIGHED)(teller)
    return teller.told


def histories(*, most: int = 30, books: Sequence[RuleBook] = BOOKS) -> st.SearchStrategy[Told]:
    """Stories; one that fails shrinks to the steps that led to the failure."""

    def told(seed: int, steps: int, book: RuleBook) -> Told:
        return tell(Random(seed).randrange, steps=steps, book=book)

    return st.builds(told, st.integers(0, 2**32 - 1), st.integers(0, most), st.sampled_from(books))


def many(count: int, *, seed: int = 1, steps: int = 40) -> Iterator[Told]:
    """So many stories, the same ones every time."""
    for number in range(count):
        yield tell(Random(f"{seed}-{number}").randrange, steps=steps)


def _versions(ride: Ride) -> tuple[int, ...]:
    lists: tuple[Sequence[Known[Any]], ...] = (
        [known for known in (ride.rider_mark, ride.outcome, ride.time) if known is not None],
        tuple(ride.marks.values()),
        ride.penalties,
        ride.observations,
    )
    return tuple(known.version for known in chain.from_iterable(lists))


def _judges(state: ClassState) -> list[Card]:
    return [card for card in state.cards.values() if card.kind == "judge"]


def kinds(told: Sequence[Told]) -> frozenset[type[happened.ClassEvent]]:
    """Which events happen in some of the stories."""
    return frozenset(type(event.data) for each in told for event in each.events)  # type: ignore[misc]
