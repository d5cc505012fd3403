"""Chooses by lot what stands on the cards of a class of the programme: the same every time."""

import random
from collections.abc import Iterator, Mapping, Sequence
from datetime import time, timedelta
from itertools import groupby, pairwise

import msgspec

from events.half_points import from_number, to_number
from events.judged_class.events import OrderBy
from events.rulebook.model import MarkRange, RuleBook
from service.demo import happenings as then
from service.demo.happenings import Happening
from service.demo.incidents import (
    CORRECTED,
    Protester,
    Slip,
    afterwards,
    before,
    fitting,
    on_a_ride,
    slipped,
)
from service.demo.programme import Kind, Planned, Programme
from service.demo.scenario import ClassStory, Outcome, Penalty, Ride, ShowStory, Timing

Cards = Mapping[str, Mapping[int, Ride]]
FAULTS = 0.09
"""How many maneuvers have a penalty."""
SEEN = 0.85
"""How many of these each judge sees."""
KNOCKED = 0.15
OFF_COURSE = 0.06
DECIDED = 0.7
"""How many ties a judge parts."""
RAILED = 0.5
"""In how many classes rail work moves somebody, where the rule book lets it."""


class Chooser:
    """What happens in one class, once it is known who is in it and in which order they go."""

    def __init__(self, show: ShowStory, programme: Programme, planned: Planned) -> None:
        assert planned.kind is not None  # noqa: S101 - a written-out class is not chosen
        self.show = show
        self.says = programme.incidents
        self.kind: Kind = planned.kind
        self.turn = planned.turn
        self.dealt = planned.incident
        self.story = planned.story
        self.lot = random.Random(f"{planned.story.seed} cards")  # noqa: S311 - as the programme's

    def complete(self, book: RuleBook, drawn: Sequence[int]) -> ClassStory:
        """The class with its cards and all that happens; ``drawn`` are the back numbers."""
        kind, lot = self.kind, self.lot
        plain = kind.seats == 1 and not (
            kind.learners or kind.tied or kind.round or kind.split_above
        )
        incident = fitting(self.dealt, self.story, book, plain=plain)
        story = msgspec.structs.replace(self.story, entries=tuple(drawn))
        taken = {self.show.rider(number) for number in drawn}
        others = [each for each in self.show.pairs if self.show.rider(each) not in taken]
        happened: list[Happening] = list(before(incident, lot, self.says, story, others))
        out = {each.back for each in happened if isinstance(each, then.Scratch)}
        out -= {each.back for each in happened if isinstance(each, then.Reinstate)}
        riding = [number for number in drawn if number not in out]
        if incident == "missed gate":
            missed = riding.pop(lot.randrange(len(riding)))
            happened.append(then.MissGate(at=story.begins.time(), back=missed))
        if incident == "readmitted":
            last, reason = riding[-1], lot.choice(self.says.readmitted)
            later = (story.begins + timedelta(minutes=5)).time()
            happened.append(then.MissGate(at=story.begins.time(), back=last))
            happened.append(then.Readmit(at=later, back=last, reason=reason))
        if book.judging == "scored":
            return self._scored(story, book, riding, incident, happened)
        if book.judging == "timed":
            times = {seat: {each: self._timing() for each in riding} for seat in story.judges}
            if incident == "wrong line":
                first, *_, last = riding
                for clock in times.values():
                    clock[first] = Timing(milliseconds=12_000, for_another=last)
            story = msgspec.structs.replace(story, times=times)
        else:
            happened += self._placings(story, riding)
        return self._ended(story, incident, None, happened)

    def _ended(
        self, story: ClassStory, incident: str, slip: Slip | None, happened: list[Happening]
    ) -> ClassStory:
        back = slip.back if slip is not None else min(story.gate_calls or story.entries)
        protester = Protester(back, self.show.rider(back))
        for each in afterwards(incident, self.says, story, slip, protester, self.lot):
            if isinstance(each, then.Post) and self.kind.run_off:
                declined = self.kind.run_off[self.turn % len(self.kind.run_off)] == "declined"
                happened.append(then.RunOff(at=each.at, declined=declined))
            happened.append(each)
            if isinstance(each, then.Post) and self.kind.cut is not None:
                with_ties = self.kind.cut_with_ties
                happened.append(then.Cut(at=each.at, size=self.kind.cut, with_ties=with_ties))
        if self.kind.purse is not None:
            happened += self._paid(happened[-1].at, self.kind.purse)
        if self.kind.learners:
            happened.append(then.SetCuts(at=happened[-1].at, cuts=(3, 5, 2)))
        return msgspec.structs.replace(story, then=(*story.then, *happened))

    def _paid(self, at: time, purse: int) -> Iterator[Happening]:
        """The purse; in the first class of a kind it is awarded too early, and once more."""
        seat = next(iter(self.story.judges)) if self.kind.seats == 1 else None
        paid = then.PayPrize(at=at, cents=purse, percentages=self.kind.percentages, seat=seat)
        yield paid
        if self.turn == 0:
            yield then.TakePrizeBack(at=at, reason="The sponsor doubles the purse", seat=seat)
            yield msgspec.structs.replace(paid, cents=2 * purse)

    def _placings(self, story: ClassStory, riding: Sequence[int]) -> Iterator[Happening]:
        at = (story.begins + timedelta(minutes=17)).time()
        liked = {number: self.lot.gauss(0, 1) for number in riding}
        for seat in story.judges:
            seen = {number: liked[number] + self.lot.gauss(0, 0.6) for number in riding}
            order = tuple(sorted(riding, key=lambda number: -seen[number]))
            if self.kind.cut is not None:
                yield then.CallBack(at=at, by=seat, back=order[: self.kind.cut])
            yield then.Place(at=at, by=seat, order=order)

    def _timing(self) -> Timing:
        seconds = self.lot.gauss(self.kind.middle, self.kind.spread)
        knocked = self.lot.random() < KNOCKED
        outcome = None
        if self.lot.random() < OFF_COURSE:
            outcome = Outcome(kind="no_time", reason="Rode past the keyhole")
        return Timing(
            milliseconds=round(max(seconds, 6) * 1000),
            penalty_milliseconds=5000 if knocked else 0,
            outcome=outcome,
        )

    def _scored(
        self,
        story: ClassStory,
        book: RuleBook,
        riding: Sequence[int],
        incident: str,
        happened: list[Happening],
    ) -> ClassStory:
        cards = self._tied(self._cards(story, book, riding), book)
        first = next(iter(story.judges))
        slip, one = None, self.lot.choice(riding)
        card = dict(cards[first])
        if incident in CORRECTED:
            card[one], maneuver = slipped(self.lot, card[one], book)
            slip = Slip(first, one, maneuver)
        elif self.kind.seats == 1 and not self.kind.learners:
            one, last = (riding[0], riding[-1]) if incident == "wrong line" else (one, one)
            card[one] = on_a_ride(incident, self.lot, self.says, card[one], book, last)
        if incident == "out of order":
            at = (story.begins + timedelta(seconds=story.seconds_a_ride)).time()
            happened.append(then.RideOutOfOrder(at=at, back=one))
        story = msgspec.structs.replace(story, cards={**cards, first: card})
        if not (
            self.kind.seats > 1 or slip or self.kind.tied or story.split_above or story.on_paper
        ):
            happened += self._order(story, book, first)
            if incident == "order withdrawn" and any(isinstance(e, then.Order) for e in happened):
                happened.append(then.WithdrawOrder(at=happened[-1].at, by=first))
        return self._ended(story, incident, slip, happened)

    def _cards(self, story: ClassStory, book: RuleBook, riding: Sequence[int]) -> Cards:
        """What each seat has of each ride: the judges see the same rides, not the same way."""
        spread, lot = self.kind.spread, self.lot
        cards: dict[str, dict[int, Ride]] = {seat: {} for seat in story.seats}
        for number in riding:
            quality = lot.gauss(0, 0.6)
            shown = [self.kind.middle + lot.gauss(quality, 0.8) * spread for _ in story.maneuvers]
            faults = [each for each in range(len(shown)) if lot.random() < FAULTS]
            called = [self._penalty(book, each + 1) for each in faults]
            for seat in story.seats:
                rider = book.scale.rider_mark
                cards[seat][number] = Ride(
                    marks=tuple(self._seen(book.scale.mark, each) for each in shown),
                    rider_mark=self._seen(rider, 2.4 + quality) if rider else None,
                    penalties=tuple(
                        each for each in called if each is not None and lot.random() < SEEN
                    ),
                )
        return cards

    def _seen(self, marks: MarkRange, shown: float) -> float:
        """The mark that one judge gives for what was shown."""
        seen = shown + self.lot.gauss(0, 0.25) * self.kind.spread
        steps = round((_half_points_near(seen) - marks.lowest) / marks.step)
        return to_number(min(marks.highest, max(marks.lowest, marks.lowest + steps * marks.step)))

    def _penalty(self, book: RuleBook, maneuver: int) -> Penalty | None:
        if book.graded_penalties:
            points = self.lot.choice([0.5, 1, 2, 3])
            return Penalty(maneuver=maneuver, code=book.graded_penalties[0].code, points=points)
        if not book.penalties:
            return None
        weights = [1 / each.points**2 for each in book.penalties]
        [called] = self.lot.choices(book.penalties, weights)
        return Penalty(maneuver=maneuver, code=called.code)

    def _tied(self, cards: Cards, book: RuleBook) -> Cards:
        """The cards with as many equal at the place that the kind says."""
        if self.kind.tied is None:
            return cards
        seats = list(cards)
        totals = {
            number: sum(_total(cards[seat][number], book) for seat in seats)
            for number in cards[seats[0]]
        }
        best = sorted(totals, key=lambda number: -totals[number])
        model, copy = best[self.kind.tied - 1 : self.kind.tied + 1]
        # With a judge who parts ties, that judge's card has to: the two change their cards.
        parted = self.kind.panel is not None and self.kind.panel.tie_judge is not None
        sources = seats[::-1] if parted else seats
        return {
            seat: {**cards[seat], copy: cards[source][model]}
            for seat, source in zip(seats, sources, strict=True)
        }

    def _order(self, story: ClassStory, book: RuleBook, seat: str) -> Iterator[Happening]:
        """An order of the judge: for a tie, or after rail work where the rule book has it."""
        normal = {
            number: _total(ride, book)
            for number, ride in story.cards[seat].items()
            if (ride.outcome is None or ride.outcome.lifted) and ride.excused is None
        }
        ranked = sorted(normal, key=lambda number: -normal[number])
        groups = [tuple(group) for _, group in groupby(ranked, key=lambda number: normal[number])]
        length = timedelta(seconds=len(story.gate_calls) * story.seconds_a_ride + 90)
        steps = {step.step: step.places for step in book.ties}
        order: tuple[int, ...] = ()
        by: OrderBy = "rail_work"
        reason = self.lot.choice(self.says.rail)
        tied = next((group for group in groups if len(group) > 1), None)
        close = [(a[0], b[0]) for a, b in pairwise(groups) if len(a) == len(b) == 1]
        if tied is not None and "judges_decision" in steps and self.lot.random() < DECIDED:
            order, by, reason = tied, "judges_decision", self.lot.choice(self.says.tie)
        elif len(groups[0]) > 1 and "run_off" in steps:
            order, by, reason = groups[0], "run_off", "Ridden again; by the higher score"
        elif close and book.rail.role == "adjusts" and self.lot.random() < RAILED:
            order = self.lot.choice(close)[::-1]
        if order:
            yield then.Order(
                at=(story.begins + length).time(),
                by=seat,
                order=order,
                settled_by=by,
                reason=reason,
            )


def _total(ride: Ride, book: RuleBook) -> float:
    """What the ride comes to, in points."""
    total = sum(ride.marks) + (ride.rider_mark or 0)
    for called in ride.penalties:
        rule = book.penalty(called.code)
        fixed = getattr(rule, "points", 0)
        total -= 0 if called.withdrawn else called.points or to_number(fixed)
    return total


def _half_points_near(points: float) -> int:
    return from_number(round(points * 2) / 2)
