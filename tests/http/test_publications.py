"""Published results over HTTP: each revision as signed and as read, and whole shows."""

import csv
import hashlib
import io
import json
import zipfile

import pytest

from events.bundle.format import RESULT_KIND
from service.signing import verify_document
from tests.http.agreeing import agree
from tests.http.house import SHOW, House, done, refused

PATH = "/v1/classes/horsemanship/publications"


@pytest.fixture
def published(house: House) -> House:
    """A class that was made official, corrected and made official again."""
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.correct("horsemanship")
    house.work()
    return house


def test_a_class_lists_every_revision_and_where_it_is_read(published: House) -> None:
    items = done(published.public.get(PATH))["items"]
    assert [(each["class"], each["revision"]) for each in items] == [
        ("horsemanship", 1),
        ("horsemanship", 2),
    ]
    for each in items:
        assert done(published.public.get(each["url"]))["revision"] == each["revision"]


def test_a_revision_shows_the_names_and_what_moved_and_why(published: House) -> None:
    first = agree(published.federation.get(f"{PATH}/1"), f"{PATH}/{{revision}}")
    rows = first["seats"][0]["rows"]
    assert [(row["place"], row["back_number"], row["total"]) for row in rows] == [
        (1, 214, 74),
        (2, 87, 72),
        (2, 5, 72),
    ]
    assert rows[0]["exhibitor"] == {"id": "p-lind", "name": "Karin Lind"}
    assert first["supersedes"] is None
    second = agree(published.federation.get(f"{PATH}/2"), f"{PATH}/{{revision}}")
    assert second["seats"][0]["rows"][0]["back_number"] == 87
    assert second["supersedes"]["revision"] == 1
    assert {each["back_number"] for each in second["supersedes"]["moved"]} == {214, 87, 5}
    [correction] = second["supersedes"]["corrections"]
    assert correction["reason"] == "The scribe took the wrong line."


def test_the_public_is_not_told_the_reasons(published: House) -> None:
    [correction] = done(published.public.get(f"{PATH}/2"))["supersedes"]["corrections"]
    assert correction["reason"] == "withheld"


