from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from werkzeug.routing import Rule

from events.rulebook.load import to_document
from service.books import shipped_book
from service.http import guard
from service.store.keys import ROLES, KeyRole
from tests.http.house import SHOW, Hand, House, done, refused

VALUES = {
    "show_id": "three-rivers",
    "class_id": "horsemanship",
    "entry": "e214",
    "number": 214,
    "seat": "A",
    "protest": "pr-1",
    "person_id": "p-lind",
    "horse_id": "h-smoke",
    "key_id": "0123456789abcdef",
    "name": "trail",
    "version": 1,
    "settlement": 1,
    "revision": 1,
    "subscription_id": "sub_0123456789abcdef",
    "job_id": "0123456789abcdef",
    "code": "invalid",
    "season_id": "hill-country-2026",
    "award": "high-point",
    "member": "p-lind",
}


def closed_addresses(app: Flask) -> Iterator[tuple[str, str, frozenset[str]]]:
    for rule in app.url_map.iter_rules():
        roles = guard.declared(app.view_functions[rule.endpoint])
        if roles:
            yield from ((method, address(rule), roles) for method in methods(rule))


def methods(rule: Rule) -> list[str]:
    return sorted((rule.methods or set()) - {"OPTIONS", "HEAD"})


def address(rule: Rule) -> str:
    built = rule.build({name: VALUES.get(name, "any") for name in rule.arguments})
    assert built is not None
    return built[1]


def test_every_address_says_who_may_call_it(application: Flask) -> None:
    undeclared = [
        rule.rule
        for rule in application.url_map.iter_rules()
        if guard.declared(application.view_functions[rule.endpoint]) is None
    ]
    assert undeclared == []


def test_an_address_that_says_nothing_is_closed(sqlite_application: Flask) -> None:
    sqlite_application.add_url_rule("/forgotten", view_func=lambda: "secret", endpoint="forgotten")
    office = House(sqlite_application).office
    refused(office.get("/forgotten"), 403, "role_not_allowed")


def test_nobody_passes_an_address_that_is_not_open_to_the_role(house: House) -> None:
    house.schedule()
    scribe = house.scribe("A")
    hands: dict[KeyRole, Hand] = {
        "office": house.office,
        "scribe": scribe,
        "steward": house.steward,
        "federation": house.federation,
        "public": house.public,
    }
    tried = 0
    for method, path, roles in closed_addresses(house.app):
        for role in set(ROLES) - roles:
            sent = {"Authorization": f"Bearer {hands[role].key}"}
            answer = house.app.test_client().open(path, method=method, headers=sent, json={})
            refused(answer, 403, "role_not_allowed")
            tried += 1
    assert tried > 100


def test_without_a_key_every_closed_address_asks_for_one(house: House) -> None:
    for method, path, _ in closed_addresses(house.app):
        answer = house.app.test_client().open(path, method=method, json={})
        refused(answer, 401, "key_missing")
        assert answer.headers["WWW-Authenticate"].startswith("Bearer ")


@pytest.mark.parametrize(
    "sent",
    [
        "Bearer nonsense",
        "Bearer ringfold_0123456789abcdef_wrong",
        "Bearer \N{LATIN SMALL LETTER E WITH ACUTE}",
        "Basic cmluZ2ZvbGQ6",
        "Bearer",
    ],
)
def test_a_key_that_is_not_known_opens_nothing(house: House, sent: str) -> None:
    answer = house.app.test_client().get("/v1/shows", headers={"Authorization": sent})
    refused(answer, 401, "key_unknown")


def test_a_key_with_another_keys_secret_opens_nothing(house: House) -> None:
    first, second = house.key("office"), house.key("office")
    mixed = "_".join([*first.split("_")[:2], *second.split("_")[2:]])
    answer = Hand(house.app.test_client(), mixed).get("/v1/shows")
    refused(answer, 401, "key_unknown")


def test_a_revoked_key_opens_nothing_from_then_on(house: House) -> None:
    made = done(house.office.post("/v1/keys", {"role": "steward", "label": "Lost"}))
    lost = Hand(house.app.test_client(), made["key"])
    assert lost.get("/v1/shows").status_code == 200
    assert done(house.office.delete(f"/v1/keys/{made['id']}"))["revoked_at"] is not None
    refused(lost.get("/v1/shows"), 401, "key_unknown")
    refused(house.office.delete("/v1/keys/0123456789abcdef"), 404, "unknown_key")


def test_a_keys_secret_is_kept_nowhere(house: House, tmp_path: Path) -> None:
    body = {"role": "scribe", "label": "Scribe A", "show": "three-rivers", "seat": "A"}
    made = done(house.office.post("/v1/keys", body))
    secret = made["key"].split("_", 2)[2].encode()
    assert len(secret) > 40
    for file in tmp_path.iterdir():
        assert secret not in file.read_bytes()
    listed = house.office.get("/v1/keys").text
    assert made["id"] in listed
    assert secret.decode() not in listed


def test_a_scribes_key_is_bound_to_a_seat_and_no_other_key_is(house: House) -> None:
    for body, field in (
        ({"role": "scribe"}, "show"),
        ({"role": "scribe", "show": "three-rivers"}, "seat"),
        ({"role": "steward", "seat": "A"}, "seat"),
    ):
        answer = house.office.post("/v1/keys", {"label": "x", **body})
        assert refused(answer, 422, "key_not_bound")["field"] == field
    unknown = {"role": "scribe", "label": "x", "show": "no-show", "seat": "A"}
    refused(house.office.post("/v1/keys", unknown), 404, "unknown_show")


