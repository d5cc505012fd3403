"""What is wrong with a sheet is said all at once, one line a fault, by the path of the field."""

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest

from events.rulebook.load import to_document
from service.books import shipped, shipped_book
from tests.sheet.sheets import Sheet, faults, written

GOOD: Sheet = {
    "rulebook": "western-horsemanship",
    "maneuvers": ["Walk", "Jog circle left", "Stop and back"],
    "entries": [{"entry": "1", "back_number": 214}, {"entry": "2", "back_number": 87}],
    "cards": [
        {
            "seat": "A",
            "rides": [
                {"entry": "1", "marks": [1, 0.5, -0.5], "rider_mark": 3},
                {
                    "entry": "2",
                    "marks": [0, 0, 0],
                    "rider_mark": 2,
                    "penalties": [{"maneuver": 2, "points": 3}],
                },
            ],
            "rail": [{"order": ["1", "2"], "reason": "softer transitions"}],
        }
    ],
}
ABSENT = ...


def changed(path: str, value: object) -> Sheet:
    """The good sheet with another value at ``path``, which is written as in a fault."""
    document = copy.deepcopy(GOOD)
    steps = path.removeprefix("$.").replace("[", ".").replace("]", "").split(".")
    part: Any = document
    for step in steps[:-1]:
        part = part[int(step) if isinstance(part, list) else step]
    last: Any = int(steps[-1]) if isinstance(part, list) else steps[-1]
    if value is ABSENT:
        del part[last]
    elif isinstance(part, list) and last == len(part):
        part.append(value)
    else:
        part[last] = value
    return document


def test_the_good_sheet_has_no_fault() -> None:
    assert faults(GOOD) == []


