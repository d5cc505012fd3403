"""flask-smorest as this API uses it: problem documents, strict reading, roles on every address."""

from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import Any, TypeVar

from flask import Response, g
from flask_smorest import Api, Blueprint
from marshmallow import INCLUDE, Schema, fields
from werkzeug.exceptions import HTTPException

from events.envelope import Role
from service.http import asking, guard
from service.http.fields import Day, Digits, Moment, Points, Whole
from service.http.parsing import StrictParser
from service.http.problems import MEDIA_TYPE, Kind, Problem, Unwell, kinds, problem, respond

View = TypeVar("View", bound=Callable[..., Any])
_PLAIN = {
    400: "bad_request",
    404: "not_found",
    405: "method_not_allowed",
    406: "not_acceptable",
    413: "too_large",
    415: "not_json",
    500: "error",
}


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


class RingfoldApi(Api):
    """The API, whose every error is a problem document, in the document too."""

    def handle_http_exception(self, error: HTTPException) -> Response:
        """Any error that HTTP knows, as a problem document."""
        if isinstance(error, Unwell):
            return respond(error.problem, error.headers)
        status = error.code or HTTPStatus.INTERNAL_SERVER_ERROR
        if status < HTTPStatus.BAD_REQUEST:
            return Response(status=status, headers=error.get_headers())
        headers = {key: value for key, value in error.get_headers() if key != "Content-Type"}
        return respond(_of_http(error, status), headers)

    def _register_responses(self) -> None:
        for status in HTTPStatus:
            response: dict[str, Any] = {"description": status.phrase}
            if status >= HTTPStatus.BAD_REQUEST:
                example = _example(status)
                content = {"schema": ProblemSchema} | ({"example": example} if example else {})
                response["content"] = {MEDIA_TYPE: content}
            self.spec.components.response(status.name, response, lazy=True)

    def _init_spec(self, **options: Any) -> None:  # noqa: ANN401 - as the library hands them on
        super()._init_spec(**options)
        for field, kind, form in (
            (Whole, "integer", None),
            (Digits, "integer", None),
            (Points, "number", None),
            (Moment, "string", "date-time"),
            (Day, "string", "date"),
        ):
            self.register_field(field, kind, form)
        self.spec.components.security_scheme("key", {"type": "http", "scheme": "bearer"})
        for name, header in _HEADERS.items():
            self.spec.components.parameter(name, "header", header, lazy=True)


class Resource(Blueprint):
    """The addresses of one resource, each of which says who may call it."""

    ARGUMENTS_PARSER = StrictParser()

    def allows(self, *roles: Role) -> Callable[[View], View]:
        """Open an address to these roles; to anyone, without a key, where none is named."""

        def decorate(view: View) -> View:
            guard.open_to(view, frozenset(roles))
            if not roles:
                return view
            said = f"For keys of the roles: {', '.join(roles)}."
            documented: View = self.doc(security=[{"key": []}], **{"x-roles": list(roles)})(view)
            documented.__doc__ = f"{(view.__doc__ or '').rstrip()}\n\n{said}\n"
            return self._may_answer(401, 403)(documented)

        return decorate

    def commands(self, view: View) -> View:
        """Document the envelope of a command."""
        documented: View = self.doc(parameters=["IDEMPOTENCY_KEY", "EXPECTED_VERSION", "DEVICE"])(
            view
        )
        return self._may_answer(400, 409, 412, 422, 503)(documented)

    def reads(self, view: View) -> View:
        """Document a document that is tagged with its version."""
        documented: View = self.doc(parameters=["KNOWN_VERSION"])(view)
        return self._may_answer(304)(documented)

    def refuses(self, *statuses: int) -> Callable[[View], View]:
        """Document further statuses that an address answers with."""
        return self._may_answer(*statuses)

    def _may_answer(self, *statuses: int) -> Callable[[View], View]:
        def decorate(view: View) -> View:
            for status in statuses:
                view = self.alt_response(status, HTTPStatus(status).name)(view)
            return view

        return decorate


_HEADERS: Mapping[str, Mapping[str, Any]] = {
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


def _of_http(error: HTTPException, status: int) -> Problem:
    code = _PLAIN.get(status)
    if code is None:
        name = error.name
        return Problem(type="about:blank", title=name, status=status, code=f"http_{status}")
    if status == HTTPStatus.INTERNAL_SERVER_ERROR:
        return problem(code, incident=g.get("incident"))
    return problem(code)


def _example(status: int) -> Mapping[str, Any] | None:
    found: tuple[str, Kind] | None = next(
        ((code, kind) for code, kind in kinds().items() if kind.status == status), None
    )
    if found is None:
        return None
    code, kind = found
    return {"type": f"/problems/{code}", "title": kind.title, "status": status, "code": code}
