"""The services of docker-compose.yml, each by its real command, on a real PostgreSQL and Redis."""

import http.client
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest
import yaml

from service.desk.desk import Desk
from service.store import migrate, publications
from service.store.engine import Database
from tests.workers.office import Office
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


@pytest.mark.postgres
@pytest.mark.redis
def test_the_plans_commands_bring_a_class_to_its_publication(
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
        assert until(lambda: is_ready(port)), journals["web"].read_text("utf-8")
        database = Database(url)
        all_of_them.callback(database.close)
        assert migrate.is_ready(database)
        office = Office(Desk(database))
        office.open_show()
        office.official_class("c-1")
        assert until(lambda: bool(publications.of_class(database, "c-1"))), "\n".join(
            journal.read_text("utf-8") for journal in journals.values()
        )
