from typing import Any

from tests.http.agreeing import agree
from tests.http.house import MANEUVERS, House, done, refused

SHOW = "/v1/shows/three-rivers"
PATH = "/v1/classes/horsemanship"
RIDERS = ((214, "p-lind", "h-smoke"), (87, "p-falk", "h-little"), (5, "p-nord", "h-copper"))


def judged(house: House) -> None:
    """A posted class: 214 at 74, 87 and 5 at 72."""
    house.judge(house.schedule())
    done(house.office.post(f"{PATH}/results/post"))


def final(house: House, *, carries: bool = True) -> dict[str, Any]:
    body = {
        "id": "final",
        "name": "Final",
        "rulebook": "western-horsemanship",
        "round": {"kind": "final", "after": "horsemanship", "carries": carries},
    }
    return done(house.office.post(f"{SHOW}/classes", body))


def test_those_who_qualified_ride_in_the_final_with_their_totals(house: House) -> None:
    judged(house)
    final(house)
    refused(house.office.post("/v1/classes/final/qualified"), 409, "no_cut_yet")
    done(house.office.post(f"{PATH}/cut", {"size": 1}))
    done(house.office.post("/v1/classes/final/qualified"))
    found = agree(house.office.get("/v1/classes/final"), "/v1/classes/{class_id}")
    assert [(each["back_number"], each["carried"]) for each in found["entries"]] == [(214, 74)]
    assert found["round"] == {"kind": "final", "after": "horsemanship", "carries": True}
    again = done(house.office.post("/v1/classes/final/qualified"))
    assert again["events"] == 0


def test_a_tie_at_the_cut_goes_on_or_stays_as_the_office_says(house: House) -> None:
    judged(house)
    done(house.office.post(f"{PATH}/cut", {"size": 2}))
    cut = done(house.office.get(PATH))["cut"]
    assert (cut["qualified"], cut["tied_out"]) == (["e214", "e87", "e5"], [])
    done(house.office.post(f"{PATH}/cut", {"size": 2, "with_ties": False}))
    cut = done(house.office.get(PATH))["cut"]
    assert (cut["qualified"], sorted(cut["tied_out"])) == (["e214"], ["e5", "e87"])


def test_a_fresh_round_carries_nothing(house: House) -> None:
    judged(house)
    done(house.office.post(f"{PATH}/cut", {"size": 3}))
    final(house, carries=False)
    done(house.office.post("/v1/classes/final/qualified"))
    found = done(house.office.get("/v1/classes/final"))["entries"]
    assert [each["carried"] for each in found] == [None, None, None]


def test_a_round_is_after_a_class_of_the_show(house: House) -> None:
    body = {"name": "Final", "rulebook": "western-horsemanship"}
    lost = {**body, "round": {"kind": "final", "after": "nowhere"}}
    answer = refused(house.office.post(f"{SHOW}/classes", lost), 422, "round_before_unknown")
    assert answer["field"] == "round.after"
    alone = done(house.office.post(f"{SHOW}/classes", body))["id"]
    refused(house.office.post(f"/v1/classes/{alone}/qualified"), 409, "round_without_one_before")


def panel(house: House, choice: dict[str, Any]) -> None:
    """A class that two judges marked alike, combined as ``choice`` says; 87 and 5 are equal."""
    body = {"id": "horsemanship", "name": "Panel", "rulebook": "western-horsemanship", "number": 7}
    done(house.office.post(f"{SHOW}/classes", {**body, "panel": choice}))
    done(house.office.post(f"{PATH}/pattern", {"maneuvers": MANEUVERS}))
    for seat, judge in (("A", "p-ames"), ("B", "p-baines")):
        done(house.office.post(f"{PATH}/seats", {"seat": seat, "judge": judge}))
    for number, rider, horse in RIDERS:
        entry = {"entry": f"e{number}", "back_number": number, "exhibitor": rider, "horse": horse}
        done(house.office.post(f"{PATH}/entries", {**entry, "divisions": ["open"]}))
    order = [{"back_number": number} for number, _, _ in RIDERS]
    done(house.office.post(f"{PATH}/draw", {"order": order}))
    for seat in "AB":
        house.judge("horsemanship", seat)