RIDE = "$.cards[0].rides[0]"
ORDER = "$.cards[0].rail[0]"
ONE_FAULT = [
    ("$.rulebook", ABSENT, "This is missing."),
    ("$.rulebook", None, "This must be the id of a rule book, or a whole one as an object"),
    ("$.rulebook", "western-horsemanshop", "There is no rule book `western-horsemanshop` here"),
    ("$.maneuvers", ABSENT, "This is missing."),
    ("$.maneuvers", [], "This list is empty"),
    ("$.maneuvers", "Walk", 'This must be a list [ ], not the text "Walk".'),
    ("$.maneuvers[1]", "  ", "There must be text here; it is empty."),
    ("$.maneuvers[1]", 7, 'This must be text in quotation marks " ", not the number 7.'),
    ("$.maneuvers[1]", "Jog\ncircle", "This must be one line of text."),
    ("$.maneuvers[1]", "Jog\x1b[31m", "There is a sign in this text that cannot be shown."),
    ("$.maneuvers[1]", "Jog \ud800", "There is a sign in this text that cannot be shown."),
    ("$.maneuver", [], "There is no key `maneuver` here; `maneuvers` may be meant."),
    ("$.entries", {}, "This must be a list [ ], not an object."),
    ("$.entries[1]", 87, "This must be an object { }, not the number 87."),
    ("$.entries[1].entry", 2, 'The working-order number is written as text: "2".'),
    ("$.entries[1].entry", True, 'This must be a working-order number as text, such as "1"'),
    ("$.entries[1].entry", "02", 'This must be a working-order number as text, such as "1"'),
    ("$.entries[1].entry", "two", 'This must be a working-order number as text, such as "1"'),
    ("$.entries[1].entry", "٢", 'This must be a working-order number as text, such as "1"'),
    ("$.entries[1].back_number", ABSENT, "This is missing."),
    ("$.entries[1].back_number", "87", "This must be a whole number from 1 to 999999999"),
    ("$.entries[1].back_number", 0, "This must be a whole number from 1 to 999999999"),
    ("$.entries[1].back_number", 87.5, "This must be a whole number from 1 to 999999999"),
    ("$.entries[1].back_number", True, "This must be a whole number from 1 to 999999999"),
    ("$.entries[1].back_number", 10**30, "This must be a whole number from 1 to 999999999"),
    ("$.entries[1].back_number", 214, "Back number 214 is carried by another entry"),
    ("$.entries[1].scratched", 1, "This must be true or false, not the number 1."),
    ("$.entries[2]", {"entry": "x", "back_number": 5}, None),
    ("$.cards", [], "This list is empty"),
    ("$.cards[0]", None, "This must be an object { }, not null."),
    ("$.cards[0].seat", ABSENT, "This is missing."),
    ("$.cards[0].seat", "judge", "A seat is named by a capital letter"),
    ("$.cards[0].rides", ABSENT, "This is missing."),
    (
        "$.cards[0].judge",
        "B",
        "There is no key `judge` here; there are seat, rides, placed, times, rail, learner.",
    ),
    (f"{RIDE}.entry", "9", "There is no entry 9 in this class."),
    (f"{RIDE}.entry", "2", None),
    (f"{RIDE}.entry", 1, 'The working-order number is written as text: "1".'),
    ("$.entries[0].scratched", True, None),
    (f"{RIDE}.back_number", 87, "The names given mean different entries"),
    (f"{RIDE}.back_number", 5, "No entry of this class has back number 5."),
    (f"{RIDE}.marks", {}, "This must be a list [ ], not an object."),
    (f"{RIDE}.marks[0]", "+1", 'This must be a number of points, not the text "+1".'),
    (f"{RIDE}.marks[0]", True, "This must be a number of points, not true."),
    (f"{RIDE}.marks[0]", 0.3, "Points go by halves, so 0.3 cannot be: write 0, 0.5, 1 and so on."),
    (f"{RIDE}.marks[0]", 3.5, "+3.5 is not a mark of this rule book: -3 to +3 in steps of 0.5."),
    (f"{RIDE}.marks[0]", 1e300, "No score goes beyond 10000 points; this is 1e+300."),
    (f"{RIDE}.marks[0]", float("nan"), "No score goes beyond 10000 points; this is NaN."),
    (f"{RIDE}.marks[0]", float("-inf"), "No score goes beyond 10000 points; this is -Infinity."),
    (f"{RIDE}.marks[3]", 1, "The pattern has maneuvers 1 to 3, not 4."),
    (f"{RIDE}.rider_mark", 5.5, "+5.5 is not a mark of this rule book: 0 to +5"),
    (f"{RIDE}.rider_mark", False, "This must be a number of points, not false."),
    (f"{RIDE}.riders_mark", 3, "There is no key `riders_mark` here; `rider_mark` may be meant."),
    (
        "$.cards[0].rides[1].penalties[0].points",
        -3,
        "The rule book has no penalty of -3 points; it has: 3, 5, 10.",
    ),
    (
        "$.cards[0].rides[1].penalties[0].points",
        4,
        "The rule book has no penalty of 4 points; it has: 3, 5, 10.",
    ),
    ("$.cards[0].rides[1].penalties[0].points", None, None),
    ("$.cards[0].rides[1].penalties[0].maneuver", 4, "The pattern has maneuvers 1 to 3, not 4."),
    ("$.cards[0].rides[1].penalties[0].maneuver", 0, "This must be a whole number from 1 to 999"),
    ("$.cards[0].rides[1].penalties[0].code", "nap", "The rule book has no penalty with the code"),
    ("$.cards[0].rides[1].penalties[0].count", 100, "This must be a whole number from 1 to 99"),
    (f"{ORDER}.order", ABSENT, "This is missing."),
    (f"{ORDER}.order", ["1"], "An order names at least two entries."),
    (f"{ORDER}.order[1]", "1", "Back number 214 stands in the order twice."),
    (f"{ORDER}.order[1]", "8", "There is no entry 8 in this class."),
    (f"{ORDER}.order[1]", 2, 'The working-order number is written as text: "2".'),
    (f"{ORDER}.by", "rail", "`rail` is not known here; `rail_work` may be meant."),
    (f"{ORDER}.by", 3, "This must be one of rail_work, run_off, judges_decision, not the number 3"),
    (f"{ORDER}.by", "run_off", "ties are not parted by run off."),
    (f"{ORDER}.reason", "", "There must be text here; it is empty."),
]


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [pytest.param(*case, id=f"{case[0]}={case[1]!a}") for case in ONE_FAULT],
)
def test_one_thing_wrong_is_one_line_that_names_its_path(
    path: str, value: object, sentence: str | None
) -> None:
    (line,) = faults(changed(path, value))
    if sentence is not None:
        assert line.startswith(f"{path}: ")
        assert sentence in line


def test_an_entry_that_stands_twice_is_shown_both_places() -> None:
    document = changed("$.entries[2]", {"entry": "1", "back_number": 300})
    assert faults(document) == ["$.entries[2].entry: Entry 1 stands at $.entries[0].entry already."]


