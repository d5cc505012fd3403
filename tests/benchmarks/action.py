"""One judge action over HTTP against a bare Flask endpoint that does one durable INSERT.

Both are served in this process, without a socket, on the same PostgreSQL, in alternating rounds;
the bare one holds one psycopg connection and checks nothing. Run with
``python -m tests.benchmarks.action``.
"""

import statistics
import time
from collections.abc import Callable

import psycopg
from flask import Flask, request
from psycopg.types.json import Jsonb
from sqlalchemy import make_url

from service.app import create_app
from service.config import Settings
from service.store import migrate
from service.store.engine import Database
from service.store.ids import new_id
from tests import services
from tests.benchmarks.clients import say_load
from tests.http.house import House

ACTIONS = 150
ROUNDS = 7
MARKS = (0, 0.5, 1, 0.5)


def over_http(url: str) -> Callable[[int], object]:
    """A scribe's tablet that marks one maneuver again and again."""
    database = Database(url)
    migrate.upgrade(database)
    database.close()
    house = House(create_app(Settings(database=url)))
    house.open_show()
    scribe = house.seat_a()

    def act(turn: int) -> object:
        mark = MARKS[turn % len(MARKS)]
        [answer] = scribe.act(
            "horsemanship", {"kind": "mark", "back_number": 214, "maneuver": 1, "mark": mark}
        )
        assert answer["status"] == "accepted", answer
        return answer

    return act


def bare(url: str) -> Callable[[int], object]:
    """An endpoint that stores the JSON it is sent, and no more."""
    plain = make_url(url).set(drivername="postgresql").render_as_string(hide_password=False)
    connection = psycopg.connect(plain, autocommit=True)
    connection.execute("CREATE TABLE bare (id text PRIMARY KEY, body jsonb NOT NULL)")
    app = Flask("bare")

    @app.post("/")
    def store() -> dict[str, str]:
        body = request.get_json()
        connection.execute("INSERT INTO bare VALUES (%s, %s)", (body["id"], Jsonb(body)))
        return {"status": "accepted"}

    client = app.test_client()
    return lambda turn: client.post("/", json={"id": new_id(), "mark": turn})


def seconds(work: Callable[[int], object]) -> float:
    """How long one round takes."""
    began = time.perf_counter()
    for turn in range(ACTIONS):
        work(turn)
    return time.perf_counter() - began


def main() -> None:
    """Print both rates and their ratio."""
    say_load()
    with services.postgres_database() as plain, services.postgres_database() as other:
        ours, theirs = over_http(plain), bare(other)
        rounds = [(seconds(ours), seconds(theirs)) for _ in range(ROUNDS)][1:]
        action = ACTIONS / statistics.median(each for each, _ in rounds)
        insert = ACTIONS / statistics.median(each for _, each in rounds)
        print(
            f"one action: {action:,.0f}/s, bare INSERT: {insert:,.0f}/s,"
            f" ratio {action / insert:.2f}"
        )


if __name__ == "__main__":
    main()
