"""Subscriptions: messages to an address of yours, signed by the Standard Webhooks specification."""

from typing import Any

from flask import Response, json
from marshmallow import Schema, fields, validate

from service.desk import subscriptions
from service.desk.subscriptions import Opened, Subscription
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.fields import Id, Line, Moment, Whole
from service.http.guard import caller
from service.http.here import desk, reach
from service.http.shown import show
from service.reach import LONGEST_URL
from service.store import notices
from service.store.subscribers import Subscriber

blueprint = Resource("subscriptions", __name__, url_prefix="/v1/subscriptions", description=__doc__)

GREATEST = 2**53 - 1
ONE = "/<id:subscription_id>"
WANTED = {
    "url": "https://federation.example/hooks/ringfold",
    "label": "The federation's own copy",
    "types": ["result.published", "result.corrected"],
    "show": None,
}
SUBSCRIPTION = {
    "id": "sub_0f0e2c52-8c1d-8a10-b0a4-3c1f5e9d7a60",
    **WANTED,
    "created_at": "2026-05-07T16:20:00.000000Z",
    "failures": 0,
    "failing_since": None,
    "last_error": None,
    "delivered_at": "2026-05-09T15:40:03.000000Z",
    "paused_at": None,
    "paused_why": None,
}
OPENED = SUBSCRIPTION | {"secret": "whsec_shown-only-this-once"}


