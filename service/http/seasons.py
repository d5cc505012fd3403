"""Seasons: opened by a federation, with the shows that count, the awards, and the members."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from flask import Response

from events.awards.rules import Category
from events.envelope import Command, Role
from events.refusals import Refusal
from events.rulebook.fault import RuleBookRefused
from events.scoring.points.load import load_json
from events.scoring.points.model import PointsTable
from events.season import commands as ask_season
from service.desk import seasons
from service.desk.names import names
from service.desk.seasons import AwardPlan, Member, SeasonLook
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.class_schemas import ReasonSchema
from service.http.common import RECEIPT, ReceiptSchema, acknowledged, cursor, next_link
from service.http.guard import caller
from service.http.here import desk
from service.http.problems import Fault, Unwell, problem
from service.http.season_schemas import (
    MEMBER,
    NEW_AWARD,
    NEW_SEASON,
    SEASON,
    CountedShowSchema,
    LeftOutSchema,
    MemberPageSchema,
    MembersQuery,
    NewAwardSchema,
    NewMemberSchema,
    NewSeasonSchema,
    SeasonPageSchema,
    SeasonSchema,
    SeasonsQuery,
)
from service.http.shown import show
from service.points import NoSuchTable, shipped_table

blueprint = Resource("seasons", __name__, url_prefix="/v1/seasons", description=__doc__)

READERS: tuple[Role, ...] = ("office", "steward", "federation", "public")
DONE = RECEIPT | {"id": "hill-country-2026"}
_CATEGORY_LISTS = ("rulebooks", "divisions", "classes", "champions")
WHY = {"reason": "It was agreed so on 12 March."}


@blueprint.route("", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.arguments(SeasonsQuery, location="query")
@blueprint.response(200, SeasonPageSchema, example={"items": [NEW_SEASON], "next": None})
def list_seasons(query: dict[str, Any]) -> Response:
    """List the seasons, all or those of one federation, in the order of opening."""
    begin, limit = cursor(query), query["limit"]
    listed = [each for each in seasons.listed(desk(), caller()) if each.position > begin]
    looks = zip(listed, seasons.looks(desk(), listed), strict=True)
    found = [(each, _summary(look)) for each, look in looks]
    if "federation" in query:
        found = [each for each in found if each[1]["federation"] == query["federation"]]
    following = str(found[limit - 1][0].position) if len(found) > limit else None
    page = {"items": [summary for _, summary in found[:limit]], "next": following}
    return show(SeasonPageSchema(), page, headers=next_link(following, limit))


@blueprint.route("", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.arguments(NewSeasonSchema, example=NEW_SEASON)
@blueprint.response(201, ReceiptSchema, example=DONE)
def open_season(body: dict[str, Any]) -> Response:
    """Open a season."""
    season_id = body.pop("id", None)
    command = ask_season.OpenSeason(**body)
    done = seasons.open_season(desk(), command_ask(), command, season_id)
    return acknowledged(done, 201, location=f"/v1/seasons/{done.id}")


@blueprint.route("/<id:season_id>", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, SeasonSchema, example=SEASON)
def read_season(season_id: str) -> Response:
    """Read a season: what counts in it, and how its awards are reckoned."""
    look = seasons.look(desk(), caller(), season_id)
    return show(SeasonSchema(), _document(look), version=look.state.version)


@blueprint.route("/<id:season_id>/awards", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(NewAwardSchema, example=NEW_AWARD)
@blueprint.response(200, ReceiptSchema, example=DONE)
def define_award(body: dict[str, Any], season_id: str) -> Response:
    """Define an award, or define it anew.

    Defining it anew takes a reason. Results that were official before count by the new rules from
    here on; as of earlier moments standings stay what they were.
    """
    reason = body.pop("reason", None)
    plan = award_plan(body)
    with rules_as_sent():
        done = seasons.define_award(desk(), command_ask(), season_id, plan, reason=reason)
    return acknowledged(done)


@blueprint.route("/<id:season_id>/awards/<id:award>/drop", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example=WHY)
@blueprint.response(200, ReceiptSchema, example=DONE)
def drop_award(body: dict[str, Any], season_id: str, award: str) -> Response:
    """Reckon an award no longer."""
    return _done(season_id, ask_season.DropAward(award=award, **body))


@blueprint.route("/<id:season_id>/shows", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(CountedShowSchema, example={"show": "three-rivers-2026"})
@blueprint.response(200, ReceiptSchema, example=DONE)
def count_show(body: dict[str, Any], season_id: str) -> Response:
    """Let a show count."""
    return _done(season_id, ask_season.CountShow(**body))


@blueprint.route("/<id:season_id>/shows/<id:show_id>/drop", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example=WHY)
@blueprint.response(200, ReceiptSchema, example=DONE)
def drop_show(body: dict[str, Any], season_id: str, show_id: str) -> Response:
    """Let a show no longer count."""
    return _done(season_id, ask_season.DropShow(show=show_id, **body))


@blueprint.route("/<id:season_id>/left-out", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(LeftOutSchema, example={"class": "trial-class", **WHY})
@blueprint.response(200, ReceiptSchema, example=DONE)
def leave_out_class(body: dict[str, Any], season_id: str) -> Response:
    """Leave one class of a show that counts out."""
    command = ask_season.LeaveOutClass(class_id=body["class"], reason=body["reason"])
    return _done(season_id, command)


@blueprint.route("/<id:season_id>/left-out/<id:class_id>/put-back", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example=WHY)
@blueprint.response(200, ReceiptSchema, example=DONE)
def put_class_back(body: dict[str, Any], season_id: str, class_id: str) -> Response:
    """Let a class that was left out count again."""
    return _done(season_id, ask_season.PutClassBack(class_id=class_id, **body))


@blueprint.route("/<id:season_id>/members", methods=["GET"])
@blueprint.allows("office", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.arguments(MembersQuery, location="query")
@blueprint.response(200, MemberPageSchema, example={"items": [MEMBER], "next": None})
def list_members(query: dict[str, Any], season_id: str) -> Response:
    """List who belongs to the season, and since when."""
    look, limit = seasons.look(desk(), caller(), season_id), query["limit"]
    found = seasons.members(look, query.get("after", ""), limit + 1)
    following = found[limit - 1].member if len(found) > limit else None
    page = {"items": _members(found[:limit]), "next": following}
    return show(MemberPageSchema(), page, headers=next_link(following, limit))


@blueprint.route("/<id:season_id>/members", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(NewMemberSchema, example={"member": "p-lind", "since": "2026-02-14"})
@blueprint.response(200, ReceiptSchema, example=DONE)
def enrol_member(body: dict[str, Any], season_id: str) -> Response:
    """Enrol a person or a horse from a day on, or from another day."""
    return _done(season_id, ask_season.EnrolMember(**body))


@blueprint.route("/<id:season_id>/members/<id:member>/strike-off", methods=["POST"])
@blueprint.allows("federation")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "Another rider of that name was meant."})
@blueprint.response(200, ReceiptSchema, example=DONE)
def strike_off_member(body: dict[str, Any], season_id: str, member: str) -> Response:
    """Take back that somebody was enrolled."""
    return _done(season_id, ask_season.StrikeOffMember(member=member, **body))


def _done(season_id: str, command: Command) -> Response:
    return acknowledged(seasons.carry_out(desk(), command_ask(), season_id, command))


@contextmanager
def rules_as_sent() -> Iterator[None]:
    """What is wrong with an award's rules is found where they were sent: beside its reason."""
    try:
        yield
    except Refusal as refused:
        refused.field = refused.field and refused.field.removeprefix("rules.")
        raise


