"""The workers' work: what there is to do, how far behind it is, and what was given up."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields

from service.desk import work
from service.http.api import Resource
from service.http.common import LONGEST_PAGE, PAGE_LIMIT
from service.http.fields import Digits, Moment, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import show

blueprint = Resource("work", __name__, url_prefix="/v1/workers", description=__doc__)

GREATEST = 2**53 - 1
SECONDS = {"type": "number", "description": "In seconds."}
FOLLOWER = {
    "name": "publications",
    "version": 1,
    "position": 941,
    "events": 0,
    "seconds": 0.0,
    "moved_at": "2026-05-09T15:40:02.000000Z",
    "error": None,
    "error_position": None,
    "error_at": None,
}
WORK: dict[str, Any] = {
    "head": 941,
    "outbox": {"due": 0, "later": 1, "held": 0, "dead": 1, "oldest_due": 0.0},
    "followers": [FOLLOWER],
    "subscribers": 2,
    "subscribers_paused": 0,
}
FAILED = {
    "id": "01jb3v9k7hq8",
    "kind": "webhook",
    "key": "webhook/sub_1/msg_2",
    "owner": "sub_1",
    "created_at": "2026-05-09T15:40:02.000000Z",
    "attempts": 12,
    "last_error": "answered 500",
    "dead_at": "2026-05-11T04:12:40.000000Z",
}


class DepthSchema(Schema):
    """Work that leaves the database: due, waiting for its time, held back, given up."""

    due = Whole(required=True)
    later = Whole(required=True)
    held = Whole(required=True)
    dead = Whole(required=True)
    oldest_due = fields.Float(
        required=True, metadata={"description": "How long the oldest is due, in seconds."}
    )


class LagSchema(Schema):
    """How far a follower of the log is behind, and what it is stuck at."""

    name = fields.String(required=True)
    version = Whole(required=True)
    position = Whole(0, GREATEST, required=True)
    events = Whole(0, GREATEST, required=True, metadata={"description": "Events behind."})
    seconds = fields.Float(
        required=True, metadata={"description": "Age of the first event not handled, in seconds."}
    )
    moved_at = Moment(required=True)
    error = fields.String(required=True, allow_none=True)
    error_position = Whole(0, GREATEST, required=True, allow_none=True)
    error_at = Moment(required=True, allow_none=True)


class WorkSchema(Schema):
    """How the workers are getting on, with the log at position `head`."""

    head = Whole(0, GREATEST, required=True)
    outbox = fields.Nested(DepthSchema, required=True)
    followers = fields.List(fields.Nested(LagSchema), required=True)
    subscribers = Whole(required=True)
    subscribers_paused = Whole(required=True)


class FailedQuery(Schema):
    """How many."""

    limit = Digits(1, LONGEST_PAGE, load_default=PAGE_LIMIT)


class FailedSchema(Schema):
    """A job that was given up; nobody tries it again unless asked to."""

    id = fields.String(required=True)
    kind = fields.String(required=True)
    key = fields.String(required=True)
    owner = fields.String(required=True, allow_none=True)
    created_at = Moment(required=True)
    attempts = Whole(required=True)
    last_error = fields.String(required=True, allow_none=True)
    dead_at = Moment(required=True)


class FailedListSchema(Schema):
    """Jobs that were given up, the latest first."""

    items = fields.List(fields.Nested(FailedSchema), required=True)


class RunningSchema(Schema):
    """A job that will be tried again."""

    id = fields.String(required=True)


@blueprint.route("", methods=["GET"])
@blueprint.allows("office")
@blueprint.reads
@blueprint.response(200, WorkSchema, example=WORK)
def read_work() -> Response:
    """Read how the workers are getting on.

    Only with a key that is good for all shows.
    """
    return show(WorkSchema(), work.watch(desk(), caller()))


@blueprint.route("/failed", methods=["GET"])
@blueprint.allows("office")
@blueprint.reads
@blueprint.refuses(422)
@blueprint.arguments(FailedQuery, location="query")
@blueprint.response(200, FailedListSchema, example={"items": [FAILED]})
def list_failed(query: dict[str, Any]) -> Response:
    """List the jobs that were given up."""
    found = work.failed(desk(), caller(), limit=query["limit"])
    return show(FailedListSchema(), {"items": found})


@blueprint.route("/failed/<id:job_id>/again", methods=["POST"])
@blueprint.allows("office")
@blueprint.refuses(404)
@blueprint.response(200, RunningSchema, example={"id": FAILED["id"]})
def run_again(job_id: str) -> Response:
    """Let a job that was given up be tried from the beginning."""
    work.run_again(desk(), caller(), job_id)
    return show(RunningSchema(), {"id": job_id})
