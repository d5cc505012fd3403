"""Publication: each time that results become official, one revision, signed and for good."""

import msgspec
import pytest
import rfc8785
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from events.catalogue import ALL_EVENTS
from events.envelope import stream_of
from events.judged_class.events import ResultsMadeOfficial
from events.projections.history import History
from events.projections.result import ResultDocument, result_document
from events.proof.note import parse_note
from service.desk.desk import Desk
from service.publishing.links import Links
from service.signing import verify_checkpoint, verify_document
from service.store import checkpoints, followers, migrate, publications
from service.store.publications import Publication
from service.trust.trust import Trust
from service.workers.follow import Stuck, follow, rebuild
from service.workers.publish import Publications
from tests.workers.both import ON_BOTH
from tests.workers.office import HORSES, ORIGIN, RIDERS, SHOW, Office

WHOLE_CLASS = 2**31 - 1


@pytest.fixture
def publisher(desk: Desk, trust: Trust) -> Publications:
    made = Publications(desk, trust, Links(base="https://results.example"))
    followers.register(desk.database, made.name, made.version, now=desk.clock())
    return made


def _follow(desk: Desk, publisher: Publications) -> None:
    while follow(desk.log, publisher, desk.clock):
        pass


def _document(of: Publication) -> ResultDocument:
    return msgspec.json.decode(of.document, type=ResultDocument)


def _every(desk: Desk) -> tuple[Publication, ...]:
    return publications.since(desk.database, 0, 1000)


