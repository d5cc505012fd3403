"""Where to look once the demo is served: keys, addresses, and lines to try."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from events.codec import time_text
from events.envelope import stream_of
from service.demo.awards import the_awards
from service.demo.happenings import Look
from service.demo.scenario import ClassStory, ShowStory
from service.desk.desk import Desk


class Sign(NamedTuple):
    """What there is to see, its address, whose key opens it, and what is sent there, if any.

    ``kept_as`` is the file that it goes into, where it is nothing for a screen.
    """

    says: str
    path: str
    key: str
    sends: str | None = None
    kept_as: str | None = None


def signs(desk: Desk, show: ShowStory, story: ClassStory) -> tuple[Sign, ...]:
    """The addresses worth a look, for the class that is told in full."""
    here = f"/v1/classes/{story.id}"
    events = desk.log.read(stream_of("class", story.id))
    looks = [each for each in story.then if isinstance(each, Look) and not each.briefly]
    before_rail, official = (
        next(event for event in reversed(events) if event.occurred_at <= at)
        for at in (show.moment(story.begins, each.at) for each in looks[:2])
    )
    awards = the_awards()
    return (
        Sign("All of its classes", f"/v1/shows/{show.id}/classes?limit=200", "public"),
        Sign("This class as anybody may read it", f"{here}/placing", "public"),
        Sign("And on paper", f"{here}/results.pdf", "public", kept_as=f"{story.id}.pdf"),
        Sign("As it first was official", f"{here}/placing?at={official.version}", "office"),
        Sign(
            "As it was before the rail work, by the server's clock",
            f"{here}/placing?at={time_text(before_rail.recorded_at)}",
            "office",
        ),
        Sign("The judge's card, mark by mark", f"{here}/cards/A", "federation"),
        Sign("The protest and its ruling", f"{here}/protests", "steward"),
        Sign("The log from there on", f"{here}/log?after={official.version}", "steward"),
        Sign(
            "The show's all-around, a moment after serving has begun",
            f"/v1/shows/{show.id}/awards/{awards.of_the_show[1].award}/standing",
            "public",
        ),
        Sign(
            "And a federation's season",
            f"/v1/seasons/{awards.id}/standings?award={awards.of_the_season[0].award}",
            "federation",
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
    used = {sign.key for sign in to}
    for name, hand in show.keys.items():
        if name not in used:
            continue
        yield f"  {_variable(name)}={keys[name]}  # {hand.label}"
    yield ""
    yield "Where to look (paste the keys into a shell first, then any of these):"
    yield ""
    for sign in to:
        yield f"  # {sign.says}"
        yield f"  {curl(url, sign)}"
    yield ""
    yield "`| python3 -m json.tool` after any of them makes it easier to read. In a browser:"
    yield f"{url} (sign in there with a key), and the whole interface at {url}/reference"


def curl(url: str, sign: Sign) -> str:
    """One line that asks for it."""
    parts = [f"curl -s -o {sign.kept_as}" if sign.kept_as else "curl -s"]
    parts.append(f'-H "Authorization: Bearer ${_variable(sign.key)}"')
    if sign.sends is not None:
        parts.append(f"-H 'Content-Type: application/json' -d '{sign.sends}'")
    return " ".join([*parts, f"'{url}{sign.path}'"])


def _variable(name: str) -> str:
    return name.upper() if len(name) > 1 else f"SCRIBE_{name}"
