"""Keys: made for those who need one, shown once, revoked when lost."""

from typing import Any

from flask import Response, json
from marshmallow import Schema, fields, validate

from service.desk import keys
from service.http.api import Resource
from service.http.fields import Id, Line, Moment
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import show
from service.store.keys import ROLES

blueprint = Resource("keys", __name__, url_prefix="/v1/keys", description=__doc__)

SEAT = r"^[A-Z][A-Z0-9]{0,3}$"
KEY = {
    "id": "5b1c9f0e7a3d2468",
    "label": "Scribe of judge A",
    "role": "scribe",
    "show": "three-rivers-2026",
    "seat": "A",
    "federation": None,
    "created_at": "2026-05-07T16:20:00.000000Z",
    "revoked_at": None,
}


class NewKeySchema(Schema):
    """A key to be made. A scribe's is bound to a seat of a show, others to a show or to none.

    A federation's may be bound to one federation.
    """

    role = fields.String(required=True, validate=validate.OneOf(ROLES))
    label = Line(80, required=True, metadata={"description": "Whose it is, or where it lies."})
    show = Id(load_default=None, allow_none=True)
    seat = fields.String(load_default=None, allow_none=True, validate=validate.Regexp(SEAT))
    federation = Id(
        load_default=None,
        allow_none=True,
        metadata={"description": "Whose seasons a federation's key keeps; without it, anybody's."},
    )


class KeySchema(Schema):
    """A key, without its secret."""

    id = fields.String(required=True)
    label = fields.String(required=True)
    role = fields.String(required=True)
    show = fields.String(required=True, allow_none=True, attribute="show_id")
    seat = fields.String(required=True, allow_none=True)
    federation = fields.String(required=True, allow_none=True)
    created_at = Moment(required=True)
    revoked_at = Moment(required=True, allow_none=True)


class MyKeySchema(Schema):
    """What a key is good for."""

    id = fields.String(required=True)
    role = fields.String(required=True)
    show = fields.String(required=True, allow_none=True)
    seat = fields.String(required=True, allow_none=True)
    federation = fields.String(required=True, allow_none=True)


class MadeKeySchema(KeySchema):
    """A key that was just made; ``key`` is shown this once."""

    key = fields.String(required=True)


class KeyListSchema(Schema):
    """Keys, oldest first."""

    items = fields.List(fields.Nested(KeySchema), required=True)


@blueprint.route("", methods=["POST"])
@blueprint.allows("office")
@blueprint.refuses(404, 422)
@blueprint.arguments(
    NewKeySchema, example={name: KEY[name] for name in ("role", "label", "show", "seat")}
)
@blueprint.response(
    201, MadeKeySchema, example=KEY | {"key": f"ringfold_{KEY['id']}_shown-only-this-once"}
)
def make_key(body: dict[str, Any]) -> Response:
    """Make a key.

    Its text is in the answer and nowhere else: if the answer is lost, revoke the key and make
    another. A key that is bound to one show makes keys for that show alone.
    """
    made = keys.make(desk(), caller(), body.pop("role"), **body)
    document = KeySchema().dump(made.key) | {"key": made.presented}
    response = Response(json.dumps(document), status=201, mimetype="application/json")
    response.headers["Cache-Control"] = "no-store"
    return response


@blueprint.route("", methods=["GET"])
@blueprint.allows("office")
@blueprint.reads
@blueprint.response(200, KeyListSchema, example={"items": [KEY]})
def list_keys() -> Response:
    """List the keys that were ever made."""
    return show(KeyListSchema(), {"items": keys.listed(desk(), caller())})


@blueprint.route("/mine", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.response(
    200,
    MyKeySchema,
    example={name: KEY[name] for name in ("id", "role", "show", "seat", "federation")},
)
def read_my_key() -> Response:
    """Read what the key at hand is good for."""
    mine = caller()
    document = {
        "id": mine.key,
        "role": mine.role,
        "show": mine.show,
        "seat": mine.seat,
        "federation": mine.federation,
    }
    return show(MyKeySchema(), document)


@blueprint.route("/<id:key_id>", methods=["DELETE"])
@blueprint.allows("office")
@blueprint.refuses(404)
@blueprint.response(200, KeySchema, example=KEY | {"revoked_at": "2026-05-08T11:05:00.000000Z"})
def revoke_key(key_id: str) -> Response:
    """Revoke a key.

    From now on it opens nothing; what it wrote stays.
    """
    return show(KeySchema(), keys.revoke(desk(), caller(), key_id))
