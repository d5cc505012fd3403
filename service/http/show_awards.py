"""Awards of a show: high point and all-around, as of any moment, and what settles their ties."""

from collections.abc import Sequence
from typing import Any

from flask import Response, request

from events.envelope import Role
from events.projections.standings import StandingRow
from events.show import commands as ask_show
from service.desk import show_awards, shows, standings
from service.desk.show_awards import SettlementLook, SettlementsLook
from service.desk.standings_kept import Standing
from service.http import standing_documents
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.class_schemas import ReasonSchema
from service.http.common import RECEIPT, ReceiptSchema, acknowledged, cursor, next_link
from service.http.guard import caller
from service.http.here import desk
from service.http.seasons import award_plan, rules_as_sent
from service.http.show_award_schemas import (
    NEW_SHOW_AWARD,
    SHOW_AWARD,
    SHOW_MOVES,
    SHOW_STANDING,
    NewSettlementSchema,
    NewShowAwardSchema,
    ShowAwardListSchema,
    ShowMovesQuery,
    ShowMovesSchema,
    ShowStandingQuery,
    ShowStandingSchema,
)
from service.http.shown import show
from service.http.standing_schemas import CSV, FORMATS
from service.publishing.standing_columns import STANDINGS, Line

blueprint = Resource("show-awards", __name__, url_prefix="/v1/shows", description=__doc__)

READERS: tuple[Role, ...] = ("office", "scribe", "steward", "federation", "public")
DONE = RECEIPT | {"id": "three-rivers-2026"}
TEXT = {"type": "string"}
VARY = {"Vary": "Accept, Authorization"}
Json = dict[str, Any]


@blueprint.route("/<id:show_id>/awards", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, ShowAwardListSchema, example={"items": [SHOW_AWARD]})
def list_show_awards(show_id: str) -> Response:
    """List the awards of a show, and how each is reckoned."""
    look = shows.look(desk(), caller(), show_id)
    awards = [look.state.awards[name] for name in sorted(look.state.awards)]
    return show(ShowAwardListSchema(), {"items": awards}, version=look.state.version)


@blueprint.route("/<id:show_id>/awards", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(NewShowAwardSchema, example=NEW_SHOW_AWARD)
@blueprint.response(200, ReceiptSchema, example=DONE)
def define_show_award(body: Json, show_id: str) -> Response:
    """Define an award of a show, or define it anew, which takes a reason.

    Every official result of the show counts, as soon as it is official and as long as it is.
    """
    reason = body.pop("reason", None)
    with rules_as_sent():
        done = show_awards.define(desk(), command_ask(), show_id, award_plan(body), reason=reason)
    return acknowledged(done)


@blueprint.route("/<id:show_id>/awards/<id:award>/drop", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "No trophy was given for it."})
@blueprint.response(200, ReceiptSchema, example=DONE)
def drop_show_award(body: Json, show_id: str, award: str) -> Response:
    """Reckon an award of a show no longer."""
    command = ask_show.DropAward(award=award, **body)
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, command))


@blueprint.route("/<id:show_id>/awards/<id:award>/standing", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404, 503)
@blueprint.arguments(ShowStandingQuery, location="query")
@blueprint.response(200, ShowStandingSchema, example=SHOW_STANDING)
@blueprint.response(200, TEXT, content_type="text/csv", example=CSV)
def read_show_standing(query: Json, show_id: str, award: str) -> Response:
    """Read the standings of a show's award, now or as of any moment.

    With `carrier` one row, with every line behind it: the class, the place, the table, the event.
    As CSV, and then whole, with `Accept: text/csv`. What settled a tie stands beside the rows, also
    when it no longer counts because points under it have moved.
    """
    at = show_awards.tag(desk(), caller(), show_id, award, query.get("at"))
    of = show_awards.standing(desk(), show_id, award, at)
    wanted = request.accept_mimetypes.best_match(FORMATS, default=FORMATS[0])
    if wanted == "text/csv":
        return _csv(of, _rows(query, of, 0, None))
    begin, limit = cursor(query), query["limit"]
    more = "carrier" not in query and len(of.rows) > begin + limit
    following = str(begin + limit) if more else None
    with_lines = "carrier" in query or query.get("lines", False)
    rows = _rows(query, of, begin, limit)
    look = standings.read(desk(), of, rows, with_lines=with_lines)
    told = show_awards.settlements(desk(), caller(), show_id, of)
    document = standing_documents.standing(look, with_lines=with_lines) | {
        "show": show_id,
        "settlements": [_settlement(each, told, of) for each in told.settlements],
        "next": following,
    }
    pages = next_link(following, limit, at=str(of.position))
    return show(ShowStandingSchema(), document, names=look.names, headers={**pages, **VARY})


