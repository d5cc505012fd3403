"""What a steward asks: compare, try, explain, audit, and how the ring stood at a time."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import msgspec
from flask import Response, request

from events.codec import time_text
from events.half_points import to_number
from events.projections.compare import Comparison, FactChange, StandingChange
from events.projections.explain import Explanation, as_text
from events.projections.history import Witness
from events.projections.placing import ClassPlacing, placing
from service.desk import inquiry
from service.desk.class_points import points_moved
from service.desk.names import Names
from service.desk.points import named
from service.desk.texts import TEXT_FIELDS
from service.http.action_kinds import Whereabouts, fact_command
from service.http.api import Resource
from service.http.common import entry_ref, moment
from service.http.facts import fact_fields
from service.http.guard import caller
from service.http.here import desk
from service.http.inquiry_schemas import (
    MOVED,
    WITNESS,
    AuditSchema,
    CompareQuery,
    ComparisonSchema,
    ExplainQuery,
    ExplanationSchema,
    RingQuery,
    RingStandingSchema,
    TriedSchema,
    WhatIfSchema,
)
from service.http.shown import show
from service.http.story import HALF_POINT_FIELDS

blueprint = Resource(
    "inquiry", __name__, url_prefix="/v1/classes/<id:class_id>", description=__doc__
)


@blueprint.route("/compare", methods=["GET"])
@blueprint.allows("office", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(CompareQuery, location="query")
@blueprint.response(
    200, ComparisonSchema, example={"earlier": 57, "later": 61, "changes": [], "moved": [MOVED]}
)
def compare_moments(query: dict[str, Any], class_id: str) -> Response:
    """Compare two moments.

    Which facts, totals and places moved, and who moved them, when and why.
    """
    found, story = inquiry.comparison(
        desk(),
        caller(),
        class_id,
        moment({"at": query["earlier"]}),
        moment({"at": query.get("later")}),
    )
    return show(ComparisonSchema(), _comparison(found, story.names), version=found.later)


@blueprint.route("/what-if", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.refuses(404, 413, 415, 422)
@blueprint.arguments(
    WhatIfSchema,
    example={
        "strike": [57],
        "add": [
            {"seat": "A", "back_number": 214, "fact": {"kind": "mark", "maneuver": 2, "mark": 1}}
        ],
    },
)
@blueprint.response(
    200,
    TriedSchema,
    example={
        "version": 61,
        "before": {"class_size": 2, "seats": []},
        "after": {"class_size": 2, "seats": []},
        "moved": [MOVED],
        "points": [
            {"seat": "A", "entry": "e-214", "back_number": 214, "before": "1", "after": "3"}
        ],
    },
)
def try_ruling(body: dict[str, Any], class_id: str) -> Response:
    """Try what a ruling would change.

    A question, not a command: nothing is stored, and signatures do not stand in its way.
    """
    table = named(desk().points, body["points"]) if "points" in body else None
    added = [_added(sent, index) for index, sent in enumerate(body["add"])]
    found, story = inquiry.tried(desk(), caller(), class_id, body["strike"], added)
    document = {
        "version": story.history.version,
        "before": _supposed(found.before),
        "after": _supposed(found.after),
        "moved": [_moved(each) for each in found.moved],
        "points": points_moved(found, table) if table else (),
    }
    return show(TriedSchema(), document, version=story.history.version)


@blueprint.route("/explain", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(ExplainQuery, location="query")
@blueprint.response(
    200,
    ExplanationSchema,
    example={
        "version": 61,
        "seat": "A",
        "entry": "e-214",
        "working_order": 1,
        "back_number": 214,
        "total": 71.5,
        "place": 2,
        "section": None,
        "tied": False,
        "terms": [
            {"kind": "base", "says": "Base of the scale", "points": 70, "witness": None},
            {"kind": "mark", "says": "Maneuver 1, Walk: good", "points": 1.5, "witness": WITNESS},
        ],
        "steps": [
            {
                "step": "total",
                "says": "By total 71.5: place 2",
                "place": 2,
                "tied": False,
                "witnesses": [],
            }
        ],
        "outcome": None,
        "outcome_witness": None,
        "missing": [],
    },
)
def explain_entry(query: dict[str, Any], class_id: str) -> Response:
    """Explain a total and a place.

    The entry is named by its id, its back number or its number in the working order. Every term
    with its event, the hand, the device and both times. With `Accept: text/plain` as
    lines that a rider can be handed.
    """
    found, seen = inquiry.explanation(
        desk(), caller(), class_id, query["seat"], entry_ref(query), moment(query)
    )
    if request.accept_mimetypes.best_match(["application/json", "text/plain"]) == "text/plain":
        response = Response("\n".join((*as_text(found), "")), mimetype="text/plain")
        response.headers["Cache-Control"] = "private, no-cache"
        response.headers["Vary"] = "Accept, Authorization"
        return response
    return show(ExplanationSchema(), _explanation(found), version=seen.version)


@blueprint.route("/audit", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(
    200,
    AuditSchema,
    example={
        "version": 61,
        "findings": [
            {
                "kind": "correction_without_protest",
                "says": "A correction on the card of seat A was made without a protest, on the "
                "authority of: office error.",
                "seat": "A",
                "entry": "e-214",
                "versions": [57, 61],
            }
        ],
    },
)
def read_audit(class_id: str) -> Response:
    """Read what deserves a look.

    Each finding has innocent explanations too; the steward decides what it means.
    """
    found, story = inquiry.findings(desk(), caller(), class_id)
    document = {"version": story.history.version, "findings": found}
    return show(AuditSchema(), document, version=story.history.version)


@blueprint.route("/ring", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(RingQuery, location="query")
@blueprint.response(
    200,
    RingStandingSchema,
    example={"at": "2026-05-09T14:03:00.000000Z", "known_of": 61, "class_size": 2, "seats": []},
)
def read_ring(query: dict[str, Any], class_id: str) -> Response:
    """Read how the class stood in the ring by a time.

    By the devices' clocks: it counts what a tablet recorded by then and sent later. What the
    office knew at a time is read with `?at=` of the placing, the cards and the log.
    """
    state, story = inquiry.happened_by(desk(), caller(), class_id, query["at"])
    document = _supposed(placing(state, story.book)) | {
        "at": query["at"],
        "known_of": story.history.version,
    }
    return show(RingStandingSchema(), document, version=story.history.version)


@dataclass(frozen=True)
class _Plain:
    """Recorded values as JSON shows them: points as plain numbers, texts as they read."""

    names: Names

    def of(self, value: Any, name: str = "") -> Any:  # noqa: ANN401 - JSON values
        """The value, named as in its event."""
        match value:
            case dict():
                return {key: self.of(each, key) for key, each in value.items()}
            case list() | tuple():
                return [self.of(each) for each in value]
            case bool():
                return value
            case int() if name in HALF_POINT_FIELDS:
                return to_number(value)
            case str() if name in TEXT_FIELDS:
                return self.names.text(value)
            case datetime():
                return time_text(value)
            case date():
                return value.isoformat()
            case _:
                return value


def _added(sent: dict[str, Any], index: int) -> Any:  # noqa: ANN401 - a command of the union
    seat, ref = sent.pop("seat"), entry_ref(sent)
    kind, given = fact_fields(sent["fact"], f"add[{index}].fact")
    return fact_command(Whereabouts(seat=seat, ref=ref, own_id="supposed"), kind, given)


def _comparison(found: Comparison, names: Names) -> dict[str, Any]:
    plain = _Plain(names)
    return {
        "earlier": found.earlier,
        "later": found.later,
        "changes": [_change(plain, change) for change in found.changes],
        "moved": [_moved(each) for each in found.moved],
    }


def _change(plain: _Plain, change: FactChange) -> dict[str, Any]:
    return {
        **msgspec.structs.asdict(change.key),
        "before": plain.of(change.before),
        "after": plain.of(change.after),
        "witness": _witness(change.witness),
        "reason": plain.names.text(change.reason) if change.reason else None,
    }


def _moved(change: StandingChange) -> dict[str, Any]:
    return msgspec.structs.asdict(change)


def _supposed(of: ClassPlacing) -> dict[str, Any]:
    judges = [seat for seat in of.seats if seat.kind == "judge"]
    return {"class_size": of.class_size, "seats": judges}


def _explanation(found: Explanation) -> dict[str, Any]:
    document = msgspec.structs.asdict(found)
    document["terms"] = [
        msgspec.structs.asdict(term) | {"witness": _witness(term.witness)} for term in found.terms
    ]
    document["steps"] = [
        msgspec.structs.asdict(step) | {"witnesses": [_witness(each) for each in step.witnesses]}
        for step in found.steps
    ]
    document["outcome_witness"] = _witness(found.outcome_witness)
    return document


def _witness(witness: Witness | None) -> dict[str, Any] | None:
    if witness is None:
        return None
    return {
        "version": witness.version,
        "event": witness.event_id,
        "key": witness.actor.key,
        "role": witness.actor.role,
        "seat": witness.actor.seat,
        "device": witness.actor.device,
        "occurred_at": witness.occurred_at,
        "recorded_at": witness.recorded_at,
    }
