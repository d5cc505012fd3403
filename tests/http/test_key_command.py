from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.app import open_desk
from service.commands.key import command
from service.config import Settings
from service.desk import keys


@pytest.fixture
def database(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'log.db'}"


def run(database: str, *arguments: str) -> Result:
    return CliRunner(env={"RINGFOLD_DATABASE": database}).invoke(command, arguments)


def test_a_key_is_made_in_a_new_database_and_opens_it(database: str) -> None:
    made = run(database, "make", "--role", "office", "--label", "Front desk")
    assert made.exit_code == 0, made.output
    desk = open_desk(Settings(database=database))
    caller = keys.recognise(desk, made.stdout.strip())
    desk.close()
    assert caller is not None
    assert (caller.role, caller.show, caller.seat) == ("office", None, None)
    assert "not shown again" in made.stderr


def test_keys_are_listed_without_their_secrets_and_revoked(database: str) -> None:
    made = run(database, "make", "--role", "steward", "--label", "Steward").stdout.strip()
    key_id, secret = made.split("_")[1], made.split("_", 2)[2]
    listed = run(database, "list").stdout
    assert key_id in listed
    assert "in force" in listed
    assert secret not in listed
    assert "revoked" in run(database, "revoke", key_id).stdout
    assert "revoked" in run(database, "list").stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("make", "--role", "scribe", "--label", "x"), "bound to a seat of a show"),
        (("make", "--role", "steward", "--label", "x", "--seat", "A"), "not bound to a seat"),
        (("make", "--role", "steward", "--label", "x", "--show", "s"), "No show has the id s."),
        (("revoke", "0123456789abcdef"), "No key has the id"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(
    database: str, arguments: tuple[str, ...], said: str
) -> None:
    run(database, "make", "--role", "office", "--label", "x")
    refused = run(database, *arguments)
    assert refused.exit_code == 1
    assert refused.stdout == ""
    assert said in refused.stderr
    assert refused.stderr.count("\n") == 1


@pytest.mark.parametrize("label", ["", "  ", "two\nlines", "\x1b[31mred", "x" * 81])
def test_a_label_that_no_list_could_show_makes_no_key(database: str, label: str) -> None:
    refused = run(database, "make", "--role", "office", "--label", label)
    assert refused.exit_code == 2
    assert "'--label'" in refused.stderr
    run(database, "make", "--role", "office", "--label", "the only one")
    assert run(database, "list").stdout.count("\n") == 1


def test_nothing_is_made_by_looking(database: str, tmp_path: Path) -> None:
    refused = run(database, "list")
    assert refused.exit_code == 1
    assert "does not exist" in refused.stderr
    assert list(tmp_path.iterdir()) == []
