"""Champions earn on top of the highest pointed class of their category, at their own show."""

from fractions import Fraction

import msgspec
import pytest

from events.awards.check import check_champions
from events.awards.rules import AwardRules, Category
from events.projections.champions import with_champions
from events.projections.earned import EarnedLine
from events.projections.points_explained import explained
from events.projections.result import ResultDocument
from events.refusals import Refusal
from events.scoring.points.model import PointsTable
from tests.core.points.shipped import shipped
from tests.core.season.seasons import Row, document, earned, rules, season

MPAHC = shipped()["mpahc-high-point"]
TSSA = shipped()["tssa-high-point"]
HALTER = Category(name="Halter", classes=("mares", "geldings"), champions=("final",))
OTHERS = Category(name="All the others")


def ordered(class_id: str, *order: str, **further: object) -> ResultDocument:
    """A class in this order; who stands in one word shares a place."""
    rows: list[Row] = []
    for group in order:
        place = len(rows) + 1
        rows.extend((letter, place) for letter in group)
    return document({"A": rows}, class_id=class_id, **further)  # type: ignore[arg-type]


def crowned(
    results: list[ResultDocument], table: PointsTable = MPAHC, *categories: Category
) -> list[EarnedLine]:
    award = rules(table, categories=categories or (HALTER, OTHERS))
    shows = ("s-1", "s-2")
    return list(with_champions(award, table, earned(results, award, season(shows=shows), table)))


def won(lines: list[EarnedLine], class_id: str = "final") -> dict[str, float]:
    return {each.entry: float(each.points) for each in lines if each.class_id == class_id}


MARES = ordered("mares", "a", "b", "c", "d", "e")
GELDINGS = ordered("geldings", "f", "g")
FINAL = ordered("final", "f", "a", "b")


def test_grand_and_reserve_earn_above_the_highest_pointed_class_and_nobody_else_does() -> None:
    lines = crowned([MARES, GELDINGS, FINAL])
    assert won(lines) == {"f": 5 + 2, "a": 5 + 1, "b": 0}
    assert won(lines, "mares")["a"] == 5
    [grand] = [each for each in lines if each.title == "grand"]
    assert explained(grand, MPAHC).says == (
        "Grand champion, above the 5 of the highest pointed class, Class mares: 7."
    )


def test_classes_of_another_category_or_another_show_lift_no_champion() -> None:
    bigger = ordered("trail", *"abcdefg")
    elsewhere = msgspec.structs.replace(ordered("mares", *"abcdefg"), show="s-2")
    assert won(crowned([GELDINGS, FINAL, bigger]))["f"] == 2 + 2
    lines = crowned([GELDINGS, FINAL, elsewhere])
    assert won(lines)["f"] == 2 + 2


def test_champions_who_share_a_place_share_its_points() -> None:
    lines = crowned([MARES, ordered("final", "fa", "b")])
    assert won(lines) == {"f": 6.5, "a": 6.5, "b": 0}
    assert {each.title for each in lines if each.class_id == "final"} == {"grand", None}
    assert won(crowned([MARES, ordered("final", "f", "ab")])) == {"f": 7, "a": 3, "b": 3}
    [shared, _] = [each for each in lines if each.title]
    assert explained(shared, MPAHC).says.startswith("Grand champion, shared by 2, above the 5")


def test_without_any_other_class_champions_stand_on_nothing() -> None:
    lines = crowned([FINAL])
    assert won(lines) == {"f": 2, "a": 1, "b": 0}
    assert explained(lines[0], MPAHC).says == "Grand champion: 2."


def test_champions_that_a_table_keeps_out_of_the_sum_earn_nothing_in_it() -> None:
    lines = crowned([MARES, FINAL], TSSA)
    assert won(lines) == {"f": 0, "a": 0, "b": 0}
    assert explained(lines[-3], TSSA).says == (
        "Grand champion: champions' points do not count in this sum."
    )


def test_the_divisions_of_a_class_that_names_champions_earn_nothing() -> None:
    divided = document(
        {"A": [("f", 1), ("a", 2)]}, class_id="final", divisions={"youth": {"A": [("a", 1)]}}
    )
    lines = crowned([divided], MPAHC, HALTER, Category(name="Youth", divisions=("youth",)))
    assert {each.division for each in lines} == {None}


def test_an_award_without_champions_is_left_as_it_is() -> None:
    plain: AwardRules = rules(MPAHC)
    lines = earned([MARES, FINAL], plain, None, MPAHC)
    assert with_champions(plain, MPAHC, lines) == lines
    table = shipped()["ihsa-individual"]
    award = rules(table, categories=(HALTER,))
    lines = earned([MARES, FINAL], award)
    assert with_champions(award, table, lines) == lines


def test_the_order_of_the_lines_decides_no_champion() -> None:
    twin = ordered("geldings", "f", "g", "h", "i", "j", position=9)
    award = rules(MPAHC, categories=(HALTER,))
    lines = earned([MARES, twin, FINAL], award, None, MPAHC)
    back = with_champions(award, MPAHC, lines[::-1])
    assert back[::-1] == with_champions(award, MPAHC, lines)
    assert {each.highest for each in back if each.title} == {Fraction(5)}


def test_champions_are_refused_where_the_table_has_nothing_for_them() -> None:
    check_champions(rules(MPAHC, categories=(OTHERS, HALTER)), MPAHC)
    plain = shipped()["ihsa-individual"]
    check_champions(rules(plain, categories=(OTHERS,)), plain)
    with pytest.raises(Refusal) as caught:
        check_champions(rules(plain, categories=(OTHERS, HALTER)), plain)
    assert (caught.value.code, caught.value.field) == (
        "champions_without_points",
        "rules.categories[1].champions",
    )
