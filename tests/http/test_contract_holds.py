"""Requests drawn from the contract, good and bad: every answer is one that it allows."""

import json
from collections.abc import Callable
from typing import Any

import pytest
import schemathesis
from flask import Flask
from hypothesis import HealthCheck, given, settings
from schemathesis import Case
from schemathesis.config import SchemathesisConfig
from schemathesis.core.parameters import ParameterLocation
from schemathesis.generation import GenerationMode
from schemathesis.schemas import APIOperation
from schemathesis.specs.openapi.checks import negative_data_rejection
from schemathesis.specs.openapi.schemas import OpenApiSchema

from tests.http.house import House
from tests.http.test_contract import KEPT, METHODS
from tests.http.test_keys import VALUES

# A good request may still be refused by the rules of the trade, and a bad one by the guard.
CONFIG = {
    "seed": 20260509,
    "checks": {
        "positive_data_acceptance": {
            "expected-statuses": ["2xx", 304, 400, 403, 404, 409, 412, 422],
        },
        "negative_data_rejection": {
            "expected-statuses": [400, 401, 403, 404, 405, 406, 409, 412, 413, 415, 422],
        },
        "missing_required_header": {"expected-statuses": [400, 401, 403, 404, 415, 422]},
    },
}
EXAMPLES = 4
Operation = APIOperation[Any, Any, Any, Any]
Check = Callable[[Any, Any, Any], bool | None]
ANSWERED_ONE_BY_ONE = {"/v1/classes/{class_id}/actions"}
"""Where a bad action in a good batch is refused inside an answer that is 200."""

STREAMS = {"/v1/classes/{class_id}/live"}
"""What answers for minutes; its own tests hold it."""

OPERATIONS = [
    (path, method)
    for path, item in json.loads(KEPT.read_text(encoding="utf-8"))["paths"].items()
    for method in METHODS
    if method in item and path not in STREAMS
]


@pytest.fixture(scope="module")
def drawn(application: Flask) -> OpenApiSchema:
    config = SchemathesisConfig.from_dict(CONFIG)
    found: OpenApiSchema = schemathesis.openapi.from_wsgi(
        "/v1/openapi.json", application, config=config
    )
    return found


@pytest.mark.parametrize(("path", "method"), OPERATIONS)
def test_every_answer_is_one_that_the_contract_allows(
    drawn: OpenApiSchema, protested: House, path: str, method: str
) -> None:
    operation = drawn[path][method.upper()]
    [role, *_] = operation.definition.raw["x-roles"]
    own = {"steward": protested.steward, "federation": protested.federation}
    hand = own.get(role, protested.office)
    for mode in GenerationMode:
        # Whoever reads the answers here does not unpack them; tests/http/test_compression.py does.
        sent = {"Authorization": f"Bearer {hand.key}", "Accept-Encoding": "identity"}
        hold_to(operation, mode, sent)


def hold_to(operation: Operation, mode: GenerationMode, headers: dict[str, str]) -> None:
    excluded: list[Check] = []
    if operation.path in ANSWERED_ONE_BY_ONE:
        excluded.append(negative_data_rejection)
    about_something = mode is GenerationMode.POSITIVE or operation.body

    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def holds(case: Case[Any]) -> None:
        if about_something:
            case.path_parameters.update(
                {name: VALUES[name] for name in case.path_parameters if name in VALUES}
            )
        # The bad path and the bad key were just made good: only what is left may be bad.
        left = _bad_parts(case) - {ParameterLocation.PATH, ParameterLocation.HEADER}
        good_again = mode is GenerationMode.NEGATIVE and not left
        unheld = [*excluded, negative_data_rejection] if good_again else excluded
        case.call_and_validate(headers=headers, excluded_checks=unheld)

    holds()


def _bad_parts(case: Case[Any]) -> set[ParameterLocation]:
    """Which parts of a request were made to be wrong."""
    parts = case.meta.components if case.meta is not None else {}
    return {place for place, part in parts.items() if part.mode.is_negative}
