import ast
import logging
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask

from service.app import create_app
from service.config import Settings
from service.http import here
from service.http.problems import kinds
from tests.http.house import SHOW, House, refused

ROOT = Path(__file__).parents[2]
MAKERS = {"Refusal", "problem"}
COMPUTED = {
    "f'{field}_missing'": {"name_missing", "place_missing", "time_zone_missing"},
    "f\"card_{('is' if condition == 'signed' else 'not')}_signed\"": {
        "card_is_signed",
        "card_not_signed",
    },
    "f'{kind}_id_taken'": {"person_id_taken", "horse_id_taken"},
    "f'{who}_too_old'": {"rider_too_old", "horse_too_old"},
    "f'{who}_too_young'": {"rider_too_young", "horse_too_young"},
    "f'{who}_level_unknown'": {"rider_level_unknown", "horse_level_unknown"},
    "f'{who}_level_not_admitted'": {"rider_level_not_admitted", "horse_level_not_admitted"},
    "code": set(),
    "refusal.code": set(),
    "refused.code": set(),
    "error.code": {"url_without_tls", "url_unusable", "address_not_public"},
}
"""What the computed codes come to, by the expression that computes them."""

OF_HTTP = {
    "bad_request",
    "error",
    "method_not_allowed",
    "not_acceptable",
    "not_found",
    "not_json",
    "too_large",
}


def codes_used() -> Iterator[str]:
    for folder in ("events", "service/desk", "service/http", "service/publishing", "service/trust"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") in MAKERS:
                    yield from codes_of(node.args[0])


def codes_of(code: ast.expr) -> set[str]:
    if isinstance(code, ast.Constant):
        return {str(code.value)}
    return COMPUTED[ast.unparse(code)]


def test_every_code_has_a_kind_and_every_kind_is_used() -> None:
    assert set(codes_used()) | OF_HTTP == set(kinds())


def test_every_kind_says_what_it_means_and_what_to_do() -> None:
    for code, kind in kinds().items():
        assert 400 <= kind.status < 600, code
        assert kind.title[0].isupper(), code
        assert kind.title[-1] not in ".!", code
        assert kind.advice.endswith("."), code


def test_every_type_leads_to_a_page(house: House) -> None:
    listed = house.nobody.get("/problems").text
    for code, kind in kinds().items():
        page = house.nobody.get(f"/problems/{code}")
        assert (page.status_code, page.mimetype) == (200, "text/html")
        assert kind.title in page.text.replace("&#39;", "'")
        assert f'href="/problems/{code}"' in listed
    refused(house.nobody.get("/problems/nonsense"), 404, "not_found")


def test_an_address_that_is_not_there_is_a_problem(house: House) -> None:
    for path in ("/v1", "/v1/nowhere", "/v1/shows/%00", "/v1/shows/a%2Fb", "/v1/shows/-"):
        refused(house.nobody.get(path), 404, "not_found")


def test_a_method_that_is_not_there_names_those_that_are(house: House) -> None:
    answer = house.office.delete("/v1/shows")
    refused(answer, 405, "method_not_allowed")
    assert {"GET", "POST"} <= {each.strip() for each in answer.headers["Allow"].split(",")}


@pytest.mark.parametrize(
    "body",
    [
        b"{",
        b'{"name": NaN}',
        b'{"name": Infinity}',
        b'{"name": "\\ud800"}',
        b'{"name": "\xff"}',
        b"[" * 100_000,
        b'{"name": 1e999}',
        b'{"name": "S"} {}',
    ],
)
def test_a_body_that_is_not_json_is_a_problem(house: House, body: bytes) -> None:
    headers = {"Authorization": f"Bearer {house.office.key}", "Content-Type": "application/json"}
    answer = house.office.client.post("/v1/shows", data=body, headers=headers)
    refused(answer, 400, "bad_json")


def test_a_body_that_is_not_marked_as_json_is_a_problem(house: House) -> None:
    headers = {"Authorization": f"Bearer {house.office.key}"}
    answer = house.office.client.post("/v1/shows", data={"name": "S"}, headers=headers)
    refused(answer, 415, "not_json")


def test_a_body_that_is_too_large_is_a_problem(house: House) -> None:
    answer = house.office.post("/v1/shows", SHOW | {"name": "x" * 3_000_000})
    refused(answer, 413, "too_large")


def test_a_body_that_is_no_object_is_a_problem(house: House) -> None:
    for body in ([], [1], "text", 7, True):
        problem = refused(house.office.post("/v1/shows", body), 422, "invalid")
        assert "must be an object" in problem["detail"]


def test_every_fault_of_a_body_is_named(house: House) -> None:
    body = {"name": " ", "place": 5, "first_day": "2026-02-30", "last_day": "20260510", "plase": 1}
    problem = refused(house.office.post("/v1/shows", body), 422, "invalid")
    assert {each["field"]: each["detail"] for each in problem["errors"]} == {
        "name": "There must be text here.",
        "place": "It must be text.",
        "time_zone": "It is missing.",
        "first_day": "Not a day of the calendar.",
        "last_day": "Not a day, such as 2026-05-09.",
        "plase": "Nothing of this name is known here.",
    }


def test_an_unforeseen_error_shows_an_incident_and_nothing_of_its_inside(
    sqlite_application: Flask, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    house = House(sqlite_application)
    with sqlite3.connect(tmp_path / "log.db") as connection:
        connection.execute("DROP TABLE person")
    connection.close()
    with caplog.at_level(logging.ERROR):
        answer = house.office.get("/v1/people/p-lind")
    problem = refused(answer, 500, "error")
    assert set(problem) == {"type", "title", "status", "code", "detail", "incident"}
    assert problem["detail"] == kinds()["error"].advice
    assert f"incident {problem['incident']}" in caplog.text
    assert "no such table" in caplog.text


def test_a_database_that_does_not_answer_is_a_problem_to_try_again() -> None:
    app = create_app(Settings(database="postgresql://nobody@127.0.0.1:1/none"))
    client = app.test_client()
    answer = client.get("/v1/shows", headers={"Authorization": "Bearer ringfold_0_0"})
    refused(answer, 503, "unreachable")
    assert int(answer.headers["Retry-After"]) > 0
    ready = client.get("/readyz")
    assert (ready.status_code, "Retry-After" in ready.headers) == (503, True)
    assert client.get("/healthz").status_code == 200
    here.desk_of(app).close()


def test_every_answer_carries_the_security_headers(house: House) -> None:
    for path in ("/healthz", "/v1/shows", "/v1/nowhere", "/problems/invalid"):
        headers = house.office.get(path).headers
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Content-Security-Policy"].startswith("default-src 'none'")
        assert headers["Referrer-Policy"] == "no-referrer"
        assert "no-" in headers["Cache-Control"]
