"""The log of a class or a show: every event with its hand, its device and both times."""

from datetime import date, datetime
from typing import Any

import msgspec
from flask import Response
from marshmallow import Schema, fields

from events.codec import time_text
from events.envelope import RecordedEvent
from events.half_points import to_number
from service.desk.story import (
    StoryPage,
    story,
    story_of_show,
    withhold_texts,
    withhold_texts_of_show,
)
from service.desk.texts import TEXT_FIELDS
from service.http.api import Resource
from service.http.common import AtQuery, PageQuery, cursor, moment, next_link
from service.http.fields import Moment, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import show

blueprint = Resource("log", __name__, url_prefix="/v1", description=__doc__)
OF_CLASS = "/classes/<id:class_id>/log"
OF_SHOW = "/shows/<id:show_id>/log"

HALF_POINT_FIELDS = frozenset({"carried", "mark", "points", "total"})
"""The fields of events that hold whole half points, and never anything else."""

EVENT = {
    "version": 12,
    "id": "019a2f50-5f3e-7c11-9d55-0f1e2d3c4b5a",
    "type": "card.mark_given",
    "actor": {
        "key": "5b1c9f0e7a3d2468",
        "label": "Scribe of judge A",
        "role": "scribe",
        "seat": "A",
        "device": "tablet-3",
    },
    "command": "t3-000118",
    "occurred_at": "2026-05-09T14:03:07.000000Z",
    "recorded_at": "2026-05-09T14:03:07.412345Z",
    "data": {"seat": "A", "entry": "e-214", "maneuver": 1, "mark": 1.5},
}

EVENT_OF_SHOW = EVENT | {
    "type": "show.evidence_seen",
    "actor": {
        "key": "0f1e2d3c4b5a6978",
        "label": "Show office",
        "role": "office",
        "seat": None,
        "device": None,
    },
    "command": "evidence-214",
    "data": {
        "division": "Youth",
        "exhibitor": "p-lind",
        "reason": "A passport was shown at the office.",
    },
}


class LogQuery(PageQuery, AtQuery):
    """Which part of the log, and up to which moment."""


class ActorSchema(Schema):
    """Whose hand it was: the key, what it is called, its role and seat, the device."""

    key = fields.String(required=True)
    label = fields.String(required=True, allow_none=True)
    role = fields.String(required=True)
    seat = fields.String(required=True, allow_none=True)
    device = fields.String(required=True, allow_none=True)


class EventSchema(Schema):
    """One event; `occurred_at` is the device's time, `recorded_at` the server's."""

    version = Whole(required=True)
    id = fields.String(required=True)
    type = fields.String(required=True)
    actor = fields.Nested(ActorSchema, required=True)
    command = fields.String(required=True)
    occurred_at = Moment(required=True)
    recorded_at = Moment(required=True)
    data = fields.Dict(
        required=True,
        metadata={"description": "What happened: points as plain numbers, texts as they read."},
    )


class LogSchema(Schema):
    """Some events in order, told up to a version, and the names they stand for."""

    version = Whole(required=True)
    items = fields.List(fields.Nested(EventSchema), required=True)
    names = fields.Dict(
        keys=fields.String(),
        values=fields.String(),
        required=True,
        metadata={"description": "The people and horses that the events name by id."},
    )
    next = fields.String(required=True, allow_none=True)


class WithheldSchema(Schema):
    """How many texts were withheld now."""

    withheld = Whole(required=True)


@blueprint.route(OF_CLASS, methods=["GET"])
@blueprint.allows("office", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(LogQuery, location="query")
@blueprint.response(
    200, LogSchema, example={"version": 12, "items": [EVENT], "names": {}, "next": None}
)
def read_log(query: dict[str, Any], class_id: str) -> Response:
    """Read the log.

    Free text is for the office and the steward; to others, and where it was withheld, it reads
    "withheld".
    """
    begin, limit = cursor(query), query["limit"]
    return _told(
        story(desk(), caller(), class_id, after=begin, limit=limit, at=moment(query)), query
    )


def _told(page: StoryPage, query: dict[str, Any]) -> Response:
    begin, limit = cursor(query), query["limit"]
    reached = page.events[-1].version if page.events else begin
    following = str(reached) if reached < page.upto else None
    document = {
        "version": page.upto,
        "items": [_event(page, event) for event in page.events],
        "names": {
            **{name: page.names.person(name) for name in page.names.people},
            **{name: page.names.horse(name) for name in page.names.horses},
        },
        "next": following,
    }
    return show(LogSchema(), document, version=page.upto, headers=next_link(following, limit))


@blueprint.route(f"{OF_CLASS}/<int:version>/withhold", methods=["POST"])
@blueprint.allows("office")
@blueprint.refuses(404, 422)
@blueprint.response(200, WithheldSchema, example={"withheld": 1})
def withhold(class_id: str, version: int) -> dict[str, int]:
    """Forget for good what the texts of one event say.

    The event stands, and so do all proofs; the texts read "withheld" from now on.
    """
    return {"withheld": withhold_texts(desk(), caller(), class_id, version)}


@blueprint.route(OF_SHOW, methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(PageQuery, location="query")
@blueprint.response(
    200, LogSchema, example={"version": 9, "items": [EVENT_OF_SHOW], "names": {}, "next": None}
)
def read_log_of_show(query: dict[str, Any], show_id: str) -> Response:
    """Read the log of a show.

    Who planned what, gave which numbers, changed which division and saw which evidence, and why.
    """
    begin, limit = cursor(query), query["limit"]
    return _told(story_of_show(desk(), caller(), show_id, after=begin, limit=limit), query)


@blueprint.route(f"{OF_SHOW}/<int:version>/withhold", methods=["POST"])
@blueprint.allows("office")
@blueprint.refuses(404, 422)
@blueprint.response(200, WithheldSchema, example={"withheld": 1})
def withhold_of_show(show_id: str, version: int) -> dict[str, int]:
    """Forget for good what the texts of one event of a show say.

    The event stands, and so do all proofs; the texts read "withheld" from now on.
    """
    return {"withheld": withhold_texts_of_show(desk(), caller(), show_id, version)}


def _event(page: StoryPage, event: RecordedEvent) -> dict[str, Any]:
    data = msgspec.to_builtins(event.data, builtin_types=(datetime, date))
    tag = data.pop("type")
    return {
        "version": event.version,
        "id": event.id,
        "type": tag,
        "actor": {
            "key": event.actor.key,
            "label": page.labels.get(event.actor.key),
            "role": event.actor.role,
            "seat": event.actor.seat,
            "device": event.actor.device,
        },
        "command": event.command,
        "occurred_at": event.occurred_at,
        "recorded_at": event.recorded_at,
        "data": _readable(page, data),
    }


def _readable(page: StoryPage, value: Any, name: str = "") -> Any:  # noqa: ANN401 - JSON values
    match value:
        case dict():
            return {key: _readable(page, each, key) for key, each in value.items()}
        case list() | tuple():
            return [_readable(page, each) for each in value]
        case int() if name in HALF_POINT_FIELDS:
            return to_number(value)
        case str() if name in TEXT_FIELDS:
            return page.names.text(value)
        case datetime():
            return time_text(value)
        case date():
            return value.isoformat()
        case _:
            return value
