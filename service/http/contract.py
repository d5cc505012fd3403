"""The published contract: the OpenAPI document, generated from the code that answers."""

from typing import Any

from flask import Flask, Response, json

from service.http import guard
from service.http.api import RingfoldApi

DESCRIPTION = """\
Ringfold keeps every action of a judged horse-show class as an immutable event and derives totals, \
placings and results from them.

**Keys.** Send `Authorization: Bearer ringfold_...`. Every operation says which roles it is for: \
`office`, `scribe` (bound to the seat of one judge), `steward`, `federation` (reads), `public` \
(official results only).

**Commands** carry an `Idempotency-Key` of your choice. The same id again is the same command: it \
is carried out once and answered as the first time. `If-Match` with the `ETag` of what you read \
insists that nothing has happened since.

**Moments.** A class's `version` counts its events without gaps. `at` takes a version, or an \
RFC 3339 time of the server's clock, wherever a class is read.

**Points** are plain numbers in halves, such as `1.5`. Times are RFC 3339 in UTC with microseconds.

**Problems** are RFC 9457 problem documents. `code` is stable, `type` leads to a page that \
explains it, `field` names the part of the request at fault, `rule` the rule that refused it.

**Limits.** Each answer tells in `X-RateLimit-Limit`, `-Remaining` and `-Reset` (seconds) what a \
client may still ask in this minute, and the same in `RateLimit` and `RateLimit-Policy`, as the \
IETF drafts them. What is too much is answered with 429 and `Retry-After`.

**Compression.** Send `Accept-Encoding: gzip`. The tags of compressed answers end in `-gzip` and \
may be sent back as they are.

**Changes to the contract.** What `/v1` answers only ever gains: members, addresses, kinds, codes. \
Ignore what you do not know. What will go is announced with `Deprecation` and `Sunset` headers.

**Lists** give a cursor as `next`, and the next page as a `Link`.
"""


def document(api: RingfoldApi) -> dict[str, Any]:
    """The contract as it follows from the code."""
    found: dict[str, Any] = api.spec.to_dict()
    return found


def text(api: RingfoldApi) -> str:
    """The contract as it is kept under ``openapi/``: the same bytes from the same code."""
    return json.dumps(document(api), indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def serve(app: Flask, api: RingfoldApi) -> None:
    """Let anyone read the contract at ``/v1/openapi.json``."""

    def openapi() -> Response:
        return Response(body, mimetype="application/json")

    with app.app_context():
        body = text(api)
    app.add_url_rule("/v1/openapi.json", "openapi", guard.open_to(openapi, guard.ANYONE))