def test_a_ride_that_stands_twice_on_one_card_is_shown_both_places() -> None:
    document = changed(f"{RIDE}.entry", "2")
    assert faults(document) == [
        "$.cards[0].rides[1].entry: Entry 2 stands at $.cards[0].rides[0].entry already."
    ]


def test_a_seat_that_stands_twice_is_shown_both_places() -> None:
    document = changed("$.cards[1]", GOOD["cards"][0])
    assert faults(document) == ["$.cards[1].seat: Seat A stands at $.cards[0].seat already."]


def test_a_penalty_that_is_neither_sized_nor_named_is_at_fault_as_a_whole() -> None:
    document = changed("$.cards[0].rides[1].penalties[0]", {"maneuver": 2})
    assert faults(document) == [
        "$.cards[0].rides[1].penalties[0]: Name the penalty by its code or its points."
    ]


def test_a_size_and_a_code_that_disagree_are_caught() -> None:
    given = {"maneuver": 3, "code": "stop-late", "points": 3}
    (line,) = faults(changed("$.cards[0].rides[1].penalties[0]", given))
    assert line.startswith("$.cards[0].rides[1].penalties[0].points: ")
    assert line.endswith("costs 5 points, not 3.")


@pytest.mark.parametrize(
    ("outcome", "path", "sentence"),
    [
        ({"kind": "off course"}, ".kind", "is not known here"),
        ({"kind": "zero"}, ".kind", "does not know the outcome zero."),
        ({"kind": "off_pattern", "maneuver": 9}, ".maneuver", "maneuvers 1 to 3, not 9."),
        ({"kind": "off_pattern", "reason": 4}, ".reason", "not the number 4."),
        ({"reason": "passed the cone"}, ".kind", "This is missing."),
        ("off_pattern", "", "This must be an object"),
    ],
)
def test_an_outcome_is_read_part_by_part(outcome: object, path: str, sentence: str) -> None:
    (line,) = faults(changed(f"{RIDE}.outcome", outcome))
    assert line.startswith(f"{RIDE}.outcome{path}: ")
    assert sentence in line


@pytest.mark.parametrize(
    ("noted", "path"),
    [
        ({"code": "eyes-shut"}, ".code"),
        ({"code": "eyes-down", "maneuver": 9}, ".maneuver"),
        ({"code": "eyes-down", "note": ["x"]}, ".note"),
        ({"note": "down"}, ".code"),
    ],
)
def test_an_observation_is_read_part_by_part(noted: object, path: str) -> None:
    (line,) = faults(changed(f"{RIDE}.observations", [noted]))
    assert line.startswith(f"{RIDE}.observations[0]{path}: ")


@pytest.mark.parametrize(
    ("mark", "path", "sentence"),
    [
        ({"mark": 0.5, "performed": "senior-simple-change"}, ".mark", "more than 0"),
        ({"mark": 0, "performed": "a-hop"}, ".performed", "no lesser way"),
        ({"performed": "senior-simple-change"}, ".mark", "This is missing."),
        ({"mark": 0, "done": "x"}, ".done", "There is no key `done` here"),
        ({"mark": 2}, "", "+2 is not a mark of this rule book"),
    ],
)
def test_a_mark_with_what_was_performed_is_read_part_by_part(
    mark: object, path: str, sentence: str
) -> None:
    document = {
        "rulebook": "western-riding",
        "maneuvers": ["Change"],
        "entries": [{"entry": "1", "back_number": 5}],
        "cards": [{"seat": "A", "rides": [{"entry": "1", "marks": [mark]}]}],
    }
    (line,) = faults(document)
    assert line.startswith(f"{RIDE}.marks[0]{path}: ")
    assert sentence in line


def test_a_rider_mark_where_the_book_has_none_is_at_fault() -> None:
    document = changed("$.rulebook", "trail")
    document["cards"][0].pop("rail")
    assert [line.split(":")[0] for line in faults(document)] == [
        "$.cards[0].rides[0].rider_mark",
        "$.cards[0].rides[1].rider_mark",
    ]


