"""The services of docker-compose.yml, each by its real command, on a real PostgreSQL and Redis."""

import http.client
import json
import re
import signal
import socket
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest
import yaml

from events.envelope import split_stream
from events.judged_class.events import ResultsMadeOfficial
from events.projections.standings import StandingRow
from service.config import read_settings
from service.demo.awards import define_awards, the_awards
from service.demo.player import Player
from service.demo.programme import the_classes, the_programme
from service.demo.scenario import the_show
from service.desk.desk import Desk
from service.signing import verify_document
from service.store import migrate, publications
from service.store.engine import Database
from service.trust.settings import trust_settings
from service.trust.trust import Trust
from tests.workers.federation import expected, expected_of_show
from tests.workers.waiting import until

HOUSE = Path(__file__).parents[2]
PLAN: dict[str, Any] = yaml.safe_load((HOUSE / "docker-compose.yml").read_text("utf-8"))
SERVICES: dict[str, Any] = PLAN["services"]
OURS = ("migrate", "web", "worker", "beat")
_SECRET = re.compile(r"\$\{(\w+)(?::[?-][^}]*)?\}")


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def environment_of(service: str, database: str, redis: str, folder: Path) -> dict[str, str]:
    """The variables that the plan gives a service, as they are on this machine."""
    given = {
        name: _SECRET.sub("", value) for name, value in SERVICES[service]["environment"].items()
    }
    here = {
        "RINGFOLD_DATABASE": database,
        "RINGFOLD_REDIS": redis,
        "RINGFOLD_KEYS_DIR": str(folder / "keys"),
        "RINGFOLD_KEYS_PASSPHRASE": "nobody is told",
        "RINGFOLD_DATABASE_ROLE": "",  # the role is the plan's own and not on this machine
    }
    assert given.keys() >= {"RINGFOLD_DATABASE"}
    return {"PATH": "/usr/bin:/bin", **given, **{k: v for k, v in here.items() if k in given}}


def command_of(service: str, port: int) -> list[str]:
    """The command that the plan starts a service with, run from this tree."""
    program, *arguments = SERVICES[service]["command"]
    assert program == "ringfold"
    moved = {"8750": str(port), "0.0.0.0": "127.0.0.1"}  # noqa: S104 - what the plan says
    return [
        sys.executable,
        "-c",
        "from service.cli import main; main()",
        *(moved.get(argument, argument) for argument in arguments),
    ]


@contextmanager
def running(service: str, port: int, environment: dict[str, str], folder: Path) -> Iterator[Path]:
    journal = folder / f"{service}.log"
    with (
        journal.open("wb") as out,
        subprocess.Popen(
            command_of(service, port),
            cwd=HOUSE,
            env=environment,
            stdout=out,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        ) as process,
    ):
        try:
            yield journal
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(60)


def is_ready(port: int) -> bool:
    asked = http.client.HTTPConnection("127.0.0.1", port, timeout=3)
    try:
        asked.request("GET", "/readyz")
        return asked.getresponse().status == http.client.OK
    except OSError:
        return False
    finally:
        asked.close()


def test_the_plan_runs_our_services_as_nobody_special_with_health_and_limits() -> None:
    assert set(SERVICES) == {"db", "redis", *OURS}
    for name, service in SERVICES.items():
        assert "mem_limit" in service, name
        assert "cpus" in service, name
    for name in OURS:
        assert SERVICES[name]["user"] != "0:0"
        assert SERVICES[name]["read_only"] is True
        assert SERVICES[name]["cap_drop"] == ["ALL"]
    for name in ("db", "redis", "web", "worker"):
        assert "healthcheck" in SERVICES[name], name


def test_no_secret_stands_in_the_plan() -> None:
    for service in SERVICES.values():
        for name, value in service.get("environment", {}).items():
            if "PASS" in name:
                assert _SECRET.fullmatch(value), name
            assert not re.search(r":[^/$@:]+@", _SECRET.sub("", value)), name


def answered(port: int, path: str, key: str) -> Any:  # noqa: ANN401 - a document of any kind
    """What the plan's web processes answer a holder of a key."""
    asked = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    try:
        asked.request("GET", path, headers={"Authorization": f"Bearer {key}"})
        answer = asked.getresponse()
        said = answer.read()
        assert answer.status == http.client.OK, (path, said)
        return json.loads(said)
    finally:
        asked.close()


