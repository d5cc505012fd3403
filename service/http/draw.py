"""The draw: set, drawn by lot and repaired for spacing, late entries, sections."""

from typing import Any

from flask import Response
from marshmallow import Schema, ValidationError, fields, validate, validates_schema

from events.scoring.draw_clashes import SpacingLimits
from service.desk import classes, draw
from service.desk.classes import HandDraw
from service.desk.draw import DrawLook
from service.desk.draw_steps import LotPlan, SplitPlan
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import (
    RECEIPT,
    EntryRefSchema,
    ReceiptSchema,
    acknowledged,
    entry_ref,
    exactly_one,
)
from service.http.fields import Digits, Line, Prose, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import show

blueprint = Resource(
    "draw", __name__, url_prefix="/v1/classes/<id:class_id>/draw", description=__doc__
)
LATE = ("first_reversed", "last")
MOST_APART = 1000
CLASH = {
    "kind": "rider",
    "first": "e-214",
    "second": "e-31",
    "between": 1,
    "wanted": 2,
    "says": "Rider p-lind: 1 between the 1st and 2nd ride, 2 wanted.",
}


class SpacingSchema(Schema):
    """How many others go between the rides of one rider, or of one horse.

    The first number holds between first and second ride, the next between second and third, the
    last from there on.
    """

    rider_apart = fields.List(
        Whole(0, MOST_APART), load_default=list, validate=validate.Length(max=20)
    )
    horse_apart = fields.List(
        Whole(0, MOST_APART), load_default=list, validate=validate.Length(max=20)
    )
    most_rides = Whole(
        1, MOST_APART, allow_none=True, metadata={"description": "A rider's most in the class."}
    )


class LotSchema(Schema):
    """How lots are drawn: from a seed, yours or one that is made.

    Without `spacing`, `late_entries` and `split_above` it is the rule book that says.
    """

    seed = Line(120, metadata={"description": "Such as dice thrown in front of the riders."})
    spacing = fields.Nested(SpacingSchema, allow_none=True)
    late_entries = fields.String(allow_none=True, validate=validate.OneOf(LATE))
    split_above = Whole(
        1,
        MOST_APART,
        allow_none=True,
        metadata={
            "description": "A class of more entries is split into sections, as equal as they can "
            "be, each placed as a class of its own."
        },
    )
    as_far_as_possible = fields.Boolean(
        load_default=False,
        truthy={True},
        falsy={False},
        metadata={"description": "Take an order in which not everybody could be kept apart."},
    )


class LateSchema(Schema):
    """Where entries that came after the draw go; the rule book says unless `place` does.

    Where the class is ridden in sections, each goes to the smallest that can still take it.
    """

    place = fields.String(allow_none=True, validate=validate.OneOf(LATE))


class SplitSchema(Schema):
    """How the draw that stands is cut up, without drawing anew: `into` 1 makes one class of it."""

    into = Whole(1, 100)
    at_most = Whole(1, MOST_APART, metadata={"description": "The most entries of a section."})

    @validates_schema
    def _one(self, data: dict[str, Any], **_: object) -> None:
        exactly_one(data, ("into", "at_most"))


class DrawSchema(Schema):
    """A working order: entries in order, by lot, with late entries put into it, or in sections.

    By lot the entries run in ascending order of SHA-256 over `seed:back_number`, as hexadecimal;
    what then stands too close is repaired. An order that changes one that stands has a reason.

    `sections` goes with `order`: how many of it ride in each section. Without it everybody stays in
    the section that they are in.
    """

    order = fields.List(fields.Nested(EntryRefSchema), validate=validate.Length(min=1, max=1000))
    by_lot = fields.Nested(LotSchema)
    late = fields.Nested(LateSchema)
    split = fields.Nested(SplitSchema)
    sections = fields.List(Whole(1, MOST_APART), validate=validate.Length(min=1, max=100))
    reason = Prose(metadata={"description": "Why an order that stands is changed."})

    @validates_schema
    def _one(self, data: dict[str, Any], **_: object) -> None:
        exactly_one(data, ("order", "by_lot", "late", "split"))
        if "sections" in data and "order" not in data:
            raise ValidationError("This goes with `order` alone.", "sections")


class SectionsQuery(Schema):
    """How the draw would be split if a section held so many at most; nothing is changed."""

    at_most = Digits(1, MOST_APART)


