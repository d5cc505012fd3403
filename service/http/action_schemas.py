"""Every kind of action as a whole: its envelope, what it is about, and its own fields."""

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from marshmallow import Schema, ValidationError, fields, validate

from service.http.action_kinds import FACTS, KINDS, Kind
from service.http.common import ENTRY_FIELDS
from service.http.documented import ProblemSchema
from service.http.fields import Id, Moment, OneOfKinds, Whole

MOST_ACTIONS = 500
ACTION_ID = r"^[!#-~]{1,128}$"
STATUSES = ("accepted", "repeated", "refused")
_ABOUT: Mapping[str, Mapping[str, fields.Field[Any]]] = {
    "seat": {"seat": Id(metadata={"description": "Whose card; a scribe's key says it already."})},
    "entry": {
        "entry": Id(metadata={"description": "The entry's id."}),
        "working_order": Whole(1, metadata={"description": "Its number in the draw."}),
        "back_number": Whole(1, metadata={"description": "The number that the rider carries."}),
    },
}


class ActionId(fields.String):
    """An action's id: at most 128 visible ASCII characters without quotation marks."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["metadata"] = {"pattern": ACTION_ID, **options.get("metadata", {})}
        super().__init__(**options)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> str:
        del attr, data
        if not isinstance(value, str) or not re.fullmatch(ACTION_ID[1:-1], value):
            raise ValidationError("Not an action's id: at most 128 visible ASCII characters.")
        return value


def _only(name: str) -> fields.Field[Any]:
    return fields.String(required=True, validate=validate.OneOf((name,)))


def _about(kind: Kind) -> dict[str, fields.Field[Any]]:
    return {name: field for part in sorted(kind.about) for name, field in _ABOUT[part].items()}


def _made(title: str, kind: Kind, further: Mapping[str, fields.Field[Any]]) -> Schema:
    schema: type[Schema] = type(f"{title}Schema", (kind.fields,), {"__doc__": kind.says, **further})
    return schema()


def _title(name: str) -> str:
    return "".join(part.capitalize() for part in name.split("_"))


@cache
def action_schema(name: str) -> Schema:
    """The schema of one kind of action, with its envelope."""
    kind = KINDS[name]
    envelope: dict[str, fields.Field[Any]] = {
        "id": ActionId(
            required=True,
            metadata={"description": "The action's id: the same again is the same action."},
        ),
        "kind": _only(name),
        "occurred_at": Moment(
            required=True, metadata={"description": "When it happened, by the device's clock."}
        ),
        "expected_version": Whole(
            metadata={"description": "The class version that it was decided on, to insist on it."}
        ),
    }
    return _made(f"{_title(name)}Action", kind, envelope | _about(kind))


@cache
def fact_schema(name: str) -> Schema:
    """The schema of what a correction puts on a card."""
    return _made(f"{_title(name)}Fact", FACTS[name], {"kind": _only(name)})


def split(given: dict[str, Any]) -> tuple[str | None, dict[str, Any]]:
    """The seat and the names of the entry that a read action carries; both are taken out."""
    named = {name: given.pop(name) for name in ENTRY_FIELDS if name in given}
    return given.pop("seat", None), named


class ActionsSchema(Schema):
    """Judge actions, to be carried out in this order."""

    actions = fields.List(
        OneOfKinds({name: action_schema(name) for name in KINDS}),
        required=True,
        validate=validate.Length(min=1, max=MOST_ACTIONS),
    )


class AnswerSchema(Schema):
    """What became of one action; ``version`` is that of the class after it."""

    id = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "The action's id; null where none could be read."},
    )
    status = fields.String(required=True, validate=validate.OneOf(STATUSES))
    version = Whole(required=True)
    problem = fields.Nested(ProblemSchema)


class AnswersSchema(Schema):
    """What became of every action, in the order they were sent."""

    version = Whole(required=True, metadata={"description": "The class version after all of them."})
    answers = fields.List(fields.Nested(AnswerSchema), required=True)
