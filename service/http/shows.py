"""Shows: planned, given rings, officials and rule books, and read."""

from collections.abc import Mapping
from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate, validates_schema

from events.refusals import Refusal
from events.rulebook.fault import RuleBookRefused
from events.rulebook.load import load_json, load_toml
from events.rulebook.model import RuleBook
from events.show.commands import AddRing, NameOfficial, PlanShow
from service.books import NoSuchBook, shipped_book
from service.desk import shows
from service.desk.shows import ShowLook
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import (
    RECEIPT,
    PageQuery,
    ReceiptSchema,
    acknowledged,
    cursor,
    exactly_one,
    next_link,
)
from service.http.fields import Day, Id, Line, Prose, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.problems import Fault, Unwell, problem
from service.http.shown import PersonNamed, show

blueprint = Resource("shows", __name__, url_prefix="/v1/shows", description=__doc__)

OFFICIAL_ROLES = ("judge", "learner", "steward", "scribe", "show_secretary", "ring_steward")
PLAN = {
    "name": "Three Rivers Spring Show",
    "place": "Willow Bend Arena",
    "time_zone": "America/Chicago",
    "first_day": "2026-05-08",
    "last_day": "2026-05-10",
}
SUMMARY = {"id": "three-rivers-2026", **PLAN}
DIGEST = "sha256:0f1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0"
SHOW = SUMMARY | {
    "version": 9,
    "rings": ["Main ring", "Covered ring"],
    "officials": [{"official": {"id": "p-ames", "name": "Judith Ames"}, "role": "judge"}],
    "rulebooks": [{"id": "western-horsemanship", "edition": "2026-1", "digest": DIGEST}],
}


class PlanSchema(Schema):
    """A show as it is planned; its clocks show ``time_zone``, a name of the IANA database."""

    name = Line(required=True)
    place = Line(required=True)
    time_zone = Line(64, required=True)
    first_day = Day(required=True)
    last_day = Day(required=True)


class NewShowSchema(PlanSchema):
    """A new show, under an id of your choice or one that is made."""

    id = Id()


class RingSchema(Schema):
    """A ring."""

    ring = Line(60, required=True)


class OfficialSchema(Schema):
    """A registered person's task at the show."""

    official = Id(required=True, metadata={"description": "The id of a registered person."})
    role = fields.String(required=True, validate=validate.OneOf(OFFICIAL_ROLES))


class AdoptionSchema(Schema):
    """A rule book for the show: one that ships, or the show's own as JSON or as TOML."""

    shipped = Id(metadata={"description": "The id of a rule book that ships with Ringfold."})
    book = fields.Dict(metadata={"description": "A whole rule book."})
    toml = Prose(400_000, metadata={"description": "A whole rule book in its author's form."})

    @validates_schema
    def _one(self, data: dict[str, Any], **_: object) -> None:
        exactly_one(data, ("shipped", "book", "toml"))


class RuleBookRefSchema(Schema):
    """A rule book by id, edition and the digest of its content."""

    id = fields.String(required=True)
    edition = fields.String(required=True)
    digest = fields.String(required=True)


class ShowSummarySchema(PlanSchema):
    """What was planned of a show."""

    id = fields.String(required=True)


class OfficialShownSchema(Schema):
    """Somebody's task at the show."""

    official = PersonNamed(required=True)
    role = fields.String(required=True)


class ShowSchema(ShowSummarySchema):
    """A show as it stands."""

    version = Whole(required=True)
    rings = fields.List(fields.String(), required=True)
    officials = fields.List(fields.Nested(OfficialShownSchema), required=True)
    rulebooks = fields.List(fields.Nested(RuleBookRefSchema), required=True)


class ShowsQuery(PageQuery):
    """Which shows."""

    since = Day(
        data_key="from", metadata={"description": "Those held on this day or on a later one."}
    )
    until = Day(
        data_key="to", metadata={"description": "Those held on this day or on an earlier one."}
    )


class ShowPageSchema(Schema):
    """Some shows, in the order of planning."""

    items = fields.List(fields.Nested(ShowSummarySchema), required=True)
    next = fields.String(
        required=True, allow_none=True, metadata={"description": "The cursor of the next page."}
    )


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.arguments(ShowsQuery, location="query")
@blueprint.response(200, ShowPageSchema, example={"items": [SUMMARY], "next": None})
def list_shows(query: dict[str, Any]) -> Response:
    """List the shows, all or those that are held on certain days.

    In the order of planning. A key that is bound to one show sees that one.
    """
    begin, limit = cursor(query), query["limit"]
    listed = [each for each in shows.listed(desk(), caller()) if each.position > begin]
    looks = zip(listed, shows.looks(desk(), listed), strict=True)
    found = [(each, look) for each, look in looks if _is_wanted(look, query)]
    following = str(found[limit - 1][0].position) if len(found) > limit else None
    page = {"items": [_document(look) for _, look in found[:limit]], "next": following}
    return show(ShowPageSchema(), page, headers=next_link(following, limit))


