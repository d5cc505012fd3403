"""The awards of a show: defined, dropped, and their ties settled by a coin or by lots."""

from hashlib import sha256

import msgspec
import pytest

from events.envelope import Command
from events.refusals import Refusal
from events.show import commands as ask
from events.show import events as happened
from events.show.events import TieBasis
from tests.core.season.seasons import ANY, REASON, rules
from tests.core.show.scene import Scene, planned

AWARD = rules(ties=("most_beaten",), minimum_classes=2)
DEFINE = ask.DefineAward(rules=AWARD)
BASIS = (TieBasis(carrier="p-2", points="11/2"), TieBasis(carrier="p-1", points="11/2"))
COIN = ask.SettleTie(
    award="high-point", order=("p-2", "p-1"), by="coin", basis=BASIS, reason=REASON
)
LOTS = ask.SettleTie(
    award="high-point", order=("p-1", "p-2"), by="lots", basis=BASIS, seed="the steward's hat"
)


def changed(command: Command, **changes: object) -> Command:
    return msgspec.structs.replace(command, **changes)


def awarded(*further: Command) -> Scene:
    return planned().given(DEFINE, *further)


def test_an_award_is_defined_and_defined_anew_with_a_reason_only() -> None:
    scene = awarded()
    assert scene.state.awards == {"high-point": AWARD}
    other = rules(best_of=3)
    scene.refuses(ask.DefineAward(rules=other), "reason_missing", "reason")
    scene.given(ask.DefineAward(rules=other, reason=REASON))
    assert scene.state.awards == {"high-point": other}


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"minimum_shows": 1}, "not_of_one_show", "rules.minimum_shows"),
        ({"members_only": True}, "not_of_one_show", "rules.members_only"),
        ({"best_of": 0}, "best_of_none", "rules.best_of"),
        ({"categories": (ANY, ANY)}, "category_twice", "rules.categories[1].name"),
    ],
)
def test_an_award_that_no_show_can_reckon_is_refused(
    changes: dict[str, object], code: str, field: str
) -> None:
    planned().refuses(ask.DefineAward(rules=msgspec.structs.replace(AWARD, **changes)), code, field)


def test_a_dropped_award_forgets_what_settled_its_ties() -> None:
    drop = ask.DropAward(award="high-point", reason=REASON)
    scene = awarded(COIN, drop)
    assert (scene.state.awards, scene.state.settled("high-point")) == ({}, ())
    scene.refuses(COIN, "unknown_award", None)
    assert planned().when(drop) == ()


def test_a_coin_is_recorded_with_its_order_its_basis_and_who_tossed_it() -> None:
    [event] = awarded().when(COIN)
    assert event == happened.AwardTieSettled(
        award="high-point", order=("p-2", "p-1"), by="coin", basis=BASIS[::-1], reason=REASON
    )
    [known] = awarded(COIN).state.settled("high-point")
    assert (known.version, known.event) == (awarded().state.version + 1, event)


def test_lots_are_drawn_again_by_anybody_from_the_seed() -> None:
    [event] = awarded().when(LOTS)
    assert isinstance(event, happened.AwardTieSettled)
    by_hand = sorted(
        ("p-1", "p-2"), key=lambda who: sha256(f"the steward's hat:{who}".encode()).hexdigest()
    )
    assert event.order == tuple(by_hand)
    [again] = awarded().when(changed(LOTS, order=("p-2", "p-1")))
    assert again == event
    seeds = {awarded().when(changed(LOTS, seed=str(n)))[0].order for n in range(9)}  # type: ignore[attr-defined]
    assert len(seeds) == 2


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (changed(COIN, basis=()), "not_a_tie", "order"),
        (changed(COIN, order=("p-1",)), "not_a_tie", "order"),
        (changed(COIN, order=("p-1", "p-2", "p-2")), "not_a_tie", "order"),
        (changed(COIN, order=("p-1", "p-3")), "not_a_tie", "order"),
        (changed(COIN, award="other"), "unknown_award", None),
        (changed(COIN, reason=None), "reason_missing", "reason"),
        (changed(COIN, seed="x"), "seed_without_lots", "seed"),
        (changed(LOTS, seed=None), "seed_missing", "seed"),
        (changed(LOTS, seed=" "), "seed_missing", "seed"),
    ],
)
def test_what_settles_no_tie_is_refused(asked: Command, code: str, field: str | None) -> None:
    awarded().refuses(asked, code, field)


def test_a_tie_is_settled_again_for_a_reason_while_the_points_stand() -> None:
    scene = awarded(COIN)
    other = changed(LOTS, seed="another")
    scene.refuses(other, "reason_missing", "reason")
    scene.given(changed(other, reason=REASON))
    assert len(scene.state.settled("high-point")) == 2
    assert scene.when(changed(other, reason=None)) == ()  # it is so already


def test_a_tie_whose_points_have_moved_is_settled_anew_without_a_word() -> None:
    moved = tuple(TieBasis(carrier=each.carrier, points="6") for each in BASIS)
    awarded(COIN).given(changed(LOTS, basis=moved))


def test_a_settlement_is_taken_back_once() -> None:
    scene = awarded(COIN)
    [known] = scene.state.settled("high-point")
    back = ask.WithdrawSettlement(award="high-point", settlement=known.version, reason=REASON)
    scene.refuses(changed(back, settlement=1), "unknown_settlement", "settlement")
    scene.given(back)
    assert scene.state.settled("high-point") == ()
    scene.given(changed(COIN, order=("p-1", "p-2")))
    with pytest.raises(Refusal, match="settled no tie"):
        scene.when(changed(back, award="other"))
