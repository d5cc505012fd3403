"""Sheets of a class that is ridden in sections, each placed as a class of its own."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.sheet.as_json import as_json
from service.sheet.faults import SheetRefused
from service.sheet.score import score_sheet
from service.sheet.table import as_table

MARKS = {"1": 0, "2": 1, "3": 1, "4": 1.5, "5": -1}
SECTIONS = {"1": 1, "2": 2, "3": 1, "4": 2, "5": 1}


def sheet(sections: dict[str, int] | None = None, **more: Any) -> dict[str, Any]:  # noqa: ANN401
    """One judge's card over entries 1 to 5, of which 2 and 4 ride in the second section."""
    ridden_in = SECTIONS if sections is None else sections
    return {
        "rulebook": "trail",
        "maneuvers": ["Gate"],
        "entries": [
            {"entry": entry, "back_number": 100 + int(entry)}
            | ({"section": ridden_in[entry]} if entry in ridden_in else {})
            for entry in MARKS
        ],
        "cards": [
            {
                "seat": "A",
                "rides": [{"entry": entry, "marks": [mark]} for entry, mark in MARKS.items()],
            }
        ],
        **more,
    }


def result(document: dict[str, Any]) -> dict[str, Any]:
    return as_json(score_sheet(json.dumps(document).encode()))


def faults(document: dict[str, Any]) -> list[str]:
    with pytest.raises(SheetRefused) as refused:
        score_sheet(json.dumps(document).encode())
    return [str(fault) for fault in refused.value.faults]


def places(of: dict[str, Any]) -> dict[str, int | None]:
    return {row["entry"]: row["place"] for row in of["placings"]}


def test_each_section_has_its_places_its_class_size_and_its_points() -> None:
    found = result(sheet(points="one-per-entry-beaten"))
    first, second = found["sections"]["1"], found["sections"]["2"]
    assert (first["class_size"], second["class_size"], found["class_size"]) == (3, 2, 5)
    assert places(first["seats"]["A"]) == {"3": 1, "1": 2, "5": 3}
    assert places(second["seats"]["A"]) == {"4": 1, "2": 2}
    assert [row["points"] for row in second["seats"]["A"]["placings"]] == [2, 0]
    rows = found["seats"]["A"]["placings"]
    assert [(row["entry"], row["section"], row["place"], row["points"]) for row in rows] == [
        ("3", 1, 1, 3),
        ("1", 1, 2, 1),
        ("5", 1, 3, 0),
        ("4", 2, 1, 2),
        ("2", 2, 2, 0),
    ]


def test_nothing_is_said_of_sections_where_there_are_none() -> None:
    found = result(sheet({}))
    assert "sections" not in found
    assert all("section" not in row for row in found["seats"]["A"]["placings"])
    assert found == result(sheet(dict.fromkeys(MARKS, 1)))
    assert "ection" not in as_table(score_sheet(json.dumps(sheet({})).encode()), 80)


def test_the_table_lists_one_section_after_another() -> None:
    document = sheet(points="one-per-entry-beaten")
    for entry in document["entries"]:
        entry["divisions"] = ["youth"] if entry["entry"] in "24" else []
    table = as_table(score_sheet(json.dumps(document).encode()), 80)
    assert "Class size 5\nSection 1: class size 3\nSection 2: class size 2\n" in table
    seat = table[table.index("Seat A") :].splitlines()
    assert seat[1].split()[:4] == ["Section", "Place", "Entry", "Back"]
    assert [line.split()[:3] for line in seat[2:7]] == [
        ["1", "1", "3"],
        ["1", "2", "1"],
        ["1", "3", "5"],
        ["2", "1", "4"],
        ["2", "2", "2"],
    ]
    assert "Section 2, division youth, class size 2, seat A" in table


def test_a_shared_place_is_told_with_its_section() -> None:
    document = sheet({"1": 1, "2": 2, "3": 2, "4": 1, "5": 1})
    table = as_table(score_sheet(json.dumps(document).encode()), 100)
    assert "Place 1 of section 2 is shared by 2, 3" in table


def test_a_panel_and_a_division_are_each_sections_own() -> None:
    document = sheet(panel={"method": "majority"})
    document["cards"].append({**document["cards"][0], "seat": "B"})
    for entry in document["entries"]:
        entry["divisions"] = ["youth"] if entry["entry"] in "13" else []
    found = result(document)
    assert places(found["sections"]["2"]["combined"]) == {"4": 1, "2": 2}
    assert places(found["sections"]["1"]["divisions"]["youth"]["combined"]) == {"3": 1, "1": 2}
    assert "divisions" not in found["sections"]["2"]
    assert "divisions" not in found
    assert [row["section"] for row in found["combined"]["placings"]] == [1, 1, 1, 2, 2]


