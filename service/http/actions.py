"""Judge actions: sent one by one or many at once, each answered for itself."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import msgspec
from flask import Response, json
from marshmallow import ValidationError

from events.envelope import stream_of
from events.judged_class.commands import EntryRef
from events.judged_class.state import ClassState
from events.refusals import Refusal
from service.desk.caller import Ask, Caller, check_show
from service.desk.carry_out import no_class
from service.desk.together import Sent, TurnedDown, carry_out_all
from service.http.action_kinds import KINDS, Whereabouts
from service.http.action_schemas import (
    ActionsSchema,
    AnswersSchema,
    action_schema,
    split,
)
from service.http.api import Resource
from service.http.guard import caller
from service.http.here import desk
from service.http.parsing import faults, invalid
from service.http.pointing import pointed
from service.http.problems import (
    Fault,
    Problem,
    of_refusal,
    of_version,
    problem,
)
from service.store.errors import CommandIdReused, WrongExpectedVersion

blueprint = Resource("actions", __name__, url_prefix="/v1/classes", description=__doc__)

SENT = {
    "actions": [
        {
            "id": "t3-000118",
            "kind": "mark",
            "occurred_at": "2026-05-09T14:03:07Z",
            "back_number": 214,
            "maneuver": 3,
            "mark": 1.5,
        },
        {
            "id": "t3-000119",
            "kind": "penalty",
            "occurred_at": "2026-05-09T14:03:11Z",
            "back_number": 214,
            "maneuver": 3,
            "points": 5,
        },
    ]
}
ANSWERED = {
    "version": 41,
    "answers": [
        {"id": "t3-000118", "status": "accepted", "version": 41},
        {
            "id": "t3-000119",
            "status": "refused",
            "version": 41,
            "problem": {
                "type": "/problems/unknown_penalty_size",
                "title": "No penalty of this size",
                "status": 422,
                "code": "unknown_penalty_size",
                "detail": "The rule book has no penalty of 4 points.",
                "field": "points",
                "rule": "western-horsemanship 2026-1, penalties",
            },
        },
    ],
}


class _Malformed(Exception):
    """An action that cannot be read, and the document that says why."""

    def __init__(self, answer: Problem) -> None:
        super().__init__(answer.code)
        self.answer = answer


@blueprint.route("/<id:class_id>/actions", methods=["POST"])
@blueprint.allows("office", "scribe", "steward")
@blueprint.on_device
@blueprint.refuses(404, 413, 415, 422, 503)
@blueprint.arguments(ActionsSchema, example=SENT)
@blueprint.response(200, AnswersSchema, example=ANSWERED)
def act(body: dict[str, Any], class_id: str) -> Response:
    """Carry out judge actions.

    They are carried out in the order sent, each with its own id, and each is answered for itself:
    `accepted`; `repeated` if the same action was carried out before, and nothing was done now; or
    `refused` with a problem document. A refused or unreadable action does not lose the others.
    After an answer that is not 200, or none at all, send the same batch again: nothing is done
    twice. A penalty, an observation and an order take the action's id where they need one.
    """
    answers = list(_answers(class_id, body["actions"]))
    document = {"version": answers[-1]["version"], "answers": answers}
    response = Response(json.dumps(document), mimetype="application/json")
    response.set_etag(str(document["version"]))
    response.headers["Cache-Control"] = "no-store"
    return response


def _answers(class_id: str, actions: Sequence[object]) -> Iterator[dict[str, Any]]:
    """What each action is answered with, in their order.

    What can be read goes to the desk together, up to the next that cannot be read.
    """
    waiting: list[tuple[Mapping[str, Any], Sent]] = []
    for sent in actions:
        given: Mapping[str, Any] = sent if isinstance(sent, dict) else {}
        try:
            waiting.append((given, _read(caller(), str(given.get("kind")), given)))
        except _Malformed as malformed:
            yield from _carried_out(class_id, waiting)
            waiting = []
            yield _refused(given, _version(class_id), malformed.answer)
    yield from _carried_out(class_id, waiting)


def _carried_out(
    class_id: str, waiting: Sequence[tuple[Mapping[str, Any], Sent]]
) -> Iterator[dict[str, Any]]:
    done = carry_out_all(desk(), class_id, [sent for _, sent in waiting])
    for (given, _), each in zip(waiting, done, strict=True):
        if isinstance(each, TurnedDown):
            _check_place(class_id)
            yield _refused(given, each.version, _problem_of(given, each))
        else:
            status = "repeated" if each.repeated else "accepted"
            yield {"id": given["id"], "status": status, "version": each.version}


def _refused(given: Mapping[str, Any], version: int, why: Problem) -> dict[str, Any]:
    name = given.get("id")
    return {
        "id": name if isinstance(name, str) else None,
        "status": "refused",
        "version": version,
        "problem": msgspec.to_builtins(why),
    }


def _problem_of(given: Mapping[str, Any], turned_down: TurnedDown) -> Problem:
    match turned_down.why:
        case Refusal() as refusal:
            return _as_sent(of_refusal(refusal), given)
        case WrongExpectedVersion() as moved:
            return of_version(moved.expected, moved.actual)
        case CommandIdReused():
            return problem("idempotency_key_reused", field="id")


def _read(holder: Caller, kind: str, given: Mapping[str, Any]) -> Sent:
    if kind not in KINDS:
        raise _Malformed(_unknown_kind(given))
    try:
        read = action_schema(kind).load(given)
    except ValidationError as error:
        raise _Malformed(invalid(tuple(faults(error.messages)))) from error
    del read["kind"]
    ask = Ask(
        caller=holder,
        id=read.pop("id"),
        occurred_at=read.pop("occurred_at"),
        expected_version=read.pop("expected_version", None),
    )
    seat, named = split(read)
    if seat is None and "seat" in KINDS[kind].about:
        seat = _own_seat(holder)
    at = Whereabouts(seat=seat or "", ref=EntryRef(**named), own_id=ask.id)
    return Sent(ask, KINDS[kind].command(at, read))


def _own_seat(holder: Caller) -> str:
    if holder.seat is None:
        fault = Fault("seat", "Say whose card it is; only a scribe's key says it already.")
        raise _Malformed(invalid([fault]))
    return holder.seat


def _unknown_kind(given: Mapping[str, Any]) -> Problem:
    kinds = ", ".join(KINDS)
    named = given.get("kind")
    said_of_it = f"{named!r} is not one" if named is not None else "None was named"
    return problem("unknown_kind", f"{said_of_it}; the kinds are {kinds}.", field="kind")


def _as_sent(answer: Problem, given: Mapping[str, Any]) -> Problem:
    return msgspec.structs.replace(answer, field=pointed(answer.field, given))


def _version(class_id: str) -> int:
    """The version of the class, unless the whole batch has come to the wrong place."""
    return _check_place(class_id).version


def _check_place(class_id: str) -> ClassState:
    state = desk().classes.latest(stream_of("class", class_id)).state
    if state.scheduled is None:
        raise no_class(class_id)
    check_show(caller(), state.scheduled.show)
    return state
