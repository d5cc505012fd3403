"""What a federation may ask of its season, and what is refused by name."""

from datetime import date, timedelta

import msgspec
import pytest

from events.awards.rules import AwardRules, Category
from events.envelope import Actor, Command, Event
from events.refusals import Refusal
from events.season import commands as ask
from events.season import events as happened
from events.season.decide import HANDLERS, decide
from events.season.state import INITIAL, SeasonState, fold
from tests.core.season.seasons import ANY, FEDERATION, OPENED, REASON, SHOW, rules, season

OPEN = ask.OpenSeason(
    federation=OPENED.federation,
    name=OPENED.name,
    first_day=OPENED.first_day,
    last_day=OPENED.last_day,
)
SINCE = date(2026, 5, 1)
DEFINED = happened.AwardDefined(rules=rules())


def decided(command: Command, *told: happened.SeasonEvent) -> tuple[Event, ...]:
    return decide(season(*told), command, actor=FEDERATION)


def refused(command: Command, state: SeasonState, actor: Actor = FEDERATION) -> Refusal:
    with pytest.raises(Refusal) as refusal:
        decide(state, command, actor=actor)
    return refusal.value


def test_every_command_is_decided_on() -> None:
    commands = {kind for kind in Command.__subclasses__() if kind.__module__ == ask.__name__}
    assert set(HANDLERS) == commands


@pytest.mark.parametrize("role", ["office", "scribe", "steward", "public", "system"])
def test_only_a_federation_keeps_a_season(role: str) -> None:
    actor = Actor(key="k", role=role)  # type: ignore[arg-type]
    assert refused(OPEN, INITIAL, actor).code == "role_not_allowed"


def test_a_season_is_opened_once_and_the_same_again_is_so_already() -> None:
    assert decide(INITIAL, OPEN, actor=FEDERATION) == (OPENED,)
    assert decided(OPEN) == ()
    longer = msgspec.structs.replace(OPEN, last_day=OPEN.last_day + timedelta(1))
    assert refused(longer, season()).code == "season_opened_already"


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"name": " "}, "name_missing", "name"),
        ({"federation": ""}, "federation_missing", "federation"),
        ({"last_day": OPEN.first_day - timedelta(1)}, "days_reversed", "last_day"),
    ],
)
def test_a_season_that_cannot_be_is_refused(
    changes: dict[str, object], code: str, field: str
) -> None:
    refusal = refused(msgspec.structs.replace(OPEN, **changes), INITIAL)
    assert (refusal.code, refusal.field) == (code, field)


def test_a_season_of_one_day_is_one() -> None:
    assert decide(INITIAL, msgspec.structs.replace(OPEN, last_day=OPEN.first_day), actor=FEDERATION)


def test_nothing_is_asked_of_a_season_that_is_not_open() -> None:
    assert refused(ask.CountShow(show=SHOW), INITIAL).code == "season_not_opened"


def test_an_award_is_defined_and_defined_anew_with_a_reason_only() -> None:
    award = rules()
    assert decided(ask.DefineAward(rules=award)) == (DEFINED,)
    assert decided(ask.DefineAward(rules=award), DEFINED) == ()
    other = msgspec.structs.replace(award, best_of=3)
    refusal = refused(ask.DefineAward(rules=other), season(DEFINED))
    assert (refusal.code, refusal.field) == ("reason_missing", "reason")
    assert decided(ask.DefineAward(rules=other, reason=REASON), DEFINED) == (
        happened.AwardDefined(rules=other, reason=REASON),
    )


