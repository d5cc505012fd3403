"""A card as it stands, every fact with the version of its event."""

import msgspec

from events.judged_class import commands as ask
from events.judged_class.events import BasisLine
from events.projections.card import (
    CardView,
    MarkLine,
    ObservationLine,
    OrderLine,
    OutcomeLine,
    PenaltyLine,
    RideLine,
    card_view,
)
from tests.core.books import PLACED, SMALL, TIMED, shipped, small
from tests.core.judged_class.scene import (
    Scene,
    correction,
    entry,
    mark,
    observe,
    order,
    outcome,
    penalty,
    ridden,
    rider,
)


def view(scene: Scene, seat: str = "A") -> CardView:
    return card_view(scene.state, scene.state.cards[seat], scene.book)


def ride(scene: Scene, name: str = "e1") -> RideLine:
    return next(line for line in view(scene).rides if line.entry == name)


def test_a_card_has_a_line_for_every_running_entry_in_working_order() -> None:
    scene = Scene().planned(3).given(ask.SetDraw(order=("e3", "e1", "e2")))
    scene.given(ask.ScratchEntry(ref=entry("e1")))
    lines = view(scene).rides
    assert [(line.entry, line.working_order, line.back_number) for line in lines] == [
        ("e3", 1, 305),
        ("e2", 3, 87),
    ]


def test_marks_carry_their_maneuver_their_word_and_their_event() -> None:
    # eXtension Horses, Judging Horse Events: Western Horsemanship: +2 is very good.
    scene = Scene(shipped("western-horsemanship")).planned(1)
    version = scene.version_of(mark("A", "e1", 2, 4))
    assert ride(scene).marks == (
        MarkLine(maneuver=1, name="Maneuver 1", mark=None, word=None, performed=None, version=None),
        MarkLine(
            maneuver=2,
            name="Maneuver 2",
            mark=4,
            word="very good",
            performed=None,
            version=version,
        ),
    )


def test_a_mark_says_in_which_lesser_way_the_maneuver_was_performed() -> None:
    scene = Scene().planned(1).given(mark("A", "e1", 1, 0, performed="simple-change"))
    assert ride(scene).marks[0].performed == "simple-change"


def test_penalties_are_worded_by_the_book_where_a_code_was_called() -> None:
    scene = Scene().planned(1)
    versions = [
        scene.version_of(penalty("A", "e1", "p1", code="tick", maneuver=2)),
        scene.version_of(penalty("A", "e1", "p2", points=10)),
        scene.version_of(penalty("A", "e1", "p3", code="stop-late")),
    ]
    scene.book = small(penalties=SMALL.penalties[:1])
    assert ride(scene).penalties == (
        PenaltyLine(
            call="p1",
            maneuver=2,
            points=6,
            code="tick",
            wording="Cone ticked",
            version=versions[0],
        ),
        PenaltyLine(
            call="p2", maneuver=None, points=10, code=None, wording=None, version=versions[1]
        ),
        PenaltyLine(
            call="p3",
            maneuver=None,
            points=10,
            code="stop-late",
            wording=None,
            version=versions[2],
        ),
    )


def test_the_riders_mark_and_the_score_stand_with_the_ride() -> None:
    scene = Scene().planned(1, maneuvers=1).given(mark("A", "e1", 1, 3))
    assert (ride(scene).rider_mark, ride(scene).rider_mark_version) == (None, None)
    version = scene.version_of(rider("A", "e1", 5))
    assert (ride(scene).rider_mark, ride(scene).rider_mark_version) == (5, version)
    assert ride(scene).score.total == 148


def test_an_outcome_is_worded_by_the_book() -> None:
    scene = Scene().planned(1)
    asked = ask.CallOutcome(
        seat="A", ref=entry("e1"), kind="off_pattern", maneuver=2, reason="sha256:cone"
    )
    version = scene.version_of(asked)
    assert ride(scene).outcome == OutcomeLine(
        kind="off_pattern",
        wording="off pattern",
        maneuver=2,
        reason="sha256:cone",
        version=version,
    )
    scene.book = small(outcomes=())
    assert ride(scene).outcome == OutcomeLine(
        kind="off_pattern",
        wording="off pattern",
        maneuver=2,
        reason="sha256:cone",
        version=version,
    )


