"""A learner's card laid beside the official one, when the class is official. It never counts."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import Literal, TypeVar

import msgspec

from events.half_points import HalfPoints
from events.judged_class.references import card_of
from events.judged_class.state import Card, ClassState
from events.projections.card import ObservationLine, PenaltyLine, RideLine, card_view
from events.projections.placing import PlacingRow, SeatPlacing, placing
from events.refusals import Refusal
from events.rulebook.model import OutcomeKind, RuleBook
from events.scoring.cuts import ContestRule, ContestScore, contest_score

Line = TypeVar("Line")
Key = tuple[int | str | None, ...]
Seen = Literal["both", "missed", "not_called"]
"""``missed``: the judge called it and the learner did not; ``not_called``: the other way."""


_UNFINISHED_IS_NOUGHT = ContestRule(unfinished=0)


class MarkPair(msgspec.Struct, frozen=True, kw_only=True):
    """One maneuver marked by both; a mark is ``None`` where one of them gave none."""

    entry: str
    back_number: int
    maneuver: int
    name: str
    official: HalfPoints | None
    learner: HalfPoints | None

    @property
    def difference(self) -> HalfPoints | None:
        """The learner's mark less the judge's."""
        if self.official is None or self.learner is None:
            return None
        return self.learner - self.official


class SeenThing(msgspec.Struct, frozen=True, kw_only=True):
    """A penalty or a fault of position that one of them, or both, put on the card."""

    kind: Literal["penalty", "fault"]
    entry: str
    back_number: int
    maneuver: int | None
    code: str | None
    points: HalfPoints | None
    wording: str | None
    seen: Seen


class StandingPair(msgspec.Struct, frozen=True, kw_only=True):
    """What an entry came to on both cards."""

    entry: str
    back_number: int
    official_total: HalfPoints | None
    learner_total: HalfPoints | None
    official_outcome: OutcomeKind | None
    learner_outcome: OutcomeKind | None
    official_place: int | None
    learner_place: int | None


class LearnerReport(msgspec.Struct, frozen=True, kw_only=True):
    """A learner's card beside the card of one judge.

    ``contest`` is the score by cuts, ``None`` unless cuts are set for as many places as the judge
    placed, one entry to each, in a class ridden as one.
    """

    seat: str
    learner: str
    against: str
    marks: tuple[MarkPair, ...]
    seen: tuple[SeenThing, ...]
    standings: tuple[StandingPair, ...]
    contest: ContestScore | None


def learner_report(
    state: ClassState,
    book: RuleBook,
    seat: str,
    against: str,
    rule: ContestRule | None = None,
) -> LearnerReport:
    """The card of a learner's ``seat`` beside that of the judge in seat ``against``.

    Raises ``Refusal`` before the class is official, and when either seat is not of its kind: a
    learner is not shown a judge's card that is still being written.
    """
    learner, judge = card_of(state, seat), card_of(state, against)
    _check(state, learner, judge)
    views = [card_view(state, card, book).rides for card in (judge, learner)]
    pairs = list(zip(*views, strict=True))
    seats = {each.seat: each for each in placing(state, book).seats}
    official, learnt = seats[against], seats[seat]
    return LearnerReport(
        seat=seat,
        learner=learner.judge,
        against=against,
        marks=tuple(pair for both in pairs for pair in _marks(*both)),
        seen=tuple(thing for both in pairs for thing in _seen(*both)),
        standings=_standings(official, learnt),
        contest=_contest(state, official, learnt, rule),
    )


def _check(state: ClassState, learner: Card, judge: Card) -> None:
    if learner.kind != "learner":
        raise Refusal("not_a_learner", f"Seat {learner.seat} is a judge's.", field="seat")
    if judge.kind != "judge":
        raise Refusal("not_a_judge", f"Seat {judge.seat} is a learner's.", field="against")
    if state.phase != "official":
        raise Refusal(
            "not_official_yet",
            "Learners' cards are compared once results are official.",
            rule="a judge's card is shown to learners when results are official",
            phase=state.phase,
        )


def _marks(judge: RideLine, learner: RideLine) -> Iterator[MarkPair]:
    for official, own in zip(judge.marks, learner.marks, strict=True):
        yield MarkPair(
            entry=judge.entry,
            back_number=judge.back_number,
            maneuver=official.maneuver,
            name=official.name,
            official=official.mark,
            learner=own.mark,
        )


def _seen(judge: RideLine, learner: RideLine) -> Iterator[SeenThing]:
    for call, seen in _matched(judge.penalties, learner.penalties, _penalty_key):
        yield SeenThing(
            kind="penalty",
            entry=judge.entry,
            back_number=judge.back_number,
            maneuver=call.maneuver,
            code=call.code,
            points=call.points,
            wording=call.wording,
            seen=seen,
        )
    for fault, seen in _matched(judge.observations, learner.observations, _fault_key):
        yield SeenThing(
            kind="fault",
            entry=judge.entry,
            back_number=judge.back_number,
            maneuver=fault.maneuver,
            code=fault.code,
            points=None,
            wording=fault.wording,
            seen=seen,
        )


def _penalty_key(line: PenaltyLine) -> Key:
    """Two calls are the same when size and maneuver agree: paper often shows no more."""
    return (line.maneuver, line.points)


def _fault_key(line: ObservationLine) -> Key:
    return (line.maneuver, line.code)


def _matched(
    official: Sequence[Line], own: Sequence[Line], key: Callable[[Line], Key]
) -> Iterator[tuple[Line, Seen]]:
    """Each of the judge's lines, matched with one of the learner's, then the learner's rest."""
    left = Counter(key(line) for line in own)
    for line in official:
        if left[key(line)]:
            left[key(line)] -= 1
            yield line, "both"
        else:
            yield line, "missed"
    for line in reversed(own):  # the last of several alike are those nobody matched
        if left[key(line)]:
            left[key(line)] -= 1
            yield line, "not_called"


def _standings(official: SeatPlacing, learnt: SeatPlacing) -> tuple[StandingPair, ...]:
    own = {row.entry: row for row in learnt.rows}
    return tuple(_standing(row, own[row.entry]) for row in official.rows)


def _standing(official: PlacingRow, own: PlacingRow) -> StandingPair:
    return StandingPair(
        entry=official.entry,
        back_number=official.back_number,
        official_total=official.total,
        learner_total=own.total,
        official_outcome=official.outcome,
        learner_outcome=own.outcome,
        official_place=official.place,
        learner_place=own.place,
    )


def _contest(
    state: ClassState, official: SeatPlacing, learnt: SeatPlacing, rule: ContestRule | None
) -> ContestScore | None:
    order = [row.entry for row in official.rows if row.place is not None]
    tied = any(row.tied for row in official.rows)
    if (
        not state.contest_cuts
        or state.sections
        or tied
        or len(order) != len(state.contest_cuts) + 1
    ):
        return None
    own = [row.entry for row in learnt.rows if row.place is not None and row.entry in order]
    return contest_score(order, own, state.contest_cuts, rule or _UNFINISHED_IS_NOUGHT)
