"""Papers over HTTP: held against what the same key reads as JSON."""

from typing import Any

import pytest

from tests.http.house import MANEUVERS, Hand, House, done, refused
from tests.print.reading import pages_of, read, text_of

CLASS = "/v1/classes/horsemanship"
CARD = f"{CLASS}/cards/A"
MINUS = "\u2212"
LONG = "Anna-Karolina Margareta Wilhelmina von und zu Hohenfeldkirchen-Oberschwarzenbach " * 2


@pytest.fixture
def judged(house: House) -> House:
    house.judge(house.schedule())
    return house


@pytest.fixture
def published(judged: House) -> House:
    """A class that was made official, corrected and made official again."""
    judged.make_official("horsemanship")
    judged.correct("horsemanship")
    judged.work()
    return judged


def printed(hand: Hand, path: str) -> bytes:
    answer = hand.get(path)
    assert answer.status_code == 200, answer.text
    assert answer.mimetype == "application/pdf"
    body: bytes = answer.data
    return body


def row_of(row: dict[str, Any]) -> str:
    """A line of the placing as the paper should read."""
    place = "\u2013" if row["place"] is None else f"{row['place']}{'=' if row['tied'] else ''}"
    total = "" if row["total"] is None else f" {row['total']:g}"
    return f"{place} {row['back_number']} {row['exhibitor']['name']} {row['horse']['name']}{total}"


def test_results_hold_every_line_of_the_placing(published: House) -> None:
    placing = done(published.office.get(f"{CLASS}/placing"))
    text = text_of(printed(published.office, f"{CLASS}/results.pdf"))
    rows = [row for seat in placing["seats"] for row in seat["rows"]]
    assert len(rows) == 3
    for row in rows:
        assert row_of(row) in text
    assert "Judge A: Judith Ames" in text
    assert f"Class size {placing['class_size']}" in text


def test_results_say_what_they_are_worth_at_each_moment(published: House) -> None:
    log = done(published.office.get(f"{CLASS}/log?limit=500"))["items"]
    [posted, _] = [each["version"] for each in log if each["type"] == "results.posted"]
    before = text_of(printed(published.office, f"{CLASS}/results.pdf?at={posted - 1}"))
    assert "Working copy: results not posted" in before
    board = text_of(printed(published.office, f"{CLASS}/results.pdf?at={posted}"))
    assert "Posted results, revision 1; not official yet" in board
    until = done(published.office.get(f"{CLASS}?at={posted}"))["protests_until"]
    assert until is not None
    assert "Protests are taken in until" in board
    assert "CDT" in board or "CST" in board
    now = text_of(printed(published.office, f"{CLASS}/results.pdf"))
    assert "Official results, revision 2" in now


def test_a_corrected_revision_says_what_changed_and_why(published: House) -> None:
    text = text_of(printed(published.office, f"{CLASS}/results.pdf"))
    signed = done(published.office.get(f"{CLASS}/publications/2"))["supersedes"]
    assert "What is different from revision 1" in text
    for each in signed["moved"]:
        before, after = each["before"], each["after"]
        assert (
            f"Seat A, back number {each['back_number']}: place {before['place']}"
            f"{'=' if before['tied'] else ''}, {before['total']:g} points; now place "
            f"{after['place']}{'=' if after['tied'] else ''}, {after['total']:g} points."
        ) in text
    assert signed["corrections"][0]["reason"].rstrip(".") in text
    assert "on the word of the office, for its own error" in text


def test_a_published_revision_says_that_another_has_taken_its_place(published: House) -> None:
    for revision, overtaken in ((1, True), (2, False)):
        path = f"{CLASS}/publications/{revision}"
        placing = done(published.public.get(path))
        text = text_of(printed(published.public, f"{path}.pdf"))
        assert f"Official results, revision {revision}" in text
        assert ("Revision 2 has taken the place of this one." in text) is overtaken
        for row in placing["seats"][0]["rows"]:
            assert row_of(row) in text
    refused(published.public.get(f"{CLASS}/publications/3.pdf"), 404, "unknown_revision")


def test_official_results_that_were_opened_again_say_so(published: House) -> None:
    why = {"authority": "office_error", "reason": "Two numbers were read as one."}
    done(published.office.post(f"{CLASS}/results/reopen", why))
    text = text_of(printed(published.public, f"{CLASS}/results.pdf"))
    assert "Official results, revision 2" in text
    assert "These results have been opened again since" in text
    office = text_of(printed(published.office, f"{CLASS}/results.pdf"))
    assert "Working copy: results reopened" in office


