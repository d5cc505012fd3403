"""Holding an answer to the kept contract."""

import json
from typing import Any

from openapi_schema_validator import OAS31Validator
from referencing import Registry
from referencing.jsonschema import DRAFT202012
from werkzeug.test import TestResponse

from tests.http.house import done
from tests.http.test_contract import KEPT


def agree(answer: TestResponse, path: str, method: str = "get") -> dict[str, Any]:
    """The JSON that was answered, which is what the contract says of that address."""
    body = done(answer)
    contract = json.loads(KEPT.read_text(encoding="utf-8"))
    [found] = [name for name in contract["paths"] if _plain(name) == _plain(path)]
    response = contract["paths"][found][method]["responses"][str(answer.status_code)]
    schema = response["content"]["application/json"]["schema"]
    named = json.loads(json.dumps(schema).replace('"#/', '"contract#/'))
    registry = Registry().with_resource("contract", DRAFT202012.create_resource(contract))
    validator = OAS31Validator(named, registry=registry)
    assert [error.message for error in validator.iter_errors(body)] == []
    return body


def _plain(path: str) -> str:
    """The path with every parameter, or what stands for one in a test, left out."""
    parts = path.strip("/").split("/")
    return "/".join(_STANDS_FOR.get(part, part) for part in parts)


_STANDS_FOR = {"horsemanship": "{class_id}", "three-rivers": "{show_id}"}