def award_plan(body: dict[str, Any]) -> AwardPlan:
    """The award that a body describes, with the table that it names or holds."""
    return AwardPlan(
        points=_points(body.pop("points")),
        categories=tuple(_category(each) for each in body.pop("categories")),
        ties=tuple(body.pop("ties", ())),
        eligible_divisions=tuple(body.pop("eligible_divisions", ())),
        **body,
    )


def _points(value: object) -> PointsTable:
    if isinstance(value, str):
        try:
            return shipped_table(value)
        except NoSuchTable as none:
            raise Unwell(problem("points_table_not_shipped", str(none), field="points")) from none
    try:
        return load_json(value)
    except RuleBookRefused as refused:
        faults = [
            Fault(f"points.{fault.path}".rstrip("."), fault.sentence) for fault in refused.faults
        ]
        detail = " ".join(str(fault) for fault in refused.faults)
        raise Unwell(
            problem("points_table_refused", detail, field="points", errors=faults)
        ) from refused


def _category(body: dict[str, Any]) -> Category:
    lists = {name: tuple(body.get(name, ())) for name in _CATEGORY_LISTS}
    return Category(name=body["name"], weight=body["weight"], **lists)


def _summary(look: SeasonLook) -> dict[str, Any]:
    opened = look.state.opened
    return {
        "id": look.id,
        "federation": opened and opened.federation,
        "name": opened and opened.name,
        "first_day": opened and opened.first_day,
        "last_day": opened and opened.last_day,
    }


def _document(look: SeasonLook) -> dict[str, Any]:
    state = look.state
    return _summary(look) | {
        "version": state.version,
        "shows": state.shows,
        "left_out": state.left_out,
        "members": len(state.members),
        "awards": [state.awards[name] for name in sorted(state.awards)],
    }


def _members(found: tuple[Member, ...]) -> list[dict[str, Any]]:
    ids = [each.member for each in found]
    known = names(desk().database, people=ids, horses=ids)
    return [
        {
            "member": each.member,
            "since": each.since,
            "person": {"id": each.member, "name": known.person(each.member)}
            if each.member in known.people
            else None,
            "horse": {"id": each.member, "name": known.horse(each.member)}
            if each.member in known.horses
            else None,
        }
        for each in found
    ]
