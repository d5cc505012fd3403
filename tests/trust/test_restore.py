"""A log that came back from a backup without what it signed for never signs again."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from events.proof.checkpoint import parse_checkpoint
from events.proof.note import parse_note
from service.signing import verify_checkpoint
from service.store.engine import Database
from service.store.log import Log
from service.trust.errors import TrustError
from service.trust.last_signed import LastSigned
from service.trust.settings import TrustSettings
from service.trust.trust import Trust
from tests.trust.given import ORIGIN, add_others, verifier_keys


class Restorable:
    """A log in a SQLite file that can be copied away and brought back."""

    def __init__(self, path: Path, settings: TrustSettings) -> None:
        self.path = path
        self.settings = settings
        self.copies = 0
        self._open()

    def _open(self) -> None:
        self.database = Database(f"sqlite:///{self.path}")
        self.log = Log(self.database)
        self.trust = Trust(self.database, self.settings)

    def copied(self) -> Path:
        """A backup as it is taken with the program stopped."""
        self.database.close()
        self.copies += 1
        return Path(shutil.copy(self.path, self.path.with_suffix(f".backup-{self.copies}")))

    def restored(self, backup: Path) -> None:
        self.database.close()
        for leftover in self.path.parent.glob(f"{self.path.name}-*"):
            leftover.unlink()
        shutil.copy(backup, self.path)
        self._open()

    def refuses(self, code: str, reason: str | None = None) -> TrustError:
        with pytest.raises(TrustError) as refused:
            self.trust.checkpoint_now()
        assert refused.value.code == code
        assert refused.value.facts.get("reason") == reason
        return refused.value

    @property
    def last(self) -> LastSigned:
        return LastSigned(self.settings.keys_folder(), self.settings.origin)


@pytest.fixture
def office(migrated_sqlite: Path, tmp_path: Path, settings: TrustSettings) -> Restorable:
    made = Restorable(Path(shutil.copy(migrated_sqlite, tmp_path / "log.db")), settings)
    made.trust.keys.make()
    add_others(made.log, 5)
    made.trust.checkpoint_now()
    return made


def test_a_restored_log_that_lost_nothing_goes_on(office: Restorable) -> None:
    backup = office.copied()
    office.restored(backup)
    add_others(office.log, 2)
    assert office.trust.checkpoint_now().size == 7


def test_a_restored_log_that_lost_signed_events_refuses_to_sign(office: Restorable) -> None:
    backup = office.copied()
    add_others(office.log, 3)
    signed = office.trust.checkpoint_now()
    office.restored(backup)
    refused = office.refuses("log_contradicts_checkpoint", "tree_shrank")
    assert "the log held 8 events already, now 5" in refused.message
    assert (refused.facts["signed_size"], refused.facts["size"]) == (8, 5)
    assert office.last.read() == signed.note


@pytest.mark.parametrize(
    ("others", "reason"), [(2, "tree_shrank"), (3, "root_changed"), (4, "log_rewritten")]
)
def test_other_events_in_place_of_the_lost_ones_make_it_no_better(
    office: Restorable, others: int, reason: str
) -> None:
    backup = office.copied()
    add_others(office.log, 3)
    signed = office.trust.checkpoint_now()
    office.restored(backup)
    add_others(office.log, others)
    for _ in range(2):
        office.refuses("log_contradicts_checkpoint", reason)
    assert office.last.read() == signed.note
    latest = office.trust.latest_checkpoint()
    assert latest is not None
    assert latest.size == 5


def test_events_that_nobody_signed_for_may_be_lost(office: Restorable) -> None:
    backup = office.copied()
    add_others(office.log, 3)
    office.restored(backup)
    add_others(office.log, 1)
    assert office.trust.checkpoint_now().size == 6


def test_a_log_that_lost_events_goes_on_under_another_name(office: Restorable) -> None:
    backup = office.copied()
    add_others(office.log, 3)
    office.trust.checkpoint_now()
    office.restored(backup)
    office.refuses("log_contradicts_checkpoint", "tree_shrank")
    renamed = TrustSettings(origin=f"{ORIGIN}-2", folder=office.settings.folder)
    trust = Trust(office.database, renamed)
    trust.keys.make()
    assert verify_checkpoint(trust.checkpoint_now().note, verifier_keys(trust)).size == 5
    office.refuses("log_contradicts_checkpoint", "tree_shrank")


def test_a_crash_after_the_folder_and_before_the_database_signs_nothing_new(
    office: Restorable,
) -> None:
    add_others(office.log, 3)
    before_the_row = office.copied()
    signed = office.trust.checkpoint_now()
    office.restored(before_the_row)
    latest = office.trust.latest_checkpoint()
    assert latest is not None
    assert latest.size == 5
    again = office.trust.checkpoint_now()
    assert (again.size, again.note) == (8, signed.note)
    assert office.trust.latest_checkpoint() == again


def test_a_crash_while_the_folder_is_written_leaves_the_last_checkpoint(
    office: Restorable,
) -> None:
    unfinished = office.last.path.with_name(f".{office.last.path.name}.unfinished")
    unfinished.write_bytes(b"half a checkp")
    latest = office.trust.latest_checkpoint()
    assert latest is not None
    assert office.last.read() == latest.note
    add_others(office.log, 1)
    assert office.trust.checkpoint_now().note == office.last.read()
    assert not unfinished.exists()


def test_a_folder_restored_from_before_is_brought_up_to_the_database(office: Restorable) -> None:
    old = office.last.read()
    add_others(office.log, 3)
    signed = office.trust.checkpoint_now()
    assert old is not None
    office.last.write(old)
    assert office.trust.checkpoint_now() == signed
    assert office.last.read() == signed.note


def test_both_the_folders_and_the_databases_last_checkpoint_have_to_be_followed(
    office: Restorable,
) -> None:
    """Each is older in its turn, and neither may be contradicted."""
    old = office.last.read()
    backup = office.copied()
    add_others(office.log, 3)
    office.trust.checkpoint_now()
    other = office.copied()
    office.restored(backup)
    assert old is not None
    office.last.write(old)
    add_others(office.log, 4)
    office.trust.checkpoint_now()
    office.restored(other)
    office.refuses("log_contradicts_checkpoint", "tree_shrank")
    add_others(office.log, 3)
    office.refuses("log_contradicts_checkpoint", "log_rewritten")


def test_without_its_last_checkpoint_a_log_signs_only_once_it_is_put_back(
    office: Restorable,
) -> None:
    add_others(office.log, 3)
    handed_out = office.trust.checkpoint_now()
    office.last.path.unlink()
    refused = office.refuses("last_checkpoint_missing")
    assert str(office.last.path) in refused.message
    assert "8 events" in refused.message
    office.last.path.write_bytes(handed_out.note)
    add_others(office.log, 1)
    assert office.trust.checkpoint_now().size == 9


def _cut(note: bytes) -> bytes:
    return note[:-20]


def _of_another_size(note: bytes) -> bytes:
    return note.replace(b"\n5\n", b"\n4\n")


def _nothing(note: bytes) -> bytes:
    return note[:0]


@pytest.mark.parametrize("spoil", [_cut, _of_another_size, _nothing])
def test_a_last_checkpoint_that_was_tampered_with_is_not_believed(
    office: Restorable, spoil: Callable[[bytes], bytes]
) -> None:
    note = office.last.read()
    assert note is not None
    office.last.path.write_bytes(spoil(note))
    add_others(office.log, 1)
    office.refuses("last_checkpoint_unreadable")
    with pytest.raises(TrustError) as refused:
        office.trust.check_log()
    assert refused.value.code == "checkpoint_unreadable"


def test_the_file_is_the_note_that_was_handed_out(office: Restorable) -> None:
    latest = office.trust.latest_checkpoint()
    assert latest is not None
    assert office.last.read() == latest.note
    assert parse_checkpoint(parse_note(latest.note).text).size == 5
    assert office.last.path.stat().st_mode & 0o777 == 0o600
