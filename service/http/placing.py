"""The placing of a class, at any moment."""

from typing import Any

import msgspec
from flask import Response
from marshmallow import Schema, fields, validate

from events.projections.placing import (
    ClassPlacing,
    DivisionPlacing,
    PanelPlacing,
    PanelRow,
    PlacingRow,
    SeatPlacing,
    cautions,
)
from service.desk.inquiry import note_reading
from service.desk.look import ClassLook, look, placing_of
from service.http.api import Resource
from service.http.class_schemas import PHASES
from service.http.common import AtQuery, moment
from service.http.fields import Figure, Points, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import HorseNamed, PersonNamed, show

blueprint = Resource("placing", __name__, url_prefix="/v1/classes", description=__doc__)

PLACING = {
    "id": "ranch-reining-open",
    "version": 88,
    "latest": 88,
    "phase": "official",
    "phase_now": "official",
    "revision": 1,
    "class_size": 2,
    "seats": [
        {
            "seat": "A",
            "judge": {"id": "p-ames", "name": "Judith Ames"},
            "kind": "judge",
            "signed": True,
            "stale_orders": [],
            "rows": [
                {
                    "entry": "e-214",
                    "back_number": 214,
                    "working_order": 1,
                    "exhibitor": {"id": "p-lind", "name": "Karin Lind"},
                    "horse": {"id": "h-smoke", "name": "Smoke Over Willow"},
                    "place": 1,
                    "tied": False,
                    "total": 71.5,
                    "outcome": None,
                    "complete": True,
                    "parted_by": None,
                    "stale": False,
                    "milliseconds": None,
                    "section": None,
                }
            ],
            "judges_before": [],
        }
    ],
    "panel": {"method": "separate", "open": None, "rows": []},
    "divisions": [],
    "sections": [],
    "cautions": [],
}


class RowSchema(Schema):
    """One entry's line; ``place`` is null where it takes none, shared places are ``tied``."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    working_order = Whole(required=True, allow_none=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    place = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)
    total = Points(required=True, allow_none=True)
    outcome = fields.String(required=True, allow_none=True)
    complete = fields.Boolean(required=True)
    parted_by = fields.String(required=True, allow_none=True)
    stale = fields.Boolean(required=True)
    milliseconds = Whole(
        required=True,
        allow_none=True,
        metadata={"description": "The time with its penalties, in a timed class."},
    )
    section = Whole(
        required=True,
        allow_none=True,
        metadata={"description": "The section in which the place is, where there are sections."},
    )


class SeatPlacingSchema(Schema):
    """What one card places; stale orders hold back official results."""

    seat = fields.String(required=True)
    judge = PersonNamed(required=True)
    kind = fields.String(required=True)
    signed = fields.Boolean(required=True)
    stale_orders = fields.List(fields.String(), required=True)
    rows = fields.List(fields.Nested(RowSchema), required=True)
    judges_before = fields.List(
        PersonNamed(),
        required=True,
        metadata={"description": "Judges who filled the card before this one."},
    )


class PanelRowSchema(Schema):
    """One entry's line on what the judges place together."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    working_order = Whole(required=True, allow_none=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    place = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)
    figure = Figure(
        required=True,
        allow_none=True,
        metadata={"description": "What the method ranks by, exact: `212.5`, or `7/3`."},
    )
    parted_by = fields.String(required=True, allow_none=True)
    section = Whole(required=True, allow_none=True)


class PanelSchema(Schema):
    """What the judges place together; `open` says why there are no rows yet, if so."""

    method = fields.String(required=True)
    open = fields.String(required=True, allow_none=True)
    rows = fields.List(fields.Nested(PanelRowSchema), required=True)


class DivisionSchema(Schema):
    """The same rides placed among the entries of one division alone."""

    name = fields.String(required=True)
    class_size = Whole(required=True)
    seats = fields.List(fields.Nested(SeatPlacingSchema), required=True)
    panel = fields.Nested(PanelSchema, required=True)


