"""A points table is read whole, or refused with everything that is wrong and its line."""

from typing import Any

import pytest

from events.rulebook.fault import RuleBookRefused
from events.scoring.points.load import (
    canonical,
    digest,
    from_canonical,
    load_inline,
    load_json,
    load_toml,
    to_document,
)
from events.scoring.points.model import BeatenRule, PointsTable, SizeRow
from tests.core.points.shipped import shipped

GOOD = """\
id = "two-sizes"
edition = "2026-1"
title = "Two sizes"
source = "from memory"
participation = 0.5
earns_nothing = ["zero"]

[beaten]
per_entry = 1

[[sizes]]
entries_from = 1
points = [2, 1]

[[sizes]]
entries_from = 5
points = [3, 2.5, 1]
"""


def _faults(text: str) -> list[str]:
    with pytest.raises(RuleBookRefused) as refused:
        load_toml(text)
    return [str(fault) for fault in refused.value.faults]


def _json(**changes: object) -> dict[str, Any]:
    named = {"id": "a", "edition": "1", "title": "A", "source": "from memory"}
    return {**named, "beaten": {"per_entry": 1}, **changes}


def _json_faults(document: object) -> list[str]:
    with pytest.raises(RuleBookRefused) as refused:
        load_json(document)
    return [str(fault) for fault in refused.value.faults]


def test_a_table_is_read_in_whole_half_points() -> None:
    assert load_toml(GOOD) == PointsTable(
        id="two-sizes",
        edition="2026-1",
        title="Two sizes",
        source="from memory",
        sizes=(
            SizeRow(entries_from=1, points=(4, 2)),
            SizeRow(entries_from=5, points=(6, 5, 2)),
        ),
        beaten=BeatenRule(per_entry=2),
        participation=1,
        earns_nothing=("zero",),
    )


def test_a_row_holds_up_to_the_next_one() -> None:
    table = load_toml(GOOD)
    found = [row and row.entries_from for row in map(table.row_for, (0, 1, 4, 5, 50))]
    assert found == [None, 1, 1, 5, 5]


RISES = "Points never rise from a place to the next, nor fall below 0"


@pytest.mark.parametrize(
    ("old", "new", "place", "sentence"),
    [
        ('title = "Two sizes"\n', "", "line 1, title", "The key `title` is missing here."),
        ("participation", "participating", "line 5, participating", "`participation` may be"),
        ("= 0.5", "= -1", "line 5, participation", "`participation` is -1; points do not go"),
        ('["zero"]', '["late"]', "line 6, earns_nothing[0]", "This must be one of"),
        ("per_entry = 1", "per_entry = 0", "line 9, beaten.per_entry", "more than nought."),
        ("per_entry = 1", "per_entry = 1\nwinner = -1", "line 10, beaten.winner", "is -1; points"),
        ("per_entry = 1", "per_entry = 1\neach = -0.5", "line 10, beaten.each", "is -0.5; points"),
        ("_from = 5", "_from = 1", "line 16, sizes[1].entries_from", "1 cannot stand after 1."),
        ("_from = 1", "_from = 0", "line 12, sizes[0].entries_from", "a whole number from 1 up."),
        ("2.5, 1]", "3.5, 1]", "line 17, sizes[1].points[1]", f"{RISES}: 3, 3.5, 1."),
        ("[2, 1]", "[2, -1]", "line 13, sizes[0].points[1]", f"{RISES}: 2, -1."),
        ("2.5", "2.25", "line 17, sizes[1].points[1]", "Points go by halves, so 2.25 cannot be"),
    ],
)
def test_a_fault_is_told_with_its_line_and_place(
    old: str, new: str, place: str, sentence: str
) -> None:
    assert old in GOOD
    found = _faults(GOOD.replace(old, new))
    assert [fault for fault in found if fault.startswith(f"{place}: ") and sentence in fault]


def test_every_fault_is_told_in_the_order_of_the_lines() -> None:
    text = GOOD.replace("per_entry = 1", "per_entry = -1").replace("[3, 2.5, 1]", "[-3]")
    text = text.replace('edition = "2026-1"', 'edition = "2026/1"')
    assert [fault.split(":")[0] for fault in _faults(text)] == [
        "line 2, edition",
        "line 9, beaten.per_entry",
        "line 17, sizes[1].points[0]",
    ]


def test_what_is_not_toml_is_refused_with_its_line() -> None:
    (fault,) = _faults(GOOD.replace("[beaten]", "[beaten"))
    assert fault.startswith("line 8: This is not written as TOML asks")


def test_a_table_that_awards_nothing_is_refused() -> None:
    (fault,) = _json_faults(_json(beaten=None))
    assert fault == "A points table lists points in `sizes`, or has a rule in `beaten`, or both."


def test_champions_never_earn_less_than_their_reserve_nor_that_less_than_nought() -> None:
    champions = {"above_highest": True, "in_high_point": True}
    document = _json(champions={**champions, "grand": -2, "reserve": -1})
    assert _json_faults(document) == [
        "champions.reserve: `reserve` is -1; points do not go below nought.",
        "champions.grand: The reserve champion cannot earn more than the grand champion.",
    ]


def test_the_last_listed_places_may_earn_nothing() -> None:
    table = load_json(_json(sizes=[{"entries_from": 1, "points": [1, 0, 0]}]))
    assert table.sizes[0].points == (2, 0, 0)


def test_grand_and_reserve_champion_may_earn_the_same() -> None:
    same = {"grand": 2, "reserve": 2, "above_highest": True, "in_high_point": True}
    table = load_json(_json(champions=same))
    assert table.champions is not None
    assert (table.champions.grand, table.champions.reserve) == (4, 4)


def test_a_json_document_reads_like_the_toml_text() -> None:
    document = {
        "id": "two-sizes",
        "edition": "2026-1",
        "title": "Two sizes",
        "source": "from memory",
        "participation": 0.5,
        "earns_nothing": ["zero"],
        "beaten": {"per_entry": 1},
        "sizes": [
            {"entries_from": 1, "points": [2, 1]},
            {"entries_from": 5, "points": [3, 2.5, 1]},
        ],
    }
    assert load_json(document) == load_toml(GOOD)


def test_a_formula_given_with_a_class_need_not_name_itself() -> None:
    table = load_inline({"beaten": {"per_entry": 1}})
    assert (table.id, table.source) == ("inline", "the show's own")


def test_a_name_given_with_a_class_is_kept() -> None:
    assert load_inline({"id": "ours", "beaten": {"per_entry": 1}}).id == "ours"


def test_something_that_is_no_table_is_refused() -> None:
    with pytest.raises(RuleBookRefused, match="This must be a table of keys and values"):
        load_inline([7, 5, 4])


def test_the_digest_moves_with_any_figure_and_not_with_the_order_of_keys() -> None:
    one = load_json(_json())
    assert digest(one) == digest(load_json(dict(reversed(_json().items()))))
    assert digest(one) != digest(load_json(_json(participation=0.5)))
    assert digest(one).startswith("sha256:")


def test_every_shipped_table_is_named_by_its_file_and_has_its_source_and_notice() -> None:
    for table in shipped().values():
        assert table.source
        assert table.notice is not None
        assert "handbook in force" in table.notice


@pytest.mark.parametrize("table", shipped().values(), ids=lambda table: table.id)
def test_a_table_that_is_kept_or_written_out_is_read_back_the_same(table: PointsTable) -> None:
    assert from_canonical(canonical(table)) == table
    assert load_json(to_document(table)) == table
    assert digest(from_canonical(canonical(table))) == digest(table)
