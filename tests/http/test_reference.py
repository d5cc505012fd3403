"""The contract as a page: all of it, and nothing from anywhere else."""

import base64
import hashlib
import json
import re

from tests.http.house import House
from tests.http.test_contract import KEPT, operations


def test_every_operation_stands_on_the_page(house: House) -> None:
    answer = house.nobody.get("/reference")
    assert (answer.status_code, answer.mimetype) == (200, "text/html")
    for name, operation in operations(json.loads(KEPT.read_text(encoding="utf-8"))):
        assert f"<code>{name}</code></h3>" in answer.text, name
        assert operation["summary"].replace("'", "&#39;") in answer.text, name


def test_every_link_on_the_page_leads_somewhere_on_this_server(house: House) -> None:
    text = house.nobody.get("/reference").text
    links = set(re.findall(r'(?:href|src)="([^"]*)"', text))
    anchors = set(re.findall(r' id="([^"]*)"', text))
    assert len(anchors) == text.count(" id=")
    for link in links:
        if link.startswith("#"):
            assert link.removeprefix("#") in anchors
        else:
            assert house.nobody.get(link).status_code == 200


def test_the_page_may_load_and_run_nothing_but_its_own_style(house: House) -> None:
    answer = house.nobody.get("/reference")
    [style] = re.findall(r"<style>(.*?)</style>", answer.text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = answer.headers["Content-Security-Policy"]
    assert policy.startswith(f"default-src 'none'; style-src 'sha256-{digest}'; ")
    assert "<script" not in answer.text
    assert " style=" not in answer.text


def test_marks_in_descriptions_become_code_and_nothing_of_them_becomes_markup(
    house: House,
) -> None:
    text = house.nobody.get("/reference").text
    assert "<strong>Keys.</strong>" in text
    assert "<code>If-Match</code>" in text
    assert "&lt;!doctype html&gt;" in text