def test_rail_work_over_two_sections_is_refused_by_its_place() -> None:
    document = sheet(rulebook="western-horsemanship")
    for ride in document["cards"][0]["rides"]:
        ride["rider_mark"] = 0
    document["cards"][0]["rail"] = [{"order": ["1", "2"]}]
    [fault] = faults(document)
    assert fault.startswith("$.cards[0].rail[0].order")
    assert "an order names entries of one section" in fault
    document["cards"][0]["rail"] = [{"order": ["2", "4"]}, {"order": ["5", "1"]}]
    found = result(document)["sections"]
    assert places(found["2"]["seats"]["A"]) == {"2": 1, "4": 2}
    assert places(found["1"]["seats"]["A"]) == {"3": 1, "5": 2, "1": 3}


def test_a_learner_is_scored_by_cuts_in_a_class_ridden_as_one_alone() -> None:
    learner = {"seat": "L", "placed": ["4", "2", "3", "1", "5"], "learner": True}
    document = sheet({"1": 1, "2": 1, "3": 2, "4": 2, "5": 2}, cuts=[2, 5, 3, 1])
    document["cards"].append(learner)
    assert result(document)["learners"]["L"]["score"] is None


def test_who_rides_in_no_section_is_asked_for() -> None:
    assert faults(sheet({"1": 1, "2": 1, "3": 2, "5": 1})) == [
        "$.entries[3].section: Other entries ride in a section: say in which one entry 4 does."
    ]


def test_sections_are_numbered_without_a_gap() -> None:
    [fault] = faults(sheet({**dict.fromkeys(MARKS, 1), "4": 3}))
    assert fault == (
        "$.entries[3].section: Sections are numbered from 1, and nobody rides in section 2."
    )
    assert faults(sheet({**SECTIONS, "1": 0}))[0].startswith("$.entries[0].section")


def test_a_scratched_entry_needs_no_section() -> None:
    document = sheet({entry: part for entry, part in SECTIONS.items() if entry != "5"})
    document["entries"][4]["scratched"] = True
    del document["cards"][0]["rides"][4]
    assert result(document)["sections"]["1"]["class_size"] == 2


def test_a_points_table_that_says_nothing_of_so_small_a_section_is_warned_of() -> None:
    # AMHA World: ten to one in classes of ten or more; smaller ones could not be read.
    assert result(sheet(points="amha-world-awards"))["warnings"] == [
        f"Seat A, section {number}: the points table amha-world-awards says nothing of a class of "
        "this size."
        for number in (1, 2)
    ]


def test_a_purse_is_one_sections() -> None:
    purse = {"cents": 1_000, "percentages": [60, 40]}
    found = result(sheet(purse={**purse, "section": 2}))
    assert (found["purse"]["section"], found["purse"]["paid"]) == (2, 1_000)
    rows = found["sections"]["2"]["seats"]["A"]["placings"]
    assert [row["prize_cents"] for row in rows] == [600, 400]
    assert "prize_cents" not in found["sections"]["1"]["seats"]["A"]["placings"][0]
    document = json.dumps(sheet(purse={**purse, "section": 2})).encode()
    table = as_table(score_sheet(document), 80)
    assert "Purse of 10.00 for section 2, seat A: 10.00 paid." in table
    [fault] = faults(sheet(purse=purse))
    assert fault.startswith("$.purse.section: Say which section is paid for")


@given(st.lists(st.sampled_from([1, 2]), min_size=5, max_size=5).filter(lambda x: {1, 2} == {*x}))
def test_a_section_comes_to_what_a_sheet_of_its_own_would(parts: list[int]) -> None:
    sections = dict(zip(MARKS, parts, strict=True))
    whole = result(sheet(sections))["sections"]
    for number in (1, 2):
        alone = sheet({})
        for key, of in (("entries", alone), ("rides", alone["cards"][0])):
            of[key] = [each for each in of[key] if sections[each["entry"]] == number]
        by_itself = result(alone)
        rows = [
            {key: value for key, value in row.items() if key != "section"}
            for row in whole[str(number)]["seats"]["A"]["placings"]
        ]
        assert rows == by_itself["seats"]["A"]["placings"]
        assert whole[str(number)]["class_size"] == by_itself["class_size"]