@ON_BOTH
def test_a_class_that_became_official_twice_has_two_revisions(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    office.correct("c-1", mark=2)
    for _ in range(2):
        _follow(desk, publisher)
    assert [(each.class_id, each.revision) for each in _every(desk)] == [("c-1", 1), ("c-1", 2)]


def test_each_revision_is_published_when_it_is_official_and_not_before(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    _follow(desk, publisher)
    assert _every(desk) == ()
    office.publish("c-1")
    _follow(desk, publisher)
    (first,) = _every(desk)
    office.correct("c-1", mark=2)
    _follow(desk, publisher)
    assert _every(desk)[0] == first


def test_the_document_is_what_the_log_gives_at_that_moment(
    desk: Desk, office: Office, publisher: Publications, trust: Trust
) -> None:
    office.publish("c-1")
    office.correct("c-1", mark=2)
    _follow(desk, publisher)
    history = History(desk.log.read(stream_of("class", "c-1"), to=WHOLE_CLASS))
    book = desk.books.named("western-horsemanship")
    for each in _every(desk):
        again = result_document(history, each.version, book, root=trust.root(each.position))
        assert again.canonical() == each.document
        assert (each.class_id, each.show_id) == ("c-1", SHOW)
        assert each.position == history.events[each.version - 1].position


def test_the_next_revision_says_what_moved_and_why(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    office.correct("c-1", mark=4)
    _follow(desk, publisher)
    first, second = map(_document, _every(desk))
    assert first.supersedes is None
    assert second.supersedes is not None
    assert second.supersedes.revision == first.revision
    moved = {each.entry: (each.before, each.after) for each in second.supersedes.moved}
    before, after = moved["e-2"]
    assert before is not None
    assert after is not None
    assert (before.place, before.tied, before.total) == (2, True, 140)
    assert (after.place, after.tied, after.total) == (1, False, 144)
    (correction,) = second.supersedes.corrections
    assert (correction.entry, correction.authority) == ("e-2", "office_error")


def test_every_revision_is_signed_and_its_event_is_under_a_checkpoint(
    desk: Desk, office: Office, publisher: Publications, trust: Trust
) -> None:
    office.publish("c-1")
    office.correct("c-1", mark=2)
    _follow(desk, publisher)
    signed = checkpoints.all_of(desk.database, ORIGIN)
    for each in _every(desk):
        known = trust.keys.known()
        assert verify_document("result", each.document, each.note, known) == known
        assert parse_note(each.note).text.startswith("ringfold/result/v1\n")
        (note,) = (kept.note for kept in signed if kept.size == each.checkpoint)
        assert verify_checkpoint(note, known).size == each.checkpoint >= each.position


def test_the_signed_bytes_are_canonical_and_name_nobody(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    _follow(desk, publisher)
    (only,) = _every(desk)
    assert rfc8785.dumps(msgspec.json.decode(only.document)) == only.document
    for name in (*RIDERS.values(), *HORSES.values(), "Ines Varga"):
        assert name not in only.document.decode()


@ON_BOTH
@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE publication SET show_id = 'elsewhere'",
        "UPDATE publication SET revision = revision",
        "DELETE FROM publication",
    ],
)
def test_what_was_published_cannot_be_changed(
    desk: Desk, office: Office, publisher: Publications, sql: str
) -> None:
    office.publish("c-1")
    _follow(desk, publisher)
    before = _every(desk)
    with pytest.raises(DBAPIError, match=r"what was published stands|the log only grows"):
        _run(desk, sql)
    assert _every(desk) == before


@pytest.mark.parametrize(
    "url", [pytest.param("postgres_path", marks=pytest.mark.postgres)], indirect=True
)
def test_no_publication_can_be_truncated_away(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    _follow(desk, publisher)
    with pytest.raises(DBAPIError, match="the log only grows"):
        _run(desk, "TRUNCATE publication")


def test_a_publication_cannot_be_replaced_by_inserting_over_it(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    _follow(desk, publisher)
    columns = ", ".join(Publication.__struct_fields__)
    with pytest.raises(DBAPIError, match="pk_publication"):
        _run(
            desk,
            f"INSERT OR REPLACE INTO publication ({columns}) SELECT {columns} FROM publication",
        )


@ON_BOTH
def test_a_database_without_the_guards_of_publications_is_not_ready(desk: Desk) -> None:
    assert migrate.is_ready(desk.database)
    on = "" if desk.database.is_sqlite else " ON publication"
    guard = "publication_refuses_update" if on == "" else "publication_row_stands"
    _run(desk, f"DROP TRIGGER {guard}{on}")
    assert migrate.missing_guards(desk.database) == {guard}
    assert not migrate.is_ready(desk.database)


@ON_BOTH
def test_publishing_again_from_the_beginning_publishes_nothing_anew(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    office.correct("c-1", mark=2)
    _follow(desk, publisher)
    before = _every(desk)
    rebuild(desk.database, publisher, now=desk.clock())
    _follow(desk, publisher)
    assert _every(desk) == before


def test_a_log_that_gives_other_results_than_were_published_stops_publication(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    _follow(desk, publisher)
    _run(desk, "DROP TRIGGER publication_refuses_update")
    _run(desk, "UPDATE publication SET document = x'7b7d'")
    rebuild(desk.database, publisher, now=desk.clock())
    with pytest.raises(Stuck, match="PublishedOtherwise: revision 1 of c-1"):
        _follow(desk, publisher)


def test_the_newest_or_any_revision_of_a_class_can_be_read(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    office.correct("c-1", mark=2)
    _follow(desk, publisher)
    first, second = publications.of_class(desk.database, "c-1")
    assert publications.find(desk.database, "c-1") == second
    assert publications.find(desk.database, "c-1", 1) == first
    assert publications.find(desk.database, "c-1", 3) is None
    assert publications.find(desk.database, "c-2") is None


def test_publications_are_followed_from_a_position_and_by_show(
    desk: Desk, office: Office, publisher: Publications
) -> None:
    office.publish("c-1")
    office.official_class("c-2", corrections=1)
    _follow(desk, publisher)
    every = _every(desk)
    assert publications.since(desk.database, every[0].position, 1) == every[1:2]
    assert tuple(publications.of_show(desk.database, SHOW)) == every
    assert tuple(publications.of_show(desk.database, "elsewhere")) == ()
    assert publications.last_position(desk.database, SHOW) == every[-1].position
    assert publications.last_position(desk.database, "elsewhere") == 0


def test_nothing_that_happens_to_results_is_passed_over_unseen(publisher: Publications) -> None:
    """A new event about results has to be thought about here."""
    about_results = {
        event for event in ALL_EVENTS if str(event.__struct_config__.tag).startswith("results.")
    }
    assert {event.__name__ for event in about_results} == {
        "ResultsPosted", "ResultsMadeOfficial", "ResultsReopened",
    }  # fmt: skip
    assert set(publisher.handlers) == set(ALL_EVENTS)
    handled = {event for event, handler in publisher.handlers.items() if handler is not None}
    assert handled == {ResultsMadeOfficial}


def _run(desk: Desk, sql: str) -> None:
    with desk.database.writing() as connection:
        connection.execute(text(sql))
