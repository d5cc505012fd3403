import base64
import io
from datetime import date
from typing import Any

import openpyxl
import pytest

from tests.http.house import House, done, refused

SHOW = "/v1/shows/three-rivers"
PATH = "/v1/classes/horsemanship"
TABLE = """back_number;exhibitor;horse;divisions;carried;late
31;p-lind;h-smoke;open; 72,5;no
"""


def scheduled(house: House) -> None:
    body = {"id": "horsemanship", "name": "Open", "rulebook": "western-horsemanship"}
    done(house.office.post(f"{SHOW}/classes", body))


def workbook(*rows: tuple[Any, ...]) -> str:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    kept = io.BytesIO()
    book.save(kept)
    return base64.b64encode(kept.getvalue()).decode()


def sent(house: House, body: dict[str, Any], **options: Any) -> Any:  # noqa: ANN401 - as it comes
    return house.office.post(f"{PATH}/entries/import", body, **options)


def faults(house: House, body: dict[str, Any]) -> list[tuple[int, str]]:
    """Row and column of every fault that a dry run lists, which are those of the real import."""
    found = done(sent(house, {**body, "dry_run": True}))
    assert found["written"] is False
    problem = refused(sent(house, body), 422, "import_refused")
    named = [f"rows[{each['row']}].{each['column']}" for each in found["faults"]]
    assert [each["field"] for each in problem["errors"]] == named
    assert done(house.office.get(PATH))["entries"] == []
    return [(each["row"], each["column"]) for each in found["faults"]]


def test_a_csv_table_is_entered_as_one_command(house: House) -> None:
    scheduled(house)
    text = "\ufeffback_number,exhibitor,horse,divisions,carried,late\n"
    text += "31,p-lind,h-smoke,open; youth,72.5,no\n\n"
    text += '32,p-falk,"h-little",,,yes\n'
    first = done(sent(house, {"csv": text}, command="table"))
    assert (first["entries"], first["written"], first["faults"]) == (2, True, [])
    found = done(house.office.get(PATH))["entries"]
    assert [
        (each["back_number"], each["divisions"], each["carried"], each["late"]) for each in found
    ] == [(31, ["open", "youth"], 72.5, False), (32, [], None, True)]
    assert done(sent(house, {"csv": text}, command="table")) == first
    assert len(done(house.office.get(PATH))["entries"]) == 2


def test_a_workbook_is_entered_like_a_csv_table(house: House) -> None:
    scheduled(house)
    header = ("Back number", "Exhibitor", "Horse", "Carried", "Late")
    body = workbook(
        header, (31, "p-lind", "h-smoke", 72.5, False), (32.0, "p-falk", None, 70, True)
    )
    done(sent(house, {"xlsx": body}))
    found = done(house.office.get(PATH))["entries"]
    assert [(each["back_number"], each["carried"], each["late"]) for each in found] == [
        (31, 72.5, False),
        (32, 70, True),
    ]


def test_every_fault_is_listed_by_row_and_column_and_nothing_is_written(house: House) -> None:
    scheduled(house)
    rows = (
        "back_number,exhibitor,horse,carried,late",
        "31,p-lind,h-smoke,,",  # as it must be
        "31,p-falk,h-little,,",  # carried by the row above
        "32,p-nobody,,,",
        "33,p-lind,h-nobody,,",
        "three,p lind,,72.3,perhaps",
        ",,h-smoke,,",
        "34,p-lind,,,,surplus",
    )
    assert faults(house, {"csv": "\n".join(rows)}) == [
        (3, "back_number"),
        (4, "exhibitor"),
        (5, "horse"),
        (6, "back_number"),
        (6, "exhibitor"),
        (6, "carried"),
        (6, "late"),
        (7, "back_number"),
        (7, "exhibitor"),
        (8, "column 6"),
    ]


def test_formulas_errors_and_dates_are_refused_and_never_computed(house: House) -> None:
    scheduled(house)
    body = workbook(
        ("back_number", "exhibitor", "horse"),
        ("=30+1", "p-lind", None),
        (32, '=HYPERLINK("x")', None),
        (33, "p-lind", date(2026, 5, 9)),
    )
    assert faults(house, {"xlsx": body}) == [
        (2, "back_number"),
        (3, "exhibitor"),
        (4, "horse"),
    ]
    text = "back_number,exhibitor\n31,=p-lind"
    assert faults(house, {"csv": text}) == [(2, "exhibitor")]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("back_number,exhibitor,hat\n1,p-lind,x", [(1, "hat")]),
        ("exhibitor\np-lind", [(1, "back_number")]),
        ("back_number,exhibitor,exhibitor\n1,p-lind,p-lind", [(1, "exhibitor")]),
        (
            "back_number,=exhibitor\n1,p-lind",
            [(1, "column 2"), (1, "=exhibitor"), (1, "exhibitor")],
        ),
    ],
)
def test_a_header_is_held_to_the_columns_there_are(
    house: House, text: str, expected: list[tuple[int, str]]
) -> None:
    scheduled(house)
    assert faults(house, {"csv": text}) == expected


@pytest.mark.parametrize(
    "body",
    [
        {"xlsx": "not base64!"},
        {"xlsx": base64.b64encode(b"no workbook").decode()},
        {"csv": 'back_number,exhibitor\n31,"p-lind'},
        {"csv": "back_number,exhibitor"},
        {"csv": ";\n;"},
        {"csv": "back_number,exhibitor\n" + "1,p-lind\n" * 2000},
        {"csv": "back_number" + "," * 60},
    ],
)
def test_a_file_that_holds_no_table_is_refused(house: House, body: dict[str, Any]) -> None:
    scheduled(house)
    refused(sent(house, body), 422, "import_refused")
    assert done(house.office.get(PATH))["entries"] == []


def test_a_table_comes_in_one_form(house: House) -> None:
    scheduled(house)
    refused(sent(house, {}), 422, "invalid")
    refused(sent(house, {"csv": TABLE, "xlsx": "QQ=="}), 422, "invalid")


def test_a_table_is_held_to_the_numbers_and_deadlines_of_the_show(house: House) -> None:
    scheduled(house)
    done(house.office.post(f"{SHOW}/back-numbers", {"number": 30, "exhibitor": "p-lind"}))
    text = "back_number,exhibitor\n31,p-lind\n30,p-falk"
    assert faults(house, {"csv": text}) == [(2, "back_number"), (3, "exhibitor")]
    deadlines = {"late_entry": 30, "scratch": 0, "horse_change": 0}
    done(house.office.put(f"{SHOW}/deadlines", deadlines))
    slot = {"ring": "Main ring", "day": "2026-05-09", "slot": 1}
    done(house.office.put(f"{SHOW}/classes/horsemanship/slot", slot))
    fits = {"csv": "back_number,exhibitor\n30,p-lind"}
    refused(sent(house, fits), 409, "deadline_passed")
    refused(sent(house, {**fits, "dry_run": True}), 409, "deadline_passed")


def test_a_table_for_a_class_that_is_not_there_is_refused(house: House) -> None:
    refused(sent(house, {"csv": TABLE}), 404, "unknown_class")
