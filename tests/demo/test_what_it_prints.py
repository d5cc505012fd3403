"""The demo prints the placings that follow from its log, and from its cards on paper."""

import json
import re
from typing import Any

from events.half_points import to_text
from events.judged_class.events import CorrectionMade, OrderSet
from events.projections.placing import ClassPlacing
from service.demo.happenings import Order
from service.demo.scenario import ClassStory, Ride
from service.sheet.score import score_sheet
from tests.demo.conftest import Held, Played

ROW = re.compile(r"^ {9}(\d+=?|-) +(\d+)  .*?  +(\d+(?:\.5)?|-)(?:  .*)?$")
WHAT_IF_ROW = re.compile(r"^ {9}(\d+=?|-) +(\d+=?|-) +(\d+)  .*?  +([\d.]+|-) +([\d.]+|-)$")
HEADING = re.compile(r"^Class (\d+), ", flags=re.MULTILINE)
Row = tuple[str, str, str]


def _sections(printed: str) -> dict[int, str]:
    parts = HEADING.split(printed)
    return {int(number): text for number, text in zip(parts[1::2], parts[2::2], strict=True)}


def _tables(section: str) -> list[list[Row]]:
    found: list[list[Row]] = []
    within = False
    for line in section.splitlines():
        row = ROW.match(line) if within else None
        if row is not None:
            found[-1].append((row[1], row[2], row[3]))
        within = row is not None
        if line.split()[:2] == ["Place", "Back"]:
            found.append([])
            within = True
    return found


def _rows(of: ClassPlacing) -> list[list[Row]]:
    """What a table has to say, seat by seat."""
    return [
        [
            (
                "-" if row.place is None else f"{row.place}{'=' * row.tied}",
                str(row.back_number),
                "-" if row.total is None else to_text(row.total),
            )
            for row in seat.rows
            if row.complete
        ]
        for seat in of.seats
    ]


def test_the_horsemanship_unfolds_at_three_moments(played: Played, horsemanship: Held) -> None:
    section = _sections(played.printed)[horsemanship.story.number]
    versions = [int(version) for version in re.findall(r"\(version (\d+)\):", section)]
    assert len(versions) == 3
    assert _tables(section) == [_rows(horsemanship.at(version))[0] for version in versions]
    ridden, official, again = (horsemanship.at(version) for version in versions)
    assert all(row.complete for row in ridden.seats[0].rows)
    assert (ridden.phase, official.phase, again.phase) == ("running", "official", "official")
    assert (official.revision, again.revision) == (1, 2)


def test_it_says_when_the_rail_order_is_stale(played: Played, horsemanship: Held) -> None:
    [told] = re.findall(r"^  15:14  (?:.+\n)+?(?=  15:20)", played.printed, flags=re.MULTILINE)
    assert "order order-1 is stale" in " ".join(told.split())
    [corrected] = horsemanship.of(CorrectionMade)
    assert horsemanship.at(corrected.version).seats[0].stale_orders == ("order-1",)


def test_the_stewards_question_is_answered_with_what_came_of_it(
    played: Played, horsemanship: Held
) -> None:
    section = _sections(played.printed)[horsemanship.story.number]
    asked = section[section.index("The steward asks") : section.index("Nothing of this")]
    rows = [match.groups() for match in map(WHAT_IF_ROW.match, asked.splitlines()) if match]
    assert [(place, back, total) for place, _, back, total, _ in rows] == _rows(
        horsemanship.placing
    )[0][:2]
    assert rows == [("1", "2", "171", "78.5", "75.5"), ("2", "1", "104", "77", "77")]


def test_scoring_each_class_from_a_sheet_gives_the_same_placing(played: Played) -> None:
    for held in played.classes.values():
        scored = score_sheet(json.dumps(_sheet(held)).encode())
        for ours, sheets in zip(held.at(held.signed).seats, scored.placing.seats, strict=True):
            assert [(row.back_number, row.place, row.tied, row.total) for row in ours.rows] == [
                (row.back_number, row.place, row.tied, row.total) for row in sheets.rows
            ]


def _sheet(held: Held) -> dict[str, Any]:
    """The class as somebody would write it down at a kitchen table, from the demo's own files."""
    story = held.story
    state = held.history.at_version(held.signed)
    shown = [entry for name in state.draw if (entry := state.entries[name]).scratched is None]
    turn = {entry.back_number: str(number) for number, entry in enumerate(shown, start=1)}
    return {
        "rulebook": story.rulebook,
        "maneuvers": list(story.maneuvers),
        "entries": [{"entry": turn[each], "back_number": each} for each in turn],
        "cards": [_card(story, seat, turn) for seat in story.cards],
    }


def _card(story: ClassStory, seat: str, turn: dict[int, str]) -> dict[str, Any]:
    orders = [each for each in story.then if isinstance(each, Order) and each.by == seat]
    return {
        "seat": seat,
        "rides": [
            {"entry": turn[number], **_ride(ride)} for number, ride in story.cards[seat].items()
        ],
        "rail": [
            {"order": [turn[number] for number in order.order], "by": order.settled_by}
            for order in orders
        ],
    }


def _ride(ride: Ride) -> dict[str, Any]:
    found: dict[str, Any] = {
        "marks": list(ride.marks),
        "penalties": [
            {"maneuver": each.maneuver, "code": each.code}
            for each in ride.penalties
            if not each.withdrawn
            for _ in range(each.count)
        ],
    }
    if ride.rider_mark is not None:
        found["rider_mark"] = ride.rider_mark
    if ride.outcome is not None:
        found["outcome"] = {"kind": ride.outcome.kind, "maneuver": ride.outcome.maneuver}
    if ride.excused is not None:
        found["outcome"] = {"kind": "excused"}
    return found


def test_the_files_hold_an_order_of_each_kind(played: Played) -> None:
    orders = [each.data for held in played.classes.values() for each in held.of(OrderSet)]
    kinds = {each.by for each in orders if isinstance(each, OrderSet)}
    assert kinds == {"rail_work", "run_off", "judges_decision"}
