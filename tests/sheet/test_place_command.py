"""``ringfold place`` from the outside."""

import json
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from service.cli import main
from service.sheet.table import as_table
from tests.sheet.sheets import result, scored
from tests.sheet.test_json_form import AGREED

SCRIPT = Path(sys.executable).parent / "ringfold"


@pytest.fixture
def sheet_file(tmp_path: Path) -> Path:
    path = tmp_path / "sheet.json"
    path.write_text(json.dumps(AGREED), encoding="utf-8")
    return path


def place(*arguments: str, stdin: str | bytes | None = None) -> Result:
    return CliRunner().invoke(main, ["place", *arguments], input=stdin)


def test_the_table_goes_to_standard_output(
    sheet_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    ran = place(str(sheet_file))
    assert (ran.exit_code, ran.stderr) == (0, "")
    assert ran.stdout == f"{as_table(scored(AGREED), 80)}\n"


def test_json_is_one_object_and_nothing_else(sheet_file: Path) -> None:
    ran = place(str(sheet_file), "--json")
    assert (ran.exit_code, ran.stderr) == (0, "")
    assert json.loads(ran.stdout) == result(AGREED)


def test_a_hyphen_reads_standard_input() -> None:
    ran = place("-", "--json", stdin=json.dumps(AGREED))
    assert json.loads(ran.stdout) == result(AGREED)


@pytest.mark.parametrize("flags", [[], ["--json"]], ids=["table", "json"])
def test_faults_go_to_standard_error_one_a_line_and_nothing_is_printed(flags: list[str]) -> None:
    bad = json.dumps({**AGREED, "maneuvers": ["Walk", ""], "class": "youth"})
    ran = place("-", *flags, stdin=bad)
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert [line.split(":")[0] for line in ran.stderr.splitlines()] == [
        "$.class",
        "$.maneuvers[1]",
        "$.cards[0].rides[0].marks[2]",
        "$.cards[0].rides[0].penalties[1].maneuver",
        "$.cards[0].rides[1].marks[2]",
        "$.cards[0].rides[1].outcome.maneuver",
    ]


def test_json_that_is_none_is_told_with_line_and_column() -> None:
    ran = place("-", stdin='{"rulebook": "trail",\n}')
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert ran.stderr.startswith("$: line 2, column 1: this is not written as JSON asks: ")
    assert ran.stderr.count("\n") == 1


def test_a_file_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    missing = tmp_path / "none.json"
    ran = place(str(missing))
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert ran.stderr == f"{missing}: No such file or directory\n"


def test_a_folder_is_no_sheet(tmp_path: Path) -> None:
    ran = place(str(tmp_path))
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert ran.stderr == f"{tmp_path}: Is a directory\n"


def test_letters_that_the_output_has_no_room_for_become_question_marks(sheet_file: Path) -> None:
    named = json.dumps({**AGREED, "maneuvers": ["Schritt", "Volte auf großem Bogen", "Halt"]})
    sheet_file.write_text(named, encoding="utf-8")
    ran = CliRunner(charset="ascii").invoke(main, ["place", str(sheet_file)])
    assert ran.exit_code == 0
    assert "2. Volte auf gro?em Bogen" in ran.stdout


def test_every_command_has_a_line_of_help() -> None:
    context = click.Context(main)
    names = main.list_commands(context)
    commands = [main.get_command(context, name) for name in names]
    assert "place" in names
    assert all(command is not None and command.get_short_help_str() for command in commands)


def test_a_command_that_is_not_there_is_a_usage_error() -> None:
    ran = CliRunner().invoke(main, ["plaice"])
    assert ran.exit_code == 2
    assert "No such command 'plaice'" in ran.stderr


def test_the_installed_command_scores_a_sheet_from_another_folder(
    sheet_file: Path, tmp_path: Path
) -> None:
    ran = subprocess.run(
        [SCRIPT, "place", sheet_file.name, "--json"], cwd=tmp_path, capture_output=True, check=True
    )
    assert json.loads(ran.stdout) == result(AGREED)
    assert ran.stderr == b""


def test_the_installed_command_refuses_with_exit_status_two(tmp_path: Path) -> None:
    ran = subprocess.run(
        [SCRIPT, "place", "-"], cwd=tmp_path, input=b"[]", capture_output=True, check=False
    )
    assert (ran.returncode, ran.stdout) == (2, b"")
    assert ran.stderr.decode().splitlines() == ["$: This must be an object { }, not a list."]


def test_scoring_a_sheet_loads_no_server_and_no_database(sheet_file: Path) -> None:
    code = (
        "import sys; from service.cli import main; "
        f"main(['place', {str(sheet_file)!r}], standalone_mode=False); "
        "print(*sorted({name.partition('.')[0] for name in sys.modules}), file=sys.stderr)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    loaded = set(ran.stderr.decode().split())
    assert {"click", "msgspec", "events", "service"} <= loaded
    assert loaded.isdisjoint(
        {"alembic", "celery", "flask", "flask_smorest", "marshmallow", "psycopg", "redis"}
        | {"kombu", "sqlalchemy", "sqlite3", "structlog", "webargs", "werkzeug"}
    )
