"""Problem documents (RFC 9457): every answer that is not the one that was hoped for."""

import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files

import msgspec
from flask import Response
from werkzeug.exceptions import HTTPException

from events.refusals import Fact, Refusal
from service.desk.eligibility import NotEligible
from service.store.errors import (
    CommandIdReused,
    ConcurrencyGaveUp,
    StoreBusy,
    StoreError,
    StoreUnreachable,
    WrongExpectedVersion,
)

MEDIA_TYPE = "application/problem+json"
RETRY_SECONDS = 2


class Kind(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What one code stands for: a page under ``/problems`` says the same."""

    status: int
    title: str
    advice: str


class Fault(msgspec.Struct, frozen=True, omit_defaults=True):
    """One thing that is wrong in a request; ``line`` counts in a text that was sent."""

    field: str
    detail: str
    line: int | None = None


class Problem(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A problem document.

    ``field`` names the part of the request that is at fault, ``rule`` the rule that refused it,
    ``facts`` are what a program may want to know, and ``errors`` lists every fault there is.
    """

    type: str
    title: str
    status: int
    code: str
    detail: str | None = None
    field: str | None = None
    rule: str | None = None
    incident: str | None = None
    facts: Mapping[str, Fact] = {}
    errors: tuple[Fault, ...] = ()


class Unwell(HTTPException):
    """An answer that is a problem document."""

    def __init__(self, problem: Problem, headers: Mapping[str, str] | None = None) -> None:
        super().__init__(problem.detail)
        self.code = problem.status
        self.problem = problem
        self.headers = dict(headers or {})


@cache
def kinds() -> Mapping[str, Kind]:
    """Every code there is."""
    text = files(__package__).joinpath("problems.toml").read_text(encoding="utf-8")
    return msgspec.convert(tomllib.loads(text), dict[str, Kind])


def problem(
    code: str,
    detail: str | None = None,
    *,
    field: str | None = None,
    rule: str | None = None,
    incident: str | None = None,
    facts: Mapping[str, Fact] | None = None,
    errors: Sequence[Fault] = (),
) -> Problem:
    """The document for a code; ``KeyError`` if there is none of that code.

    Without a detail of its own it says what to do, as the page of the code does.
    """
    kind = kinds()[code]
    return Problem(
        type=f"/problems/{code}",
        title=kind.title,
        status=kind.status,
        code=code,
        detail=kind.advice if detail is None else detail,
        field=field,
        rule=rule,
        incident=incident,
        facts={name: fact for name, fact in (facts or {}).items() if fact is not None},
        errors=tuple(errors),
    )


def of_refusal(refusal: Refusal) -> Problem:
    """What the core or the desk refused, as a document."""
    answer = problem if refusal.code in kinds() else _unlisted
    reasons = refusal.reasons if isinstance(refusal, NotEligible) else ()
    return answer(
        refusal.code,
        refusal.message,
        field=refusal.field,
        rule=refusal.rule,
        facts=refusal.facts,
        errors=[Fault(each.field or "", each.message) for each in reasons],
    )


def _unlisted(
    code: str,
    detail: str,
    *,
    field: str | None,
    rule: str | None,
    facts: Mapping[str, Fact],
    errors: Sequence[Fault] = (),
) -> Problem:
    """A refusal that the list has not caught up with: what it says itself still goes out."""
    return Problem(
        type="about:blank",
        title=detail,
        status=409 if field is None else 422,
        code=code,
        detail=detail,
        field=field,
        rule=rule,
        facts={name: fact for name, fact in facts.items() if fact is not None},
        errors=tuple(errors),
    )


def of_store(error: StoreError) -> tuple[Problem, Mapping[str, str]]:
    """What the store did not carry out, as a document with its headers; or the error again."""
    retry = {"Retry-After": str(RETRY_SECONDS)}
    match error:
        case WrongExpectedVersion():
            return of_version(error.expected, error.actual), {"ETag": f'"{error.actual}"'}
        case CommandIdReused():
            return problem("idempotency_key_reused", facts={"id": error.command}), {}
        case StoreBusy() | ConcurrencyGaveUp():
            return problem("busy"), retry
        case StoreUnreachable():
            return problem("unreachable"), retry
        case _:
            raise error


def of_version(expected: int, version: int) -> Problem:
    """That something has happened since the version that a command insisted on."""
    return problem(
        "stale_version",
        f"You expected version {expected}; now it is {version}.",
        facts={"expected": expected, "version": version},
    )


def respond(answer: Problem, headers: Mapping[str, str] | None = None) -> Response:
    """The document on its way out."""
    response = Response(
        msgspec.json.encode(answer), status=answer.status, mimetype=MEDIA_TYPE, headers=headers
    )
    response.headers["Cache-Control"] = "no-store"
    return response
