"""The commands with which an office signs and a federation checks."""

import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from events.proof.checkpoint import parse_checkpoint
from events.proof.note import parse_note
from service.cli import main
from service.commands import verify
from service.signing import SigningKey
from service.store.engine import Database
from service.store.log import Log
from service.trust.trust import Trust
from tests.commands.processes import done
from tests.stories import Recorder
from tests.trust.given import ORIGIN, add_others, add_story, official_twice

KEY = SigningKey.from_raw("elsewhere.example", bytes(range(32))).verifier.text()
"""Of another log."""


@pytest.fixture
def office(sqlite: Database, monkeypatch: pytest.MonkeyPatch) -> Database:
    """The database that the environment names; its keys lie beside it."""
    for name in ("RINGFOLD_KEYS_DIR", "RINGFOLD_KEYS_PASSPHRASE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("RINGFOLD_DATABASE", f"sqlite:///{sqlite.engine.url.database}")
    monkeypatch.setenv("RINGFOLD_ORIGIN", ORIGIN)
    return sqlite


def _ringfold(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def _made_key() -> str:
    made = _ringfold("signing-key", "make")
    assert made.exit_code == 0, made.output
    assert made.stderr == "Hand this key to whoever checks the log's results:\n"
    return made.stdout.strip()


def test_an_office_makes_a_bundle_and_a_federation_checks_it(
    office: Database, tmp_path: Path
) -> None:
    key = _made_key()
    log = Log(office)
    add_others(log, 4)
    kept = tmp_path / "kept.txt"
    signed = _ringfold("checkpoint", "--out", kept)
    assert (signed.exit_code, signed.stdout) == (0, "")
    assert signed.stderr.startswith("4 events, root ")
    add_story(log, official_twice().told)
    out = tmp_path / "c-12.bundle"
    made = _ringfold("bundle", "c-12", "--out", out, "--since", 4)
    assert (made.exit_code, made.stdout) == (
        0, f"{out}: class c-12, {out.stat().st_size} bytes.\n"
    )  # fmt: skip

    checked = _ringfold("verify", out, "--key", key, "--checkpoint", kept)
    assert checked.exit_code == 0, checked.output
    assert checked.stderr == ""
    lines = checked.stdout.splitlines()
    events = len(log.read("class-c-12"))
    assert lines[0] == f"Class c-12: {events} events hold."
    assert lines[1].startswith(f"Log {ORIGIN}, checkpoint of {log.head().position} events, root ")
    assert lines[2].startswith("Revision 1, official 20")
    assert lines[2].endswith("under western-horsemanship 2026-1; derived again from the events:")
    assert lines[3:7] == [
        "  Seat A, judge judge-A",
        "       1  back number  107  71",
        "       2  back number  114  70",
        "       3  back number  121  69",
    ]
    assert lines[12:14] == ["  Seat A, judge judge-A", "       1  back number  114  72.5"]
    assert lines[-2:] == [
        "Nothing was rewritten since the checkpoint of 4 events.", "Everything holds."
    ]  # fmt: skip


def test_what_does_not_hold_goes_to_standard_error_with_line_and_event(
    office: Database, tmp_path: Path
) -> None:
    key = _made_key()
    add_story(Log(office), Recorder().planned().ride("n1", first=2).told)
    out = tmp_path / "bundle"
    assert _ringfold("bundle", "c-12", "--out", out).exit_code == 0
    assert _ringfold("verify", out, "--key", key).exit_code == 0
    lines = out.read_bytes().splitlines(keepends=True)
    lines[9] = lines[9].replace(b'"mark":2', b'"mark":4')
    out.write_bytes(b"".join(lines))
    checked = _ringfold("verify", out, "--key", key)
    assert checked.exit_code == 1
    assert "Everything" not in checked.output
    first, second, last = checked.stderr.splitlines()
    assert first.startswith("line 10, event 8: Line 10, where event 8 is expected, is not what")
    assert second.startswith(f"line {len(lines)}: The bundle is not as it was sealed")
    assert last == "Error: This bundle does not hold: 2 things do not."


def test_one_fault_is_counted_as_one_and_hundreds_are_not_all_told(
    office: Database, tmp_path: Path
) -> None:
    key = _made_key()
    log = Log(office)
    add_others(log, 70)
    add_story(log, Recorder().planned(entries=1).told)
    out = tmp_path / "bundle"
    assert _ringfold("bundle", "c-12", "--out", out).exit_code == 0
    out.write_bytes(out.read_bytes()[:-1])
    checked = _ringfold("verify", out, "--key", key)
    assert checked.stderr.splitlines() == [
        "The bundle does not end with its seal: it was cut.",
        "Error: This bundle does not hold: 1 thing does not.",
    ]
    out.write_bytes(b"\n" * 70)
    checked = _ringfold("verify", out, "--key", key)
    assert len(checked.stderr.splitlines()) == verify.MOST_SHOWN + 2
    assert checked.stderr.splitlines()[-2] == "... and 22 more."


def test_a_stranger_cannot_check_and_a_wrong_checkpoint_is_told(
    office: Database, tmp_path: Path
) -> None:
    key = _made_key()
    add_story(Log(office), Recorder().planned(entries=1).told)
    out = tmp_path / "bundle"
    assert _ringfold("bundle", "c-12", "--out", out).exit_code == 0
    checked = _ringfold("verify", out, "--key", KEY)
    assert checked.exit_code == 1
    assert checked.stderr.splitlines() == [
        "line 1: The checkpoint is not good: none of the known keys has signed the note.",
        "Error: This bundle does not hold: 1 thing does not.",
    ]
    spoilt = tmp_path / "kept.txt"
    spoilt.write_bytes(b"no checkpoint\n")
    checked = _ringfold("verify", out, "--key", key, "--checkpoint", spoilt)
    assert checked.exit_code == 1
    assert checked.stderr.startswith("Error: The checkpoint that you kept is not good: ")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["verify"], "Missing argument 'BUNDLE'"),
        (["verify", "nowhere", "--key", KEY], "File 'nowhere' does not exist"),
        (["bundle", "c-12"], "Missing option '--out'"),
        (["bundle", "c-12", "--out", "x", "--since", "-1"], "-1 is not in the range"),
        (["signing-key", "retire"], "Missing argument 'KEY'"),
    ],
)
def test_what_is_asked_wrongly_is_said_with_status_2(arguments: list[str], says: str) -> None:
    asked = _ringfold(*arguments)
    assert asked.exit_code == 2
    assert says in asked.stderr


