"""What the README says can be done as it says."""

import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from service.cli import main
from service.config import VARIABLES

HOUSE = Path(__file__).parent.parent.parent
README = (HOUSE / "README.md").read_text(encoding="utf-8")
INSTALL = "python3 -m venv .venv && .venv/bin/pip install -c .pins/constraints.txt"


def _blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, flags=re.DOTALL | re.MULTILINE)


def test_its_sheet_comes_to_the_placing_that_it_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    [sheet], [shown] = _blocks("json"), _blocks("text")
    file = tmp_path / "sheet.json"
    file.write_text(sheet, encoding="utf-8")
    monkeypatch.setenv("COLUMNS", "88")
    placed = CliRunner().invoke(main, ["place", str(file)])
    assert placed.exit_code == 0
    assert placed.output == shown


def test_it_opens_with_one_line_to_run_the_job_and_one_to_run_the_tests() -> None:
    job, tests, *_ = _blocks("sh")
    assert job == f"{INSTALL} . && .venv/bin/ringfold demo\n"
    assert tests == f"{INSTALL} -e '.[test]' && .venv/bin/pytest\n"


def test_the_check_installs_as_it_says() -> None:
    installed = (HOUSE / ".ci" / "installed.sh").read_text(encoding="utf-8")
    assert 'pip" install -q -c .pins/constraints.txt .)' in installed


def test_it_names_every_setting_and_no_other() -> None:
    named = re.findall(r"^\| `(RINGFOLD_\w+)` \|", README, flags=re.MULTILINE)
    assert named == list(VARIABLES)


def test_it_names_every_command_and_no_other() -> None:
    named = {words.split()[0] for words in re.findall(r"`ringfold ([a-z][^`]*)`", README)}
    assert isinstance(main, click.Group)
    assert named == set(main.list_commands(click.Context(main)))
