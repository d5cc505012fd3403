"""Papers of classes that are not marked, of finals, of divisions, and of names too long."""

from events.rulebook.load import to_document
from events.rulebook.model import RuleBook
from tests.core.books import PLACED, TIMED
from tests.http.house import House, done
from tests.http.test_papers import printed, row_of
from tests.http.test_published_panels import CLASS as DIVIDED
from tests.http.test_published_panels import (
    published as divided,  # noqa: F401 - pytest finds fixtures where they are imported
)
from tests.print.reading import text_of

NOT_MARKED = {"scale", "penalties", "graded_penalties", "caps", "faults"}
WORD = "Sattelkammerschluesselanhaengerbefestigung" * 3


def unmarked(house: House, book: RuleBook) -> str:
    """A class under a book without marks; where it is found."""
    content = {key: part for key, part in to_document(book).items() if key not in NOT_MARKED}
    done(house.office.post("/v1/shows/three-rivers/rulebooks", {"book": content}))
    return f"/v1/classes/{house.schedule('other', book.id)}"


def test_a_timed_card_has_times_and_its_results_too(house: House) -> None:
    path = unmarked(house, TIMED)
    blank = text_of(printed(house.office, f"{path}/cards/A/blank.pdf"))
    assert "Time, s Penalty, s Total, s" in blank
    assert "Penalties stand above the line" not in blank
    times = {214: (17_532, 0), 87: (16_004, 5_000), 5: (20_000, 0)}
    house.scribe("A").act(
        "other",
        *(
            {"kind": "time", "back_number": n, "milliseconds": ms, "penalty_milliseconds": more}
            for n, (ms, more) in times.items()
        ),
    )
    card = text_of(printed(house.office, f"{path}/cards/A/filled.pdf"))
    assert "2 87 16.004 5.000 21.004" in card
    placing = done(house.office.get(f"{path}/placing"))["seats"][0]["rows"]
    text = text_of(printed(house.office, f"{path}/results.pdf"))
    for row in placing:
        line = row_of(row | {"total": None})
        assert f"{line} {row['milliseconds'] / 1000:.3f}" in text


def test_a_placed_card_has_places_and_no_marks(house: House) -> None:
    path = unmarked(house, PLACED)
    order = [{"back_number": number} for number in (5, 214, 87)]
    [answer] = house.scribe("A").act("other", {"kind": "place", "order": order})
    assert answer["status"] == "accepted", answer
    card = text_of(printed(house.office, f"{path}/cards/A/filled.pdf"))
    for line in ("1 214 2", "2 87 3", "3 5 1"):
        assert line in card
    assert "Rail work" not in card
    placing = done(house.office.get(f"{path}/placing"))["seats"][0]["rows"]
    text = text_of(printed(house.office, f"{path}/results.pdf"))
    for row in placing:
        assert row_of(row | {"total": None}) in text


def test_a_final_has_what_was_carried_into_it_on_the_blank_card_already(house: House) -> None:
    house.judge(house.schedule())
    path = "/v1/classes/horsemanship"
    done(house.office.post(f"{path}/results/post"))
    rounds = {"kind": "final", "after": "horsemanship", "carries": True}
    body = {"id": "final", "name": "Final", "rulebook": "western-horsemanship", "round": rounds}
    done(house.office.post("/v1/shows/three-rivers/classes", body))
    done(house.office.post("/v1/classes/final/seats", {"seat": "A", "judge": "p-ames"}))
    done(house.office.post(f"{path}/cut", {"size": 1}))
    done(house.office.post("/v1/classes/final/qualified"))
    text = text_of(printed(house.office, "/v1/classes/final/cards/A/blank.pdf"))
    assert "Carried" in text
    assert "214 74" in text
    assert "Round final" in text


def test_divisions_and_the_judges_together_are_on_the_board(divided: House) -> None:  # noqa: F811 - the fixture itself
    placing = done(divided.office.get(f"{DIVIDED}/placing"))
    text = text_of(printed(divided.office, f"{DIVIDED}/results.pdf"))
    assert "The judges together: sum of the totals" in text
    parts = [placing, *placing["divisions"]]
    assert len(parts) == 3
    begins = 0
    for part in parts:
        if "name" in part:
            begins = text.index(f"Division {part['name']}, class size {part['class_size']}")
        for row in part["panel"]["rows"]:
            place = f"{row['place']}{'=' if row['tied'] else ''}"
            line = f"{place} {row['back_number']} {row['exhibitor']['name']} {row['figure']}"
            assert line in text[begins:]


