"""Reports: how far judges agree, how learners' cards compare; as data, and as pictures."""

from typing import Any

import msgspec
from flask import Response, request

from service.desk import reports
from service.http.api import Resource
from service.http.guard import caller
from service.http.here import desk
from service.http.pictures import doubts_picture, spread_picture
from service.http.report_schemas import (
    AGREEMENT,
    GROUP,
    LEARNER,
    AgainstQuery,
    AgreementSchema,
    GroupSchema,
    LearnerSchema,
)
from service.http.shown import show

blueprint = Resource(
    "reports", __name__, url_prefix="/v1/classes/<id:class_id>", description=__doc__
)
SVG = "image/svg+xml"


@blueprint.route("/agreement", methods=["GET"])
@blueprint.allows("office", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 409)
@blueprint.response(200, AgreementSchema, example=AGREEMENT)
def read_agreement(class_id: str) -> Response:
    """Read how far the judges of a class agree.

    Kendall's W over all of them, the rank correlation of every two, the spread of their marks by
    maneuver, and marks that stand apart. With `Accept: image/svg+xml` as a picture.
    """
    found = reports.agreement_of(desk(), caller(), class_id)
    if _wants_picture():
        return _picture(spread_picture(found))
    document = msgspec.structs.asdict(found) | {"version": found.seen.version}
    return show(AgreementSchema(), document, version=found.seen.version)


@blueprint.route("/learners", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404, 409, 422)
@blueprint.arguments(AgainstQuery, location="query")
@blueprint.response(200, GroupSchema, example=GROUP)
def read_group(query: dict[str, Any], class_id: str) -> Response:
    """Read the ranking of everybody who learned to judge in a class, once it is official.

    By contest score where cuts are set, else by how far their marks lie from the judge's; and the
    maneuvers at which they were furthest off. With `Accept: image/svg+xml` as a picture.
    """
    found = reports.group_of(desk(), caller(), class_id, query.get("against"))
    if _wants_picture():
        return _picture(doubts_picture(found))
    document = msgspec.structs.asdict(found) | {"version": found.seen.version}
    return show(GroupSchema(), document, version=found.seen.version, names=found.seen.names)


@blueprint.route("/learners/<id:seat>", methods=["GET"])
@blueprint.allows("office", "steward", "scribe")
@blueprint.reads
@blueprint.refuses(404, 409, 422)
@blueprint.arguments(AgainstQuery, location="query")
@blueprint.response(200, LearnerSchema, example=LEARNER)
def read_learner(query: dict[str, Any], class_id: str, seat: str) -> Response:
    """Read a learner's card beside a judge's, once the class is official.

    Marks and totals side by side, what was missed, what was seen that was not called, and the
    contest score where cuts are set. A scribe reads that of the own seat.
    """
    found, seen = reports.learner_of(desk(), caller(), class_id, seat, query.get("against"))
    document = msgspec.structs.asdict(found) | {"version": seen.version}
    return show(LearnerSchema(), document, version=seen.version, names=seen.names)


def _wants_picture() -> bool:
    return request.accept_mimetypes.best_match(["application/json", SVG]) == SVG


def _picture(drawn: str) -> Response:
    response = Response(drawn, mimetype=SVG)
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["Vary"] = "Accept, Authorization"
    return response
