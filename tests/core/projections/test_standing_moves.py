"""What moved between two standings of an award."""

from fractions import Fraction

import msgspec
from hypothesis import given

from events.projections.earned import EarnedLine
from events.projections.standing_moves import LineMove, StandingMove, StoodAt, standing_moves
from events.projections.standings import Counted, StandingRow, standings
from tests.core.projections.test_standings import LINES
from tests.core.season.seasons import line, rules

BEST = rules(best_of=1)


def moved(before: list[EarnedLine], after: list[EarnedLine]) -> tuple[StandingMove, ...]:
    return standing_moves(standings(BEST, before), standings(BEST, after))


def stood(place: int | None, points: int) -> StoodAt:
    return StoodAt(place=place, tied=False, points=Fraction(points), missing=())


def test_a_corrected_place_moves_its_carrier_and_those_it_passes() -> None:
    first = line(carrier="a", points=Fraction(5), place=1)
    second = line(carrier="b", points=Fraction(4), place=2, entry="2")
    lower = msgspec.structs.replace(first, points=Fraction(3), place=3, revision=2, position=50)
    assert moved([first, second], [lower, second]) == (
        StandingMove(carrier="b", before=stood(2, 4), after=stood(1, 4), lines=()),
        StandingMove(
            carrier="a",
            before=stood(1, 5),
            after=stood(2, 3),
            lines=(
                LineMove(
                    before=Counted(line=first, counts=True),
                    after=Counted(line=lower, counts=True),
                ),
            ),
        ),
    )


def test_a_carrier_that_comes_or_goes_has_nothing_on_the_other_side() -> None:
    here = line(carrier="a", points=Fraction(5))
    (gone,) = moved([here], [])
    assert (gone.before, gone.after) == (stood(1, 5), None)
    assert gone.lines == (LineMove(before=Counted(line=here, counts=True), after=None),)
    (come,) = moved([], [here])
    assert (come.before, come.after) == (None, stood(1, 5))
    assert come.lines == (LineMove(before=None, after=Counted(line=here, counts=True)),)


def test_a_result_that_no_longer_counts_is_a_move_although_the_result_stands() -> None:
    good = line(carrier="a", points=Fraction(4), class_id="c-1", place=2)
    better = line(carrier="a", points=Fraction(5), class_id="c-2", place=1)
    (move,) = moved([good], [good, better])
    assert [(each.before and each.before.counts, each.after and each.after.counts)
            for each in move.lines] == [(True, False), (None, True)]  # fmt: skip


def test_a_result_that_was_only_published_anew_is_no_move() -> None:
    before = line(carrier="a")
    after = msgspec.structs.replace(before, revision=2, version=90, position=77, table="sha256:1")
    assert moved([before], [after]) == ()


@given(LINES, LINES)
def test_the_moves_are_exactly_the_difference(
    made: list[EarnedLine], other: list[EarnedLine]
) -> None:
    before, after = standings(BEST, _of_one(made)), standings(BEST, _of_one(other))
    found = {move.carrier: move for move in standing_moves(before, after)}
    unmoved = [row for row in after if row.carrier not in found]
    assert [_stands(row) for row in unmoved] == [
        _stands(row) for row in before if row.carrier not in found
    ]
    assert standing_moves(before, before) == ()
    back = {move.carrier: move for move in standing_moves(after, before)}
    assert {name: (move.before, move.after) for name, move in found.items()} == {
        name: (move.after, move.before) for name, move in back.items()
    }


def _stands(row: StandingRow) -> tuple[object, ...]:
    return row.carrier, row.place, row.tied, row.points, row.missing, len(row.lines)


def _of_one(made: list[EarnedLine]) -> list[EarnedLine]:
    return [msgspec.structs.replace(each, category="All classes") for each in made]
