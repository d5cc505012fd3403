"""The same house on PostgreSQL, with several hands at once."""

from concurrent.futures import ThreadPoolExecutor

from service.app import create_app
from service.config import Settings
from service.http import here
from tests.http.house import Hand, House, done

PATH = "/v1/classes/horsemanship"


def test_a_class_goes_to_official_on_postgresql(postgres_house: House) -> None:
    house = postgres_house
    house.judge(house.schedule())
    then = done(house.office.get(f"{PATH}/log?limit=1"))["items"][0]["recorded_at"]
    house.make_official("horsemanship")
    rows = done(house.public.get(f"{PATH}/placing"))["seats"][0]["rows"]
    assert [(row["back_number"], row["place"]) for row in rows] == [(214, 1), (87, 2), (5, 2)]
    assert done(house.office.get(f"{PATH}?at={then}"))["version"] == 1
    protest = {"filed_by": "p-falk", "ground": "arithmetic", "statement": "?", "fee_paid": True}
    assert house.office.post(f"{PATH}/protests", protest).status_code == 201


def test_two_servers_on_one_database_lose_nothing_when_their_scribes_write_at_once(
    postgres_house: House,
) -> None:
    house = postgres_house
    house.schedule(seats="AB")
    url = house.desk.database.engine.url.render_as_string(hide_password=False)
    other = create_app(Settings(database=url))
    scribes = [
        house.scribe("A"),
        Hand(other.test_client(), house.key("scribe", show="three-rivers", seat="B")),
    ]
    before = done(house.office.get(PATH))["version"]
    with ThreadPoolExecutor(2) as pool:
        statuses = list(pool.map(mark_everything, scribes))
    assert statuses == [["accepted"] * 36] * 2
    assert done(house.office.get(PATH))["version"] == before + 72
    here.desk_of(other).close()


def mark_everything(scribe: Hand) -> list[str]:
    """Mark every maneuver of every ride four times over; what each action was answered with."""
    answers = [
        scribe.act(
            "horsemanship",
            {"kind": "mark", "back_number": number, "maneuver": at, "mark": mark / 2},
        )[0]
        for number in (214, 87, 5)
        for at in (1, 2, 3)
        for mark in range(4)
    ]
    return [each["status"] for each in answers]


def test_one_command_sent_by_many_at_once_is_carried_out_once(postgres_house: House) -> None:
    house = postgres_house
    house.schedule()
    before = done(house.office.get(PATH))["version"]

    def send(_: int) -> tuple[int, str]:
        seat = {"seat": "B", "judge": "p-baines"}
        answer = house.office.post(f"{PATH}/seats", seat, command="seat-b")
        return answer.status_code, answer.text

    with ThreadPoolExecutor(8) as pool:
        answers = set(pool.map(send, range(24)))
    assert len(answers) == 1
    assert done(house.office.get(PATH))["version"] == before + 1


def test_a_name_with_any_letters_comes_back_as_it_went_in(postgres_house: House) -> None:
    name = "Zoë Łukasz \N{GREEK SMALL LETTER OMEGA} 李 \N{HORSE}"
    done(postgres_house.office.post("/v1/people", {"id": "p-any", "name": name}))
    assert done(postgres_house.office.get("/v1/people/p-any"))["name"] == name
