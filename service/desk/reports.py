"""Reports on a class: how far its judges agree, and how learners' cards compare."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction

import msgspec

from events.projections.card import card_view
from events.projections.learners import LearnerReport, learner_report
from events.projections.placing import SeatPlacing, placing
from events.refusals import Refusal
from service.desk import agreement
from service.desk.agreement import MarkApart, Pair, Spread
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.look import ClassLook, look


class Agreement(msgspec.Struct, frozen=True, kw_only=True):
    """How far the judges of a class agree; ``entries`` are those that all of them placed.

    ``concordance`` is Kendall's W, from 0 to 1.
    """

    seen: ClassLook
    seats: tuple[str, ...]
    entries: int
    concordance: float | None
    pairs: tuple[Pair, ...]
    spreads: tuple[Spread, ...]
    apart: tuple[MarkApart, ...]


class LearnerRow(msgspec.Struct, frozen=True, kw_only=True):
    """One learner in the ranking of a group.

    ``off`` is how far the marks lie from the judge's, added up, in half points, over ``marks``
    that both gave. ``seen``, ``missed`` and ``not_called`` count penalties and faults.
    """

    seat: str
    learner: str
    place: int
    contest: int | None
    spearman: float | None
    marks: int
    off: int
    seen: int
    missed: int
    not_called: int


class Doubt(msgspec.Struct, frozen=True, kw_only=True):
    """How far a group's marks at a maneuver lie from the judge's: the mean, in points, by seat."""

    maneuver: int
    name: str
    mean: Fraction
    by_seat: Mapping[str, Fraction]


class Group(msgspec.Struct, frozen=True, kw_only=True):
    """The learners of a class, best first, and the maneuvers, those they were furthest off first.

    ``by`` says what they are ranked by.
    """

    seen: ClassLook
    against: str
    by: str
    rows: tuple[LearnerRow, ...]
    doubts: tuple[Doubt, ...]


def agreement_of(desk: Desk, caller: Caller, class_id: str) -> Agreement:
    """How far the judges of a class agree, as it stands now."""
    seen = look(desk, caller, class_id)
    judges = _judges(placing(seen.state, seen.book).seats)
    if len(judges) < 2:  # noqa: PLR2004 - one judge agrees with nobody
        raise Refusal("one_judge_only", "It takes two judges to agree or not.")
    cards = [card_view(seen.state, seen.state.cards[each.seat], seen.book) for each in judges]
    ranked = agreement.ranks(judges)
    return Agreement(
        seen=seen,
        seats=tuple(each.seat for each in judges),
        entries=len(next(iter(ranked.values()))),
        concordance=agreement.concordance(ranked),
        pairs=agreement.correlations(ranked),
        spreads=agreement.spreads(cards),
        apart=agreement.marks_apart(cards),
    )


def learner_of(
    desk: Desk, caller: Caller, class_id: str, seat: str, against: str | None
) -> tuple[LearnerReport, ClassLook]:
    """A learner's card beside a judge's; a scribe sees that of the own seat."""
    seen = look(desk, caller, class_id)
    if caller.role == "scribe" and caller.seat != seat:
        raise Refusal("card_not_open", f"The card of seat {seat} is not for this key.", seat=seat)
    return learner_report(seen.state, seen.book, seat, against or _first_judge(seen)), seen


def group_of(desk: Desk, caller: Caller, class_id: str, against: str | None) -> Group:
    """The learners of a class, ranked by contest score, or by how far off their marks are."""
    seen = look(desk, caller, class_id)
    judge = against or _first_judge(seen)
    seats = [seat for seat, card in sorted(seen.state.cards.items()) if card.kind == "learner"]
    reports = [learner_report(seen.state, seen.book, seat, judge) for seat in seats]
    if not reports:
        raise Refusal("no_learners", "Nobody learned to judge in this class.")
    placings = {each.seat: each for each in placing(seen.state, seen.book).seats}
    lines = [_line(each, placings[judge], placings[each.seat]) for each in reports]
    by_contest = all(line.contest is not None for line in lines)
    return Group(
        seen=seen,
        against=judge,
        by="contest score" if by_contest else "marks",
        rows=_ranked(lines, by_contest=by_contest),
        doubts=_doubts(reports),
    )


def _judges(seats: Sequence[SeatPlacing]) -> list[SeatPlacing]:
    return [each for each in seats if each.kind == "judge"]


def _first_judge(seen: ClassLook) -> str:
    judges = sorted(seat for seat, card in seen.state.cards.items() if card.kind == "judge")
    if not judges:
        raise Refusal("no_learners", "No judge has a seat in this class, so there is nothing yet.")
    return judges[0]


def _line(report: LearnerReport, judge: SeatPlacing, own: SeatPlacing) -> LearnerRow:
    off = [abs(pair.difference) for pair in report.marks if pair.difference is not None]
    seen = [thing.seen for thing in report.seen]
    ranked = agreement.ranks([judge, own])
    return LearnerRow(
        seat=report.seat,
        learner=report.learner,
        place=0,
        contest=report.contest.score if report.contest else None,
        spearman=agreement.spearman(ranked[judge.seat], ranked[own.seat]),
        marks=len(off),
        off=sum(off),
        seen=seen.count("both"),
        missed=seen.count("missed"),
        not_called=seen.count("not_called"),
    )


def _ranked(lines: Sequence[LearnerRow], *, by_contest: bool) -> tuple[LearnerRow, ...]:
    """Best first; by marks, the smallest mean distance, and those without marks last."""

    def key(line: LearnerRow) -> tuple[int, Fraction]:
        if by_contest:
            return (0, Fraction(-(line.contest or 0)))
        return (0, Fraction(line.off, line.marks)) if line.marks else (1, Fraction(0))

    keys = sorted(key(line) for line in lines)
    return tuple(
        msgspec.structs.replace(line, place=keys.index(key(line)) + 1)
        for line in sorted(lines, key=lambda line: (key(line), line.seat))
    )


def _doubts(reports: Sequence[LearnerReport]) -> tuple[Doubt, ...]:
    names: dict[int, str] = {}
    off: dict[int, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for report in reports:
        for pair in report.marks:
            if pair.difference is not None:
                names[pair.maneuver] = pair.name
                off[pair.maneuver][report.seat].append(abs(pair.difference))
    found = [
        Doubt(
            maneuver=maneuver,
            name=names[maneuver],
            mean=_mean([each for of in seats.values() for each in of]),
            by_seat={seat: _mean(of) for seat, of in seats.items()},
        )
        for maneuver, seats in off.items()
    ]
    return tuple(sorted(found, key=lambda doubt: (-doubt.mean, doubt.maneuver)))


def _mean(of: Sequence[int]) -> Fraction:
    return Fraction(sum(of), 2 * len(of))