BROKEN = [
    ({"award": "High point"}, "award_misnamed", "rules.award"),
    ({"name": "\t"}, "name_missing", "rules.name"),
    ({"categories": ()}, "categories_missing", "rules.categories"),
    ({"categories": (ANY, ANY)}, "category_twice", "rules.categories[1].name"),
    ({"categories": (Category(name=" "),)}, "name_missing", "rules.categories[0].name"),
    ({"best_of": 0}, "best_of_none", "rules.best_of"),
    ({"minimum_categories": 2}, "minimum_unreachable", "rules.minimum_categories"),
    ({"minimum_categories": -1}, "minimum_unreachable", "rules.minimum_categories"),
    ({"minimum_shows": -1}, "minimum_negative", "rules.minimum_shows"),
    ({"minimum_classes": -1}, "minimum_negative", "rules.minimum_classes"),
    ({"minimum_judges": -1}, "minimum_negative", "rules.minimum_judges"),
    ({"ties": ("most_shows", "most_shows")}, "tie_step_twice", "rules.ties"),
    *(
        ({"categories": (Category(name="A", weight=weight),)}, "category_weight_unreadable",
         "rules.categories[0].weight")
        for weight in ("", "0", "0/3", "-1", "1/0", "half", "1e3", "1 ", "\u0661")
    ),
    ({"categories": (Category(name="A", classes=("c",), champions=("d", "c")),)},
     "champions_counted_twice", "rules.categories[0].champions[1]"),
    ({"categories": (ANY, Category(name="A", champions=("d", "d")))},
     "champions_counted_twice", "rules.categories[1].champions[1]"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "code", "field"), BROKEN)
def test_an_award_that_cannot_be_reckoned_is_refused_by_the_field(
    changes: dict[str, object], code: str, field: str
) -> None:
    broken = msgspec.structs.replace(rules(), **changes)
    refusal = refused(ask.DefineAward(rules=broken), season())
    assert (refusal.code, refusal.field) == (code, field)


@pytest.mark.parametrize(
    "award",
    [
        rules(best_of=1, minimum_categories=1, ties=("most_shows", "most_beaten")),
        rules(minimum_shows=3, minimum_judges=5, members_only=True),
        rules(categories=[Category(name="A", weight="1/3"), Category(name="B", weight="0.5")]),
    ],
)
def test_an_award_at_the_edge_of_what_can_be_reckoned_is_defined(award: AwardRules) -> None:
    assert decided(ask.DefineAward(rules=award)) == (happened.AwardDefined(rules=award),)


@pytest.mark.parametrize(
    ("command", "event", "before"),
    [
        (ask.DropAward, happened.AwardDropped(award="high-point", reason=REASON), (DEFINED,)),
        (ask.CountShow, happened.ShowCounted(show="s-2"), ()),
        (ask.DropShow, happened.ShowDropped(show=SHOW, reason=REASON), ()),
        (ask.LeaveOutClass, happened.ClassLeftOut(class_id="c-1", reason=REASON), ()),
        (
            ask.PutClassBack,
            happened.ClassPutBack(class_id="c-1", reason=REASON),
            (happened.ClassLeftOut(class_id="c-1", reason=REASON),),
        ),
        (ask.EnrolMember, happened.MemberEnrolled(member="p-1", since=SINCE), ()),
        (
            ask.StrikeOffMember,
            happened.MemberStruckOff(member="p-1", reason=REASON),
            (happened.MemberEnrolled(member="p-1", since=SINCE),),
        ),
    ],
)
def test_what_is_asked_happens_once_and_is_so_already_after_it(
    command: type[Command], event: happened.SeasonEvent, before: tuple[happened.SeasonEvent, ...]
) -> None:
    asked = command(**msgspec.structs.asdict(event))
    assert decided(asked, *before) == (event,)
    assert decided(asked, *before, event) == ()


def test_a_member_may_be_enrolled_from_another_day() -> None:
    enrolled = happened.MemberEnrolled(member="p-1", since=SINCE)
    later = happened.MemberEnrolled(member="p-1", since=SINCE + timedelta(9))
    assert decided(ask.EnrolMember(member="p-1", since=later.since), enrolled) == (later,)


def test_what_is_taken_back_is_gone_from_the_state() -> None:
    told = (
        DEFINED,
        happened.ClassLeftOut(class_id="c-1", reason=REASON),
        happened.MemberEnrolled(member="p-1", since=SINCE),
    )
    undone = (
        happened.AwardDropped(award="high-point", reason=REASON),
        happened.ClassPutBack(class_id="c-1", reason=REASON),
        happened.MemberStruckOff(member="p-1", reason=REASON),
        happened.ShowDropped(show=SHOW, reason=REASON),
    )
    state = season(*told, *undone)
    assert state == msgspec.structs.replace(fold([OPENED]), version=2 + len(told) + len(undone))
    kept = season(*told)
    assert (kept.awards, kept.left_out) == ({"high-point": DEFINED.rules}, ("c-1",))
    assert (kept.members, kept.shows) == ({"p-1": SINCE}, (SHOW,))
