"""Standings: as of any moment, down to the event behind each point, and what moved between two."""

from collections.abc import Sequence
from typing import Any

from flask import Response, request

from events.envelope import Role
from events.projections.standings import StandingRow
from service.desk import standings
from service.desk.names import Names
from service.desk.standings import Change
from service.desk.standings_kept import Standing
from service.http import standing_documents
from service.http.api import Resource
from service.http.common import cursor, next_link
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import show, unchanged
from service.http.standing_schemas import (
    CHANGE,
    CSV,
    FORMATS,
    MOVES,
    STANDING,
    ChangePageSchema,
    MovesQuery,
    MovesSchema,
    StandingQuery,
    StandingSchema,
    TurnsQuery,
)
from service.publishing.standing_columns import STANDINGS, Line
from service.store.standings import Tag

blueprint = Resource("standings", __name__, url_prefix="/v1/seasons", description=__doc__)

READERS: tuple[Role, ...] = ("office", "steward", "federation", "public")
TEXT = {"type": "string"}
VARY = "Accept, Authorization"
Json = dict[str, Any]


@blueprint.route("/<id:season_id>/standings", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404, 503)
@blueprint.arguments(StandingQuery, location="query")
@blueprint.response(200, StandingSchema, example=STANDING)
@blueprint.response(200, TEXT, content_type="text/csv", example=CSV)
def read_standing(query: Json, season_id: str) -> Response:
    """Read the standings of an award, now or as of any moment.

    With `carrier` one row, with every line behind it: the class, the place, the table, the event.
    As CSV, and then whole, with `Accept: text/csv`. An `ETag` that still stands costs one look.
    """
    wanted = request.accept_mimetypes.best_match(FORMATS, default=FORMATS[0])
    return _csv(query, season_id) if wanted == "text/csv" else _json(query, season_id)


@blueprint.route("/<id:season_id>/standings.csv", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404, 503)
@blueprint.arguments(StandingQuery(only=("award", "as_of", "carrier")), location="query")
@blueprint.response(200, TEXT, content_type="text/csv", example=CSV)
def read_standing_as_csv(query: Json, season_id: str) -> Response:
    """Read the standings of an award as CSV, a row for each that carries points."""
    answer = _csv(query, season_id)
    name = f"standings-{season_id}-{query['award']}.csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@blueprint.route("/<id:season_id>/standings/moves", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404, 503)
@blueprint.arguments(MovesQuery, location="query")
@blueprint.response(200, MovesSchema, example=MOVES)
def read_moves(query: Json, season_id: str) -> Response:
    """Read what moved in an award from one moment to another, and which results did it."""
    begin, limit = cursor(query), query["limit"]
    found = standings.moves(
        desk(),
        caller(),
        season_id,
        query["award"],
        earlier=query["from"],
        later=query.get("to"),
        after=begin,
        limit=limit,
    )
    following = str(begin + limit) if found.more else None
    document = {
        "season": season_id,
        "award": query["award"],
        "from": found.earlier,
        "to": found.later,
        "moves": standing_documents.moves(found),
        "next": following,
    }
    pages = next_link(following, limit, to=str(found.later))
    return show(MovesSchema(), document, names=found.names, headers=pages)


@blueprint.route("/<id:season_id>/changes", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.arguments(TurnsQuery, location="query")
@blueprint.response(200, ChangePageSchema, example={"items": [CHANGE], "next": None})
def list_season_changes(query: Json, season_id: str) -> Response:
    """List the events that changed the season's awards, in the order of the log."""
    position, _, award = query.get("after", "0:").partition(":")
    limit = query["limit"]
    found = standings.changes(
        desk(),
        caller(),
        season_id,
        after=(int(position), award),
        limit=limit,
        award=query.get("award"),
    )
    last = found.changes[-1].turn if found.more else None
    following = None if last is None else f"{last.position}:{last.award}"
    page = {"items": [_change(each, found.names) for each in found.changes], "next": following}
    return show(ChangePageSchema(), page, headers=next_link(following, limit))


def _json(query: Json, season_id: str) -> Response:
    at, answer = _known(query, season_id, "json")
    if answer is not None:
        return answer
    of = standings.standing(desk(), season_id, query["award"], at)
    begin, limit = cursor(query), query["limit"]
    rows = _rows(query, of, begin, limit)
    more = "carrier" not in query and len(of.rows) > begin + limit
    following = str(begin + limit) if more else None
    with_lines = "carrier" in query or query.get("lines", False)
    look = standings.read(desk(), of, rows, with_lines=with_lines)
    document = standing_documents.standing(look, with_lines=with_lines)
    document |= {"season": season_id, "next": following}
    pages = next_link(following, limit, as_of=str(of.position))
    return show(
        StandingSchema(),
        document,
        names=look.names,
        headers={**pages, "Vary": VARY},
        tag=_tag(at, "json"),
    )


def _csv(query: Json, season_id: str) -> Response:
    at, answer = _known(query, season_id, "csv")
    if answer is not None:
        return answer
    of = standings.standing(desk(), season_id, query["award"], at)
    look = standings.read(desk(), of, _rows(query, of, 0, None), with_lines=False)
    lines = (Line(row, of.rules.carrier, look.names) for row in look.rows)
    response = Response(STANDINGS.csv(lines), mimetype="text/csv")
    response.set_etag(_tag(at, "csv"))
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["Vary"] = VARY
    return response


def _known(query: Json, season_id: str, form: str) -> tuple[Tag, Response | None]:
    """What the standing follows from, and 304 where the client has what follows."""
    at = standings.tag(desk(), caller(), season_id, query["award"], query.get("as_of"))
    return at, unchanged(_tag(at, form), vary=VARY)


def _tag(at: Tag, form: str) -> str:
    return f"{at.position}-{at.names}-{form}"


def _rows(query: Json, of: Standing, begin: int, limit: int | None) -> Sequence[StandingRow]:
    if "carrier" in query:
        return (standings.row_of(of, query["carrier"]),)
    return of.rows[begin : None if limit is None else begin + limit]


def _change(change: Change, known: Names) -> Json:
    turn, by = change.turn, change.by
    reason = getattr(by.data, "reason", None)
    return {
        "position": turn.position,
        "at": turn.recorded_at,
        "award": turn.award,
        "opened": turn.opened,
        "closed": turn.closed,
        "cause": by.data.__struct_config__.tag,
        "stream": by.stream,
        "version": by.version,
        "reason": None if reason is None else known.text(reason),
    }
