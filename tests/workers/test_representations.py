"""Published results as they are read: JSON, CSV, a page, and a whole show in one file."""

import csv
import hashlib
import io
import json
import re
import zipfile
from html.parser import HTMLParser
from typing import Any

import msgspec
import pytest
import rfc8785

from events.proof.keys import VerifierKey
from service.desk import people
from service.desk.desk import Desk
from service.publishing.as_json import as_json
from service.publishing.columns import RESULTS, lines
from service.publishing.links import Links
from service.publishing.package import ndjson, newest, package
from service.publishing.page import page
from service.publishing.published import Published, published
from service.publishing.tables import Column, Table
from service.signing import verify_document
from service.store import followers, publications
from service.trust.trust import Trust
from service.workers.follow import follow
from service.workers.publish import Publications
from tests.workers.office import HORSES, RIDERS, SHOW, Office

TABLES = {"results", "divisions", "publications", "changes", "corrections"}


@pytest.fixture
def revisions(desk: Desk, office: Office, trust: Trust) -> list[Published]:
    """A class with two revisions and another with one, in the order of the log."""
    office.publish("c-1")
    office.official_class("c-2")
    office.correct("c-1", mark=4)
    publisher = Publications(desk, trust, Links())
    followers.register(desk.database, publisher.name, publisher.version, now=desk.clock())
    while follow(desk.log, publisher, desk.clock):
        pass
    return _shown(desk)


@pytest.fixture
def known(trust: Trust) -> tuple[VerifierKey, ...]:
    return trust.keys.known()


def _shown(desk: Desk, *, with_reasons: bool = False) -> list[Published]:
    every = publications.of_show(desk.database, SHOW)
    return [published(desk, each, with_reasons=with_reasons) for each in every]


def _rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode(), newline="")))