def test_all_faults_are_told_at_once_those_of_the_rule_book_too() -> None:
    document = changed(f"{RIDE}.marks", [0.3, True, 9])
    document["entries"].append({"entry": "3"})
    document["cards"][0]["rides"][1]["penalties"] = [{"points": 4}, {"size": 3}]
    document["class"] = 12
    assert [line.split(":")[0] for line in faults(document)] == [
        "$.class",
        "$.entries[2].back_number",
        "$.cards[0].rides[0].marks[0]",
        "$.cards[0].rides[0].marks[1]",
        "$.cards[0].rides[1].penalties[1].size",
        "$.cards[0].rides[0].marks[2]",
        "$.cards[0].rides[1].penalties[0].points",
        "$.cards[0].rides[1].penalties[1]",
    ]


def test_faults_are_told_even_if_the_rule_book_is_unknown() -> None:
    document = changed("$.rulebook", "dressage")
    document["cards"][0]["rides"][0]["marks"][1] = 0.25
    found = faults(document)
    assert found[0].endswith("there are " + ", ".join(shipped()) + ".")
    assert [line.split(":")[0] for line in found] == ["$.rulebook", f"{RIDE}.marks[1]"]


def test_a_wrong_order_over_faulty_marks_is_not_blamed_on_the_order() -> None:
    document = changed(f"{RIDE}.marks[0]", 9)
    assert [line.split(":")[0] for line in faults(document)] == [f"{RIDE}.marks[0]"]


# --- a rule book given whole -------------------------------------------------------------------


def with_book(change: Callable[[dict[str, Any]], object]) -> Sheet:
    book = to_document(shipped_book("western-horsemanship"))
    change(book)
    return {**GOOD, "rulebook": book}


def test_a_whole_rule_book_is_taken_instead_of_an_id() -> None:
    assert faults(with_book(lambda book: book.update(id="house-rules"))) == []


@pytest.mark.parametrize(
    ("change", "path"),
    [
        (lambda book: book["penalties"][3].update(points=0.3), ".penalties[3].points"),
        (lambda book: book["penalties"][4].update(points=True), ".penalties[4].points"),
        (lambda book: book["scale"].pop("base"), ".scale.base"),
        (lambda book: book["scale"]["mark"].update(step=0), ".scale.mark.step"),
        (lambda book: book.update(colour="red"), ".colour"),
        (lambda book: book["ties"][0].update(step="coin"), ".ties[0].step"),
    ],
)
def test_a_fault_of_a_whole_rule_book_has_its_path_in_the_sheet(
    change: Callable[[dict[str, Any]], object], path: str
) -> None:
    assert [line.split(":")[0] for line in faults(with_book(change))] == [f"$.rulebook{path}"]


# --- what is not a sheet at all ----------------------------------------------------------------


@pytest.mark.parametrize("document", [None, 7, [], "sheet"])
def test_a_document_that_is_no_object_is_refused_as_a_whole(document: object) -> None:
    (line,) = faults(document)
    assert line.startswith("$: This must be an object { }, not ")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b'{"rulebook": "trail",\n "maneuvers": [,]}', "$: line 2, column 16: this is not written"),
        (b"", "$: line 1, column 1: this is not written as JSON asks: expecting value."),
        (b"{} {}", "$: line 1, column 4: this is not written as JSON asks: extra data."),
        (b'{"rulebook": "\xff"}', "$: This is not text in utf-8 (byte 14)."),
        (b"[" * 100_000, "$: This is nested too deeply for a score sheet."),
    ],
)
def test_what_is_not_json_is_refused_with_line_and_column(content: bytes, said: str) -> None:
    (line,) = faults(content)
    assert line.startswith(said)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-32"])
def test_a_sheet_may_be_saved_in_any_encoding_of_unicode(encoding: str) -> None:
    assert faults(json.dumps(GOOD).encode(encoding)) == []


def test_a_key_that_stands_twice_is_a_fault_at_its_path() -> None:
    content = written(GOOD).replace(b'"rider_mark": 3', b'"rider_mark": 3, "rider_mark": 4')
    assert faults(content) == [f"{RIDE}.rider_mark: This key stands here more than once."]


def test_a_key_that_stands_twice_in_a_whole_rule_book_is_a_fault_too() -> None:
    content = written(with_book(lambda _: None)).replace(b'"base": 70', b'"base": 70, "base": 71')
    assert faults(content) == ["$.rulebook.scale.base: This key stands here more than once."]


def test_a_fault_is_one_line_that_a_terminal_cannot_be_steered_by() -> None:
    (line,) = faults({**GOOD, "a\nb\x1b[2J\ud800": 1})
    assert line.isprintable()
    assert line.startswith('$["a\\nb\\u001b[2J\\ud800"]: There is no key ')
