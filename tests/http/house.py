"""A running house for a test: its application, a key for each role, and a show in it."""

import itertools
import json
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.desk import keys
from service.desk.desk import Desk
from service.http.here import desk_of, trust_of
from service.publishing.links import Links
from service.store import followers
from service.store.keys import KeyRole
from service.trust.trust import Trust
from service.workers.follow import follow
from service.workers.publish import Publications
from service.workers.standings import Standings
from service.workers.works import Works

ORIGIN = "three-rivers.example/log"
WHEN = "2026-05-09T14:03:07Z"
SHOW = {
    "id": "three-rivers",
    "name": "Three Rivers Spring Show",
    "place": "Willow Bend Arena",
    "time_zone": "America/Chicago",
    "first_day": "2026-05-08",
    "last_day": "2026-05-10",
}
SEASON = {
    "id": "hill-country-2026",
    "federation": "hill-country",
    "name": "Season 2026",
    "first_day": "2026-01-01",
    "last_day": "2026-12-31",
}
AWARD: dict[str, Any] = {
    "award": "high-point",
    "name": "High point",
    "carrier": "rider",
    "points": "ihsa-individual",
    "categories": [{"name": "All classes"}],
}
MANEUVERS = ["Walk", "Jog circle left", "Stop and back"]
HOUSE_ROLES: tuple[KeyRole, ...] = ("office", "steward", "federation", "public")
Keys = Mapping[KeyRole, str]
"""A key for each role that is good for all shows."""

_commands = itertools.count(1)


