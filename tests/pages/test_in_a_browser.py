"""The screens in a real browser: a moment, an explanation, and nothing it complains of."""

import shutil
import threading
from collections.abc import Iterator

import pytest
from playwright.sync_api import ConsoleMessage, sync_playwright
from werkzeug.serving import make_server

from tests.http.house import House

pytestmark = pytest.mark.browser


@pytest.fixture
def address(protested: House) -> Iterator[str]:
    server = make_server("127.0.0.1", 0, protested.app, threaded=True)
    serving = threading.Thread(target=server.serve_forever)
    serving.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    serving.join()
    server.server_close()


def test_a_steward_clicks_from_the_show_to_the_reason_for_a_place(
    protested: House, address: str, chromium: str
) -> None:
    heard: list[tuple[str, str]] = []

    def hear(said: ConsoleMessage) -> None:
        heard.append((said.type, said.text))

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which(chromium),
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        page = browser.new_page(viewport={"width": 1024, "height": 768})
        page.on("console", hear)
        page.goto(f"{address}/sign-in")
        page.fill("#key", protested.keys["steward"])
        page.click("main button")
        page.click("text=Three Rivers")
        page.click("text=Horsemanship, open")
        page.fill("#at", "9")
        page.click("form.moment button")
        assert "after event 9 of" in page.inner_text("main")
        page.click("text=Now")
        page.click("text=why? >> nth=0")
        assert "Base of the scale" in page.inner_text("main")
        page.set_viewport_size({"width": 390, "height": 844})  # a telephone
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        page.click("text=Sign out")
        assert "Sign in" in page.inner_text("header")
        browser.close()
    assert [text for kind, text in heard if kind in {"error", "warning"}] == []