def test_reasons_are_for_those_who_may_read_them(published: House) -> None:
    text = text_of(printed(published.public, f"{CLASS}/results.pdf"))
    assert "Reason: withheld." in text
    assert "The scribe took the wrong line" not in text


def test_official_results_carry_the_size_and_the_root_that_were_signed(published: House) -> None:
    document = done(published.office.get(f"{CLASS}/publications/2/document"))
    text = text_of(printed(published.public, f"{CLASS}/results.pdf"))
    assert f"Log size {document['position']}" in text
    assert f"Class version {document['version']}" in text
    assert document["root"] in text.replace(" ", "")
    first = text_of(printed(published.office, f"{CLASS}/results.pdf?at={document['version'] - 1}"))
    assert "Log size" not in first


def test_a_blank_card_has_a_row_for_each_entry_and_a_column_for_each_maneuver(
    house: House,
) -> None:
    house.schedule()
    found = read(printed(house.office, f"{CARD}/blank.pdf"))
    box = found.pages[0].mediabox
    assert box.width > box.height
    text = text_of(printed(house.office, f"{CARD}/blank.pdf"))
    for number, name in enumerate(MANEUVERS, 1):
        assert f"{number} {name}" in text
    for order, back in ((1, 214), (2, 87), (3, 5)):
        assert f" {order} {back} " in text
    for words in ("Working order", "Back no.", "Total", "Rail work", "Signature", "Judith Ames"):
        assert words in text
    assert "Karin Lind" not in text
    book = done(house.office.get("/v1/rulebooks/western-horsemanship"))
    rules = book["book"]["penalties"]
    assert len(rules) > 10
    for rule in rules:
        assert f"{rule['points']:g} {rule['wording']} ({rule['code']})" in text.replace("- ", "-")


def test_a_filled_card_holds_every_mark_call_and_total_of_the_card(judged: House) -> None:
    card = done(judged.office.get(CARD))
    text = text_of(printed(judged.office, f"{CARD}/filled.pdf"))
    for ride in card["rides"]:
        marks = [f"{each['mark']:+g}" if each["mark"] else "0" for each in ride["marks"]]
        written = " ".join(marks).replace("-", MINUS)
        line = f"{ride['working_order']} {ride['back_number']} {written}"
        assert f"{line} {ride['rider_mark']:g} {ride['total']:g}" in text
    assert f"event {card['signed']}" in text


def test_a_card_reads_as_it_stood(judged: House) -> None:
    signed = done(judged.office.get(CARD))["signed"]
    earlier = text_of(printed(judged.office, f"{CARD}/filled.pdf?at={signed - 1}"))
    assert "This card is not signed yet" in earlier
    assert f"as it stood after event {signed - 1}" in earlier
    assert printed(judged.office, f"{CARD}/filled.pdf?at={signed - 1}") == printed(
        judged.office, f"{CARD}/filled.pdf?at={signed - 1}"
    )


def test_a_filled_card_tells_penalties_outcomes_and_rail_work(house: House) -> None:
    scribe = house.seat_a()
    answers = scribe.act(
        "horsemanship",
        {"kind": "penalty", "back_number": 87, "maneuver": 2, "code": "cone-tick"},
        {"kind": "penalty", "back_number": 87, "maneuver": 2, "points": 5},
        {"kind": "outcome", "back_number": 5, "outcome": "off_pattern", "reason": "Wrong side."},
    )
    assert {each["status"] for each in answers} == {"accepted"}, answers
    text = text_of(printed(house.office, f"{CARD}/filled.pdf"))
    assert "3, 5" in text
    assert "Back number 87, maneuver 2: penalty 3, Tick or hit of a cone." in text
    assert "Back number 87, maneuver 2: penalty 5, called by its size." in text
    assert "Back number 5: off pattern: Wrong side." in text


def test_a_gate_sheet_calls_everybody_and_strikes_out_who_was_scratched(house: House) -> None:
    house.schedule()
    done(house.office.post(f"{CLASS}/entries/e87/scratch", {}))
    text = text_of(printed(house.office, f"{CLASS}/gate-sheet.pdf"))
    for order, line in enumerate(
        ("214 Karin Lind Smoke Over Willow", "87 Ida Falk Little Dun Dee", "5 Per Nord"), 1
    ):
        assert f"{order} {line}" in text
    assert "Scratched" in text
    assert "Entries 2" in text


