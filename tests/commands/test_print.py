"""``ringfold print``: papers without a server."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.commands.print import command
from tests.http.conftest import (  # noqa: F401 - pytest finds fixtures where they are imported
    application,
    migrated_sqlite,
    opened_sqlite,
    protested_sqlite,
    serving,
)
from tests.http.house import Keys
from tests.print.reading import text_of


@pytest.fixture
def database(protested_sqlite: tuple[Path, Keys]) -> str:  # noqa: F811 - the fixture itself
    return f"sqlite:///{protested_sqlite[0]}"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(database: str, *arguments: str) -> Result:
    return CliRunner(env={"RINGFOLD_DATABASE": database}).invoke(command, arguments)


@pytest.mark.parametrize(
    ("arguments", "file", "says"),
    [
        (("card", "horsemanship", "--seat", "A"), "horsemanship-card-A-at-event-", "Signed by"),
        (("card", "horsemanship", "--seat", "A", "--blank"), "horsemanship-card-A.pdf", "Rail"),
        (("gate-sheet", "horsemanship"), "horsemanship-gate-sheet.pdf", "Karin Lind"),
        (("results", "official", "--paper", "letter"), "official-results-r1.pdf", "Official"),
        (
            ("explanation", "horsemanship", "214", "--seat", "A"),
            "horsemanship-explanation-A-214.pdf",
            "Base of the scale",
        ),
        (
            ("programme", "three-rivers", "--day", "2026-05-09"),
            "three-rivers-programme-2026-05-09.pdf",
            "Main ring",
        ),
        (("show-results", "three-rivers"), "three-rivers-results.pdf", "Karin Lind"),
    ],
)
def test_a_paper_is_written_under_a_name_of_its_own(
    database: str, folder: Path, arguments: tuple[str, ...], file: str, says: str
) -> None:
    done = run(database, *arguments)
    assert done.exit_code == 0, done.output
    [written] = folder.iterdir()
    assert written.name.startswith(file)
    assert written.name in done.output
    assert says in text_of(written.read_bytes())


def test_a_paper_is_written_where_it_is_wanted_as_of_a_moment(database: str, folder: Path) -> None:
    out = folder / "board.pdf"
    done = run(database, "results", "horsemanship", "--at", "9", "--out", str(out))
    assert done.exit_code == 0, done.output
    assert "as it stood after event 9" in text_of(out.read_bytes())


@pytest.mark.parametrize(
    ("arguments", "status", "said"),
    [
        (("results", "nothing"), 1, "nothing"),
        (("card", "horsemanship", "--seat", "Z"), 1, "Nobody had seat Z"),
        (("results", "horsemanship", "--at", "soon"), 2, "neither a version nor a time"),
        (("results", "horsemanship", "--at", "2026-05-09T10:00:00"), 2, "with its offset"),
        (("results", "official", "--out", "no/such/folder/x.pdf"), 1, "No such file"),
    ],
)
def test_what_cannot_be_printed_is_said_in_a_line_and_nothing_is_written(
    database: str, folder: Path, arguments: tuple[str, ...], status: int, said: str
) -> None:
    done = run(database, *arguments)
    assert done.exit_code == status
    assert said in done.output
    assert list(folder.iterdir()) == []