def test_graded_penalties_and_words_for_totals_stand_on_the_card(house: House) -> None:
    house.adopt("equitation-hundred")
    house.schedule(book="equitation-hundred")
    text = text_of(printed(house.office, "/v1/classes/horsemanship/cards/A/blank.pdf"))
    book = done(house.office.get("/v1/rulebooks/equitation-hundred"))["book"]
    assert len(book["graded_penalties"]) == 2
    for rule in book["graded_penalties"]:
        assert f"{rule['lowest']:g} to {rule['highest']:g} {rule['wording']}" in text
    for band in book["scale"]["bands"]:
        assert f"from {band['lowest']:g} {band['word']}" in text


def test_a_word_too_long_for_its_column_is_broken_and_not_cut(house: House) -> None:
    house.schedule()
    done(house.office.post("/v1/people", {"id": "p-long", "name": WORD}))
    entry = {"entry": "e99999", "back_number": 99999, "exhibitor": "p-long"}
    done(house.office.post("/v1/classes/horsemanship/entries", entry))
    for paper in ("gate-sheet.pdf", "results.pdf"):
        text = text_of(printed(house.office, f"/v1/classes/horsemanship/{paper}"))
        assert WORD not in text
        assert WORD in text.replace(" ", "").replace("\u200b", "")


def test_a_pattern_of_very_many_maneuvers_goes_over_several_tables(house: House) -> None:
    house.schedule()
    names = [f"Circle {number}" for number in range(1, 31)]
    done(house.office.post("/v1/classes/horsemanship/pattern", {"maneuvers": names}))
    text = text_of(printed(house.office, "/v1/classes/horsemanship/cards/A/blank.pdf"))
    for number, name in enumerate(names, 1):
        assert f"{number} {name}" in text
    assert text.count(" 1 214 ") == 3


def test_a_cancelled_class_is_said_to_be_so_on_every_paper(house: House) -> None:
    house.schedule()
    slot = {"ring": "Main ring", "day": "2026-05-09", "slot": 1}
    done(house.office.put("/v1/shows/three-rivers/classes/horsemanship/slot", slot))
    done(house.office.post("/v1/classes/horsemanship/cancel", {"reason": "Nobody came."}))
    for paper in ("cards/A/blank.pdf", "cards/A/filled.pdf", "gate-sheet.pdf", "results.pdf"):
        text = text_of(printed(house.office, f"/v1/classes/horsemanship/{paper}"))
        assert "Stage cancelled, not held" in text
    board = text_of(printed(house.office, "/v1/classes/horsemanship/results.pdf"))
    assert "Class cancelled It is not held." in board
    day = text_of(printed(house.office, "/v1/shows/three-rivers/timetable.pdf?day=2026-05-09"))
    assert "7 Horsemanship, open Judith Ames 3 cancelled" in day


def test_a_card_that_two_judges_filled_names_both_and_a_closed_one_counts_for_nothing(
    house: House,
) -> None:
    house.schedule(seats="AB")
    path = "/v1/classes/horsemanship"
    house.scribe("A").act(
        "horsemanship", {"kind": "mark", "back_number": 214, "maneuver": 1, "mark": 1}
    )
    taken_ill = {"judge": "p-nord", "reason": "The judge was taken ill."}
    done(house.office.post(f"{path}/seats/A/replace", taken_ill))
    done(house.office.post(f"{path}/seats/B/close", {"reason": "The judge has left."}))
    card = text_of(printed(house.office, f"{path}/cards/A/filled.pdf"))
    assert "Seat A: Per Nord, before that Judith Ames" in card
    assert "Back number 214: judged by Judith Ames." in card
    closed = text_of(printed(house.office, f"{path}/cards/B/filled.pdf"))
    assert "(seat closed, counts for nothing)" in closed
    board = text_of(printed(house.office, f"{path}/results.pdf"))
    assert "Judge A: Per Nord, before that Judith Ames" in board
    assert "Judge B" not in board