class Hand:
    """Somebody with a key, sending requests."""

    def __init__(self, client: FlaskClient, key: str | None) -> None:
        self.client = client
        self.key = key

    def get(self, path: str, headers: Mapping[str, str] | None = None) -> TestResponse:
        """Read."""
        return self.client.get(path, headers=self._headers(headers))

    def delete(self, path: str) -> TestResponse:
        """Delete."""
        return self.client.delete(path, headers=self._headers(None))

    def put(self, path: str, body: object = None, *, command: str | None = None) -> TestResponse:
        """Put, under a command id of its own unless one is given."""
        sent = {"Idempotency-Key": command or f"c{next(_commands)}"}
        return self.client.put(path, json=body, headers=self._headers(sent))

    def post(
        self,
        path: str,
        body: object = None,
        *,
        command: str | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> TestResponse:
        """Post, under a command id of its own unless one is given."""
        sent = {"Idempotency-Key": command or f"c{next(_commands)}", **(headers or {})}
        if body is None:
            return self.client.post(path, headers=self._headers(sent))
        return self.client.post(path, json=body, headers=self._headers(sent))

    def act(self, class_id: str, *actions: Mapping[str, Any]) -> list[dict[str, Any]]:
        """Send judge actions, each with an id and a time unless it brings them; the answers."""
        sent = [{"id": f"a{next(_commands)}", "occurred_at": WHEN, **action} for action in actions]
        answer = self.client.post(
            f"/v1/classes/{class_id}/actions", json={"actions": sent}, headers=self._headers(None)
        )
        assert answer.status_code == 200, answer.text
        answers: list[dict[str, Any]] = answer.get_json()["answers"]
        return answers

    def _headers(self, further: Mapping[str, str] | None) -> dict[str, str]:
        held = {} if self.key is None else {"Authorization": f"Bearer {self.key}"}
        return {**held, **(further or {})}


class House:
    """The application and those who hold its keys; the keys for one show open after ``open``."""

    def __init__(self, app: Flask, held: Keys | None = None) -> None:
        self.app = app
        self.desk: Desk = desk_of(app)
        self.keys = held or {role: self.key(role) for role in HOUSE_ROLES}
        self.office, self.steward, self.federation, self.public = (
            Hand(app.test_client(), self.keys[role]) for role in HOUSE_ROLES
        )
        self.nobody = Hand(app.test_client(), None)

    def key(self, role: KeyRole, *, show: str | None = None, seat: str | None = None) -> str:
        """A new key."""
        made = keys.make(self.desk, None, role, label=f"a test's {role}", show=show, seat=seat)
        return made.presented

    def hand(self, role: KeyRole, *, show: str | None = None, seat: str | None = None) -> Hand:
        """Somebody new with a key."""
        return Hand(self.app.test_client(), self.key(role, show=show, seat=seat))

    def scribe(self, seat: str, show: str = "three-rivers") -> Hand:
        """The scribe of one seat."""
        return self.hand("scribe", show=show, seat=seat)

    def seat_a(self) -> Hand:
        """The scribe of the only seat of a class that is ready to be judged."""
        self.schedule()
        return self.scribe("A")

    def open_show(self) -> None:
        """Plan the show, with a ring, a rule book, two judges, three riders and their horses."""
        done(self.office.post("/v1/shows", SHOW))
        done(self.office.post("/v1/shows/three-rivers/rings", {"ring": "Main ring"}))
        self.adopt("western-horsemanship")
        for name in ("Judith Ames", "Otto Baines", "Karin Lind", "Ida Falk", "Per Nord"):
            person = {"id": f"p-{name.split()[1].lower()}", "name": name}
            done(self.office.post("/v1/people", person))
        for name in ("Smoke Over Willow", "Little Dun Dee", "Copper Lane"):
            horse = {"id": f"h-{name.split()[0].lower()}", "name": name}
            done(self.office.post("/v1/horses", horse))

    def adopt(self, book: str) -> None:
        """Let the show hold classes under a shipped book."""
        done(self.office.post("/v1/shows/three-rivers/rulebooks", {"shipped": book}))

    def schedule(
        self, class_id: str = "horsemanship", book: str = "western-horsemanship", seats: str = "A"
    ) -> str:
        """A class with a pattern, seats, three entries 214, 87 and 5, drawn in this order."""
        body = {"id": class_id, "name": "Horsemanship, open", "rulebook": book, "number": 7}
        done(self.office.post("/v1/shows/three-rivers/classes", body))
        path = f"/v1/classes/{class_id}"
        done(self.office.post(f"{path}/pattern", {"maneuvers": MANEUVERS}))
        for seat, judge in zip(seats, ("p-ames", "p-baines"), strict=False):
            done(self.office.post(f"{path}/seats", {"seat": seat, "judge": judge}))
        riders = ((214, "p-lind", "h-smoke"), (87, "p-falk", "h-little"), (5, "p-nord", "h-copper"))
        for number, rider, horse in riders:
            body = {"entry": f"e{number}", "back_number": number}
            done(self.office.post(f"{path}/entries", {**body, "exhibitor": rider, "horse": horse}))
        order = [{"back_number": number} for number, _, _ in riders]
        done(self.office.post(f"{path}/draw", {"order": order}))
        return class_id

    def judge(self, class_id: str, seat: str = "A") -> None:
        """Mark every ride of a seat: 214 at 74, 87 at 72, 5 at 72, and sign."""
        scribe = self.scribe(seat)
        for number, marks in ((214, (1, 0.5, -0.5)), (87, (0, 0, 0)), (5, (0.5, -0.5, 0))):
            rider = 3 if number == 214 else 2
            answers = scribe.act(
                class_id,
                *(
                    {"kind": "mark", "back_number": number, "maneuver": at, "mark": mark}
                    for at, mark in enumerate(marks, 1)
                ),
                {"kind": "rider_mark", "back_number": number, "mark": rider},
            )
            assert {each["status"] for each in answers} == {"accepted"}, answers
        [signed] = scribe.act(class_id, {"kind": "sign"})
        assert signed["status"] == "accepted", signed

    def protest(self, class_id: str) -> None:
        """Post the results, and take a protest in against them."""
        done(self.office.post(f"/v1/classes/{class_id}/results/post"))
        protest = {
            "protest": "pr-1",
            "filed_by": "p-lind",
            "ground": "arithmetic",
            "statement": "The third maneuver was added up twice.",
            "fee_paid": True,
        }
        done(self.office.post(f"/v1/classes/{class_id}/protests", protest))

    @property
    def trust(self) -> Trust:
        """What proves its log."""
        return trust_of(self.app)

    def work(self) -> None:
        """Let the workers do what there is to do for official results."""
        if not self.trust.keys.kept():
            self.trust.keys.make()
        works = Works(
            self.desk,
            followers=[Publications(self.desk, self.trust, Links()), Standings(self.desk)],
            jobs=[],
            checkpoints=self.trust,
        )
        works.register()
        for name in works.followers:
            assert works.follow(name)

    def correct(self, class_id: str) -> None:
        """A mark of entry 87 that was typed wrongly is put right: it wins from now on."""
        path = f"/v1/classes/{class_id}"
        why = {"authority": "office_error", "reason": "The scribe took the wrong line."}
        done(self.office.post(f"{path}/results/reopen", why))
        card = done(self.office.get(f"{path}/cards/A"))
        [ride] = [each for each in card["rides"] if each["back_number"] == 87]
        fact = {"kind": "mark", "maneuver": 1, "mark": 3}
        replaced = {"replaces": ride["marks"][0]["version"], "fact": fact}
        body = {"seat": "A", "back_number": 87, **why, **replaced}
        done(self.office.post(f"{path}/corrections", body))
        self.make_official(class_id)

    def open_season(self, hand: Hand | None = None) -> None:
        """A season in which the show counts, with an award; the hand is any federation's."""
        keeper = hand or self.federation
        done(keeper.post("/v1/seasons", SEASON))
        done(keeper.post("/v1/seasons/hill-country-2026/shows", {"show": "three-rivers"}))
        done(keeper.post("/v1/seasons/hill-country-2026/awards", AWARD))

    def open_award(self) -> None:
        """An award of the show, by the rules of the season's."""
        done(self.office.post("/v1/shows/three-rivers/awards", AWARD))

    def reckon(self) -> None:
        """Carry standings forward to the end of the log, as a worker does."""
        follower = Standings(self.desk)
        followers.register(
            self.desk.database, follower.name, follower.version, now=self.desk.clock()
        )
        while follow(self.desk.log, follower, self.desk.clock):
            pass

    def make_official(self, class_id: str) -> None:
        """Post the results and make them official."""
        early = {"reason": "Everybody has seen the cards."}
        for step, body in (("post", None), ("make-official", early)):
            done(self.office.post(f"/v1/classes/{class_id}/results/{step}", body))


def done(answer: TestResponse) -> dict[str, Any]:
    """What a request was answered with, which went well."""
    assert answer.status_code in {200, 201}, answer.text
    body: dict[str, Any] = answer.get_json()
    return body


def refused(answer: TestResponse, status: int, code: str) -> dict[str, Any]:
    """The problem document that a request was answered with."""
    assert answer.mimetype == "application/problem+json", answer.text
    body: dict[str, Any] = answer.get_json()
    assert (answer.status_code, body["status"], body["code"]) == (status, status, code), body
    assert body["type"] == f"/problems/{code}"
    if "field" in body and code != "invalid":  # which names what nothing is known of
        check_pointed(answer, body["field"])
    return body


def check_pointed(answer: TestResponse, field: str) -> None:
    """A field that a problem names is one that the contract knows at that address."""
    known = _sendable(answer.request.path, answer.request.method.lower())
    is_header = "-" in field and field.istitle()
    assert is_header or known is None or re.split(r"[.\[]", field)[0] in known, (field, known)


@cache
def _contract() -> dict[str, Any]:
    kept = Path(__file__).parents[2] / "openapi" / "ringfold.v1.json"
    found: dict[str, Any] = json.loads(kept.read_text(encoding="utf-8"))
    return found


@cache
def _sendable(path: str, method: str) -> frozenset[str] | None:
    """The members, parameters and headers of a request; ``None`` where there is no such address."""
    for template, item in _contract()["paths"].items():
        pattern = re.sub(r"\{[^}]+\}", "[^/]+", template)
        if re.fullmatch(pattern, path) and method in item:
            operation = item[method]
            parameters = [*item.get("parameters", []), *operation.get("parameters", [])]
            content = operation.get("requestBody", {}).get("content", {})
            members = [_members(each["schema"]) for each in content.values()]
            names = [_resolved(each)["name"] for each in parameters]
            return frozenset(names).union(*members)
    return None


def _resolved(node: dict[str, Any]) -> dict[str, Any]:
    while "$ref" in node:
        found: Any = _contract()
        for step in node["$ref"].removeprefix("#/").split("/"):
            found = found[step]
        node = found
    return node


def _members(schema: dict[str, Any]) -> frozenset[str]:
    whole = _resolved(schema)
    parts = [*whole.get("allOf", []), *whole.get("oneOf", []), *whole.get("anyOf", [])]
    return frozenset(whole.get("properties", {})).union(*map(_members, parts))