def test_what_the_gate_decided_shows_on_every_card_with_its_reason() -> None:
    scene = Scene().planned(3, seats="AB").given(outcome("A", "e1", "off_pattern"))
    missed = scene.version_of(ask.RecordMissedGate(ref=entry("e2")))
    excused = scene.version_of(ask.ExcuseEntry(ref=entry("e1"), reason="sha256:unsound"))
    for seat in "AB":
        first, second, third = view(scene, seat).rides
        assert first.outcome == OutcomeLine(
            kind="excused",
            wording="excused",
            maneuver=None,
            reason="sha256:unsound",
            version=excused,
        )
        assert second.outcome == OutcomeLine(
            kind="missed_gate", wording="missed gate", maneuver=None, reason=None, version=missed
        )
        assert third.outcome is None


def test_observations_name_the_part_of_the_rider() -> None:
    scene = Scene().planned(1)
    version = scene.version_of(observe("A", "e1", "o1", maneuver=1))
    known = ObservationLine(
        observation="o1",
        code="eyes-down",
        part="head",
        wording="Looking down",
        maneuver=1,
        note=None,
        version=version,
    )
    assert ride(scene).observations == (known,)
    scene.book = small(faults=())
    unknown = msgspec.structs.replace(known, part="", wording="eyes-down")
    assert ride(scene).observations == (unknown,)


def test_a_corrected_fact_names_its_correction() -> None:
    scene = ridden(e1=0).signed()
    signature = view(scene).signed
    first = scene.state.cards["A"].rides["e1"].marks[1].version
    made = scene.version_of(correction("c1", mark("A", "e1", 1, 2), replaces=first))
    assert ride(scene).marks[0].version == made
    assert view(scene).signed == signature == made - 1


def test_orders_stand_on_the_card_with_the_basis_last_confirmed() -> None:
    scene = ridden(e1=4, e2=2)
    version = scene.version_of(order("A", "r1", "e2 e1"))
    scene.given(mark("A", "e1", 1, 5))
    confirmed = scene.version_of(ask.ConfirmOrder(seat="A", order_id="r1"))
    assert view(scene).orders == (
        OrderLine(
            order_id="r1",
            by="rail_work",
            order=("e2", "e1"),
            basis=(BasisLine(entry="e2", total=142), BasisLine(entry="e1", total=145)),
            reason=None,
            version=version,
            confirmed=confirmed,
        ),
    )


def test_a_card_belongs_to_its_judge() -> None:
    scene = Scene().planned(1, learners="L")
    found = view(scene, "L")
    assert (found.seat, found.judge, found.kind, found.signed) == ("L", "judge-L", "learner", None)


def test_a_card_before_the_pattern_has_no_lines_for_maneuvers() -> None:
    scene = Scene().planned(1)
    scene.state = msgspec.structs.replace(scene.state, pattern=None)
    assert ride(scene).marks == ()


def test_a_timed_ride_shows_its_time_and_its_penalty_time() -> None:
    scene = Scene(TIMED).planned(1)
    assert (ride(scene).milliseconds, ride(scene).time_version) == (None, None)
    version = scene.version_of(
        ask.GiveTime(seat="A", ref=entry("e1"), milliseconds=900, penalty_milliseconds=50)
    )
    line = ride(scene)
    assert (line.milliseconds, line.penalty_milliseconds, line.time_version) == (900, 50, version)


def test_a_placed_card_shows_what_its_judge_placed_and_called_back() -> None:
    scene = Scene(PLACED).planned(2)
    assert (view(scene).placed, view(scene).called_back) == (None, None)
    scene.given(ask.PlaceCard(seat="A", order=(entry("e2"),)))
    scene.given(ask.CallBack(seat="A", entries=(entry("e1"),)))
    assert (view(scene).placed, view(scene).called_back) == (("e2",), ("e1",))
    assert [line.score.judged for line in view(scene).rides] == [None, 1]


def test_what_an_entry_carries_stands_on_its_line() -> None:
    scene = Scene().planned(1)
    version = scene.version_of(
        ask.AcceptEntry(entry="e2", back_number=2, exhibitor="p2", carried=141)
    )
    line = ride(scene, "e2")
    assert (line.carried, line.carried_version) == (141, version)