@blueprint.route("/<id:show_id>/awards/<id:award>/moves", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404, 503)
@blueprint.arguments(ShowMovesQuery, location="query")
@blueprint.response(200, ShowMovesSchema, example=SHOW_MOVES)
def read_show_moves(query: Json, show_id: str, award: str) -> Response:
    """Read what moved in a show's award from one moment to another, and which results did it."""
    begin, limit = cursor(query), query["limit"]
    found = show_awards.moves(
        desk(),
        caller(),
        show_id,
        award,
        earlier=query["from"],
        later=query.get("to"),
        after=begin,
        limit=limit,
    )
    following = str(begin + limit) if found.more else None
    document = {
        "show": show_id,
        "award": award,
        "from": found.earlier,
        "to": found.later,
        "moves": standing_documents.moves(found),
        "next": following,
    }
    pages = next_link(following, limit, to=str(found.later))
    return show(ShowMovesSchema(), document, names=found.names, headers=pages)


@blueprint.route("/<id:show_id>/awards/<id:award>/settlements", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    NewSettlementSchema,
    example={
        "order": ["p-lind", "p-falk"],
        "by": "coin",
        "reason": "The steward tossed the coin before both of them.",
    },
)
@blueprint.response(200, ReceiptSchema, example=DONE)
def settle_tie(body: Json, show_id: str, award: str) -> Response:
    """Record how a tie that no step of the award parts was settled.

    It counts while those who share the place have the points that they have now.
    """
    order = body.pop("order")
    return acknowledged(show_awards.settle(desk(), command_ask(), show_id, award, order, **body))


@blueprint.route(
    "/<id:show_id>/awards/<id:award>/settlements/<int:settlement>/withdraw", methods=["POST"]
)
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "The other award was meant."})
@blueprint.response(200, ReceiptSchema, example=DONE)
def withdraw_settlement(body: Json, show_id: str, award: str, settlement: int) -> Response:
    """Take back what settled a tie."""
    command = ask_show.WithdrawSettlement(award=award, settlement=settlement, **body)
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, command))


def _csv(of: Standing, rows: Sequence[StandingRow]) -> Response:
    look = standings.read(desk(), of, rows, with_lines=False)
    lines = (Line(row, of.rules.carrier, look.names) for row in look.rows)
    response = Response(STANDINGS.csv(lines), mimetype="text/csv")
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers.extend(VARY)
    return response


def _rows(query: Json, of: Standing, begin: int, limit: int | None) -> Sequence[StandingRow]:
    if "carrier" in query:
        return (standings.row_of(of, query["carrier"]),)
    return of.rows[begin : None if limit is None else begin + limit]


def _settlement(each: SettlementLook, told: SettlementsLook, of: Standing) -> Json:
    now = {row.carrier: row.points for row in of.rows}
    reason = each.settled.reason
    return {
        "settlement": each.event.version,
        "by": each.settled.by,
        "order": each.settled.order,
        "seed": each.settled.seed,
        "reason": None if reason is None else told.names.text(reason),
        "basis": [
            {"carrier": line.carrier, "exact": line.points, "now": now.get(line.carrier)}
            for line in each.settled.basis
        ],
        "stale": None if each.stale is None else each.stale.why,
        "whose_hand": each.label,
        "settled_at": each.event.recorded_at,
    }