def test_an_explanation_holds_every_term_of_the_total(judged: House) -> None:
    query = "seat=A&entry=e214"
    found = done(judged.office.get(f"{CLASS}/explain?{query}"))
    text = text_of(printed(judged.office, f"{CLASS}/explain.pdf?{query}"))
    assert f"Place {found['place']}, total {found['total']:g}" in text
    assert len(found["terms"]) == 5
    for term in found["terms"]:
        assert term["says"] in text
    for step in found["steps"]:
        assert step["says"] in text
    assert "Rider Karin Lind" in text


def test_a_programme_has_every_class_of_the_day_in_its_ring(house: House) -> None:
    house.schedule()
    slot = {"ring": "Main ring", "day": "2026-05-09", "slot": 1, "not_before": "09:15"}
    done(house.office.put("/v1/shows/three-rivers/classes/horsemanship/slot", slot))
    path = "/v1/shows/three-rivers/timetable"
    day = "day=2026-05-09"
    table = done(house.public.get(f"{path}?{day}"))
    text = text_of(printed(house.public, f"{path}.pdf?{day}"))
    [ring] = table["rings"]
    for each in ring["classes"]:
        assert f"{each['starts_at_local'][11:16]} {each['number']} {each['name']}" in text
    assert "Saturday 9 May 2026" in text
    refused(house.public.get(f"{path}.pdf?day=2026-06-01"), 422, "day_outside_show")


def test_a_shows_results_are_those_of_its_classes(published: House) -> None:
    published.judge(published.schedule("second"))
    path = "/v1/shows/three-rivers/results.pdf"
    assert len(pages_of(printed(published.public, path))) == 1
    published.make_official("second")
    text = text_of(printed(published.public, path))
    for name in ("horsemanship", "second"):
        for row in done(published.public.get(f"/v1/classes/{name}/placing"))["seats"][0]["rows"]:
            assert row_of(row) in text
    none = text_of(printed(published.public, f"{path}?day=2026-05-08"))
    assert "No results are posted yet" in none


def test_a_scribe_prints_the_own_card_and_the_others_once_results_are_posted(house: House) -> None:
    house.schedule(seats="AB")
    house.judge("horsemanship", "A")
    house.judge("horsemanship", "B")
    other, own = house.scribe("B"), house.scribe("A")
    assert printed(own, f"{CARD}/filled.pdf")
    refused(other.get(f"{CARD}/filled.pdf"), 403, "card_not_open")
    refused(other.get(f"{CLASS}/explain.pdf?seat=A&entry=e214"), 403, "card_not_open")
    assert "Judge A" not in text_of(printed(other, f"{CLASS}/results.pdf"))
    assert printed(other, f"{CARD}/blank.pdf")
    done(house.office.post(f"{CLASS}/results/post"))
    assert printed(other, f"{CARD}/filled.pdf")
    assert "Judge A" in text_of(printed(other, f"{CLASS}/results.pdf"))


def test_the_public_prints_official_results_and_nothing_before(judged: House) -> None:
    refused(judged.public.get(f"{CLASS}/results.pdf"), 404, "no_official_results")
    for path in (f"{CARD}/filled.pdf", f"{CARD}/blank.pdf", f"{CLASS}/gate-sheet.pdf"):
        refused(judged.public.get(path), 403, "role_not_allowed")
        refused(judged.nobody.get(path), 401, "key_missing")


def test_what_is_not_there_is_refused_by_name(judged: House) -> None:
    refused(judged.office.get("/v1/classes/nothing/gate-sheet.pdf"), 404, "unknown_class")
    refused(judged.office.get(f"{CLASS}/cards/Z/filled.pdf"), 404, "unknown_card")
    refused(judged.office.get(f"{CLASS}/cards/Z/blank.pdf"), 422, "unknown_seat")
    refused(judged.office.get(f"{CLASS}/results.pdf?at=9999"), 422, "at_unknown")
    answer = judged.office.get(f"{CLASS}/results.pdf?paper=b5")
    assert refused(answer, 422, "invalid")["errors"][0]["field"] == "paper"


