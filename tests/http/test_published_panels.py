"""What several judges place together, and each division, as they are published."""

import csv
import io
import zipfile
from typing import Any

import pytest

from events.rulebook.load import to_document
from tests.core.books import TIMED
from tests.http.agreeing import agree
from tests.http.house import House, done

CLASS = "/v1/classes/all-comers"
PATH = f"{CLASS}/publications"
REVISION = "/v1/classes/horsemanship/publications/{revision}"
RIDERS = ((214, "p-lind", ["open"]), (87, "p-falk", ["youth"]), (5, "p-nord", ["open", "youth"]))
TOTALS = {"A": (74, 72, 71), "B": (71, 73, 72)}


@pytest.fixture
def published(house: House) -> House:
    """Three entries in two divisions, whose two judges' totals are added up: 145, 145 and 143."""
    body = {"id": "all-comers", "name": "All comers", "rulebook": "western-horsemanship"}
    panel = {"panel": {"method": "sum"}}
    done(house.office.post("/v1/shows/three-rivers/classes", body | panel))
    done(house.office.post(f"{CLASS}/pattern", {"maneuvers": ["Walk", "Lope"]}))
    for seat, judge in (("A", "p-ames"), ("B", "p-baines")):
        done(house.office.post(f"{CLASS}/seats", {"seat": seat, "judge": judge}))
    for number, rider, divisions in RIDERS:
        entry = {"entry": f"e{number}", "back_number": number, "exhibitor": rider}
        done(house.office.post(f"{CLASS}/entries", entry | {"divisions": divisions}))
    order = [{"back_number": number} for number, _, _ in RIDERS]
    done(house.office.post(f"{CLASS}/draw", {"order": order}))
    for seat, totals in TOTALS.items():
        house.scribe(seat).act("all-comers", *_card(totals), {"kind": "sign"})
    house.make_official("all-comers")
    house.work()
    return house


def _card(totals: tuple[int, ...]) -> list[dict[str, Any]]:
    """Marks of +1 and 0 with the rider's mark that comes to each total from the base of 70."""
    return [
        action
        for (number, _, _), total in zip(RIDERS, totals, strict=True)
        for action in (
            {"kind": "mark", "back_number": number, "maneuver": 1, "mark": 1},
            {"kind": "mark", "back_number": number, "maneuver": 2, "mark": 0},
            {"kind": "rider_mark", "back_number": number, "mark": total - 71},
        )
    ]


def _places(rows: list[dict[str, Any]]) -> list[tuple[Any, ...]]:
    return [(row["place"], row["back_number"]) for row in rows]


def test_a_revision_says_what_the_judges_placed_together(published: House) -> None:
    panel = agree(published.federation.get(f"{PATH}/1"), REVISION)["panel"]
    assert panel["method"] == "sum"
    assert [(row["place"], row["tied"], row["figure"]) for row in panel["rows"]] == [
        (1, True, "145"),
        (1, True, "145"),
        (3, False, "143"),
    ]
    assert panel["rows"][2]["exhibitor"] == {"id": "p-nord", "name": "Per Nord"}


def test_a_revision_places_each_division_by_itself(published: House) -> None:
    first, second = done(published.public.get(f"{PATH}/1"))["divisions"]
    assert (first["name"], first["class_size"]) == ("open", 2)
    assert _places(first["seats"][1]["rows"]) == [(1, 5), (2, 214)]
    assert _places(first["panel"]["rows"]) == [(1, 214), (2, 5)]
    assert (second["name"], _places(second["panel"]["rows"])) == ("youth", [(1, 87), (2, 5)])


def test_the_csv_holds_the_place_by_all_judges_beside_each_judges_own(published: House) -> None:
    rows = list(csv.DictReader(io.StringIO(published.public.get(f"{PATH}/1.csv").text)))
    assert {
        (row["seat"], row["back_number"], row["place"], row["panel_place"], row["panel_figure"])
        for row in rows
        if row["back_number"] == "5"
    } == {("A", "5", "3", "3", "143"), ("B", "5", "2", "3", "143")}


def test_the_data_package_holds_the_places_of_every_division(published: House) -> None:
    answer = published.public.get("/v1/shows/three-rivers/results.zip")
    with zipfile.ZipFile(io.BytesIO(answer.data)) as packed:
        rows = list(csv.DictReader(io.StringIO(packed.read("divisions.csv").decode())))
    assert {
        (row["division"], row["back_number"], row["panel_place"])
        for row in rows
        if row["seat"] == "A"
    } == {("open", "214", "1"), ("open", "5", "2"), ("youth", "87", "1"), ("youth", "5", "2")}


def test_the_page_begins_with_what_the_judges_placed_together(published: House) -> None:
    text = published.public.get(f"{PATH}/1", {"Accept": "text/html"}).text
    headings = ("The judges together, by sum", "Seat A", "Seat B", "Division open, of 2")
    places = [text.index(heading) for heading in headings]
    assert places == sorted(places)


def test_a_timed_class_is_published_with_its_times(house: House) -> None:
    marked = {"scale", "penalties", "graded_penalties", "caps", "faults"}
    book = {key: part for key, part in to_document(TIMED).items() if key not in marked}
    done(house.office.post("/v1/shows/three-rivers/rulebooks", {"book": book}))
    house.schedule("speed", TIMED.id)
    times = {214: 17_532, 87: 16_004, 5: 20_000}
    house.seat_a().act(
        "speed",
        *({"kind": "time", "back_number": n, "milliseconds": ms} for n, ms in times.items()),
        {"kind": "sign"},
    )
    house.make_official("speed")
    house.work()
    path = "/v1/classes/speed/publications/1"
    [seat] = done(house.public.get(path))["seats"]
    assert [row["milliseconds"] for row in seat["rows"]] == [16_004, 17_532, 20_000]
    assert "16.004" in house.public.get(path, {"Accept": "text/html"}).text
    rows = csv.DictReader(io.StringIO(house.public.get(f"{path}.csv").text))
    assert [row["seconds"] for row in rows] == ["16.004", "17.532", "20.000"]
