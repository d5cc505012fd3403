"""Papers from the screens: the links lead to files, for those who may have them."""

import re

import pytest
from flask.testing import FlaskClient

from tests.http.house import House
from tests.pages.test_screens import CLASS, signed_in
from tests.print.reading import text_of

LINK = re.compile(r'href="([^"]+\.pdf[^"]*)"')


def linked(client: FlaskClient, path: str) -> list[str]:
    return [link.replace("&amp;", "&") for link in LINK.findall(client.get(path).text)]


def paper(client: FlaskClient, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    assert answer.mimetype == "application/pdf"
    assert answer.headers["Content-Disposition"].startswith('inline; filename="')
    return text_of(answer.data)


def test_every_link_to_a_paper_leads_to_that_paper(protested: House) -> None:
    steward = signed_in(protested, protested.keys["steward"])
    pages = (CLASS, f"{CLASS}/entries/e214?seat=A", "/shows/three-rivers")
    kinds = {
        paper(steward, link).split(" 7. ")[0] for page in pages for link in linked(steward, page)
    }
    assert {
        "Results", "Gate sheet", "Judge's card", "Judge's card as it stands",
        "Explanation of a placing",
    } <= kinds  # fmt: skip
    assert len(linked(steward, CLASS)) == 4


def test_a_paper_is_of_the_moment_that_was_looked_at(protested: House) -> None:
    steward = signed_in(protested, protested.keys["steward"])
    [filled] = [link for link in linked(steward, f"{CLASS}?at=9") if "filled" in link]
    assert "as it stood after event 9" in paper(steward, filled)


def test_everybody_prints_official_results_and_nothing_else(protested: House) -> None:
    visitor = protested.app.test_client()
    assert linked(visitor, "/classes/official") == ["/classes/official/results.pdf"]
    assert "Official results, revision 1" in paper(visitor, "/classes/official/results.pdf")
    for path in (f"{CLASS}/gate-sheet.pdf", f"{CLASS}/cards/A/filled.pdf"):
        answer = visitor.get(path)
        assert answer.status_code == 403
        assert "sign in first" in answer.text


@pytest.mark.parametrize("query", ["at=9999", "at=soon", "paper=b5"])
def test_what_cannot_be_printed_is_said_so(protested: House, query: str) -> None:
    steward = signed_in(protested, protested.keys["steward"])
    answer = steward.get(f"{CLASS}/results.pdf?{query}")
    assert answer.status_code == 404
    assert "Not here" in answer.text


def test_a_copy_that_is_known_is_not_sent_again(protested: House) -> None:
    steward = signed_in(protested, protested.keys["steward"])
    first = steward.get(f"{CLASS}/results.pdf")
    again = steward.get(f"{CLASS}/results.pdf", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
