"""Planning a show: its days, rings, officials, rule books, running order and back numbers."""

from datetime import date, time
from typing import cast, get_args

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.envelope import Actor, Command, Event, Role
from events.refusals import Refusal
from events.rulebook.model import RuleBookRef
from events.show import commands as ask
from events.show import decide, state
from events.show import events as happened
from events.show.events import ShowEvent
from events.show.state import fold
from tests.core.judged_class.scene import check_readable
from tests.core.season.seasons import rules
from tests.core.show.scene import MAIN, PLAN, Scene, changed, planned
from tests.strategies import pooled

BOOK = RuleBookRef(id="trail", edition="2026-1", digest="sha256:00")
SLOT = ask.SlotClass(class_id="c1", ring="Main", day=date(2026, 6, 6), slot=1)
NUMBER = ask.GiveBackNumber(number=214, exhibitor="p1", horse="h1")
DEADLINES = ask.SetDeadlines(late_entry=30, scratch=0, horse_change=60)


@pytest.mark.parametrize("role", [role for role in get_args(Role) if role != "office"])
def test_the_office_plans_a_show(role: Role) -> None:
    refused = Scene().refuses(PLAN, "role_not_allowed", None, by=Actor(key="k", role=role))
    assert refused.rule == "the office plans a show"


def test_a_show_is_planned_for_its_days() -> None:
    scene = Scene().given(PLAN)
    assert scene.state.planned == happened.ShowPlanned(**msgspec.structs.asdict(PLAN))


@pytest.mark.parametrize("field", ["name", "place", "time_zone"])
def test_a_show_says_what_where_and_by_which_clock(field: str) -> None:
    Scene().refuses(changed(PLAN, **{field: " "}), f"{field}_missing", field)


def test_a_show_ends_on_its_first_day_or_later() -> None:
    Scene().given(changed(PLAN, last_day=PLAN.first_day))
    Scene().refuses(changed(PLAN, last_day=date(2026, 6, 4)), "days_reversed", "last_day")


def test_a_show_is_planned_anew() -> None:
    scene = planned().given(changed(PLAN, name="Three Creeks Spring Open"))
    assert scene.state.planned is not None
    assert scene.state.planned.name == "Three Creeks Spring Open"
    assert scene.state.rings == ("Main",)


@pytest.mark.parametrize(
    ("days", "field"),
    [({"first_day": date(2026, 6, 7)}, "first_day"), ({"last_day": date(2026, 6, 5)}, "last_day")],
)
def test_a_show_keeps_the_days_on_which_classes_are_slotted(
    days: dict[str, date], field: str
) -> None:
    refused = planned().given(SLOT).refuses(changed(PLAN, **days), "slots_outside_show", field)
    assert refused.facts["class_ids"] == ("c1",)


@pytest.mark.parametrize("asked", [MAIN, ask.AdoptRuleBook(rulebook=BOOK), SLOT, NUMBER, DEADLINES])
def test_nothing_belongs_to_a_show_before_it_is_planned(asked: Command) -> None:
    Scene().refuses(asked, "show_not_planned", None)


def test_rings_are_named() -> None:
    scene = planned().given(ask.AddRing(ring="South"))
    assert scene.state.rings == ("Main", "South")
    scene.refuses(ask.AddRing(ring=" "), "ring_missing", "ring")
    scene.refuses(ask.AddRing(ring="south"), "ring_name_taken", "ring")


def test_one_person_may_have_several_tasks() -> None:
    judge = ask.NameOfficial(official="p7", role="judge")
    scene = planned().given(judge, changed(judge, role="steward"))
    assert [each.role for each in scene.state.officials] == ["judge", "steward"]


def test_a_newer_edition_takes_the_place_of_the_older() -> None:
    newer = msgspec.structs.replace(BOOK, edition="2026-2", digest="sha256:11")
    scene = planned().given(ask.AdoptRuleBook(rulebook=BOOK), ask.AdoptRuleBook(rulebook=newer))
    assert scene.state.rulebooks == {"trail": newer}


# --- running order ------------------------------------------------------------------------------


def test_classes_are_held_in_the_order_of_their_slots() -> None:
    scene = planned().given(changed(SLOT, slot=2, not_before=time(9, 30)))
    scene.given(changed(SLOT, class_id="c2"), changed(SLOT, class_id="c3", day=date(2026, 6, 7)))
    held = scene.state.running_order("Main", date(2026, 6, 6))
    assert [slot.class_id for slot in held] == ["c2", "c1"]


def test_a_class_may_be_slotted_elsewhere() -> None:
    scene = planned().given(SLOT, changed(SLOT, slot=4), changed(SLOT, class_id="c2", slot=1))
    assert scene.state.slots["c1"].slot == 4


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (changed(SLOT, ring="South"), "unknown_ring", "ring"),
        (changed(SLOT, day=date(2026, 6, 4)), "day_outside_show", "day"),
        (changed(SLOT, day=date(2026, 6, 8)), "day_outside_show", "day"),
        (changed(SLOT, slot=0), "slot_not_positive", "slot"),
        (changed(SLOT, seconds_a_ride=0), "ride_without_time", "seconds_a_ride"),
        (changed(SLOT, class_id="c2"), "slot_taken", "slot"),
    ],
)
def test_a_slot_lies_in_a_ring_on_a_day_of_the_show(asked: Command, code: str, field: str) -> None:
    planned().given(SLOT).refuses(asked, code, field)