def test_the_signed_bytes_are_what_the_note_signs_and_never_change(published: House) -> None:
    document = published.public.get(f"{PATH}/1/document")
    note = published.public.get(f"{PATH}/1/note")
    assert note.mimetype == "text/plain"
    verify_document(RESULT_KIND, document.data, note.data, published.trust.keys.known())
    [listed, _] = done(published.public.get(PATH))["items"]
    assert hashlib.sha256(document.data).hexdigest() == listed["sha256"]
    for answer in (document, note):
        assert "immutable" in answer.headers["Cache-Control"]
    again = published.public.get(f"{PATH}/1/document", {"If-None-Match": document.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_the_json_holds_the_same_signed_bytes(published: House) -> None:
    signed = done(published.public.get(f"{PATH}/2"))["signed"]
    assert signed["document"].encode() == published.public.get(f"{PATH}/2/document").data
    assert signed["note"].encode() == published.public.get(f"{PATH}/2/note").data


def test_a_revision_reads_as_csv_by_its_name_and_by_what_is_accepted(published: House) -> None:
    by_name = published.public.get(f"{PATH}/1.csv")
    accepted = published.public.get(f"{PATH}/1", {"Accept": "text/csv"})
    assert by_name.data == accepted.data
    assert by_name.headers["Content-Disposition"] == 'attachment; filename="horsemanship-r1.csv"'
    assert "Accept" in accepted.headers["Vary"]
    rows = list(csv.DictReader(io.StringIO(by_name.text)))
    assert [(row["place"], row["exhibitor"], row["total"]) for row in rows] == [
        ("1", "Karin Lind", "74"),
        ("2", "Ida Falk", "72"),
        ("2", "Per Nord", "72"),
    ]


def test_a_revision_reads_as_a_page_without_a_script(published: House) -> None:
    answer = published.public.get(f"{PATH}/1", {"Accept": "text/html"})
    assert answer.mimetype == "text/html"
    assert "Revision 2 has taken the place of this one" in answer.text
    assert "script-src" not in answer.headers["Content-Security-Policy"]
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")


def test_a_copy_is_good_until_a_name_is_erased(published: House) -> None:
    first = published.public.get(f"{PATH}/1")
    known = {"If-None-Match": first.headers["ETag"]}
    assert published.public.get(f"{PATH}/1", known).status_code == 304
    done(published.office.delete("/v1/people/p-lind"))
    after = published.public.get(f"{PATH}/1", known)
    assert after.status_code == 200
    assert "Karin Lind" not in after.text
    assert done(after)["signed"] == done(first)["signed"]


def test_a_show_lists_its_results_page_by_page(published: House) -> None:
    path = "/v1/shows/three-rivers/results"
    first = published.public.get(f"{path}?limit=1")
    body = agree(first, "/v1/shows/{show_id}/results")
    assert [each["revision"] for each in body["items"]] == [1]
    assert first.headers["Link"] == f'<{path}?limit=1&after={body["next"]}>; rel="next"'
    second = done(published.public.get(f"{path}?limit=1&after={body['next']}"))
    assert [each["revision"] for each in second["items"]] == [2]
    assert second["next"] is None


def test_a_show_is_downloaded_as_lines_that_hold_the_signed_documents(published: House) -> None:
    answer = published.federation.get("/v1/shows/three-rivers/results.ndjson")
    assert answer.mimetype == "application/x-ndjson"
    lines = [json.loads(line) for line in answer.text.splitlines()]
    assert [line["document"]["revision"] for line in lines] == [1, 2]
    known = {"If-None-Match": answer.headers["ETag"]}
    assert published.federation.get(answer.request.path, known).status_code == 304


def test_a_show_is_downloaded_as_a_data_package(published: House) -> None:
    answer = published.federation.get("/v1/shows/three-rivers/results.zip")
    assert answer.mimetype == "application/zip"
    with zipfile.ZipFile(io.BytesIO(answer.data)) as packed:
        files = {name: packed.read(name) for name in packed.namelist()}
    descriptor = json.loads(files.pop("datapackage.json"))
    assert {resource["path"] for resource in descriptor["resources"]} == set(files)
    assert descriptor["title"] == "Official results of Three Rivers Spring Show"
    for resource in descriptor["resources"]:
        digest = hashlib.sha256(files[resource["path"]]).hexdigest()
        assert resource["hash"] == f"sha256:{digest}"


def test_the_awards_of_a_show_are_a_table_of_its_package(published: House) -> None:
    before = _packed(published)
    assert "awards.csv" not in before
    published.open_award()
    published.reckon()
    files = _packed(published)
    rows = list(csv.DictReader(io.StringIO(files["awards.csv"].decode())))
    assert [(row["award"], row["place"], row["rider"], row["exact"]) for row in rows] == [
        ("high-point", "1", "Ida Falk", "7"),
        ("high-point", "2", "Karin Lind", "5"),
        ("high-point", "3", "Per Nord", "4"),
    ]
    resources = json.loads(files["datapackage.json"])["resources"]
    [table] = [each for each in resources if each["name"] == "awards"]
    assert list(rows[0]) == [field["name"] for field in table["schema"]["fields"]]
    assert table["hash"] == f"sha256:{hashlib.sha256(files['awards.csv']).hexdigest()}"
    for row in rows:
        for field in table["schema"]["fields"]:
            assert row[field["name"]] or "constraints" not in field
    others = {name for name in files if name not in {"awards.csv", "datapackage.json"}}
    assert {name: files[name] for name in others} == {name: before[name] for name in others}


def _packed(house: House) -> dict[str, bytes]:
    answer = house.federation.get("/v1/shows/three-rivers/results.zip")
    with zipfile.ZipFile(io.BytesIO(answer.data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def test_what_is_not_there_or_of_another_show_is_refused(published: House) -> None:
    refused(published.public.get(f"{PATH}/3"), 404, "unknown_revision")
    refused(published.public.get(f"{PATH}/3/note"), 404, "unknown_revision")
    refused(published.public.get("/v1/classes/nothing/publications"), 404, "unknown_class")
    refused(published.public.get("/v1/shows/nothing/results.zip"), 404, "unknown_show")
    assert published.public.get(f"{PATH}/0").status_code == 404
    assert published.public.get(f"{PATH}/99999999999999999999").status_code == 404
    done(published.office.post("/v1/shows", SHOW | {"id": "elsewhere"}))
    elsewhere = published.hand("public", show="elsewhere")
    for path in (PATH, f"{PATH}/1", f"{PATH}/1/note", "/v1/shows/three-rivers/results.zip"):
        refused(elsewhere.get(path), 403, "other_show")


def test_what_was_posted_alone_is_not_published(house: House) -> None:
    house.judge(house.schedule())
    done(house.office.post("/v1/classes/horsemanship/results/post"))
    house.work()
    assert done(house.public.get(PATH))["items"] == []
