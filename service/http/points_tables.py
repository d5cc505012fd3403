"""Points tables: those that ship with Ringfold, and those that awards are counted by."""

from typing import Any

from flask import Response

from events.scoring.points.load import digest, to_document
from events.scoring.points.model import PointsTable
from service.desk.points import named
from service.http.api import Resource
from service.http.here import desk
from service.http.season_schemas import (
    POINTS_TABLE,
    PointsTableListSchema,
    PointsTableSchema,
)
from service.http.shown import show
from service.points import shipped_tables

blueprint = Resource("points tables", __name__, url_prefix="/v1/points-tables", description=__doc__)

SUMMARY = {name: value for name, value in POINTS_TABLE.items() if name != "table"}


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.response(200, PointsTableListSchema, example={"items": [SUMMARY]})
def list_points_tables() -> Response:
    """List the points tables that ship with Ringfold."""
    items = [_summary(table) for table in shipped_tables().values()]
    return show(PointsTableListSchema(), {"items": items})


@blueprint.route("/<book:name>", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, PointsTableSchema, example=POINTS_TABLE)
def read_points_table(name: str) -> Response:
    """Read a points table.

    It is named by its id if it ships with Ringfold, or by the digest that an award is counted by.
    """
    table = named(desk().points, name)
    return show(PointsTableSchema(), _summary(table) | {"table": to_document(table)})


def _summary(table: PointsTable) -> dict[str, Any]:
    return {
        "id": table.id,
        "edition": table.edition,
        "digest": digest(table),
        "title": table.title,
        "source": table.source,
    }