def test_a_ride_may_take_a_second() -> None:
    planned().given(changed(SLOT, seconds_a_ride=1))


def test_a_show_without_rings_says_so() -> None:
    refused = Scene().given(PLAN).refuses(SLOT, "unknown_ring", "ring")
    assert "none yet" in refused.message


# --- back numbers and deadlines -----------------------------------------------------------------


def test_a_back_number_is_given_once_at_a_show() -> None:
    scene = planned().given(NUMBER)
    scene.refuses(changed(NUMBER, exhibitor="p2"), "back_number_taken", "number")
    scene.refuses(changed(NUMBER, number=215), "back_number_given_already", "exhibitor")
    scene.refuses(changed(NUMBER, number=0), "back_number_not_positive", "number")
    scene.given(changed(NUMBER, number=215, horse="h2"), changed(NUMBER, number=1, horse="h3"))


def test_a_back_number_that_was_taken_back_is_given_to_nobody_else() -> None:
    take = ask.TakeBackNumber(number=214, reason="sha256:lost")
    assert planned().when(take) == ()
    scene = planned().given(NUMBER, take)
    scene.refuses(changed(NUMBER, exhibitor="p2"), "back_number_taken", "number")
    scene.given(changed(NUMBER, number=215))
    assert scene.state.number_of("p1", "h1") == 215


def test_a_number_belongs_to_an_exhibitor_with_a_horse_or_alone() -> None:
    scene = planned().given(NUMBER, changed(NUMBER, number=9, horse=None))
    numbers = [scene.state.number_of("p1", horse) for horse in ("h1", "h2", None)]
    assert numbers == [214, 9, 9]
    assert scene.state.number_of("p2", "h1") is None


@pytest.mark.parametrize("field", ["late_entry", "scratch", "horse_change"])
def test_deadlines_count_minutes_from_nought(field: str) -> None:
    scene = planned().given(DEADLINES)
    scene.refuses(changed(DEADLINES, **{field: -1}), "deadline_negative", field)
    scene.given(changed(DEADLINES, **{field: 7}))


# --- tables and folds ---------------------------------------------------------------------------


def of_module(module: object, base: type) -> set[type]:
    return {
        each
        for each in vars(module).values()
        if isinstance(each, type) and issubclass(each, base) and each is not base
    }


def test_every_event_and_every_command_of_a_show_has_its_handler() -> None:
    assert set(get_args(ShowEvent)) == of_module(happened, Event)
    assert set(state.HANDLERS) == set(get_args(ShowEvent))
    assert set(decide.HANDLERS) == of_module(ask, Command)


NAMES = st.sampled_from(["Youth", "youth", "Novice", ""])
MONTH_DAYS = st.sampled_from(["01-01", "12-01", "02-29", "1 May"])
POOLS: dict[str, st.SearchStrategy[object]] = {
    "ring": st.sampled_from(["Main", "South", ""]),
    "class_id": st.sampled_from(["c1", "c2"]),
    "number": st.integers(0, 3),
    "exhibitor": st.sampled_from(["p1", "p2"]),
    "horse": st.sampled_from(["h1", "h2"]),
    "slot": st.integers(0, 2),
    "division": NAMES,
    "admits": NAMES,
    "requires": NAMES,
    "levels": NAMES,
    "discipline": NAMES,
    "member_of": NAMES,
    "lowest": st.integers(-1, 3),
    "highest": st.integers(-1, 3),
    "month_day": MONTH_DAYS,
    "year_begins": MONTH_DAYS,
    "southern_year_begins": MONTH_DAYS,
    "award": st.sampled_from(["high-point", "all-around"]),
    "AwardRules": st.builds(rules, best_of=st.integers(0, 2) | st.none()),
    "order": st.sampled_from(["p-1", "p-2"]),
    "carrier": st.sampled_from(["p-1", "p-2"]),
    "points": st.sampled_from(["7", "8"]),
    "settlement": st.integers(1, 6),
}
KINDS: tuple[type[ShowEvent], ...] = get_args(ShowEvent)
EVENTS = st.one_of([pooled(kind, POOLS) for kind in KINDS])
COMMANDS = st.one_of([pooled(kind, POOLS) for kind in decide.HANDLERS])


@given(st.lists(EVENTS, max_size=12))
def test_a_fold_of_any_events_never_fails(events: list[ShowEvent]) -> None:
    shown = fold(events)
    assert shown.version == len(events)
    assert shown.running_order("Main", date(2026, 6, 6)) is not None


@given(st.lists(COMMANDS, max_size=8))
def test_any_command_is_carried_out_once_or_refused_in_a_sentence(commands: list[Command]) -> None:
    scene = planned()
    for command in commands:
        try:
            made = scene.when(command)
        except Refusal as refused:
            check_readable(refused, command)
        else:
            scene.state = fold(cast("tuple[ShowEvent, ...]", made), scene.state)
            assert scene.when(command) == ()
