"""What several resources share: receipts, pages, moments, and how an entry is named."""

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from flask import Response, json, request
from marshmallow import Schema, ValidationError, fields, validate

from events.judged_class.commands import EntryRef
from service.desk.caller import Receipt
from service.desk.moments import At
from service.http.fields import Digits, Id, Whole, moment_from
from service.http.problems import Fault, Unwell, problem

PAGE_LIMIT = 50
LONGEST_PAGE = 500
RECEIPT = {"id": "ranch-reining-open", "version": 17, "events": 1}
ENTRY_FIELDS = ("entry", "working_order", "back_number")


class ReceiptSchema(Schema):
    """What a command led to."""

    id = fields.String(
        required=True, metadata={"description": "The id of what was made or acted on."}
    )
    version = Whole(metadata={"description": "The version after it, as in `ETag`."})
    events = Whole(
        required=True,
        metadata={"description": "How many events it added; 0 when it was so already."},
    )


class EntryRefSchema(Schema):
    """An entry, named by one of these or by several that agree."""

    entry = Id(metadata={"description": "Its id."})
    working_order = Whole(1, metadata={"description": "Its number in the draw."})
    back_number = Whole(1, metadata={"description": "The number that the rider carries."})


class PageQuery(Schema):
    """Which part of a list."""

    after = fields.String(
        metadata={"description": "The cursor that the page before gave as `next`."}
    )
    limit = Digits(
        1, LONGEST_PAGE, load_default=PAGE_LIMIT, metadata={"description": "How many at most."}
    )


class AtQuery(Schema):
    """The moment to look at."""

    at = fields.String(
        validate=validate.Length(max=40),
        metadata={
            "description": "A version, or an RFC 3339 time of the server's clock; without it, now.",
            "example": "2026-05-09T14:03:00Z",
        },
    )


def moment(query: Mapping[str, Any]) -> At:
    """The moment that ``at`` names, or a problem that says what it may be."""
    at = query.get("at")
    if at is None:
        return None
    if at.isascii() and at.isdigit():
        return int(at)
    found = moment_from(at)
    if found is None:
        plus = " In an address, + is written %2B." if " " in at else ""
        fault = Fault("at", f"{at!r} is neither a version nor an RFC 3339 time.{plus}")
        raise Unwell(problem("at_unknown", fault.detail, field="at", errors=[fault]))
    return found


def entry_ref(body: dict[str, Any]) -> EntryRef:
    """The entry that a body names; its fields are taken out of the body."""
    return EntryRef(**{name: body.pop(name) for name in ENTRY_FIELDS if name in body})


def acknowledged(receipt: Receipt, status: int = 200, *, location: str | None = None) -> Response:
    """The receipt of a command, the same for a repeated one."""
    body: dict[str, object] = {"id": receipt.id, "events": receipt.events}
    response = Response(status=status, mimetype="application/json")
    if receipt.version:
        body["version"] = receipt.version
        response.set_etag(str(receipt.version))
    response.set_data(json.dumps(body))
    if location is not None:
        response.headers["Location"] = location
    response.headers["Cache-Control"] = "no-store"
    return response


def cursor(query: Mapping[str, Any]) -> int:
    """The position that a page begins behind."""
    after = query.get("after")
    if after is None:
        return 0
    if not (after.isascii() and after.isdigit() and len(after) <= 18):  # noqa: PLR2004 - 63 bits
        raise Unwell(problem("cursor_unknown", field="after"))
    return int(after)


def next_link(next_cursor: str | None, limit: int, **fixed: str) -> dict[str, str]:
    """The header that leads on to the next page, if there is one, with what stays ``fixed``."""
    if next_cursor is None:
        return {}
    query = {**request.args.to_dict(), **fixed, "after": next_cursor, "limit": limit}
    return {"Link": f'<{request.path}?{urlencode(query)}>; rel="next"'}


def exactly_one(body: Mapping[str, object], names: Sequence[str]) -> None:
    """Refuse a body that holds none or several of these."""
    if sum(name in body for name in names) != 1:
        raise ValidationError(f"Give exactly one of {', '.join(names)}.")
