"""Where to look once the demo is served: keys, addresses, and lines to try."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from events.codec import time_text
from events.envelope import stream_of
from service.demo.happenings import Look
from service.demo.scenario import ClassStory, ShowStory
from service.desk.desk import Desk


class Sign(NamedTuple):
    """What there is to see, its address, whose key opens it, and what is sent there, if any."""

    says: str
    path: str
    key: str
    sends: str | None = None


def signs(desk: Desk, show: ShowStory, story: ClassStory) -> tuple[Sign, ...]:
    """The addresses worth a look, for the class that is told in full."""
    here = f"/v1/classes/{story.id}"
    events = desk.log.read(stream_of("class", story.id))
    looks = [show.moment(story.begins, each.at) for each in story.then if isinstance(each, Look)]
    before_rail, official = (
        next(event for event in reversed(events) if event.occurred_at <= look)
        for look in looks[1:3]
    )
    return (
        Sign("The shows, and the classes of this one", f"/v1/shows/{show.id}/classes", "public"),
        Sign("Official results, as anybody may read them", f"{here}/placing", "public"),
        Sign(
            "The placing at an earlier version: the first official results",
            f"{here}/placing?at={official.version}",
            "office",
        ),
        Sign(
            "And at a time of the server's clock: before the rail work",
            f"{here}/placing?at={time_text(before_rail.recorded_at)}",
            "office",
        ),
        Sign("The judge's card, mark by mark", f"{here}/cards/A", "federation"),
        Sign("The protest and its ruling", f"{here}/protests", "steward"),
        Sign(
            "The log from there on: whose hand, which device, both times",
            f"{here}/log?after={official.version}",
            "steward",
        ),
        Sign(
            "A mark after all that: refused, with the rule that refuses it",
            f"{here}/actions",
            "A",
            '{"actions": [{"id": "try-1", "kind": "mark", "occurred_at": "2026-10-10T22:00:00Z", '
            '"back_number": 104, "maneuver": 1, "mark": 3}]}',
        ),
    )


def signpost(
    url: str, show: ShowStory, keys: Mapping[str, str], to: tuple[Sign, ...]
) -> Iterator[str]:
    """The lines to read and to paste into a shell."""
    yield "Keys, good for this demo only:"
    yield ""
    for name, hand in show.keys.items():
        yield f"  {_variable(name)}={keys[name]}  # {hand.label}"
    yield ""
    yield "Where to look (paste the keys into a shell first, then any of these):"
    yield ""
    for sign in to:
        yield f"  # {sign.says}"
        yield f"  {curl(url, sign)}"
    yield ""
    yield "`| python3 -m json.tool` after any of them makes it easier to read. The whole interface,"
    yield f"as an OpenAPI document that needs no key: {url}/v1/openapi.json"


def curl(url: str, sign: Sign) -> str:
    """One line that asks for it."""
    parts = ["curl -s", f'-H "Authorization: Bearer ${_variable(sign.key)}"']
    if sign.sends is not None:
        parts.append(f"-H 'Content-Type: application/json' -d '{sign.sends}'")
    return " ".join([*parts, f"'{url}{sign.path}'"])


def _variable(name: str) -> str:
    return name.upper() if len(name) > 1 else f"SCRIBE_{name}"