def test_a_key_that_is_none_is_a_wrong_question(tmp_path: Path) -> None:
    bundle = tmp_path / "bundle"
    bundle.write_bytes(b"")
    asked = _ringfold("verify", bundle, "--key", "nobody")
    assert asked.exit_code == 2
    assert "Invalid value for '--key': a verifier key reads name+id+base64." in asked.stderr
    assert _ringfold("verify", bundle).exit_code == 2


def test_keys_follow_one_another(office: Database) -> None:
    first = _made_key()
    again = _ringfold("signing-key", "make")
    assert (again.exit_code, again.stderr) == (
        1, "Error: a key is in force already: let another follow it instead.\n"
    )  # fmt: skip
    rotated = _ringfold("signing-key", "rotate")
    second = rotated.stdout.strip()
    assert rotated.stderr == "Hand this key out, then retire the old one:\n"
    old = first.split("+")[1]
    retired = _ringfold("signing-key", "retire", old)
    assert retired.stdout == f"{old} signs no more. What it signed stays good.\n"
    listed = _ringfold("signing-key", "list").stdout.splitlines()
    assert [line.split()[-1] for line in listed] == [first, second]
    assert ["retired" in line for line in listed] == [True, False]
    assert "in force" in listed[1]
    folder = Path(f"{office.engine.url.database}.keys")
    assert len(list(folder.glob("*.pem"))) == 1
    unknown = _ringfold("signing-key", "retire", "00000000")
    assert unknown.stderr == f"Error: the log {ORIGIN} has no key 00000000.\n"


