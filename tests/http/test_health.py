from importlib.metadata import version

from flask import Flask

from service.app import create_app
from service.config import Settings
from service.http import here
from service.store import migrate
from tests.http.house import House


def test_a_server_that_can_serve_says_so(house: House) -> None:
    assert house.nobody.get("/healthz").get_json() == {"status": "alive"}
    assert house.nobody.get("/readyz").get_json() == {"status": "ready"}


def test_a_database_that_was_never_upgraded_is_not_ready(tmp_path: object) -> None:
    app: Flask = create_app(Settings(database=f"sqlite:///{tmp_path}/empty.db"))
    answer = app.test_client().get("/readyz")
    assert (answer.status_code, "Retry-After" in answer.headers) == (503, True)
    here.desk_of(app).close()


def test_a_server_names_its_release_and_its_schema(house: House) -> None:
    answer = house.nobody.get("/version").get_json()
    assert answer == {"ringfold": version("ringfold"), "schema": migrate.newest()}