class PlaceInDrawSchema(Schema):
    """One entry of the draw."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    working_order = Whole(
        required=True,
        allow_none=True,
        metadata={"description": "Runs on from one section to the next."},
    )


class ClashSchema(Schema):
    """Two rides of one rider, or of one horse, that stand closer together than the book wants."""

    kind = fields.String(required=True)
    first = fields.String(required=True)
    second = fields.String(required=True)
    between = Whole(required=True)
    wanted = Whole(required=True)
    says = fields.String(required=True)


class DrawRuleSchema(Schema):
    """What the rule book says of draws, and where it has it from; it is done unless you say else.

    Without `gate_calls` an entry is called three times, and without `late_entries` late ones go
    last.
    """

    late_entries = fields.String(required=True)
    rider_apart = fields.List(Whole(), required=True)
    horse_apart = fields.List(Whole(), required=True)
    most_rides = Whole(required=True, allow_none=True)
    split_above = Whole(
        required=True,
        allow_none=True,
        metadata={"description": "A class of more entries is split into sections."},
    )
    gate_calls = Whole(required=True, allow_none=True)
    source = fields.String(required=True)


class DrawShownSchema(Schema):
    """The working order in its sections, scratched entries left out, and whom it leaves close."""

    sections = fields.List(fields.List(fields.Nested(PlaceInDrawSchema)), required=True)
    clashes = fields.List(fields.Nested(ClashSchema), required=True)
    rule = fields.Nested(DrawRuleSchema, required=True, allow_none=True)


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(SectionsQuery, location="query")
@blueprint.response(
    200,
    DrawShownSchema,
    example={
        "sections": [[{"entry": "e-214", "back_number": 214, "working_order": 1}]],
        "clashes": [CLASH],
        "rule": {
            "late_entries": "first_reversed",
            "rider_apart": [2, 3],
            "horse_apart": [],
            "most_rides": 3,
            "split_above": 25,
            "gate_calls": 3,
            "source": "American Mule Association, rule 101, for late entries and splitting; AHA, "
            "Order of Go, for riders with several horses",
        },
    },
)
def read_draw(query: dict[str, Any], class_id: str) -> Response:
    """Read the draw, in the sections that the class is ridden in."""
    found = draw.draw_of(desk(), caller(), class_id, query.get("at_most"))
    return show(DrawShownSchema(), _document(found), version=found.seen.version)


@blueprint.route("", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    DrawSchema,
    examples={
        "by lot": {"value": {"by_lot": {"seed": "three dice: 4 1 6"}}},
        "by lot and spaced": {
            "value": {
                "by_lot": {
                    "seed": "three dice: 4 1 6",
                    "spacing": {"rider_apart": [2, 3], "horse_apart": [], "most_rides": 3},
                }
            }
        },
        "in order": {"value": {"order": [{"back_number": 214}, {"back_number": 87}]}},
        "with late entries": {"value": {"late": {"place": "first_reversed"}}},
        "in sections": {"value": {"split": {"at_most": 25}, "reason": "Too large for the ring."}},
        "as one class again": {"value": {"split": {"into": 1}}},
        "changed": {
            "value": {
                "order": [{"back_number": 87}, {"back_number": 214}],
                "reason": "Two horses of one rider ran back to back.",
            }
        },
    },
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def set_draw(body: dict[str, Any], class_id: str) -> Response:
    """Set the working order, draw it by lot, put late entries into it, split it, or change it.

    It names every entry that was not scratched, once. The first one has working-order number 1.
    Every repair of a drawn order is an event of its own, with its reason. Each section is placed as
    a class of its own; once the class has begun its sections stay, and whoever was judged in one.
    """
    if "by_lot" in body:
        return acknowledged(draw.by_lot(desk(), command_ask(), class_id, _plan(body["by_lot"])))
    if "late" in body:
        place = body["late"].get("place")
        return acknowledged(draw.place_late(desk(), command_ask(), class_id, place))
    if "split" in body:
        plan = SplitPlan(**body["split"], reason=body.get("reason"))
        return acknowledged(draw.split(desk(), command_ask(), class_id, plan))
    order = tuple(entry_ref(dict(each)) for each in body["order"])
    sections = tuple(body["sections"]) if "sections" in body else None
    how = HandDraw(reason=body.get("reason"), sections=sections)
    done = classes.set_draw(desk(), command_ask(), class_id, order, how)
    return acknowledged(done)


def _plan(given: dict[str, Any]) -> LotPlan:
    spacing = given.get("spacing")
    return LotPlan(
        seed=given.get("seed"),
        limits=None
        if spacing is None
        else SpacingLimits(
            rider_apart=tuple(spacing["rider_apart"]),
            horse_apart=tuple(spacing["horse_apart"]),
            most_rides=spacing.get("most_rides"),
        ),
        late_entries=given.get("late_entries"),
        split_above=given.get("split_above"),
        as_far_as_possible=given["as_far_as_possible"],
    )


def _document(found: DrawLook) -> dict[str, Any]:
    state = found.seen.state
    return {
        "sections": [
            [
                {
                    "entry": name,
                    "back_number": state.entries[name].back_number,
                    "working_order": state.working_order(name),
                }
                for name in section
            ]
            for section in found.sections
        ],
        "clashes": found.clashes,
        "rule": found.rule,
    }