def test_a_run_off_parts_those_whom_the_panel_left_equal(house: House) -> None:
    panel(house, {"method": "sum"})
    done(house.office.post(f"{PATH}/run-offs", {"order": [{"back_number": 5}, {"entry": "e87"}]}))
    found = done(house.office.get(f"{PATH}/placing"))
    rows = [(each["back_number"], each["place"]) for each in found["panel"]["rows"]]
    assert rows == [(214, 1), (5, 2), (87, 3)]
    assert found["panel"]["rows"][0]["figure"] == "148"
    assert [each["name"] for each in found["divisions"]] == ["open"]
    outsider = {"order": [{"back_number": 214}, {"back_number": 5}]}
    refused(house.office.post(f"{PATH}/run-offs", outsider), 409, "run_off_not_a_tie")


def test_whoever_goes_on_was_checked_in_the_round_before(house: House) -> None:
    done(house.office.post(f"{SHOW}/divisions", {"division": "open", "terms": {}}))
    panel(house, {"method": "mean"})
    done(house.office.post(f"{PATH}/results/post"))
    done(house.office.post(f"{PATH}/cut", {"size": 1}))
    final(house)
    done(house.office.post("/v1/classes/final/qualified"))
    [before, *_] = done(house.steward.get(f"{PATH}/eligibility"))["items"]
    [on] = done(house.steward.get("/v1/classes/final/eligibility"))["items"]
    assert on["checked_at"] == before["checked_at"] is not None
    assert [each["division"] for each in on["divisions"]] == ["open"]


def test_the_total_of_a_mean_is_carried_and_a_sum_is_left_to_the_office(house: House) -> None:
    panel(house, {"method": "sum"})
    done(house.office.post(f"{PATH}/results/post"))
    done(house.office.post(f"{PATH}/cut", {"size": 1}))
    final(house)
    answer = refused(house.office.post("/v1/classes/final/qualified"), 409, "total_not_carried")
    assert answer["facts"]["entry"] == "e214"
    by_hand = {"back_number": 214, "exhibitor": "p-lind", "horse": "h-smoke", "carried": 148}
    done(house.office.post("/v1/classes/final/entries", by_hand))


def test_the_mean_of_a_panel_is_carried(house: House) -> None:
    panel(house, {"method": "mean"})
    done(house.office.post(f"{PATH}/results/post"))
    done(house.office.post(f"{PATH}/cut", {"size": 1}))
    final(house)
    done(house.office.post("/v1/classes/final/qualified"))
    [entry] = done(house.office.get("/v1/classes/final"))["entries"]
    assert entry["carried"] == 74


def test_a_panel_that_cannot_work_is_refused_by_its_place(house: House) -> None:
    body = {"name": "Panel", "rulebook": "western-horsemanship"}
    weights = [{"seat": "A", "weight": "0,3"}]
    for choice, code, field in (
        ({"method": "placing_values"}, "panel_values_missing", "panel.values"),
        ({"method": "weighted", "values": [3, 2, 1]}, "panel_weights_missing", "panel.weights"),
        (
            {"method": "weighted", "values": [3], "weights": weights},
            "panel_weight_unreadable",
            "panel.weights[0].weight",
        ),
        (
            {"method": "sum", "call_judges": ["A"], "tie_judge": {"odd": "A", "even": "A"}},
            "panel_two_tie_rules",
            "panel.tie_judge",
        ),
    ):
        answer = house.office.post(f"{SHOW}/classes", {**body, "panel": choice})
        assert refused(answer, 422, code)["field"] == field


def test_contest_cuts_are_set_and_shown(house: House) -> None:
    house.schedule()
    done(house.steward.put(f"{PATH}/contest-cuts", {"cuts": [2, 5]}))
    assert done(house.office.get(PATH))["contest_cuts"] == [2, 5]
    wrong = refused(house.office.put(f"{PATH}/contest-cuts", {"cuts": []}), 422, "invalid")
    assert wrong["errors"][0]["field"] == "cuts"
