"""What the published contract says of errors, headers and schemas."""

import inspect
from collections.abc import Mapping
from typing import Any

from apispec.ext.marshmallow import MarshmallowPlugin
from apispec.ext.marshmallow.openapi import OpenAPIConverter
from marshmallow import INCLUDE, Schema, fields

from service.http import asking, guard
from service.http.fields import Figure, Moment, OneOfKinds, Points, Whole
from service.http.problems import Kind, kinds


class FaultSchema(Schema):
    """One thing that is wrong in the request."""

    field = fields.String(required=True)
    detail = fields.String(required=True)
    line = Whole(metadata={"description": "Where it stands in a text that was sent."})


class ProblemSchema(Schema):
    """A problem document (RFC 9457)."""

    class Meta:
        """Further members may come (RFC 9457, section 3.2)."""

        unknown = INCLUDE

    type = fields.String(required=True, metadata={"format": "uri-reference"})
    title = fields.String(required=True)
    status = Whole(required=True)
    code = fields.String(required=True)
    detail = fields.String()
    field = fields.String(metadata={"description": "The part of the request that is at fault."})
    rule = fields.String(metadata={"description": "The rule that refused it."})
    incident = fields.String(metadata={"description": "Where the server's journal has it."})
    facts = fields.Dict(metadata={"description": "What a program may want to know."})
    errors = fields.List(fields.Nested(FaultSchema))


class Converter(OpenAPIConverter):
    """Schemas become JSON Schema with their docstrings, and kinds of actions one of several."""

    field_mapping: dict[type, tuple[str | None, str | None]] = {  # noqa: RUF012 - as the library has it
        **OpenAPIConverter.field_mapping,
        Whole: ("integer", None),
        Points: ("number", None),
        Moment: ("string", "date-time"),
        Figure: ("string", None),
    }

    def schema2jsonschema(self, schema: Schema) -> dict[str, Any]:
        """The schema's properties, and what it says of itself."""
        found: dict[str, Any] = super().schema2jsonschema(schema)  # type: ignore[no-untyped-call]
        return {"description": inspect.getdoc(type(schema)), **found}

    def init_attribute_functions(self) -> None:
        """What the library documents of a field, and which kinds of object there are."""
        super().init_attribute_functions()  # type: ignore[no-untyped-call]
        self.add_attribute_function(_kinds)  # type: ignore[no-untyped-call]


def _kinds(self: Converter, field: fields.Field[Any], **_: object) -> dict[str, Any]:
    if not isinstance(field, OneOfKinds):
        return {}
    refs = {
        name: self.resolve_nested_schema(schema)  # type: ignore[no-untyped-call]
        for name, schema in field.schemas.items()
    }
    mapping = {name: ref["$ref"] for name, ref in refs.items()}
    return {
        "oneOf": list(refs.values()),
        "discriminator": {"propertyName": "kind", "mapping": mapping},
    }


class Plugin(MarshmallowPlugin):
    """The library's plugin with our converter."""

    Converter = Converter


HEADERS: Mapping[str, Mapping[str, Any]] = {
    "IDEMPOTENCY_KEY": {
        "name": asking.KEY_HEADER,
        "required": True,
        "description": "The command's id, of your choice. The same id again is the same command: "
        "it is carried out once and answered as the first time.",
        "schema": {"type": "string", "pattern": asking.KEY},
        "example": "7c1e9a52-scratch-214",
    },
    "EXPECTED_VERSION": {
        "name": "If-Match",
        "description": "The version that the command was decided on, as `ETag` gave it; if "
        "something has happened since, nothing is done (412).",
        "schema": {"type": "string", "pattern": asking.VERSION},
        "example": '"17"',
    },
    "KNOWN_VERSION": {
        "name": "If-None-Match",
        "description": "The `ETag` of the copy at hand; if it is still right, the answer is 304.",
        "schema": {"type": "string"},
    },
    "DEVICE": {
        "name": guard.DEVICE_HEADER,
        "description": "What the device in hand is called; it stands in the log.",
        "schema": {"type": "string", "pattern": guard.DEVICE},
        "example": "tablet-3",
    },
}


def example(status: int) -> Mapping[str, Any] | None:
    """A problem document of that status, if any has it."""
    found: tuple[str, Kind] | None = next(
        ((code, kind) for code, kind in kinds().items() if kind.status == status), None
    )
    if found is None:
        return None
    code, kind = found
    return {"type": f"/problems/{code}", "title": kind.title, "status": status, "code": code}
