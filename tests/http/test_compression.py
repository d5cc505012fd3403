"""Answers compressed, and their tags on the way out and back."""

import gzip

from tests.http.house import House, done

GZIP = {"Accept-Encoding": "gzip"}
LONG = "/v1/openapi.json"


def test_a_long_answer_is_the_same_smaller(house: House) -> None:
    plain, small = house.nobody.get(LONG), house.nobody.get(LONG, GZIP)
    assert small.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(small.data) == plain.data
    assert len(small.data) * 4 < len(plain.data)
    assert int(small.headers["Content-Length"]) == len(small.data)
    for answer in (plain, small):
        assert "Accept-Encoding" in answer.headers["Vary"]


def test_whoever_does_not_ask_for_it_gets_it_plain(house: House) -> None:
    for accepted in ({}, {"Accept-Encoding": "gzip;q=0"}, {"Accept-Encoding": "br"}):
        assert "Content-Encoding" not in house.nobody.get(LONG, accepted).headers


def test_a_short_answer_is_left_as_it_is(house: House) -> None:
    answer = house.office.get("/v1/keys/mine", GZIP)
    assert "Content-Encoding" not in answer.headers
    assert done(answer)["role"] == "office"


def test_the_tag_of_a_compressed_answer_is_another_and_known_when_it_comes_back(
    house: House,
) -> None:
    path = f"/v1/classes/{house.schedule()}"
    plain, small = house.office.get(path), house.office.get(path, GZIP)
    assert small.headers["Content-Encoding"] == "gzip"
    tag = small.headers["ETag"]
    assert tag == plain.headers["ETag"].removesuffix('"') + '-gzip"'
    again = house.office.get(path, GZIP | {"If-None-Match": f'"other", {tag}'})
    assert (again.status_code, again.headers["ETag"]) == (304, tag)
    known = house.office.get(path, {"If-None-Match": plain.headers["ETag"]})
    assert (known.status_code, known.headers["ETag"]) == (304, plain.headers["ETag"])


def test_a_command_may_insist_on_the_tag_of_a_compressed_answer(house: House) -> None:
    path = f"/v1/classes/{house.schedule()}"
    tag = house.office.get(path, GZIP).headers["ETag"]
    seat = {"seat": "B", "judge": "p-baines"}
    done(house.office.post(f"{path}/seats", seat, headers={"If-Match": tag}))
    stale = house.office.post(
        f"{path}/seats", {"seat": "C", "judge": "p-nord"}, headers={"If-Match": tag}
    )
    assert stale.status_code == 412
