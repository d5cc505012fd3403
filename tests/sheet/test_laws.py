"""What holds of every sheet."""

import json
import random
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st

from events.judged_class import events as happened
from events.judged_class.events import ClassEvent
from events.judged_class.evolve import fold
from events.projections.placing import placing
from events.rulebook.load import digest
from events.rulebook.model import RuleBookRef
from service.books import shipped_book
from tests.sheet.sheets import result, rows, scored, sheet

BOOK = shipped_book("western-horsemanship")
SIZES = [3, 5, 10]
HALVES = st.integers(-6, 6).map(lambda half: half / 2)
MANEUVERS = ["Walk", "Jog", "Stop"]


@st.composite
def rides(draw: st.DrawFn) -> dict[str, dict[str, Any]]:
    """Entries in any order, some of them unfinished, off pattern or disqualified."""
    numbers = draw(st.lists(st.integers(1, 99), min_size=1, max_size=8, unique=True))
    found: dict[str, dict[str, Any]] = {}
    for number in numbers:
        ride: dict[str, Any] = {
            "marks": draw(st.lists(st.none() | HALVES, min_size=3, max_size=3)),
            "rider_mark": draw(st.none() | st.integers(0, 10).map(lambda half: half / 2)),
            "penalties": [
                {"maneuver": draw(st.integers(1, 3)), "points": points}
                for points in draw(st.lists(st.sampled_from(SIZES), max_size=3))
            ],
        }
        kind = draw(st.sampled_from([None, None, "off_pattern", "disqualified"]))
        if kind is not None:
            ride["outcome"] = {"kind": kind}
        found[str(number)] = ride
    return found


def by_hand(class_: dict[str, dict[str, Any]]) -> list[ClassEvent]:
    """The events of such a class, written out without asking for any of them."""
    held_to = RuleBookRef(id=BOOK.id, edition=BOOK.edition, digest=digest(BOOK))
    log: list[ClassEvent] = [
        happened.ClassScheduled(show="s", name="c", rulebook=held_to),
        happened.PatternSet(maneuvers=tuple(MANEUVERS)),
        happened.JudgeSeated(seat="A", judge="j"),
    ]
    log += [
        happened.EntryAccepted(entry=entry, back_number=100 + int(entry), exhibitor="p")
        for entry in class_
    ]
    log.append(happened.DrawSet(order=tuple(sorted(class_, key=int))))
    for entry, ride in class_.items():
        log += _ride(entry, ride)
    return log


def _ride(entry: str, ride: dict[str, Any]) -> list[ClassEvent]:
    log: list[ClassEvent] = [
        happened.MarkGiven(seat="A", entry=entry, maneuver=number, mark=int(mark * 2))
        for number, mark in enumerate(ride["marks"], start=1)
        if mark is not None
    ]
    if ride["rider_mark"] is not None:
        mark = int(ride["rider_mark"] * 2)
        log.append(happened.RiderMarkGiven(seat="A", entry=entry, mark=mark))
    log += [
        happened.PenaltyCalled(seat="A", entry=entry, call=str(n), points=2 * given["points"])
        for n, given in enumerate(ride["penalties"])
    ]
    if "outcome" in ride:
        kind = ride["outcome"]["kind"]
        log.append(happened.OutcomeCalled(seat="A", entry=entry, kind=kind))
    return log


@given(rides())
def test_a_sheet_comes_to_what_its_events_fold_to(class_: dict[str, dict[str, Any]]) -> None:
    from_sheet = scored(sheet(BOOK.id, class_, maneuvers=MANEUVERS)).placing
    folded = placing(fold(by_hand(class_)), BOOK)
    assert [seat.rows for seat in from_sheet.seats] == [seat.rows for seat in folded.seats]
    assert from_sheet.class_size == folded.class_size


@given(rides())
def test_the_events_of_a_sheet_fold_to_its_result(class_: dict[str, dict[str, Any]]) -> None:
    found = scored(sheet(BOOK.id, class_, maneuvers=MANEUVERS))
    assert placing(fold(found.events), BOOK) == found.placing


@given(rides(), st.randoms(use_true_random=False))
def test_the_order_in_which_entries_and_rides_are_written_changes_nothing(
    class_: dict[str, dict[str, Any]], lots: random.Random
) -> None:
    document = sheet(BOOK.id, class_, maneuvers=MANEUVERS)
    other = json.loads(json.dumps(document))
    lots.shuffle(other["entries"])
    lots.shuffle(other["cards"][0]["rides"])
    before, after = result(document), result(other)
    assert sorted(before.pop("warnings")) == sorted(after.pop("warnings"))
    assert before == after


@given(rides(), st.data())
def test_raising_one_mark_never_worsens_the_place(
    class_: dict[str, dict[str, Any]], data: st.DataObject
) -> None:
    entry = data.draw(st.sampled_from(sorted(class_)))
    at = data.draw(st.integers(0, 2))
    mark = class_[entry]["marks"][at]
    assume(mark is not None and mark < 3)
    before = {r["entry"]: r for r in rows(sheet(BOOK.id, class_, maneuvers=MANEUVERS))}[entry]
    class_[entry]["marks"][at] = mark + 0.5
    after = {r["entry"]: r for r in rows(sheet(BOOK.id, class_, maneuvers=MANEUVERS))}[entry]
    assert (before["place"] is None) == (after["place"] is None)
    if before["place"] is not None:
        assert after["place"] <= before["place"]
        assert after["total"] >= before["total"]