def _unzipped(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        assert packed.testzip() is None
        return {name: packed.read(name) for name in packed.namelist()}


def _packed(revisions: list[Published]) -> dict[str, bytes]:
    return _unzipped(package(SHOW, "Quiet Creek Autumn Show", revisions))


def _descriptor(revisions: list[Published]) -> dict[str, Any]:
    descriptor: dict[str, Any] = json.loads(_packed(revisions)["datapackage.json"])
    return descriptor


# --- one revision -----------------------------------------------------------------------------


def test_json_gives_plain_points_and_names_beside_ids(revisions: list[Published]) -> None:
    shown = as_json(revisions[0])
    rows = shown["seats"][0]["rows"]
    assert [(row["place"], row["tied"], row["total"]) for row in rows] == [
        (1, False, 71.5),
        (2, True, 70),
        (2, True, 70),
    ]
    assert rows[0]["exhibitor"] == {"id": "p-1", "name": RIDERS["p-1"]}
    assert rows[0]["horse"] == {"id": "h-1", "name": HORSES["h-1"]}
    assert shown["seats"][0]["judge"] == {"id": "j-A", "name": "Ines Varga"}
    assert shown["supersedes"] is None
    json.dumps(shown, allow_nan=False)


def test_json_says_what_the_next_revision_changed_and_why(revisions: list[Published]) -> None:
    told = as_json(revisions[2])["supersedes"]
    moved = {
        each["entry"]: (each["before"]["place"], each["after"]["place"]) for each in told["moved"]
    }
    assert moved == {"e-1": (1, 2), "e-2": (2, 1), "e-3": (2, 3)}
    (correction,) = told["corrections"]
    assert correction["authority"] == "office_error"
    assert correction["reason"] == "withheld"


def test_the_words_of_a_reason_are_for_those_who_may_read_them(
    desk: Desk, revisions: list[Published]
) -> None:
    assert revisions[2].document.supersedes
    (correction,) = as_json(_shown(desk, with_reasons=True)[2])["supersedes"]["corrections"]
    assert correction["reason"] == "The scribe wrote it on the wrong line."


def test_what_was_signed_can_be_checked_from_the_json_alone(
    revisions: list[Published], known: tuple[VerifierKey, ...]
) -> None:
    signed = json.loads(json.dumps(as_json(revisions[2])))["signed"]
    document, note = signed["document"].encode(), signed["note"].encode()
    assert verify_document("result", document, note, known) == known


def test_a_name_that_was_put_right_reads_so_in_every_revision(
    desk: Desk, revisions: list[Published]
) -> None:
    people.correct_person(desk, "p-1", name="Mara Lindkvist", contact=None)
    names = {each.exhibitor("e-1") for each in _shown(desk)}
    assert names == {"Mara Lindkvist"} != {revisions[0].exhibitor("e-1")}


def test_somebody_who_was_erased_reads_as_withheld_and_every_signature_holds(
    desk: Desk, office: Office, revisions: list[Published], known: tuple[VerifierKey, ...]
) -> None:
    people.erase_person(desk, office.ask().caller, "p-1")
    after = _shown(desk)
    everything = [
        *map(as_json, after),
        *(line.decode() for line in ndjson(after)),
        *(page(each, 2) for each in after),
        *(content.decode() for content in _packed(after).values()),
    ]
    assert RIDERS["p-1"] not in str(everything)
    assert [each.exhibitor("e-1") for each in after] == ["withheld"] * len(revisions)
    for each in after:
        assert verify_document("result", each.publication.document, each.publication.note, known)


def test_csv_is_rfc_4180_in_utf_8_with_a_header(revisions: list[Published]) -> None:
    content = RESULTS.csv(lines(revisions[0]))
    records = content.split(b"\r\n")
    assert records[0].startswith(b"class,class_name,revision,seat,judge,entry,back_number")
    assert records[-1] == b""
    assert len(records) == 1 + 3 + 1
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert b'"Second, Hand"' in content
    assert "Ein schöner Tag".encode() in content


def test_csv_reads_back_as_the_official_rows(revisions: list[Published]) -> None:
    rows = _rows(RESULTS.csv(lines(revisions[0])))
    read = [(row["back_number"], row["place"], row["tied"], row["total"]) for row in rows]
    assert read == [
        ("101", "1", "false", "71.5"),
        ("102", "2", "true", "70"),
        ("103", "2", "true", "70"),
    ]


def test_a_name_that_a_spreadsheet_would_run_is_written_as_text(
    revisions: list[Published],
) -> None:
    names = [row["exhibitor"] for row in _rows(RESULTS.csv(lines(revisions[0])))]
    assert names == [RIDERS["p-1"], RIDERS["p-2"], "'=HYPERLINK(1)"]


@pytest.mark.parametrize(
    "start", ["=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20"]
)
def test_no_text_cell_begins_as_a_formula_does(start: str) -> None:
    table = Table[str](
        name="t", title="", key=(), columns=(Column("said", "string", "", lambda said: said),)
    )
    ((row,),) = [list(csv.reader(io.StringIO(table.csv([f"{start}1+1"]).decode(), newline="")))[1:]]
    assert row == [f"'{start}1+1"]


def test_numbers_below_nought_stay_numbers() -> None:
    table = Table[int](
        name="t", title="", key=(), columns=(Column("mark", "number", "", lambda mark: mark),)
    )
    assert table.csv([-3]) == b"mark\r\n-3\r\n"


class _Reader(HTMLParser):
    """What a page shows and what it would load or run."""

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self.open: list[str] = []
        self.loads: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag != "meta":
            self.open.append(tag)
        self.loads += [f"{tag} {key}" for key, _ in attrs if key in {"src", "href", "onclick"}]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def _read(html: str) -> _Reader:
    reader = _Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    return reader


def test_the_page_shows_the_official_places_and_loads_nothing(revisions: list[Published]) -> None:
    shown = _read(page(revisions[1], newest=1))
    words = re.sub(r"\s+", " ", shown.text)
    assert "1 101 Mara Lindqvist Dun Deal 71.5" in words
    assert "2= 103 =HYPERLINK(1) Second, Hand 70" in words
    assert "has taken the place" not in words
    assert shown.loads == []
    assert "script" not in shown.open


def test_the_page_of_a_later_revision_says_what_is_different_and_why(
    revisions: list[Published],
) -> None:
    words = re.sub(r"\s+", " ", _read(page(revisions[2], newest=2)).text)
    assert "Seat A, back number 102: place 2=, 70 points; now place 1, 72 points." in words
    assert "on the word of the office, for its own error. Reason: withheld." in words


def test_the_page_of_an_earlier_revision_says_that_it_is_not_in_force(
    revisions: list[Published],
) -> None:
    assert "Revision 2 has taken the place of this one." in _read(page(revisions[0], 2)).text


def test_a_name_cannot_become_markup(desk: Desk, revisions: list[Published]) -> None:
    people.correct_person(desk, "p-1", name="<script>alert(1)</script>", contact=None)
    shown = _read(page(_shown(desk)[0], len(revisions)))
    assert "<script>alert(1)</script>" in shown.text


# --- a whole show -----------------------------------------------------------------------------


def test_each_line_of_a_shows_results_can_be_checked_by_itself(
    revisions: list[Published], known: tuple[VerifierKey, ...]
) -> None:
    read = list(ndjson(revisions))
    assert len(read) == 3
    for line, each in zip(read, revisions, strict=True):
        assert line.endswith(b"\n")
        assert line.count(b"\n") == 1
        told = json.loads(line)
        document = rfc8785.dumps(told["document"])
        assert document == each.publication.document
        assert verify_document("result", document, told["note"].encode(), known) == known
        assert told["names"]["entries"]["e-1"] == {
            "exhibitor": RIDERS["p-1"], "horse": HORSES["h-1"],
        }  # fmt: skip


def test_the_same_results_make_the_same_package_to_the_byte(
    desk: Desk, revisions: list[Published]
) -> None:
    first = package(SHOW, "Quiet Creek Autumn Show", revisions)
    assert package(SHOW, "Quiet Creek Autumn Show", _shown(desk)) == first


def test_the_descriptor_keeps_the_rules_of_data_package_version_2(
    revisions: list[Published],
) -> None:
    """https://datapackage.org/standard/data-package/ and /data-resource/, version 2.0."""
    descriptor = _descriptor(revisions)
    assert descriptor["$schema"] == "https://datapackage.org/profiles/2.0/datapackage.json"
    names = [resource["name"] for resource in descriptor["resources"]]
    assert len(set(names)) == len(names) > len(TABLES)
    assert names[:5] == ["results", "divisions", "publications", "changes", "corrections"]
    for resource in descriptor["resources"]:
        assert re.fullmatch(r"[a-z0-9._-]+", resource["name"])
        assert not resource["path"].startswith(("/", "."))
        assert re.fullmatch(r"sha256:[0-9a-f]{64}", resource["hash"])
    assert re.fullmatch(r"[a-z0-9._-]+", descriptor["name"])
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT[\d:.]+Z", descriptor["created"])


def test_every_file_of_the_package_is_the_one_that_the_descriptor_describes(
    revisions: list[Published],
) -> None:
    files = _packed(revisions)
    resources = json.loads(files.pop("datapackage.json"))["resources"]
    assert [resource["path"] for resource in resources] == list(files)
    for resource in resources:
        content = files[resource["path"]]
        assert resource["bytes"] == len(content)
        assert resource["hash"] == f"sha256:{hashlib.sha256(content).hexdigest()}"


def test_every_cell_of_the_package_is_of_the_type_that_its_schema_says(
    revisions: list[Published],
) -> None:
    """https://datapackage.org/standard/table-schema/, version 2.0: the lexical forms of types."""
    forms = {
        "integer": r"[+-]?\d+",
        "number": r"[+-]?\d+(\.\d+)?",
        "boolean": r"true|false",
        "datetime": r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z",
        "string": r"(?s).*",
    }
    files = _packed(revisions)
    tables = [each for each in _descriptor(revisions)["resources"] if each.get("type") == "table"]
    assert {table["name"] for table in tables} == TABLES
    for table in tables:
        rows, fields = _rows(files[table["path"]]), table["schema"]["fields"]
        assert rows
        assert list(rows[0]) == [field["name"] for field in fields]
        keys = [tuple(row[key] for key in table["schema"]["primaryKey"]) for row in rows]
        assert len(set(keys)) == len(keys)
        for row in rows:
            for field in fields:
                cell = row[field["name"]]
                if cell == "":
                    assert "constraints" not in field
                else:
                    assert re.fullmatch(forms[field["type"]], cell)


def test_the_package_holds_the_newest_results_and_every_signed_document(
    revisions: list[Published], known: tuple[VerifierKey, ...]
) -> None:
    files = _packed(revisions)
    results = _rows(files["results.csv"])
    assert {(row["class"], row["revision"]) for row in results} == {("c-1", "2"), ("c-2", "1")}
    assert len(_rows(files["publications.csv"])) == 3
    signed = [name for name in files if name.startswith("signed/") and name.endswith(".json")]
    assert len(signed) == 3
    for name in signed:
        note = files[f"{name.removesuffix('.json')}.note"]
        assert verify_document("result", files[name], note, known) == known


def test_a_show_without_official_results_is_an_empty_package(desk: Desk) -> None:
    assert _shown(desk) == []
    files = _packed([])
    assert {name for name in files if name.endswith(".csv")} == {f"{name}.csv" for name in TABLES}
    assert _rows(files["results.csv"]) == []
    assert "created" not in json.loads(files["datapackage.json"])
    assert list(ndjson([])) == []


def test_the_newest_revision_of_each_class_is_the_one_that_counts(
    revisions: list[Published],
) -> None:
    counted = [(each.document.class_id, each.document.revision) for each in newest(revisions)]
    assert counted == [("c-1", 2), ("c-2", 1)]


def test_a_link_leads_to_one_revision_whatever_the_class_is_called() -> None:
    links = Links(base="https://results.example/")
    assert (
        links.result("c 1/ä", 2)
        == "https://results.example/v1/classes/c%201%2F%C3%A4/publications/2"
    )
    assert Links().result("c-1", 1) == "/v1/classes/c-1/publications/1"


def test_a_document_of_this_release_is_read_whole(revisions: list[Published]) -> None:
    for each in revisions:
        assert msgspec.json.encode(each.document, order="sorted") == each.publication.document
