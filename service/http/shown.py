"""Documents on their way out: names and texts joined, and tagged with the version they show."""

import hashlib
from collections.abc import Mapping
from typing import Any

from flask import Response, json, request
from marshmallow import Schema
from marshmallow.experimental.context import Context
from marshmallow.fields import Nested, String

from events.envelope import TextRef
from service.desk.names import Names


def show(
    schema: Schema,
    document: object,
    *,
    version: int | None = None,
    names: Names | None = None,
    headers: Mapping[str, str] | None = None,
    tag: str | None = None,
) -> Response:
    """The document, or 304 where the client has it already.

    The tag is the version, which ``If-Match`` takes, and a digest of what is shown, because names
    can be corrected and erased while the version stays; of a list it is the digest alone. A ``tag``
    that is given says all of that itself.
    """
    with _Joined(names):
        body = json.dumps(schema.dump(document)).encode()
    if tag is None:
        digest = hashlib.sha256(body).hexdigest()[:16]
        tag = digest if version is None else f"{version}-{digest}"
    if request.if_none_match.contains_weak(tag):
        response = Response(status=304)
    else:
        response = Response(body, mimetype="application/json")
    response.headers.extend(headers or {})
    return _tagged(response, tag, response.headers.get("Vary", "Authorization"))


def unchanged(tag: str, *, vary: str) -> Response | None:
    """304 where the client has what a tag stands for, before it is made; else ``None``."""
    if not request.if_none_match.contains_weak(tag):
        return None
    return _tagged(Response(status=304), tag, vary)


def _tagged(response: Response, tag: str, vary: str) -> Response:
    response.set_etag(tag)
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["Vary"] = vary
    return response


class _Joined(Context[Names | None]):
    """Where the document that is being shown finds names and texts."""


def _names() -> Names:
    known = _Joined.get()
    assert known is not None  # noqa: S101 - whoever shows names brings them
    return known


class Words(String):
    """A text that the log names by reference, as it is read."""

    def _serialize(
        self, value: TextRef | None, attr: str | None, obj: object, **_: object
    ) -> str | None:
        del attr, obj
        return None if value is None else _names().text(value)


class PersonSchema(Schema):
    """Somebody, by id and name; an erased person's name reads ``withheld``."""

    id = String(required=True)
    name = String(required=True)


class HorseSchema(Schema):
    """A horse, by id and name."""

    id = String(required=True)
    name = String(required=True)


class PersonNamed(Nested):
    """A person's id, shown with the name."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        super().__init__(PersonSchema, **options)

    def _serialize(  # type: ignore[override]  # the library names the value in two ways
        self, value: str | None, attr: str | None, obj: object, **_: object
    ) -> object:
        del attr, obj
        return value and {"id": value, "name": _names().person(value)}


class HorseNamed(Nested):
    """A horse's id, shown with the name."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        super().__init__(HorseSchema, **options)

    def _serialize(  # type: ignore[override]  # the library names the value in two ways
        self, value: str | None, attr: str | None, obj: object, **_: object
    ) -> object:
        del attr, obj
        return value and {"id": value, "name": _names().horse(value)}
