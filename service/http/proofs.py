"""The log's proofs: checkpoints, keys to check them with, and that nothing was rewritten."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields

from events.proof.text import to_base64
from events.refusals import Refusal
from service.desk.proofs import bundle
from service.http.api import Resource
from service.http.fields import Digits, Moment, Whole
from service.http.files import hand_over
from service.http.guard import caller
from service.http.here import desk, trust
from service.http.shown import show

blueprint = Resource("proofs", __name__, url_prefix="/v1", description=__doc__)

GREATEST = 9_999_999_999
HASH = "jXcTqy2Lk3c0pQmZ0h1vB8qk9sXw5n2rT7yUe4aGdFQ="
NOTE = f"ringfold.example/log\n941\n{HASH}\n\n\N{EM DASH} ringfold.example/log jXcTqy2Lk3c=\n"
KEY = {
    "id": "8d7713ab",
    "verifier": f"ringfold.example/log+8d7713ab+{HASH}",
    "made_at": "2026-01-03T09:00:00.000000Z",
    "retired_at": None,
}
BUNDLE = '{"checkpoint":"...","events":63,"format":"...","stream":"class-ranch-reining-open"}\n'
TEXT = {"type": "string"}
BASE64 = {"description": "SHA-256 in base64."}


class SigningKeySchema(Schema):
    """A key that signs for the log or once did, as one line (C2SP signed-note)."""

    id = fields.String(required=True)
    verifier = fields.String(required=True)
    made_at = Moment(required=True)
    retired_at = Moment(required=True, allow_none=True)


class SigningKeyListSchema(Schema):
    """Every key that ever signed for the log of that origin, oldest first."""

    origin = fields.String(required=True)
    items = fields.List(fields.Nested(SigningKeySchema), required=True)


class InclusionQuery(Schema):
    """Which event, in the tree over how many events."""

    position = Digits(1, GREATEST, required=True)
    size = Digits(
        1, GREATEST, metadata={"description": "Without it, that of the newest checkpoint."}
    )


class InclusionSchema(Schema):
    """That the event with that leaf hash stands at a position among the first `size` events.

    RFC 9162, section 2.1.3; the leaf's index is `position - 1`.
    """

    position = Whole(required=True)
    size = Whole(required=True)
    leaf = fields.String(required=True, metadata=BASE64)
    path = fields.List(fields.String(metadata=BASE64), required=True)


class ConsistencyQuery(Schema):
    """From how many events to how many."""

    first = Digits(0, GREATEST, required=True)
    second = Digits(
        0, GREATEST, metadata={"description": "Without it, that of the newest checkpoint."}
    )


class ConsistencySchema(Schema):
    """That the log of `second` events begins with the log of `first` (RFC 9162, section 2.1.4)."""

    first = Whole(required=True)
    second = Whole(required=True)
    path = fields.List(fields.String(metadata=BASE64), required=True)


class BundleQuery(Schema):
    """From which earlier checkpoint on it is also proved that nothing was rewritten."""

    since = Digits(0, GREATEST, metadata={"description": "How many events it was over."})


@blueprint.route("/log/checkpoint", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, TEXT, content_type="text/plain", example=NOTE)
def read_checkpoint() -> Response:
    """Read the newest signed checkpoint.

    How many events the log holds and one hash over all of them, as a C2SP tlog-checkpoint. Whoever
    keeps it can prove later that nothing before it was rewritten.
    """
    newest = trust().latest_checkpoint()
    if newest is None:
        raise Refusal("no_checkpoint", "No checkpoint of the log has been signed yet.")
    return hand_over(newest.note, "text/plain")


@blueprint.route("/log/keys", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.response(
    200, SigningKeyListSchema, example={"origin": "ringfold.example/log", "items": [KEY]}
)
def list_signing_keys() -> Response:
    """List the public keys that checkpoints and results are checked with.

    Retired keys stay: what they signed stays verifiable.
    """
    found = trust()
    document = {"origin": found.origin, "items": found.verifier_keys()}
    return show(SigningKeyListSchema(), document)


@blueprint.route("/log/proofs/inclusion", methods=["GET"])
@blueprint.allows("office", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(InclusionQuery, location="query")
@blueprint.response(
    200, InclusionSchema, example={"position": 3, "size": 941, "leaf": HASH, "path": [HASH, HASH]}
)
def prove_inclusion(query: dict[str, Any]) -> Response:
    """Prove that an event is in the log."""
    proof = trust().inclusion(query["position"], query.get("size"))
    document = {
        "position": proof.position,
        "size": proof.size,
        "leaf": to_base64(proof.leaf),
        "path": [to_base64(each) for each in proof.path],
    }
    return show(InclusionSchema(), document)


@blueprint.route("/log/proofs/consistency", methods=["GET"])
@blueprint.allows("office", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(ConsistencyQuery, location="query")
@blueprint.response(
    200, ConsistencySchema, example={"first": 63, "second": 941, "path": [HASH, HASH]}
)
def prove_consistency(query: dict[str, Any]) -> Response:
    """Prove that the log only grew."""
    proof = trust().consistency(query["first"], query.get("second"))
    document = {
        "first": proof.first,
        "second": proof.second,
        "path": [to_base64(each) for each in proof.path],
    }
    return show(ConsistencySchema(), document)


@blueprint.route("/classes/<id:class_id>/bundle", methods=["GET"])
@blueprint.allows("office", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422, 503)
@blueprint.arguments(BundleQuery, location="query")
@blueprint.response(200, TEXT, content_type="application/x-ndjson", example=BUNDLE)
def download_bundle(query: dict[str, Any], class_id: str) -> Response:
    """Download a class with everything that proves it.

    Its events with their proofs, its rule book, its results and a checkpoint, for
    `ringfold verify`, which needs neither this server nor its database.
    """
    body = bundle(desk(), caller(), trust(), class_id, query.get("since"))
    return hand_over(body, "application/x-ndjson", filename=f"{class_id}.bundle")