def test_a_checkpoint_is_printed_as_it_is_signed(office: Database) -> None:
    _made_key()
    add_others(Log(office), 3)
    printed = _ringfold("checkpoint")
    note = parse_note(printed.stdout.encode())
    assert parse_checkpoint(note.text).size == 3
    assert _ringfold("checkpoint").stdout == printed.stdout
    assert _ringfold("checkpoint", "--check").stdout == "Every checkpoint holds.\n"


def test_checkpoints_that_the_log_no_longer_agrees_with_are_told(office: Database) -> None:
    _made_key()
    add_others(Log(office), 3)
    assert _ringfold("checkpoint").exit_code == 0
    with office.writing() as connection:
        connection.exec_driver_sql("DROP TRIGGER event_refuses_delete")
        connection.exec_driver_sql("DELETE FROM event WHERE position = 3")
        connection.exec_driver_sql(
            """CREATE TRIGGER event_refuses_delete BEFORE DELETE ON event
            BEGIN SELECT RAISE(ABORT, 'the log only grows: DELETE of event is refused'); END"""
        )
    checked = _ringfold("checkpoint", "--check")
    assert checked.exit_code == 1
    assert checked.stderr.splitlines() == [
        "the log has lost events of its checkpoint of 3.",
        "Error: Checkpoints that do not hold: 1.",
    ]


@pytest.mark.usefixtures("office")
def test_what_cannot_be_signed_or_written_is_said_in_a_line(tmp_path: Path) -> None:
    unsigned = _ringfold("checkpoint")
    assert unsigned.exit_code == 1
    assert unsigned.stderr == (
        f"Error: the log {ORIGIN} has no signing key: `ringfold signing-key make` makes one.\n"
    )
    _made_key()
    missing = _ringfold("bundle", "c-99", "--out", tmp_path / "x")
    assert (missing.exit_code, missing.stderr) == (1, "Error: There is no class c-99.\n")
    nowhere = _ringfold("checkpoint", "--out", tmp_path / "no" / "folder")
    assert nowhere.exit_code == 1
    assert nowhere.stderr.endswith("No such file or directory\n")


def test_a_database_that_is_not_there_or_not_ready_is_not_made(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = tmp_path / "none.db"
    monkeypatch.setenv("RINGFOLD_DATABASE", f"sqlite:///{path}")
    assert _ringfold("signing-key", "list").stderr == f"Error: {path} does not exist.\n"
    assert not path.exists()
    path.touch()
    assert "`ringfold database create`" in _ringfold("checkpoint").stderr


OFFLINE = """
import sys
from service.cli import main
try:
    main(["verify", sys.argv[1], "--key", sys.argv[2]])
except SystemExit as ended:
    found = {"sqlalchemy", "psycopg", "sqlite3", "flask"} & set(sys.modules)
    print("loaded:", sorted(found))
    sys.exit(ended.code)
"""


def test_checking_needs_no_database_and_loads_none(embedded: Trust, tmp_path: Path) -> None:
    add_story(Log(embedded.database), Recorder().planned(entries=1).told)
    out = tmp_path / "bundle"
    out.write_bytes(embedded.bundle("c-12"))
    key = embedded.verifier_keys()[0].verifier
    ran = subprocess.run(
        [sys.executable, "-c", OFFLINE, str(out), key],
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(Path(__file__).parent.parent.parent)},
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.splitlines()[-2:] == ["Everything holds.", "loaded: []"]


def test_the_installed_command_knows_them_all() -> None:
    helped = done("--help").stdout
    for name in ("bundle", "checkpoint", "signing-key", "verify"):
        assert f"  {name} " in helped