def _is_wanted(look: ShowLook, query: Mapping[str, Any]) -> bool:
    planned = look.state.planned
    return planned is not None and (
        query.get("since", planned.last_day) <= planned.last_day
        and planned.first_day <= query.get("until", planned.first_day)
    )


@blueprint.route("", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.arguments(NewShowSchema, example=SUMMARY)
@blueprint.response(201, ReceiptSchema, example=RECEIPT | {"id": "three-rivers-2026"})
def plan_show(body: dict[str, Any]) -> Response:
    """Plan a show.

    Only with a key that is good for all shows.
    """
    show_id = body.pop("id", None)
    done = shows.plan(desk(), command_ask(), PlanShow(**body), show_id)
    return acknowledged(done, 201, location=f"/v1/shows/{done.id}")


@blueprint.route("/<id:show_id>", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, ShowSchema, example=SHOW)
def read_show(show_id: str) -> Response:
    """Read a show."""
    look = shows.look(desk(), caller(), show_id)
    return show(ShowSchema(), _document(look), version=look.state.version, names=look.names)


@blueprint.route("/<id:show_id>", methods=["PUT"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(PlanSchema, example=PLAN)
@blueprint.response(200, ReceiptSchema, example=RECEIPT | {"id": "three-rivers-2026"})
def replan_show(body: dict[str, Any], show_id: str) -> Response:
    """Change what was planned of a show."""
    return acknowledged(shows.replan(desk(), command_ask(), show_id, PlanShow(**body)))


@blueprint.route("/<id:show_id>/rings", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(RingSchema, example={"ring": "Covered ring"})
@blueprint.response(200, ReceiptSchema, example=RECEIPT | {"id": "three-rivers-2026"})
def add_ring(body: dict[str, Any], show_id: str) -> Response:
    """Add a ring."""
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, AddRing(**body)))


@blueprint.route("/<id:show_id>/officials", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(OfficialSchema, example={"official": "p-ames", "role": "judge"})
@blueprint.response(200, ReceiptSchema, example=RECEIPT | {"id": "three-rivers-2026"})
def name_official(body: dict[str, Any], show_id: str) -> Response:
    """Give a person a task at the show."""
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, NameOfficial(**body)))


@blueprint.route("/<id:show_id>/rulebooks", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(AdoptionSchema, example={"shipped": "western-horsemanship"})
@blueprint.response(200, ReceiptSchema, example=RECEIPT | {"id": "three-rivers-2026"})
def adopt_rule_book(body: dict[str, Any], show_id: str) -> Response:
    """Adopt a rule book.

    Classes of the show may then be held under it, named by its id. Another book of the same id
    takes its place for classes still to be scheduled; scheduled ones keep what they were given.
    """
    done = shows.adopt(desk(), command_ask(), show_id, _book(body))
    return acknowledged(done)


def _book(body: dict[str, Any]) -> RuleBook:
    if "shipped" in body:
        return _shipped(body["shipped"])
    try:
        return load_toml(body["toml"]) if "toml" in body else load_json(body["book"])
    except RuleBookRefused as refused:
        part = "toml" if "toml" in body else "book"
        faults = [
            Fault(f"{part}.{fault.path}".rstrip("."), fault.sentence, fault.line)
            for fault in refused.faults
        ]
        detail = " ".join(str(fault) for fault in refused.faults)
        raise Unwell(problem("rule_book_refused", detail, field=part, errors=faults)) from refused


def _shipped(name: str) -> RuleBook:
    try:
        return shipped_book(name)
    except NoSuchBook as none:
        raise Refusal("rule_book_not_shipped", str(none), field="shipped") from none


def _document(look: ShowLook) -> dict[str, Any]:
    planned = look.state.planned
    return {
        "id": look.id,
        "name": planned and planned.name,
        "place": planned and planned.place,
        "time_zone": planned and planned.time_zone,
        "first_day": planned and planned.first_day,
        "last_day": planned and planned.last_day,
        "version": look.state.version,
        "rings": look.state.rings,
        "officials": look.state.officials,
        "rulebooks": [look.state.rulebooks[name] for name in sorted(look.state.rulebooks)],
    }
