"""Changes: everything that a federation follows, from a cursor that never skips."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from service.desk import changes
from service.desk.changes import KINDS, Change, Page, Wanted
from service.desk.told import MEANINGS
from service.http.api import Resource
from service.http.common import LONGEST_PAGE, cursor, next_link
from service.http.fields import Digits, Id, Moment, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import show
from service.http.waiting import LONGEST_WAIT, ROOM, wait_until
from service.publishing.links import Links

blueprint = Resource("changes", __name__, url_prefix="/v1/changes", description=__doc__)

PAGE_LIMIT = 100
PUBLISHED = {
    "position": 941,
    "kind": "result_published",
    "at": "2026-05-09T15:40:00.000000Z",
    "show": "three-rivers-2026",
    "class": "ranch-reining-open",
    "revision": 1,
    "season": None,
    "url": "/v1/classes/ranch-reining-open/publications/1",
}


class ChangesQuery(Schema):
    """From where on, how much, of what, and whether to wait for it."""

    after = fields.String(
        metadata={"description": "The `next` of the answer before; without it, from the beginning."}
    )
    limit = Digits(
        1,
        LONGEST_PAGE,
        load_default=PAGE_LIMIT,
        metadata={"description": "How many events at most; one may change several things."},
    )
    wait = Digits(
        0,
        LONGEST_WAIT,
        load_default=0,
        metadata={
            "description": "Seconds to wait while there is nothing. Whoever finds no room to wait "
            "is answered at once."
        },
    )
    show = Id(metadata={"description": "Of this show alone."})
    kind = fields.String(
        validate=validate.OneOf(KINDS), metadata={"description": "Of this kind alone."}
    )


class HappeningSchema(Schema):
    """Something that happened; `url` is where to read it."""

    position = Whole(required=True, metadata={"description": "Its event's position in the log."})
    kind = fields.String(
        required=True,
        metadata={
            "enum": list(KINDS),
            "description": " ".join(f"`{kind}`: {told}" for kind, told in MEANINGS.items()),
        },
    )
    at = Moment(required=True)
    show = fields.String(required=True, allow_none=True)
    class_ = fields.String(required=True, allow_none=True, attribute="class", data_key="class")
    revision = Whole(required=True, allow_none=True)
    season = fields.String(required=True, allow_none=True)
    url = fields.String(required=True, metadata={"format": "uri-reference"})


class HappeningsSchema(Schema):
    """Changes in the order of the log.

    `next` is where to go on, also when there are none; keep it. Nothing that is told later lies
    before it. At `head` there is no more for now.
    """

    items = fields.List(fields.Nested(HappeningSchema), required=True)
    next = fields.String(required=True)
    head = fields.String(required=True)


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(400, 404, 422)
@blueprint.arguments(ChangesQuery, location="query")
@blueprint.response(
    200, HappeningsSchema, example={"items": [PUBLISHED], "next": "941", "head": "941"}
)
def read_changes(query: dict[str, Any]) -> Response:
    """Follow what happens.

    Shows, classes and seasons that begin and whatever changes in their plans, results each time
    that they are published or opened again, and seasons whose standings moved. Whoever goes on from
    `next` and reads what each `url` shows misses nothing and never reads all of it again, whatever
    happened meanwhile. One event may be told as several kinds; more kinds may come.

    Names are no part of the log: one that is corrected or erased reads so wherever it is read next,
    and a copy that shows names asks for them again.
    """
    after = cursor(query)
    kinds = [query["kind"]] if "kind" in query else []
    wanted = changes.wanted_by(desk(), caller(), query.get("show"), kinds)
    page = _page(wanted, after, query["limit"], query["wait"])
    document = {
        "items": [_item(each) for each in page.items],
        "next": str(page.next),
        "head": str(page.head),
    }
    return show(HappeningsSchema(), document, headers=next_link(str(page.next), query["limit"]))


def _page(wanted: Wanted, after: int, limit: int, seconds: int) -> Page:
    """The next page, or the first that is not empty within so many seconds."""
    page = changes.changes(desk(), wanted, after=after, limit=limit)
    if page.items or not seconds:
        return page
    here = desk()
    found = [page]

    def something_came() -> bool:
        if changes.horizon(here) > found[-1].next:  # one small query while nothing happens
            found.append(changes.changes(here, wanted, after=found[-1].next, limit=limit))
        return bool(found[-1].items)

    with ROOM.place() as there_is_room:
        if there_is_room:
            wait_until(something_came, seconds)
    return found[-1]


def _item(of: Change) -> dict[str, Any]:
    return {
        "position": of.position,
        "kind": of.kind,
        "at": of.at,
        "show": of.show,
        "class": of.class_id,
        "revision": of.revision,
        "season": of.season,
        "url": _url(of),
    }


def _url(of: Change) -> str:
    if of.class_id is not None:
        if of.revision is not None:
            return Links().result(of.class_id, of.revision)
        if of.kind == "results_reopened":
            return f"/v1/classes/{of.class_id}/publications"
        if of.day is not None:
            return f"/v1/shows/{of.show}/timetable?day={of.day}"
        return f"/v1/classes/{of.class_id}"
    if of.kind == "standing_moved":
        return f"/v1/seasons/{of.season}/changes?after={of.position}"  # with no award: from it on
    if of.kind == "award_moved":
        return f"/v1/shows/{of.show}/awards"
    return f"/v1/shows/{of.show}" if of.show is not None else f"/v1/seasons/{of.season}"
