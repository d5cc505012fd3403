"""The published contract: kept in step with the code, valid, and true of what is answered."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from openapi_schema_validator import OAS31Validator
from openapi_spec_validator import OpenAPIV31SpecValidator, validate
from referencing import Registry
from referencing.jsonschema import DRAFT202012

from service.commands.contract import command
from tests.http.house import House

KEPT = Path(__file__).parents[2] / "openapi" / "ringfold.v1.json"
METHODS = ("get", "put", "post", "patch", "delete")


@pytest.fixture(scope="module")
def contract() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(KEPT.read_text(encoding="utf-8"))
    return found


def operations(contract: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for path, item in contract["paths"].items():
        for method in METHODS:
            if method in item:
                yield f"{method.upper()} {path}", item[method]


def contents(contract: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Every body that is documented: where, whether it is asked or answered, and the content."""
    for name, operation in operations(contract):
        for content in operation.get("requestBody", {}).get("content", {}).values():
            yield name, "asks", content
        for status, response in operation["responses"].items():
            for content in response.get("content", {}).values():
                yield f"{name} {status}", "answers", content
    for name, response in contract["components"]["responses"].items():
        for content in response.get("content", {}).values():
            yield name, "answers", content


def examples(content: dict[str, Any]) -> list[Any]:
    several = [each["value"] for each in content.get("examples", {}).values()]
    return [content["example"], *several] if "example" in content else several


def test_the_kept_contract_is_the_one_that_the_code_makes(tmp_path: Path) -> None:
    written = tmp_path / "contract.json"
    assert CliRunner().invoke(command, ["--write", str(written)]).exit_code == 0
    assert KEPT.read_text(encoding="utf-8") == written.read_text(encoding="utf-8"), (
        "the contract has drifted: ringfold contract --write openapi/ringfold.v1.json"
    )


def test_the_contract_is_printed_as_it_is_kept() -> None:
    printed = CliRunner().invoke(command, [])
    assert printed.output == KEPT.read_text(encoding="utf-8")


def test_the_served_contract_is_the_kept_one(house: House, contract: dict[str, Any]) -> None:
    assert house.nobody.get("/v1/openapi.json").get_json() == contract


def test_the_contract_is_openapi_3_1(contract: dict[str, Any]) -> None:
    assert contract["openapi"] == "3.1.0"
    validate(contract, cls=OpenAPIV31SpecValidator)


def test_every_operation_has_an_example_for_what_it_asks_and_what_it_answers(
    contract: dict[str, Any],
) -> None:
    without = [
        f"{name} {direction}"
        for name, direction, content in contents(contract)
        if not examples(content) and name != "DEFAULT_ERROR"
    ]
    assert without == []


def test_every_example_is_what_its_schema_says(contract: dict[str, Any]) -> None:
    registry = Registry().with_resource("contract", DRAFT202012.create_resource(contract))
    for name, _, content in contents(contract):
        schema = json.loads(json.dumps(content["schema"]).replace('"#/', '"contract#/'))
        validator = OAS31Validator(schema, registry=registry)
        for example in examples(content):
            faults = [error.message for error in validator.iter_errors(example)]
            assert faults == [], name


def test_every_operation_says_what_it_is_and_for_whom(contract: dict[str, Any]) -> None:
    for name, operation in operations(contract):
        assert operation["summary"].endswith("."), name
        assert operation["security"] == [{"key": []}], name
        assert operation["x-roles"], name
        assert {"401", "403"} <= set(operation["responses"]), name


def test_every_error_is_documented_as_a_problem_document(contract: dict[str, Any]) -> None:
    problem = {"$ref": "#/components/schemas/Problem"}
    for name, response in contract["components"]["responses"].items():
        if name != "NOT_MODIFIED":
            assert response["content"]["application/problem+json"]["schema"] == problem, name
