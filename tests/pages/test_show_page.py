"""A show's page: its classes by day and ring, what is official, and what is under way."""

import re
from datetime import UTC, date, datetime, time

import msgspec
import pytest

from events.judged_class.events import ClassScheduled
from events.judged_class.state import INITIAL as UNSCHEDULED
from events.judged_class.state import ClassState, Phase
from events.rulebook.model import RuleBookRef
from events.show.events import ClassSlotted
from events.show.state import INITIAL as UNPLANNED
from service.pages.by_day import listing
from tests.http.house import House, done
from tests.pages.test_screens import text

PAGE = "/shows/three-rivers"
FRIDAY, SATURDAY = date(2026, 5, 8), date(2026, 5, 9)
BOOK = RuleBookRef(id="trail", edition="2026-1", digest="sha256:0")


def scheduled(
    number: int, day: date | None, ring: str | None, phase: Phase = "planned"
) -> tuple[str, ClassState]:
    known = ClassScheduled(
        show="s", name=f"Class {number}", rulebook=BOOK, number=number, ring=ring, day=day
    )
    return f"c{number}", msgspec.structs.replace(UNSCHEDULED, scheduled=known, phase=phase)


def slotted(number: int, slot: int, begins: time | None = None) -> ClassSlotted:
    return ClassSlotted(
        class_id=f"c{number}", ring="Barn", day=SATURDAY, slot=slot, not_before=begins
    )


def test_classes_stand_in_the_running_order_of_the_ring_that_they_were_given() -> None:
    show = msgspec.structs.replace(
        UNPLANNED,
        rings=("Field", "Barn"),
        slots={"c1": slotted(1, 2), "c2": slotted(2, 1, time(9))},
    )
    classes = [scheduled(number, FRIDAY, "Field") for number in (1, 2, 4, 3)]
    friday, saturday = listing(show, classes).days
    assert [(ring.ring, [each.id for each in ring.classes]) for ring in friday.rings] == [
        ("Field", ["c3", "c4"])
    ]
    assert [(each.id, each.begins) for each in saturday.rings[0].classes] == [
        ("c2", time(9)),
        ("c1", None),
    ]


def test_a_class_that_was_combined_says_with_which(house: House) -> None:
    house.schedule()
    body = {"id": "small", "name": "Small", "rulebook": "western-horsemanship"}
    done(house.office.post("/v1/shows/three-rivers/classes", body))
    plan = {"other": "small", "division": "B", "own_division": "A", "reason": "Few."}
    done(house.office.post("/v1/classes/horsemanship/combine", plan))
    page = text(house.app.test_client(), PAGE)
    assert '<span class="tag">held in class 7</span>' in page
    assert "2 classes: 1 planned, 1 cancelled." in page


def test_what_has_no_day_or_ring_yet_comes_last() -> None:
    show = msgspec.structs.replace(UNPLANNED, rings=("Field",))
    classes = [scheduled(1, None, None), scheduled(2, FRIDAY, None), scheduled(3, FRIDAY, "Field")]
    found = listing(show, classes)
    assert [each.day for each in found.days] == [FRIDAY, None]
    assert [ring.ring for ring in found.days[0].rings] == ["Field", None]
    assert found.shown_day("none", FRIDAY) is None


def test_what_is_under_way_is_found_on_any_day_and_stages_are_counted() -> None:
    phases: tuple[Phase, ...] = (
        "planned",
        "running",
        "posted",
        "official",
        "reopened",
        "official",
        "cancelled",
    )
    classes = [scheduled(number, FRIDAY, "Field", phase) for number, phase in enumerate(phases)]
    found = listing(msgspec.structs.replace(UNPLANNED, rings=("Field",)), classes)
    assert [each.id for each in found.under_way] == ["c1", "c2", "c4"]
    assert dict(found.stages)["official"] == found.days[0].official == 2
    assert sum(count for _, count in found.stages) == 7
    assert found.days[0].held == 6


@pytest.mark.parametrize(
    ("asked", "today", "shown"),
    [
        ("", date(2026, 5, 9), SATURDAY),
        ("", date(2026, 7, 1), FRIDAY),
        ("2026-05-08", SATURDAY, FRIDAY),
        ("soon", SATURDAY, SATURDAY),
    ],
)
def test_the_day_that_is_asked_for_is_shown_else_today_else_the_first(
    asked: str, today: date, shown: date
) -> None:
    classes = [scheduled(1, FRIDAY, "Field"), scheduled(2, SATURDAY, "Field")]
    found = listing(msgspec.structs.replace(UNPLANNED, rings=("Field",)), classes)
    assert found.shown_day(asked, today) == shown


@pytest.fixture
def large(house: House) -> House:
    """Forty-one classes, all but the first of them on Saturday, looked at on Saturday morning."""
    for number in range(1, 42):
        day = "2026-05-08" if number == 1 else "2026-05-09"
        body = {"id": f"c{number}", "name": f"Class {number}", "rulebook": "western-horsemanship"}
        more = {"number": number, "ring": "Main ring", "day": day}
        done(house.office.post("/v1/shows/three-rivers/classes", {**body, **more}))
    house.desk.clock = lambda: datetime(2026, 5, 9, 14, 5, tzinfo=UTC)
    return house


def _numbers(page: str) -> list[int]:
    return [int(number) for number in re.findall(r">Class (\d+)<", page)]


def test_of_many_classes_one_day_is_shown_at_a_time(large: House) -> None:
    visitor = large.app.test_client()
    today = text(visitor, PAGE)
    assert _numbers(today) == list(range(2, 42))
    assert '<strong aria-current="page">Saturday 9 May</strong>' in today
    assert "0 of 40 official" in today
    assert "Under way" not in today
    assert _numbers(text(visitor, f"{PAGE}?day=2026-05-08")) == [1]
    assert _numbers(text(visitor, f"{PAGE}?day=all")) == list(range(1, 42))


def test_a_running_class_stands_first_whatever_the_day(protested: House) -> None:
    page = text(protested.app.test_client(), PAGE)
    assert page.index("Under way") < page.index("Horsemanship, open")
    assert "<p>2 classes: 1 official, 1 posted.</p>" in page
