"""The lines that the demo says to try do what it says they do."""

import json
import re
import shlex
from collections.abc import Iterator
from string import Template
from typing import Any
from urllib.parse import urlsplit

import pytest
from werkzeug.test import TestResponse

from service.app import create_app
from service.config import Settings
from service.demo.signpost import Sign, curl, signpost, signs
from service.desk.desk import Desk
from service.store import followers
from service.workers.follow import follow
from service.workers.standings import Standings
from tests.demo.conftest import Held, Played

URL = "http://127.0.0.1:8750"


@pytest.fixture(scope="module")
def lines(played: Played, horsemanship: Held) -> list[str]:
    to = signs(played.desk, played.show, horsemanship.story)
    return list(signpost(URL, played.show, played.place.keys, to))


@pytest.fixture(scope="module")
def answers(played: Played, lines: list[str]) -> list[TestResponse]:
    """What each line is answered with, once the keys were pasted."""
    keys = dict(re.findall(r"^  (\w+)=(\S+)  # ", "\n".join(lines), flags=re.MULTILINE))
    reckon(played.desk)
    client = create_app(Settings(database=played.place.url)).test_client()
    found = []
    for words in _commands(lines, keys):
        headers = [words[at + 1].split(": ", 1) for at, word in enumerate(words) if word == "-H"]
        data = words[words.index("-d") + 1] if "-d" in words else None
        address = urlsplit(words[-1])
        assert f"{address.scheme}://{address.netloc}" == URL
        found.append(
            client.open(
                f"{address.path}?{address.query}",
                method="GET" if data is None else "POST",
                headers=[(name, value) for name, value in headers],
                data=data,
            )
        )
    return found


def reckon(desk: Desk) -> None:
    """Carry standings forward, as the serving process does."""
    follower = Standings(desk)
    followers.register(desk.database, follower.name, follower.version, now=desk.clock())
    while follow(desk.log, follower, desk.clock):
        pass


def _commands(lines: list[str], keys: dict[str, str]) -> Iterator[list[str]]:
    for line in lines:
        if line.startswith("  curl "):
            yield shlex.split(Template(line).substitute(keys))


def _document(answer: TestResponse) -> Any:  # noqa: ANN401 - JSON of any kind, or none
    return answer.get_json(silent=True)


def test_every_line_is_answered(answers: list[TestResponse]) -> None:
    assert [answer.status_code for answer in answers] == [200] * 11


def test_the_placings_are_those_of_their_moments(
    answers: list[TestResponse], horsemanship: Held
) -> None:
    _, now, _, first_official, before_rail, *_ = (_document(answer) for answer in answers)
    assert (now["version"], now["revision"], now["phase"]) == (
        horsemanship.history.version,
        2,
        "official",
    )
    assert (first_official["revision"], first_official["phase"]) == (1, "official")
    assert (before_rail["revision"], before_rail["phase"]) == (0, "running")
    winners = [each["seats"][0]["rows"][0]["back_number"] for each in (now, first_official)]
    assert winners == [171, 104]
    second = [each["seats"][0]["rows"][1]["back_number"] for each in (first_official, before_rail)]
    assert second == [171, 163]


def test_the_protest_the_card_and_the_log_are_there(answers: list[TestResponse]) -> None:
    *_, card, protests, log, of_show, of_season, refused = (_document(answer) for answer in answers)
    assert of_show["rows"]
    assert of_season["rows"]
    assert len(card["rides"]) == 8
    assert [each["standing"] for each in protests["items"]] == ["upheld"]
    assert log["items"][0]["type"] == "protest.filed"
    assert refused["answers"][0]["status"] == "refused"
    assert refused["answers"][0]["problem"]["code"] == "wrong_phase"


def test_the_results_come_on_paper_into_a_file(
    lines: list[str], answers: list[TestResponse]
) -> None:
    assert answers[2].data.startswith(b"%PDF-")
    [line] = [each for each in lines if " -o " in each]
    assert line.startswith("  curl -s -o horsemanship.pdf -H ")


def test_a_line_quotes_what_it_sends_for_a_shell() -> None:
    sent = {"says": "a mark"}
    line = curl(URL, Sign("", "/v1/x?at=1&b=2", "A", json.dumps(sent)))
    words = shlex.split(line)
    assert json.loads(words[words.index("-d") + 1]) == sent
    assert words[-1] == f"{URL}/v1/x?at=1&b=2"
