"""The demo plays in a folder of its own, and nowhere else."""

import stat
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.commands.demo import command
from service.demo.folder import DATABASE, NOTE, DemoFolder
from tests.commands.processes import done
from tests.demo.conftest import Played, run


def _refused(folder: Path, *options: str) -> str:
    done = CliRunner().invoke(command, ["--folder", str(folder), "--no-serve", *options])
    assert done.exit_code == 1
    return done.output


def test_a_second_run_changes_nothing_and_offers_a_fresh_one(played: Played) -> None:
    before = played.desk.log.head()
    keys = played.place.keys
    printed = run(played.place.path)
    assert "--fresh plays it anew" in printed
    assert "Class 428" not in printed
    assert played.desk.log.head() == before
    assert DemoFolder(played.place.path).keys == keys


def test_a_fresh_one_tells_the_very_same_story_also_where_there_is_no_room_for_its_letters(
    played: Played, tmp_path: Path
) -> None:
    DemoFolder(tmp_path).clear()
    DemoFolder(tmp_path).finish({"office": "of an earlier demo"})
    (tmp_path / DATABASE).write_bytes(b"whatever an earlier demo left")
    options = ["--folder", str(tmp_path), "--no-serve", "--short", "--fresh"]
    told = done("demo", *options, PYTHONIOENCODING="ascii")
    story = played.printed.replace(str(played.place.path), str(tmp_path))
    assert told.stdout == story.encode("ascii", "replace").decode()
    assert "T?o Marchand" in told.stdout
    assert told.stderr == ""
    assert not set(DemoFolder(tmp_path).keys.values()) & set(played.place.keys.values())


def test_a_demo_that_was_cut_short_is_no_show_and_may_be_cleared(tmp_path: Path) -> None:
    DemoFolder(tmp_path).clear()
    (tmp_path / DATABASE).write_bytes(b"half a database")
    (tmp_path / f"{DATABASE}.keys").mkdir()
    (tmp_path / f"{DATABASE}.keys" / "key").touch()
    place = DemoFolder(tmp_path)
    assert place.keys == {}
    place.clear()
    assert [path.name for path in tmp_path.iterdir()] == [NOTE]


def test_a_show_whose_database_is_gone_is_no_show(tmp_path: Path) -> None:
    place = DemoFolder(tmp_path)
    place.clear()
    place.finish({"office": "a key"})
    assert DemoFolder(tmp_path).keys == {}


@pytest.mark.parametrize("options", [(), ("--fresh",)])
def test_a_folder_that_holds_something_else_is_left_alone(
    tmp_path: Path, options: tuple[str, ...]
) -> None:
    (tmp_path / DATABASE).write_bytes(b"somebody else's database")
    assert "holds something else" in _refused(tmp_path, *options)
    assert [path.name for path in tmp_path.iterdir()] == [DATABASE]
    assert (tmp_path / DATABASE).read_bytes() == b"somebody else's database"


@pytest.mark.parametrize("note", [b"", b"{}x", b'{"made_by": "me"}', b'{"keys": [], "more": 1}'])
def test_a_note_that_the_demo_did_not_write_is_no_leave_to_delete(
    tmp_path: Path, note: bytes
) -> None:
    (tmp_path / NOTE).write_bytes(note)
    assert "was not written by this demo" in _refused(tmp_path, "--fresh")
    assert (tmp_path / NOTE).read_bytes() == note


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.touch()
    assert "is not a folder" in _refused(file)


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.touch()
    assert str(file) in _refused(file / "below")


def test_nobody_else_may_read_the_keys(played: Played) -> None:
    assert stat.S_IMODE(played.place.note.stat().st_mode) == 0o600
