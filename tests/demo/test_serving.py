"""The demo as a process that serves its show."""

import json
import signal
from urllib.request import Request, urlopen

from tests.commands.processes import free_port, serving
from tests.demo.conftest import Played


def test_it_serves_the_show_that_lies_there_until_it_is_interrupted(played: Played) -> None:
    folder = str(played.place.path)
    with serving("demo", "--folder", folder, port=free_port()) as server:
        server.wait_for("until you press Ctrl-C")
        assert f"{server.url}/v1/classes/horsemanship/placing?at=97" in "".join(server.said)
        asked = Request(f"{server.url}/v1/classes/horsemanship/placing")  # noqa: S310 - http, by us
        asked.add_header("Authorization", f"Bearer {played.place.keys['public']}")
        with urlopen(asked) as answer:  # noqa: S310 - as above
            placing = json.load(answer)
        assert placing["seats"][0]["rows"][0]["back_number"] == 171
        assert server.stop(signal.SIGINT) == 0
    assert "Traceback" not in "".join(server.said)
