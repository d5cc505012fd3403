"""A federation's copy of plans, results and a standing, kept by the changes feed alone."""

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.desk.changes import KINDS
from tests.http.house import AWARD, Hand, House, done
from tests.http.test_changes import PATH, PLAN

SEASON = "hill-country-2026"
STANDINGS = f"/v1/seasons/{SEASON}/standings?award=high-point&limit=500"


class Copy:
    """A federation's own copy of plans, results and a standing, kept by the feed alone."""

    def __init__(self, hand: Hand) -> None:
        self._hand = hand
        self.cursor = "0"
        self.documents: dict[tuple[str, int], bytes] = {}
        self.rows: list[Any] = []
        self.shows: dict[str, Any] = {}
        self.seasons: dict[str, Any] = {}
        self.turns: dict[str, tuple[str, str, int]] = {}
        self.reopened: set[str] = set()

    def step(self, limit: int, *, dies: bool) -> None:
        """One page is taken over; whoever dies on the way has not kept where to go on."""
        page = done(self._hand.get(f"{PATH}?after={self.cursor}&limit={limit}"))
        for item in page["items"]:
            self._take(item)
            if dies:
                return
        self.cursor = page["next"]

    def _take(self, item: dict[str, Any]) -> None:
        match item["kind"]:
            case "result_published" | "result_corrected":
                document = self._hand.get(f"{item['url']}/document")
                self.documents[item["class"], item["revision"]] = document.data
                self.reopened.discard(item["class"])
            case "results_reopened":
                self.reopened.add(item["class"])
            case "standing_moved":
                self.rows = done(self._hand.get(STANDINGS))["rows"]
            case "show_planned" | "show_changed":
                self.shows[item["show"]] = done(self._hand.get(item["url"]))
            case "season_opened" | "season_changed":
                self.seasons[item["season"]] = done(self._hand.get(item["url"]))
            case "class_moved":
                self.turns.update(turns(done(self._hand.get(item["url"]))))
            case kind:
                assert kind in KINDS


def turns(timetable: dict[str, Any]) -> dict[str, tuple[str, str, int]]:
    """The day, the ring and the slot of each class on a day's timetable."""
    return {
        each["class"]: (timetable["day"], ring["ring"], each["slot"])
        for ring in timetable["rings"]
        for each in ring["classes"]
    }


@settings(
    max_examples=5,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    st.lists(
        st.sampled_from(
            ["class", "correct", "reopen", "replan", "move", "award", "work", "follow", "die"]
        ),
        max_size=14,
    )
)
def test_a_federation_stopped_and_started_at_random_holds_what_is_served(
    house: House, happenings: list[str]
) -> None:
    copy, classes = Copy(house.federation), held_already(house)
    if house.federation.get(f"/v1/seasons/{SEASON}").status_code != 200:
        house.open_season()
    for number, happening in enumerate(happenings):
        match happening:
            case "class":
                name = f"class-{len(classes)}"
                house.judge(house.schedule(name))
                house.make_official(name)
                classes.append(name)
            case "correct" if classes:
                correct_again(house, classes[number % len(classes)])
            case "reopen" if classes:
                reopen(house, classes[number % len(classes)])
            case "move" if classes:
                move(house, classes[number % len(classes)], number)
            case "replan":
                place = {**PLAN, "place": f"Arena {number}"}
                done(house.office.put("/v1/shows/three-rivers", place))
            case "award":
                award = {**AWARD, "award": "later", "name": f"Award {number}", "reason": "Anew."}
                done(house.federation.post(f"/v1/seasons/{SEASON}/awards", award))
            case "work":
                house.work()
            case _:
                copy.step(1 + number % 3, dies=happening == "die")
    house.work()
    while copy.cursor != done(house.federation.get(PATH))["head"]:
        copy.step(2, dies=False)
    assert copy.documents == served(house, classes)
    assert copy.rows == done(house.federation.get(STANDINGS))["rows"]
    assert copy.shows == {name: read(house, f"/v1/shows/{name}") for name in copy.shows}
    assert copy.seasons == {SEASON: read(house, f"/v1/seasons/{SEASON}")}
    days = [read(house, f"/v1/shows/three-rivers/timetable?day=2026-05-0{day}") for day in (8, 9)]
    assert copy.turns == {name: turn for day in days for name, turn in turns(day).items()}
    assert copy.reopened == {
        name for name in classes if read(house, f"/v1/classes/{name}")["phase"] == "reopened"
    }


def read(house: House, path: str) -> dict[str, Any]:
    return done(house.federation.get(path))


def reopen(house: House, name: str) -> None:
    """Official results are opened again, and left so."""
    if read(house, f"/v1/classes/{name}")["phase"] == "official":
        why = {"authority": "office_error", "reason": "To be read again."}
        done(house.office.post(f"/v1/classes/{name}/results/reopen", why))


def move(house: House, name: str, number: int) -> None:
    """A class is given its turn on one of two days, or another, behind all that are there."""
    day = f"2026-05-0{8 + number % 2}"
    held = turns(read(house, f"/v1/shows/three-rivers/timetable?day={day}"))
    last = max((turn for _, _, turn in held.values()), default=0)
    slot = {"ring": "Main ring", "day": day, "slot": last + 1}
    done(house.office.put(f"/v1/shows/three-rivers/classes/{name}/slot", slot))


def held_already(house: House) -> list[str]:
    listed = done(house.federation.get("/v1/shows/three-rivers/classes?limit=200"))["items"]
    return [each["id"] for each in listed]


def correct_again(house: House, name: str) -> None:
    """Opened again and made official again; the first time with other places."""
    if read(house, f"/v1/classes/{name}")["phase"] == "reopened":
        house.make_official(name)
        return
    if read(house, f"/v1/classes/{name}")["revision"] == 1:
        house.correct(name)
        return
    why = {"authority": "office_error", "reason": "Read again."}
    done(house.office.post(f"/v1/classes/{name}/results/reopen", why))
    house.make_official(name)


def served(house: House, classes: list[str]) -> dict[tuple[str, int], bytes]:
    found = {}
    for name in classes:
        path = f"/v1/classes/{name}/publications"
        for each in done(house.federation.get(path))["items"]:
            answer = house.federation.get(f"{each['url']}/document")
            found[name, each["revision"]] = answer.data
    return found
