"""What the tests of trust write into a log, and how others check what it gives them."""

from collections.abc import Iterator

from sqlalchemy import select

from events.bundle.check import Report, check_bundle
from events.bundle.keys import Keys
from events.envelope import NewEvent, stream_of
from events.proof.checkpoint import Checkpoint
from events.proof.keys import VerifierKey, parse_verifier_key
from events.rulebook.load import canonical, digest
from service.signing import holds
from service.store import rulebooks
from service.store.engine import Database
from service.store.ids import new_id
from service.store.log import Log
from service.store.rulebooks import KeptBook
from service.store.tables import event
from service.trust.trust import Trust
from tests.store.given import several
from tests.stories import Recorder, Told

ORIGIN = "ringfold.example/spring-show"
OTHERS = "class-others"


def add_others(log: Log, count: int) -> None:
    """So many events that belong to another class."""
    log.append(OTHERS, several(count), expected_version=log.version(OTHERS))


def add_story(log: Log, told: Told, class_id: str = "c-12", *, others: int = 1) -> None:
    """The story of a class, one event after another, with others' events between."""
    stream = stream_of("class", class_id)
    book = KeptBook(digest(told.book), told.book.id, told.book.edition, canonical(told.book))
    for version, each in enumerate(told.events):
        new = NewEvent(
            id=new_id(),
            command=each.command,
            actor=each.actor,
            occurred_at=each.occurred_at,
            data=each.data,
        )
        beside = rulebooks.keeping(log.database, book) if version == 0 else ()
        log.append(stream, [new], expected_version=version, beside=beside)
        if others:
            add_others(log, others)


def official_twice() -> Recorder:
    """Two judges, three rides, results official, reopened for an error, and official again."""
    story = Recorder().planned(seats="AB")
    for seat in "AB":
        story.ride("n1", first=2, seat=seat).ride("n2", seat=seat).ride("n3", first=-2, seat=seat)
        story.signed(seat)
    return story.official().put_right().official()


def leaves(database: Database) -> list[bytes]:
    """The hash of every event of the log, in order."""
    with database.reading() as connection:
        found = connection.execute(select(event.c.leaf_hash).order_by(event.c.position))
        return [bytes(leaf) for (leaf,) in found]


def verifier_keys(trust: Trust) -> tuple[VerifierKey, ...]:
    return tuple(parse_verifier_key(key.verifier) for key in trust.verifier_keys())


def checked(trust: Trust, data: bytes, earlier: Checkpoint | None = None) -> Report:
    """The bundle as somebody checks it who has nothing but the log's public keys."""
    return check_bundle(data, Keys(verifier_keys(trust), holds), earlier)


def said(report: Report) -> Iterator[str]:
    return (fault.says for fault in report.faults)
