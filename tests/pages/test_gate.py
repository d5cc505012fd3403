"""The gate's screen: who is in the ring, next, on deck and in the hole, as a ring steward looks."""

import shutil
import threading
from datetime import UTC, datetime

import pytest
from playwright.sync_api import sync_playwright
from werkzeug.serving import make_server

from events.rulebook.load import to_document
from tests.core.books import PLACED
from tests.http.house import House, done
from tests.pages.test_screens import text

SHOW = "/v1/shows/three-rivers"
GATE = "/shows/three-rivers/gate"


@pytest.fixture
def gate(house: House) -> House:
    """Five minutes past nine in Chicago, with the first of three in the ring."""
    house.schedule()
    slot = {"ring": "Main ring", "day": "2026-05-09", "slot": 1, "not_before": "09:00"}
    done(house.office.put(f"{SHOW}/classes/horsemanship/slot", slot))
    done(house.office.post("/v1/classes/horsemanship/entries/e87/calls", {"call": 1}))
    mark = {"kind": "mark", "back_number": 214, "maneuver": 1, "mark": 0}
    house.scribe("A").act("horsemanship", {**mark, "occurred_at": "2026-05-09T14:04:00Z"})
    house.desk.clock = lambda: datetime(2026, 5, 9, 14, 5, tzinfo=UTC)
    return house


def test_everybody_sees_who_is_where_and_when_the_others_are_expected(gate: House) -> None:
    seen = text(gate.app.test_client(), GATE)
    told = " ".join(seen.split())
    assert 'In the ring</span> <strong class="back">214</strong> Karin Lind' in told
    assert 'Next</span> <strong class="back">87</strong>' in told
    assert "about 09:08 · called 1 of 3" in told
    assert 'On deck</span> <strong class="back">5</strong>' in told
    assert "In the hole" not in told
    assert "1 of 3" in told
    assert "it was made at 09:05" in told


def test_a_class_on_the_rail_is_called_in_all_together(house: House) -> None:
    marked = {"scale", "penalties", "graded_penalties", "caps", "faults"}
    book = {key: part for key, part in to_document(PLACED).items() if key not in marked}
    done(house.office.post(f"{SHOW}/rulebooks", {"book": book}))
    house.schedule("rail", PLACED.id)
    slot = {"ring": "Main ring", "day": "2026-05-09", "slot": 1, "not_before": "09:00"}
    done(house.office.put(f"{SHOW}/classes/rail/slot", slot))
    for name, number in (("p-nord", 11), ("p-ames", 12)):
        entry = {"back_number": number, "exhibitor": name}
        done(house.office.post("/v1/classes/rail/entries", entry))
    house.desk.clock = lambda: datetime(2026, 5, 9, 13, 0, tzinfo=UTC)
    told = " ".join(text(house.app.test_client(), GATE).split())
    assert told.count("Together</span>") == 5
    assert told.count("about 09:00") == 6  # each of them, and the class
    assert "On deck" not in told


def test_it_looks_again_by_itself_without_a_script(gate: House) -> None:
    seen = text(gate.app.test_client(), GATE)
    assert '<meta http-equiv="refresh" content="15">' in seen
    assert "<script" not in seen


def test_another_day_is_looked_at_by_its_link(gate: House) -> None:
    visitor = gate.app.test_client()
    assert 'href="?day=2026-05-08"' in text(visitor, GATE)
    assert "Nobody is waited for." in text(visitor, f"{GATE}?day=2026-05-08")
    assert "is not a day" in text(visitor, f"{GATE}?day=tomorrow", 404)
    assert "not on 2026-06-01" in text(visitor, f"{GATE}?day=2026-06-01", 404)
    assert "No show" in text(visitor, "/shows/nowhere/gate", 404)


def test_the_show_leads_to_its_gate(gate: House) -> None:
    assert f'href="{GATE}"' in text(gate.app.test_client(), "/shows/three-rivers")


@pytest.mark.browser
def test_a_ring_steward_reads_it_on_a_telephone(gate: House, chromium: str) -> None:
    server = make_server("127.0.0.1", 0, gate.app, threaded=True)
    serving = threading.Thread(target=server.serve_forever)
    serving.start()
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which(chromium), args=["--no-sandbox", "--disable-gpu"]
            )
            page = browser.new_page(viewport={"width": 390, "height": 844})
            page.goto(f"http://127.0.0.1:{server.server_port}{GATE}")
            assert "214 Karin Lind" in page.inner_text("main")
            assert page.evaluate("document.documentElement.scrollWidth") <= 390
            browser.close()
    finally:
        server.shutdown()
        serving.join()
        server.server_close()