class TypesField(fields.List[str]):
    """Kinds of messages; none named means all of them."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        each = fields.String(metadata={"enum": list(notices.TYPES)})
        super().__init__(each, validate=validate.Length(max=20), **options)


class NewSubscriptionSchema(Schema):
    """Which messages are wanted, and where."""

    url = Line(LONGEST_URL, required=True, metadata={"description": "An https address."})
    label = Line(80, required=True, metadata={"description": "Whose it is."})
    types = TypesField(load_default=list)
    show = Id(load_default=None, allow_none=True, metadata={"description": "Of one show alone."})
    after = Whole(
        0,
        GREATEST,
        load_default=None,
        allow_none=True,
        metadata={
            "description": "Begin with everything beyond this position of the log, as a change's "
            "`position` or the feed's `next` gives it; without it, from now on."
        },
    )


class ChangedSubscriptionSchema(Schema):
    """What is to be otherwise; whatever is left out stays."""

    url = Line(LONGEST_URL)
    label = Line(80)
    types = TypesField()


class ReplaySchema(Schema):
    """From where on."""

    after = Whole(0, GREATEST, required=True, metadata={"description": "A position of the log."})


class SubscriptionSchema(Schema):
    """A subscription, without its secret, and how sending to it has been going."""

    id = fields.String(required=True)
    url = fields.String(required=True)
    label = fields.String(required=True)
    types = fields.List(fields.String(), required=True)
    show = fields.String(required=True, allow_none=True, attribute="show_id")
    created_at = Moment(required=True)
    failures = Whole(required=True, metadata={"description": "Attempts in a row that failed."})
    failing_since = Moment(required=True, allow_none=True)
    last_error = fields.String(required=True, allow_none=True)
    delivered_at = Moment(required=True, allow_none=True)
    paused_at = Moment(required=True, allow_none=True)
    paused_why = fields.String(required=True, allow_none=True)


class OpenedSchema(SubscriptionSchema):
    """A subscription with the secret to check its messages with, shown this once."""

    secret = fields.String(required=True)


class SubscriptionListSchema(Schema):
    """Subscriptions, oldest first."""

    items = fields.List(fields.Nested(SubscriptionSchema), required=True)


class SendingSchema(Schema):
    """How many messages are sent again."""

    id = fields.String(required=True)
    messages = Whole(required=True)


@blueprint.route("", methods=["POST"])
@blueprint.allows("office", "federation")
@blueprint.registers
@blueprint.refuses(404)
@blueprint.arguments(NewSubscriptionSchema, example=WANTED)
@blueprint.response(201, OpenedSchema, example=OPENED)
def subscribe(body: dict[str, Any]) -> Response:
    """Subscribe to messages.

    Each says what happened and where to read it. Whoever answers anything but 2xx is sent it again
    at growing intervals, and is paused after some days. The secret is in this answer and nowhere
    else; the same command again is answered with it, until it is replaced.
    """
    after = body.pop("after")
    wanted = Subscription(**body | {"types": tuple(body["types"])})
    opened = subscriptions.subscribe(desk(), command_ask(), reach(), wanted, after=after)
    return _with_secret(opened, 201)


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "federation")
@blueprint.reads
@blueprint.response(200, SubscriptionListSchema, example={"items": [SUBSCRIPTION]})
def list_subscriptions() -> Response:
    """List the subscriptions that the key may know of."""
    found = subscriptions.listed(desk(), caller())
    return show(SubscriptionListSchema(), {"items": found})


@blueprint.route(ONE, methods=["GET"])
@blueprint.allows("office", "federation")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, SubscriptionSchema, example=SUBSCRIPTION)
def read_subscription(subscription_id: str) -> Response:
    """Read a subscription, and how sending to it has been going."""
    return _shown(subscriptions.one(desk(), caller(), subscription_id))


@blueprint.route(ONE, methods=["PATCH"])
@blueprint.allows("office", "federation")
@blueprint.refuses(400, 404, 422)
@blueprint.arguments(ChangedSubscriptionSchema, example={"label": "The federation's new copy"})
@blueprint.response(200, SubscriptionSchema, example=SUBSCRIPTION)
def change_subscription(body: dict[str, Any], subscription_id: str) -> Response:
    """Send to another address, or about other things."""
    known = subscriptions.one(desk(), caller(), subscription_id)
    changed = subscriptions.change(
        desk(),
        caller(),
        reach(),
        subscription_id,
        url=body.get("url", known.url),
        label=body.get("label", known.label),
        types=tuple(body.get("types", known.types)),
    )
    return _shown(changed)


@blueprint.route(ONE, methods=["DELETE"])
@blueprint.allows("office", "federation")
@blueprint.refuses(404)
@blueprint.response(204)
def unsubscribe(subscription_id: str) -> Response:
    """Send nothing any more, and forget the secrets and what was still to be sent."""
    subscriptions.remove(desk(), caller(), subscription_id)
    return Response(status=204)


@blueprint.route(f"{ONE}/secret", methods=["POST"])
@blueprint.allows("office", "federation")
@blueprint.refuses(404)
@blueprint.response(201, OpenedSchema, example=OPENED)
def rotate_secret(subscription_id: str) -> Response:
    """Replace the secret.

    For a day messages bear the signatures of both, so that nothing is lost on the way. The new one
    is in this answer and nowhere else.
    """
    return _with_secret(subscriptions.rotate_secret(desk(), caller(), subscription_id), 201)


@blueprint.route(f"{ONE}/pause", methods=["POST"])
@blueprint.allows("office", "federation")
@blueprint.refuses(404)
@blueprint.response(200, SubscriptionSchema, example=SUBSCRIPTION)
def pause(subscription_id: str) -> Response:
    """Send nothing for now; what there would be to send is kept."""
    return _shown(subscriptions.pause(desk(), caller(), subscription_id))


@blueprint.route(f"{ONE}/resume", methods=["POST"])
@blueprint.allows("office", "federation")
@blueprint.refuses(404)
@blueprint.response(200, SendingSchema, example={"id": SUBSCRIPTION["id"], "messages": 3})
def resume(subscription_id: str) -> Response:
    """Send again, and first what was kept or given up meanwhile."""
    messages = subscriptions.resume(desk(), caller(), subscription_id)
    return _sending(subscription_id, messages)


@blueprint.route(f"{ONE}/replay", methods=["POST"])
@blueprint.allows("office", "federation")
@blueprint.refuses(400, 404, 422)
@blueprint.arguments(ReplaySchema, example={"after": 412})
@blueprint.response(200, SendingSchema, example={"id": SUBSCRIPTION["id"], "messages": 3})
def replay(body: dict[str, Any], subscription_id: str) -> Response:
    """Send everything beyond a position of the log again.

    Messages bear the ids that they bore before, so who has one already knows it.
    """
    messages = subscriptions.replay(desk(), caller(), subscription_id, after=body["after"])
    return _sending(subscription_id, messages)


def _shown(of: Subscriber) -> Response:
    return show(SubscriptionSchema(), of)


def _sending(subscription_id: str, messages: int) -> Response:
    return show(SendingSchema(), {"id": subscription_id, "messages": messages})


def _with_secret(opened: Opened, status: int) -> Response:
    document = SubscriptionSchema().dump(opened.subscriber) | {"secret": opened.secret}
    response = Response(json.dumps(document), status=status, mimetype="application/json")
    response.headers["Cache-Control"] = "no-store"
    response.headers["Location"] = f"/v1/subscriptions/{opened.subscriber.id}"
    return response
