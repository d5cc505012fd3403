"""Awards of a show against published rules: high point, points races, champions, weighed halves."""

from collections.abc import Sequence
from typing import Any

import msgspec

from events.awards.counting import OfShow
from events.awards.rules import AwardRules, Category
from events.projections.champions import with_champions
from events.projections.earned import EarnedLine, earned_lines
from events.projections.result import ResultDocument
from events.projections.settled import basis_of, settled
from events.projections.standings import StandingRow, standings
from events.scoring.points.load import load_inline
from events.scoring.points.model import PointsTable
from events.show.events import AwardTieSettled
from events.show.state import Settlement
from tests.core.points.shipped import shipped
from tests.core.season.seasons import SHOW, Row, document, rules

IHSA_PLACING_VALUES = [120, 105, 91, 78, 66, 55, 45, 36, 28, 21, 15, 10, 6, 3, 1]
"""IHSA Western Scoring Explanation, paperzz.com/doc/7195413: places 1 to 15."""


def placed(class_id: str, *orders: str, **further: object) -> ResultDocument:
    """A class in the order that each judge placed it; `-` stands for somebody else."""
    seats: dict[str, list[Row]] = {}
    for seat, order in zip("ABC", orders, strict=False):
        names = [f"{class_id}{n}" if who == "-" else who for n, who in enumerate(order)]
        seats[seat] = [(name, place) for place, name in enumerate(names, 1)]
    return document(seats, class_id=class_id, **further)  # type: ignore[arg-type]


def reckoned(
    award: AwardRules, table: PointsTable, results: Sequence[ResultDocument]
) -> tuple[StandingRow, ...]:
    lines: list[EarnedLine] = []
    for each in results:
        lines.extend(earned_lines(each, OfShow(SHOW), award, table))
    return standings(award, with_champions(award, table, lines))


def read(rows: Sequence[StandingRow], among: str = "abcd") -> list[tuple[str, int | None, float]]:
    wanted = {f"p-{who}" for who in among}
    return [(row.carrier, row.place, float(row.points)) for row in rows if row.carrier in wanted]


def amha(*results: ResultDocument) -> tuple[StandingRow, ...]:
    table = shipped()["amha-world-awards"]
    award = rules(table, carrier="rider", ties=("most_beaten", "most_top_tens"))
    return reckoned(award, table, results)


def test_a_high_point_tie_goes_to_whoever_defeated_most_competitors() -> None:
    # AMHA 2018 World programme, page 12: 10 to 1 in classes of ten or more; a tie of the high point
    # by most competitors defeated. a wins a class of 10, b one of 12.
    rows = amha(placed("c-1", "a---------"), placed("c-2", "b-----------"))
    assert read(rows) == [("p-b", 1, 10), ("p-a", 2, 10)]
    assert {row.parted_by for row in rows if row.carrier in {"p-a", "p-b"}} == {"most_beaten"}


def test_and_then_to_whoever_has_most_placings_from_first_to_tenth() -> None:
    # The same: a is 1st of 10 (10 points, 9 defeated). b is 2nd of 11 and 10th of 10 (9 + 1 points,
    # 9 + 0 defeated): ten points each, nine defeated each, one placing against two. Before both
    # comes who won the class of 11.
    rows = amha(
        placed("c-1", "a---------"), placed("c-2", "-b---------"), placed("c-3", "---------b")
    )
    assert read(rows) == [("p-b", 2, 10), ("p-a", 3, 10)]
    assert rows[0].parted_by == "most_beaten"


def test_and_then_a_coin_decides_which_nobody_but_people_toss() -> None:
    # The same: what is left is a flip of the coin.
    rows = amha(placed("c-1", "a---------"), placed("c-2", "b---------"))
    assert read(rows, "ab") == [("p-a", 1, 10), ("p-b", 1, 10)]
    basis = basis_of(rows, ["p-b", "p-a"])
    assert basis is not None
    coin = AwardTieSettled(award="high-point", order=("p-b", "p-a"), by="coin", basis=basis)
    after = settled(rows, [Settlement(version=9, event=coin)]).rows
    assert read(after, "ab") == [("p-b", 1, 10), ("p-a", 2, 10)]