def test_a_key_says_what_it_is_good_for(house: House) -> None:
    mine = done(house.scribe("A").get("/v1/keys/mine"))
    assert (mine["role"], mine["show"], mine["seat"]) == ("scribe", "three-rivers", "A")


def test_a_key_for_one_show_reads_and_writes_nothing_of_another(house: House) -> None:
    house.schedule()
    done(house.office.post("/v1/shows", SHOW | {"id": "elsewhere"}))
    for role in ("office", "steward", "federation"):
        elsewhere = house.hand(role, show="elsewhere")
        assert [each["id"] for each in done(elsewhere.get("/v1/shows"))["items"]] == ["elsewhere"]
        for path in ("/shows/three-rivers", "/classes/horsemanship", "/classes/horsemanship/log"):
            refused(elsewhere.get(f"/v1{path}"), 403, "other_show")
    office = house.hand("office", show="elsewhere")
    refused(office.post("/v1/shows/three-rivers/rings", {"ring": "B"}), 403, "other_show")
    refused(office.post("/v1/classes/horsemanship/results/post"), 403, "other_show")
    refused(office.post("/v1/shows", SHOW | {"id": "third"}), 403, "other_show")
    refused(office.delete("/v1/people/p-lind"), 403, "other_show")
    action = {"id": "1", "kind": "sign", "seat": "A", "occurred_at": "2026-05-09T14:03:07Z"}
    batch = {"actions": [action]}
    refused(office.post("/v1/classes/horsemanship/actions", batch), 403, "other_show")


def test_an_office_of_one_show_makes_keys_for_that_show_alone(house: House) -> None:
    office = house.hand("office", show="three-rivers")
    refused(office.post("/v1/keys", {"role": "steward", "label": "x"}), 403, "other_show")
    made = {"role": "steward", "label": "x", "show": "three-rivers"}
    done(office.post("/v1/keys", made))
    shows = {each["show"] for each in done(office.get("/v1/keys"))["items"]}
    assert shows == {"three-rivers"}


def test_the_public_sees_official_results_and_nothing_before(house: House) -> None:
    class_id = house.schedule()
    path = f"/v1/classes/{class_id}/placing"
    refused(house.public.get(path), 404, "no_official_results")
    house.judge(class_id)
    done(house.office.post(f"/v1/classes/{class_id}/results/post"))
    refused(house.public.get(path), 404, "no_official_results")
    early = {"reason": "Everybody has seen the cards."}
    done(house.office.post(f"/v1/classes/{class_id}/results/make-official", early))
    official = done(house.public.get(path))
    reopening = {"authority": "office_error", "reason": "Two back numbers were read as one."}
    done(house.office.post(f"/v1/classes/{class_id}/results/reopen", reopening))
    after = done(house.public.get(path))
    assert after["seats"] == official["seats"]
    assert (after["version"], after["phase"]) == (official["version"], "official")
    assert after["phase_now"] == "reopened"
    refused(house.public.get(f"{path}?at=12"), 404, "no_official_results")


def test_a_scribe_sees_the_other_cards_once_results_are_posted(house: House) -> None:
    class_id = house.schedule(seats="AB")
    house.judge(class_id, "B")
    scribe = house.scribe("A")
    path = f"/v1/classes/{class_id}"
    refused(scribe.get(f"{path}/cards/B"), 403, "card_not_open")
    assert [card["seat"] for card in done(scribe.get(f"{path}/cards"))["cards"]] == ["A"]
    assert [seat["seat"] for seat in done(scribe.get(f"{path}/placing"))["seats"]] == ["A"]
    house.judge(class_id, "A")
    done(house.office.post(f"{path}/results/post"))
    assert [seat["seat"] for seat in done(scribe.get(f"{path}/placing"))["seats"]] == ["A", "B"]
    assert done(scribe.get(f"{path}/cards/B"))["seat"] == "B"


def test_what_judges_place_together_is_not_open_to_a_scribe_before_posting(house: House) -> None:
    book = to_document(shipped_book("western-horsemanship"))
    book |= {"id": "panel-of-two", "panel": {"method": "sum", "source": "common practice"}}
    done(house.office.post("/v1/shows/three-rivers/rulebooks", {"book": book}))
    class_id = house.schedule(book="panel-of-two", seats="AB")
    path = f"/v1/classes/{class_id}"
    house.judge(class_id, "A")
    house.judge(class_id, "B")
    scribe = house.scribe("A")
    closed = done(scribe.get(f"{path}/placing"))["panel"]
    assert (closed["rows"], closed["open"]) == ([], "Not open to this key before posting.")
    assert len(done(house.office.get(f"{path}/placing"))["panel"]["rows"]) == 3
    done(house.office.post(f"{path}/results/post"))
    rows = done(scribe.get(f"{path}/placing"))["panel"]["rows"]
    assert (rows[0]["back_number"], rows[0]["figure"]) == (214, "148")


def test_a_learners_card_is_for_the_office_and_the_steward(house: House) -> None:
    class_id = house.schedule()
    path = f"/v1/classes/{class_id}"
    done(house.office.post(f"{path}/seats", {"seat": "L", "judge": "p-baines", "kind": "learner"}))
    assert done(house.steward.get(f"{path}/cards/L"))["kind"] == "learner"
    refused(house.federation.get(f"{path}/cards/L"), 403, "card_not_open")
    seats = done(house.federation.get(f"{path}/placing"))["seats"]
    assert [seat["seat"] for seat in seats] == ["A"]
