"""Eligibility: how entries stand by their divisions now, and what was shown in place of facts."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate, validates_schema

from events.refusals import Refusal
from events.show.commands import RecordEvidence, TakeEvidenceBack
from events.show.eligibility import is_missing
from events.show.entering import ORDER, InDivision, worst
from service.desk import eligibility_looks, shows
from service.desk.eligibility_looks import EntryLook
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import (
    RECEIPT,
    AtQuery,
    ReceiptSchema,
    acknowledged,
    exactly_one,
    moment,
)
from service.http.fields import Id, Line, Prose, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import HorseNamed, PersonNamed, Words, show

blueprint = Resource("eligibility", __name__, url_prefix="/v1", description=__doc__)
DONE = RECEIPT | {"id": "three-rivers-2026"}
STANDINGS = ORDER
IN_YOUTH = {
    "division": "Youth",
    "standing": "not_eligible",
    "required": False,
    "reasons": [
        {
            "code": "rider_too_old",
            "field": "exhibitor",
            "says": "The rider is 19 on 2026-01-01; Youth admits riders of at most 18.",
            "missing": None,
            "refuses": True,
        }
    ],
}
SEEN = {"division": "Youth", "exhibitor": "p-lind", "reason": "A passport was shown at the office."}


class EligibilityQuery(AtQuery):
    """Which entries, and by which divisions."""

    entry = Id(metadata={"description": "Only the entry with this id."})
    as_checked = fields.Boolean(
        load_default=False,
        truthy={"true"},
        falsy={"false"},
        metadata={
            "description": "By the divisions as they were when each entry was checked last, not as "
            "they are now. What is known of riders and horses is always what is known now."
        },
    )


class PairQuery(Schema):
    """A rider, alone or with a horse."""

    exhibitor = Id(required=True, metadata={"description": "The id of a registered person."})
    horse = Id(metadata={"description": "The id of a registered horse."})


class ReasonAgainstSchema(Schema):
    """One reason against an entry.

    `missing` names what the registry does not hold. `refuses` is false where evidence was seen
    instead.
    """

    code = fields.String(required=True)
    field = fields.String(required=True)
    says = fields.String(required=True)
    missing = fields.String(required=True, allow_none=True)
    refuses = fields.Boolean(required=True)


class InDivisionSchema(Schema):
    """How it stands in one division; `required` where the class asks it of everybody."""

    division = fields.String(required=True)
    standing = fields.String(required=True, validate=validate.OneOf(STANDINGS))
    required = fields.Boolean(required=True)
    reasons = fields.List(fields.Nested(ReasonAgainstSchema), required=True)


class EntryEligibilitySchema(Schema):
    """How an entry stands: as in the worst of its divisions.

    `checked_at` is the version of the show by whose divisions it was checked last; null where it
    never was. `show_version` is that of the divisions here.
    """

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    checked_at = Whole(required=True, allow_none=True)
    show_version = Whole(required=True)
    standing = fields.String(required=True, validate=validate.OneOf(STANDINGS))
    divisions = fields.List(fields.Nested(InDivisionSchema), required=True)


class ClassEligibilitySchema(Schema):
    """How the entries of a class stand, in the order in which they were made."""

    items = fields.List(fields.Nested(EntryEligibilitySchema), required=True)


class PairEligibilitySchema(Schema):
    """How a rider, alone or with a horse, stands in every division of a show."""

    show_version = Whole(required=True)
    divisions = fields.List(fields.Nested(InDivisionSchema), required=True)


class EvidenceSchema(Schema):
    """Evidence about a rider or a horse: say what was seen, not what stands in it."""

    division = Line(60, required=True)
    exhibitor = Id(metadata={"description": "The id of a registered person."})
    horse = Id(metadata={"description": "The id of a registered horse."})
    reason = Prose(required=True)

    @validates_schema
    def _one(self, data: dict[str, Any], **_: object) -> None:
        exactly_one(data, ("exhibitor", "horse"))


class EvidenceShownSchema(Schema):
    """Evidence that counts."""

    division = fields.String(required=True)
    exhibitor = PersonNamed(required=True, allow_none=True)
    horse = HorseNamed(required=True, allow_none=True)
    reason = Words(required=True)


class EvidenceOfShowSchema(Schema):
    """The evidence that counts at a show, by division."""

    items = fields.List(fields.Nested(EvidenceShownSchema), required=True)


@blueprint.route("/classes/<id:class_id>/eligibility", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(EligibilityQuery, location="query")
@blueprint.response(
    200,
    ClassEligibilitySchema,
    example={
        "items": [
            {
                "entry": "e-214",
                "back_number": 214,
                "exhibitor": {"id": "p-lind", "name": "Karin Lind"},
                "horse": {"id": "h-smoke", "name": "Smoke Over Willow"},
                "checked_at": 12,
                "show_version": 14,
                "standing": "not_eligible",
                "divisions": [IN_YOUTH],
            }
        ]
    },
)
def read_eligibility(query: dict[str, Any], class_id: str) -> Response:
    """Check the entries of a class again.

    By what the registry holds now, and with every reason. Nothing is written: what follows from it
    is for the steward to rule. Scratched entries are left out unless they are asked for by id.
    """
    found = eligibility_looks.of_class(
        desk(),
        caller(),
        class_id,
        at=moment(query),
        entry=query.get("entry"),
        as_checked=query["as_checked"],
    )
    document = {"items": [_entry(each) for each in found.entries]}
    return show(ClassEligibilitySchema(), document, version=found.version, names=found.names)


@blueprint.route("/shows/<id:show_id>/eligibility", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(PairQuery, location="query")
@blueprint.response(
    200, PairEligibilitySchema, example={"show_version": 14, "divisions": [IN_YOUTH]}
)
def read_where_eligible(query: dict[str, Any], show_id: str) -> Response:
    """Ask in which divisions of a show a rider may be entered, alone or with a horse."""
    state, found = eligibility_looks.of_pair(
        desk(), caller(), show_id, query["exhibitor"], query.get("horse")
    )
    document = {"show_version": state.version, "divisions": [_in_division(each) for each in found]}
    return show(PairEligibilitySchema(), document, version=state.version)


@blueprint.route("/shows/<id:show_id>/evidence", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(
    200,
    EvidenceOfShowSchema,
    example={
        "items": [
            {**SEEN, "exhibitor": {"id": "p-lind", "name": "Karin Lind"}, "horse": None},
        ]
    },
)
def list_evidence(show_id: str) -> Response:
    """List the evidence that counts at a show."""
    state, joined = eligibility_looks.evidence_of(desk(), caller(), show_id)
    seen = sorted(state.evidence.values(), key=lambda each: each.division)
    return show(EvidenceOfShowSchema(), {"items": seen}, version=state.version, names=joined)


@blueprint.route("/shows/<id:show_id>/evidence", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(EvidenceSchema, example=SEEN)
@blueprint.response(200, ReceiptSchema, example=DONE)
def record_evidence(body: dict[str, Any], show_id: str) -> Response:
    """Record evidence that was seen in place of facts that the registry does not hold.

    It counts for one rider or horse in one division, in every class of the show, until the division
    asks something else or it is taken back. It never counts against what the registry does hold:
    where that is wrong, put it right there.
    """
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, RecordEvidence(**body)))


@blueprint.route("/shows/<id:show_id>/evidence/take-back", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    EvidenceSchema,
    example={
        "division": "Youth",
        "exhibitor": "p-lind",
        "reason": "It was the passport of somebody else.",
    },
)
@blueprint.response(200, ReceiptSchema, example=DONE)
def take_evidence_back(body: dict[str, Any], show_id: str) -> Response:
    """Let evidence count no longer.

    Entries that were taken on it stay, and are seen to lack it when they are checked again.
    """
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, TakeEvidenceBack(**body)))


def _entry(look: EntryLook) -> dict[str, Any]:
    return {
        "entry": look.entry.id,
        "back_number": look.entry.back_number,
        "exhibitor": look.entry.exhibitor,
        "horse": look.entry.horse,
        "checked_at": look.entry.checked_at,
        "show_version": look.show_version,
        "standing": worst(look.divisions),
        "divisions": [_in_division(each) for each in look.divisions],
    }


def _in_division(found: InDivision) -> dict[str, Any]:
    return {
        "division": found.division,
        "standing": found.standing,
        "required": found.required,
        "reasons": [_reason(each, refuses=each in found.refusing) for each in found.reasons],
    }


def _reason(reason: Refusal, *, refuses: bool) -> dict[str, Any]:
    return {
        "code": reason.code,
        "field": reason.field,
        "says": reason.message,
        "missing": reason.facts["missing"] if is_missing(reason) else None,
        "refuses": refuses,
    }