def test_a_file_has_a_name_that_every_browser_reads_and_a_tag(judged: House) -> None:
    answer = judged.office.get(f"{CLASS}/gate-sheet.pdf")
    assert answer.headers["Content-Disposition"] == (
        'inline; filename="horsemanship-gate-sheet.pdf"; '
        "filename*=UTF-8''7.%20Horsemanship%2C%20open%2C%20gate%20sheet.pdf"
    )
    known = {"If-None-Match": answer.headers["ETag"]}
    assert judged.office.get(f"{CLASS}/gate-sheet.pdf", known).status_code == 304
    done(judged.office.delete("/v1/people/p-lind"))
    after = judged.office.get(f"{CLASS}/gate-sheet.pdf", known)
    assert after.status_code == 200
    assert "Karin Lind" not in text_of(after.data)
    assert "withheld" in text_of(after.data)


def test_a_class_without_entries_or_pattern_has_papers_too(house: House) -> None:
    body = {"id": "empty", "name": "Trail", "rulebook": "western-horsemanship"}
    done(house.office.post("/v1/shows/three-rivers/classes", body))
    done(house.office.post("/v1/classes/empty/seats", {"seat": "A", "judge": "p-ames"}))
    for paper in ("cards/A/blank.pdf", "cards/A/filled.pdf", "gate-sheet.pdf", "results.pdf"):
        text = text_of(printed(house.office, f"/v1/classes/empty/{paper}"))
        assert "No entry is in this class." in text


def test_sixty_entries_and_three_seats_go_over_several_pages_and_none_is_lost(
    house: House,
) -> None:
    body = {
        "id": "large",
        "name": "Horsemanship, all ages",
        "rulebook": "western-horsemanship",
        "panel": {"method": "sum"},
    }
    done(house.office.post("/v1/shows/three-rivers/classes", body))
    path = "/v1/classes/large"
    done(house.office.post(f"{path}/pattern", {"maneuvers": ["Walk", "Back"]}))
    for seat, judge in zip("ABC", ("p-ames", "p-baines", "p-nord"), strict=True):
        done(house.office.post(f"{path}/seats", {"seat": seat, "judge": judge}))
    named = {1: LONG.strip()[:190], 2: "Ιώ Παππά", 3: "花村 由紀", 4: "משה לוי", 5: "Đorđe Åse"}
    for number in range(1, 61):
        person = {"id": f"p-{number}", "name": named.get(number, f"Rider Number {number}")}
        done(house.office.post("/v1/people", person))
        entry = {"entry": f"n{number}", "back_number": 100 + number, "exhibitor": f"p-{number}"}
        done(house.office.post(f"{path}/entries", entry))
    order = [{"entry": f"n{number}"} for number in range(1, 61)]
    done(house.office.post(f"{path}/draw", {"order": order}))
    for seat in "ABC":
        scribe = house.scribe(seat)
        actions = [
            action
            for number in range(1, 61)
            for action in (
                {"kind": "mark", "entry": f"n{number}", "maneuver": 1, "mark": number % 7 / 2},
                {"kind": "mark", "entry": f"n{number}", "maneuver": 2, "mark": number % 5 / 2},
                {"kind": "rider_mark", "entry": f"n{number}", "mark": number % 3},
            )
        ]
        assert {each["status"] for each in scribe.act("large", *actions)} == {"accepted"}
        scribe.act("large", {"kind": "sign"})
    card = pages_of(printed(house.office, f"{path}/cards/B/filled.pdf"))
    assert len(card) > 4
    totals = done(house.office.get(f"{path}/cards/B"))["rides"]
    for ride in totals:
        start = f"{ride['working_order']} {ride['back_number']} "
        [page] = [each for each in card if start in each and "Working order" in each]
        assert f"{ride['total']:g}" in page[page.index(start) :]
    placing = done(house.office.get(f"{path}/placing"))
    body_of = printed(house.office, f"{path}/results.pdf")
    text = text_of(body_of)
    assert len(pages_of(body_of)) > 6
    assert len(placing["panel"]["rows"]) == 60
    for row in [*placing["panel"]["rows"], *(r for s in placing["seats"] for r in s["rows"])]:
        if row["entry"] in {"n1", "n2", "n3", "n4", "n5"}:
            continue
        figure = row["figure"] if "figure" in row else f"{row['total']:g}"
        place = f"{row['place']}{'=' if row['tied'] else ''}"
        assert f"{place} {row['back_number']} {row['exhibitor']['name']} {figure}" in text
    assert LONG.strip()[:190].replace(" ", "") in text.replace(" ", "")
    for shown in ("Ιώ Παππά", "Đorđe Åse", "\u25a1\u25a1 \u25a1\u25a1"):
        assert shown in text
