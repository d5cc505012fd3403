"""Divisions: what they ask of riders and horses, and which classes have them."""

from typing import Any

from flask import Response

from events.show.commands import DefineDivision, DropDivision, SetClassDivisions
from service.desk import eligibility_looks, schedule, shows
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import RECEIPT, ReceiptSchema, acknowledged
from service.http.division_schemas import (
    OF_CLASS,
    YOUTH,
    YOUTH_SHOWN,
    ClassDivisionsSchema,
    DivisionDefinedSchema,
    DivisionDroppedSchema,
    DivisionsSchema,
    terms_of,
)
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import show

blueprint = Resource(
    "divisions", __name__, url_prefix="/v1/shows/<id:show_id>", description=__doc__
)
DONE = RECEIPT | {"id": "three-rivers-2026"}


@blueprint.route("/divisions", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(
    200,
    DivisionsSchema,
    example={
        "version": 12,
        "divisions": [YOUTH_SHOWN],
        "classes": [{"class_id": "ranch-reining-open", **OF_CLASS, "admits": ["Youth"]}],
    },
)
def list_divisions(show_id: str) -> Response:
    """List the divisions of a show, and those of its classes."""
    state, joined = eligibility_looks.divisions_of(desk(), caller(), show_id)
    document = {
        "version": state.version,
        "divisions": [state.divisions[name] for name in sorted(state.divisions)],
        "classes": [state.class_divisions[name] for name in sorted(state.class_divisions)],
    }
    return show(DivisionsSchema(), document, version=state.version, names=joined)


@blueprint.route("/divisions", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    DivisionDefinedSchema,
    examples={
        "youth": {"value": YOUTH},
        "novice": {
            "value": {
                "division": "Novice",
                "terms": {"rider_levels": {"levels": ["novice"], "discipline": "horsemanship"}},
            }
        },
        "green horses": {
            "value": {
                "division": "Green",
                "terms": {
                    "horse_age": {"lowest": 3, "highest": 5, "southern_year_begins": "08-01"}
                },
                "reason": "The schedule was misprinted.",
            }
        },
    },
)
@blueprint.response(200, ReceiptSchema, example=DONE)
def define_division(body: dict[str, Any], show_id: str) -> Response:
    """Define a division, or change it for a reason.

    From the first division on, entries of the show name no others, and are checked by what the
    registry holds. Entries that were made before stay; evidence that was seen for other terms
    counts no longer.
    """
    command = DefineDivision(
        division=body["division"], terms=terms_of(body["terms"]), reason=body.get("reason")
    )
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, command))


@blueprint.route("/divisions/drop", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    DivisionDroppedSchema, example={"division": "Novice", "reason": "Nobody has entered in it."}
)
@blueprint.response(200, ReceiptSchema, example=DONE)
def drop_division(body: dict[str, Any], show_id: str) -> Response:
    """Have a division no longer.

    Entries that were made in it stay in it.
    """
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, DropDivision(**body)))


@blueprint.route("/classes/<id:class_id>/divisions", methods=["PUT"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ClassDivisionsSchema, example=OF_CLASS)
@blueprint.response(200, ReceiptSchema, example=DONE)
def set_class_divisions(body: dict[str, Any], show_id: str, class_id: str) -> Response:
    """Say which divisions a class has.

    Entries are held to it from now on; those that were made before stay.
    """
    command = SetClassDivisions(
        class_id=class_id,
        admits=tuple(body["admits"]),
        requires=tuple(body["requires"]),
        must_name=body["must_name"],
    )
    return acknowledged(schedule.of_class(desk(), command_ask(), show_id, command))