def test_a_points_race_goes_by_most_firsts_then_seconds() -> None:
    # Hamilton County Parks, hamiltoncountyparks.org: 1 point and 1 for each rider beaten; ties by
    # most firsts, then seconds. Of seven: 7 6 5 4 3 2 1. a: 7 + 5, b: 6 + 6; c: 5 + 7.
    table = shipped()["hamilton-county-series"]
    award = rules(table, ties=("most_placings",))
    rows = reckoned(award, table, [placed("c-1", "abc----"), placed("c-2", "cba----")])
    assert read(rows, "abc") == [("p-a", 1, 12), ("p-c", 1, 12), ("p-b", 3, 12)]


def test_the_high_point_rider_has_half_from_the_rail_and_half_from_reining() -> None:
    # IHSA Western Scoring Explanation: placing values 120 to 1 under each of two judges; high-point
    # rider: rail 50 %, reining 50 %. a: rail 120 + 105, reining 91 + 105; b: rail 105 + 120,
    # reining 120 + 91; c: rail 91 + 91, reining 105 + 120.
    table = load_inline({"sizes": [{"entries_from": 1, "points": IHSA_PLACING_VALUES}]})
    halves = [
        Category(name="Rail", rulebooks=("western-horsemanship",), weight="0.5"),
        Category(name="Reining", rulebooks=("reining",), weight="0.5"),
    ]
    award = rules(table, categories=halves, minimum_categories=2)
    rows = reckoned(
        award,
        table,
        [
            placed("rail", "abc", "bac"),
            placed("rein", "bca", "cab", rulebook="reining"),
        ],
    )
    halved: dict[str, Any] = {
        "p-a": (225 + 196) / 2,
        "p-b": (225 + 211) / 2,
        "p-c": (182 + 225) / 2,
    }
    assert {row.carrier: float(row.points) for row in rows} == halved
    assert [row.carrier for row in rows] == ["p-b", "p-a", "p-c"]
    assert rows[0].categories == {"Rail": 112.5, "Reining": 105.5}


def test_champions_have_two_and_one_more_than_the_highest_pointed_class() -> None:
    # MPAHC, mpahc.com/Showresults1.html: the winner has the class size, at most 7, and each next
    # one less; grand has 2 more than the highest pointed class in its division, reserve 1 more.
    table = shipped()["mpahc-high-point"]
    halter = Category(name="Halter", classes=("mares", "geldings"), champions=("final",))
    award = rules(table, carrier="horse", categories=[halter])
    rows = reckoned(
        award, table, [placed("mares", "ab---"), placed("geldings", "cd-"), placed("final", "ac")]
    )
    found = {row.carrier: float(row.points) for row in rows}
    assert (found["h-a"], found["h-c"]) == (5 + (5 + 2), 3 + (5 + 1))
    assert (found["h-b"], found["h-d"]) == (4, 2)


def test_champions_stay_out_of_the_high_point_sum_where_the_programme_says_so() -> None:
    # TSSA Austin, tssaaustin.com/points: 7 5 4 3 2 1; champion and reserve are not in the sum.
    table = shipped()["tssa-high-point"]
    halter = Category(name="Over fences", classes=("first",), champions=("final",))
    award = rules(table, categories=[halter])
    rows = reckoned(award, table, [placed("first", "ab"), placed("final", "ba")])
    assert read(rows) == [("p-a", 1, 7), ("p-b", 2, 5)]


def test_points_never_depend_on_the_order_in_which_entries_were_entered() -> None:
    table = shipped()["gchsc-high-point"]
    award = rules(table)
    tied = document({"A": [("a", 1), ("b", 1), ("c", 3)]})
    turned = msgspec.structs.replace(
        tied,
        entries=tied.entries[::-1],
        seats=tuple(msgspec.structs.replace(s, rows=s.rows[::-1]) for s in tied.seats),
    )
    assert read(reckoned(award, table, [tied])) == read(reckoned(award, table, [turned]))
