"""Live: being told that a class has moved on, as server-sent events.

Only versions are told; what they say is read at the usual addresses. A stream holds a thread of the
server, so there are few, each ends after some minutes, and none holds a connection of the database.
"""

import time
from collections.abc import Callable, Iterator

import msgspec
from flask import Response, request

from events.envelope import stream_of
from service.desk.caller import Caller, check_show
from service.desk.carry_out import no_class
from service.desk.desk import Desk
from service.http.api import Resource
from service.http.guard import caller
from service.http.here import desk
from service.http.problems import Unwell, problem
from service.http.waiting import ROOM

blueprint = Resource("live", __name__, url_prefix="/v1/classes/<id:class_id>", description=__doc__)

MEDIA_TYPE = "text/event-stream"
EXAMPLE = 'id: 17\nevent: version\ndata: {"version":17}\n\n'
COMMENT = b": still here\n\n"


class Rhythm(msgspec.Struct, frozen=True, kw_only=True):
    """How often a stream looks, when it shows that it lives, and when it ends, in seconds."""

    look: float = 1
    comment: float = 15
    end: float = 300


@blueprint.route("/live", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.refuses(404, 503)
@blueprint.response(200, {"type": "string"}, content_type=MEDIA_TYPE, example=EXAMPLE)
def follow_class(class_id: str) -> Response:
    """Be told when a class moves on.

    An event `version` each time, with the version in `id` and `data`: read the placing or the class
    at it. A public key is told of official results alone. The stream ends after some minutes; ask
    again with `Last-Event-ID`, as browsers do by themselves.
    """
    version = _version_of(desk(), caller(), class_id)
    version()  # what cannot be followed is refused before a place is taken
    give_back = ROOM.take()
    if give_back is None:
        raise Unwell(problem("no_room_to_wait"), {"Retry-After": "15"})
    known = _last_known()
    answer = Response(telling(version, known, Rhythm(), time.monotonic, time.sleep))
    answer.mimetype = MEDIA_TYPE
    answer.call_on_close(give_back)
    answer.headers["X-Accel-Buffering"] = "no"
    return answer


def telling(
    version: Callable[[], int],
    known: int,
    rhythm: Rhythm,
    clock: Callable[[], float],
    sleep: Callable[[float], None],
) -> Iterator[bytes]:
    """The stream: an event for each version other than what is known, until its time is over."""
    begun = said = clock()
    while clock() - begun < rhythm.end:
        now = version()
        if now != known:
            known, said = now, clock()
            yield f'id: {now}\nevent: version\ndata: {{"version":{now}}}\n\n'.encode()
        elif clock() - said >= rhythm.comment:
            said = clock()
            yield COMMENT
        sleep(rhythm.look)


def _version_of(here: Desk, who: Caller, class_id: str) -> Callable[[], int]:
    """What a caller may know of how far the class has come, looked up anew at each call."""
    stream = stream_of("class", class_id)

    def version() -> int:
        state = here.classes.latest(stream).state
        if state.scheduled is None:
            raise no_class(class_id)
        check_show(who, state.scheduled.show)
        return state.official_at or 0 if who.role == "public" else state.version

    return version


def _last_known() -> int:
    """The version that the client was told last; 0 where it says nothing of use."""
    sent = request.headers.get("Last-Event-ID", "")
    return int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 10 else 0  # noqa: PLR2004 - as versions are