class SectionSchema(Schema):
    """The result of one section: a class of its own, with its own places and class size."""

    section = Whole(required=True)
    class_size = Whole(required=True)
    seats = fields.List(fields.Nested(SeatPlacingSchema), required=True)
    panel = fields.Nested(PanelSchema, required=True)
    divisions = fields.List(fields.Nested(DivisionSchema), required=True)


class CautionSchema(Schema):
    """What whoever reads the placing ought to know."""

    kind = fields.String(required=True)
    seat = fields.String(required=True)
    entry = fields.String(required=True, allow_none=True)
    says = fields.String(required=True)


class PlacingSchema(Schema):
    """The placing of a class at a version.

    ``phase`` is the stage of the class at that version, ``phase_now`` the one it is in by now.
    Where the class is ridden in `sections`, each is a result of its own: `seats` and `panel` then
    list one section after another, and divisions are those of each section.
    """

    id = fields.String(required=True)
    version = Whole(required=True)
    latest = Whole(required=True)
    phase = fields.String(required=True, validate=validate.OneOf(PHASES))
    phase_now = fields.String(required=True, validate=validate.OneOf(PHASES))
    revision = Whole(required=True)
    class_size = Whole(required=True)
    seats = fields.List(fields.Nested(SeatPlacingSchema), required=True)
    panel = fields.Nested(PanelSchema, required=True)
    divisions = fields.List(fields.Nested(DivisionSchema), required=True)
    sections = fields.List(fields.Nested(SectionSchema), required=True)
    cautions = fields.List(fields.Nested(CautionSchema), required=True)


@blueprint.route("/<id:class_id>/placing", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(AtQuery, location="query")
@blueprint.response(200, PlacingSchema, example=PLACING)
def read_placing(query: dict[str, Any], class_id: str) -> Response:
    """Read the placing.

    As the rule book makes it from what was known at the moment. A public key reads the official
    results, the last ones at that moment; a scribe reads the judge's own placing until results
    are posted.
    """
    seen = look(desk(), caller(), class_id, moment(query))
    note_reading(desk(), caller(), seen)
    document = _document(seen, placing_of(seen))
    return show(PlacingSchema(), document, version=seen.version, names=seen.names)


def _document(seen: ClassLook, of: ClassPlacing) -> dict[str, Any]:
    return {
        "id": seen.id,
        "version": of.version,
        "latest": seen.latest,
        "phase": of.phase,
        "phase_now": seen.phase_now,
        "revision": of.revision,
        "class_size": of.class_size,
        "seats": [_seat(seen, each) for each in of.seats],
        "panel": _panel(seen, of.panel),
        "divisions": [_division(seen, each) for each in of.divisions],
        "sections": [
            {
                "section": section.section,
                "class_size": section.class_size,
                "seats": [_seat(seen, each) for each in section.seats],
                "panel": _panel(seen, section.panel),
                "divisions": [_division(seen, each) for each in section.divisions],
            }
            for section in of.sections
        ],
        "cautions": cautions(of),
    }


def _division(seen: ClassLook, of: DivisionPlacing) -> dict[str, Any]:
    return {
        "name": of.name,
        "class_size": of.class_size,
        "seats": [_seat(seen, each) for each in of.seats],
        "panel": _panel(seen, of.panel),
    }


def _seat(seen: ClassLook, of: SeatPlacing) -> dict[str, Any]:
    return msgspec.structs.asdict(of) | {"rows": [_row(seen, row) for row in of.rows]}


def _panel(seen: ClassLook, of: PanelPlacing) -> dict[str, Any]:
    return msgspec.structs.asdict(of) | {"rows": [_row(seen, row) for row in of.rows]}


def _row(seen: ClassLook, of: PlacingRow | PanelRow) -> dict[str, Any]:
    entry = seen.state.entries[of.entry]
    line = msgspec.structs.asdict(of)
    return line | {"exhibitor": entry.exhibitor, "horse": entry.horse}