def told(port: int, key: str) -> list[dict[str, Any]]:
    """Everything that a federation has been told of by now, page by page."""
    items: list[dict[str, Any]] = []
    after = "0"
    while True:
        page = answered(port, f"/v1/changes?after={after}", key)
        items += page["items"]
        if page["next"] == page["head"]:
            return items
        after = page["next"]


def play_the_demo(desk: Desk) -> str:
    """The demo's show with its written-out classes; the federation's key."""
    show, programme = the_show(), the_programme()
    player = Player(desk, show, programme)
    keys = player.open_show()
    define_awards(player, the_awards())
    classes = [each for each in the_classes(show, programme) if each.kind is None]
    player.enter_classes(classes)
    for planned in classes:
        player.hold(planned)
    return keys["federation"]


def made_official(desk: Desk) -> list[tuple[str, int]]:
    """Each class, by how often its results became official: in the order of the log."""
    times: Counter[str] = Counter()
    found = []
    for event in desk.log.feed(0, 1_000_000):
        if isinstance(event.data, ResultsMadeOfficial):
            _, name = split_stream(event.stream)
            times[name] += 1
            found.append((name, times[name]))
    return found


@pytest.mark.postgres
@pytest.mark.redis
def test_the_plans_commands_bring_the_demos_show_to_its_publications_and_standings(
    new_postgres: Any,  # noqa: ANN401 - a factory of the house
    redis_url: str,
    tmp_path: Path,
) -> None:
    url, port = new_postgres(), free_port()
    environments = {name: environment_of(name, url, redis_url, tmp_path) for name in OURS}
    migrated = subprocess.run(
        command_of("migrate", port),
        cwd=HOUSE,
        env=environments["migrate"],
        check=False,
        capture_output=True,
        text=True,
    )
    assert migrated.returncode == 0, migrated.stderr
    made = subprocess.run(
        [*command_of("worker", port)[:3], "signing-key", "make"],
        cwd=HOUSE,
        env=environments["worker"],
        check=False,
        capture_output=True,
        text=True,
    )
    assert made.returncode == 0, made.stderr
    with ExitStack() as all_of_them:
        journals = {
            name: all_of_them.enter_context(running(name, port, environments[name], tmp_path))
            for name in ("web", "worker", "beat")
        }

        def said() -> str:
            return "\n".join(journal.read_text("utf-8") for journal in journals.values())

        assert until(lambda: is_ready(port)), said()
        database = Database(url)
        all_of_them.callback(database.close)
        assert migrate.is_ready(database)
        desk = Desk(database)
        key = play_the_demo(desk)
        official = made_official(desk)
        assert len(official) > len({name for name, _ in official}), "a correction, at least"
        head = str(desk.log.head().position)
        followed = "/v1/changes?kind=result_published&limit=1"
        assert until(lambda: answered(port, followed, key)["head"] == head, 300), said()

        items = told(port, key)
        results = [(each["class"], each["revision"]) for each in items if each["revision"]]
        assert results == official
        settings = read_settings(environments["worker"])
        known = Trust(database, trust_settings(settings), desk.clock).keys.known()
        for each in publications.since(database, 0, 1000):
            assert verify_document("result", each.document, each.note, known) == known

        story = the_awards()
        assert {each["season"] for each in items if each["kind"] == "standing_moved"} == {story.id}
        for award in story.of_the_season:
            path = f"/v1/seasons/{story.id}/standings?award={award.award}&limit=500"
            wanted = expected(desk, story.id, award.award, int(head))
            assert standing(port, path, key) == figures(wanted)
            assert wanted or award.award == "level-1"  # of classes that are not played here
        for award in story.of_the_show:
            path = f"/v1/shows/{the_show().id}/awards/{award.award}/standing?limit=500"
            wanted = expected_of_show(desk, the_show().id, award.award, int(head))
            assert standing(port, path, key) == figures(wanted)


def standing(port: int, path: str, key: str) -> list[tuple[Any, ...]]:
    """Who stands where with how many points, as it is served."""
    rows = answered(port, path, key)["rows"]
    return [(row["place"], row["carrier"], row["points"]) for row in rows]


def figures(wanted: Sequence[StandingRow] | None) -> list[tuple[Any, ...]]:
    """The same of what the log alone comes to."""
    assert wanted is not None
    return [(row.place, row.carrier, float(row.points)) for row in wanted]
