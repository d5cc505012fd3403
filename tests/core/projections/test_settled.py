"""A coin parts a tie while the points it rested on stand, and no longer."""

from collections.abc import Sequence
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from events.projections.settled import basis_of, settled
from events.projections.standings import StandingRow, standings
from events.show.events import AwardTieSettled, TieBasis
from events.show.state import Settlement
from tests.core.season.seasons import line, rules


def rows_of(**points: float) -> tuple[StandingRow, ...]:
    """Standings in which each carrier has these points."""
    return standings(
        rules(),
        [line(carrier=who, points=Fraction(earned)) for who, earned in points.items()],
    )


def settlement(order: str, points: float, version: int = 9) -> Settlement:
    """A coin between carriers who each had these points."""
    basis = tuple(TieBasis(carrier=who, points=str(Fraction(points))) for who in sorted(order))
    event = AwardTieSettled(award="high-point", order=tuple(order), by="coin", basis=basis)
    return Settlement(version=version, event=event)


def places(rows: Sequence[StandingRow]) -> list[tuple[str, int | None, bool, int | None]]:
    return [(row.carrier, row.place, row.tied, row.settled) for row in rows]


TIED = rows_of(a=7, b=5.5, c=5.5, d=1)


def test_what_a_settlement_rests_on_is_all_who_share_one_place() -> None:
    assert basis_of(TIED, ["c", "b"]) == (
        TieBasis(carrier="b", points="11/2"),
        TieBasis(carrier="c", points="11/2"),
    )
    for others in (["a", "b"], ["b"], ["b", "c", "d"], ["a"], [], ["x", "y"]):
        assert basis_of(TIED, others) is None


def test_a_settlement_parts_the_tie_and_nobody_else_moves() -> None:
    found = settled(TIED, [settlement("cb", 5.5)])
    assert places(found.rows) == [
        ("a", 1, False, None),
        ("c", 2, False, 9),
        ("b", 3, False, 9),
        ("d", 4, False, None),
    ]
    assert found.stale == ()


def test_of_two_settlements_between_the_same_the_later_counts() -> None:
    found = settled(TIED, [settlement("cb", 5.5, 8), settlement("bc", 5.5, 9)])
    assert [row.carrier for row in found.rows] == ["a", "b", "c", "d"]
    assert [(each.settlement.version, each.why) for each in found.stale] == [(8, "settled_again")]


def test_a_settlement_is_stale_when_points_under_it_have_moved() -> None:
    found = settled(rows_of(a=7, b=6, c=6, d=1), [settlement("cb", 5.5)])
    assert places(found.rows)[1:3] == [("b", 2, True, None), ("c", 2, True, None)]
    [stale] = found.stale
    assert (stale.why, stale.now) == ("points_moved", {"b": Fraction(6), "c": Fraction(6)})
    [gone] = settled(rows_of(a=7, b=5.5), [settlement("cb", 5.5)]).stale
    assert (gone.why, gone.now) == ("points_moved", {"b": Fraction(11, 2)})


def test_a_settlement_is_stale_when_somebody_joins_the_tie() -> None:
    found = settled(rows_of(a=7, b=5.5, c=5.5, d=5.5), [settlement("cb", 5.5)])
    assert {row.tied for row in found.rows[1:]} == {True}
    assert [each.why for each in found.stale] == ["tie_changed"]


def test_those_without_a_place_stay_last() -> None:
    found = settled(rows_of(a=2, b=2, c=0), [settlement("ba", 2)])
    assert [row.carrier for row in found.rows] == ["b", "a", "c"]


@given(st.lists(st.integers(0, 3), max_size=7), st.lists(st.permutations("abcdefg"), max_size=3))
def test_settling_moves_nobody_out_of_the_places_of_the_tie(
    points: list[int], orders: list[list[str]]
) -> None:
    rows = rows_of(**dict(zip("abcdefg", points, strict=False)))
    told = []
    for order in orders:
        for number in (1, 2, 3):
            group = [row.carrier for row in rows if row.points == number and row.tied]
            mixed = "".join(each for each in order if each in group)
            if mixed:
                told.append(settlement(mixed, number))
    found = settled(rows, told)
    assert {each.why for each in found.stale} <= {"settled_again"}
    assert sorted(row.carrier for row in found.rows) == sorted(row.carrier for row in rows)
    assert [row.points for row in found.rows] == [row.points for row in rows]
    if told:
        assert not any(row.tied for row in found.rows)
