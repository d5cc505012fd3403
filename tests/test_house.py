"""Rules of the house that no tool checks for us."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from alembic.config import Config
from alembic.script import ScriptDirectory
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

HOUSE = Path(__file__).parent.parent
CONSTRAINTS = HOUSE / ".pins" / "constraints.txt"
PYPROJECT = HOUSE / "pyproject.toml"
TOP_LEVEL = {
    "DEVELOPERS.md", "README.md", "docker-compose.yml", "events", "migrations", "openapi",
    "pyproject.toml", "service", "tests",
}  # fmt: skip
MADE_BY_TOOLS = {
    "build", "dist", "ringfold-demo", "ringfold.db", "ringfold.db-shm", "ringfold.db-wal",
    "ringfold.db.keys", "ringfold.egg-info",
}  # fmt: skip
LONGEST_FILE = 400
READABLE = {".cfg", ".css", ".html", ".js", ".json", ".mako", ".md", ".py", ".sh", ".sql", ".toml",
            ".txt", ".yml"}  # fmt: skip


def _pyproject() -> dict[str, Any]:
    return tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))


def _pins() -> dict[str, str]:
    lines = CONSTRAINTS.read_text(encoding="utf-8").splitlines()
    pins = (line.split("==") for line in lines if line and not line.lstrip().startswith("#"))
    return {canonicalize_name(name): version for name, version in pins}


def _requirements() -> Iterator[Requirement]:
    project = _pyproject()["project"]
    for group in (project["dependencies"], *project["optional-dependencies"].values()):
        yield from map(Requirement, group)


def _sources() -> Iterator[Path]:
    for name in sorted(TOP_LEVEL | {".ci", ".pins"}):
        root = HOUSE / name
        files = root.rglob("*") if root.is_dir() else [root] if root.exists() else []
        yield from (path for path in files if path.suffix in READABLE or path.parent.name == ".ci")


def _lint_exclusions() -> list[str]:
    lint = _pyproject()["tool"]["ruff"]["lint"]
    groups = [lint["ignore"], *lint["per-file-ignores"].values()]
    return [code for group in groups for code in group]


def test_every_lint_exclusion_has_its_reason_on_the_same_line() -> None:
    text = PYPROJECT.read_text(encoding="utf-8")
    explained = re.findall(r'^    "([A-Z]+\d*)",  # \w.{5,}$', text, flags=re.MULTILINE)
    assert sorted(_lint_exclusions()) == sorted(explained)


def test_every_tolerated_warning_has_its_reason_on_the_same_line() -> None:
    filters = _pyproject()["tool"]["pytest"]["filterwarnings"]
    text = PYPROJECT.read_text(encoding="utf-8")
    explained = re.findall(r"^    [\"'](ignore:.+)[\"'],  # \w.{5,}$", text, flags=re.MULTILINE)
    assert filters[0] == "error"
    assert len(filters[1:]) == len(explained)


def test_every_requirement_is_pinned_inside_its_own_range() -> None:
    pins = _pins()
    astray = [
        str(requirement)
        for requirement in _requirements()
        if pins.get(canonicalize_name(requirement.name), "") not in requirement.specifier
    ]
    assert astray == []


def test_the_build_itself_is_pinned_exactly() -> None:
    for requirement in _pyproject()["build-system"]["requires"]:
        assert re.fullmatch(r"[a-z-]+==[\d.]+", requirement)


@pytest.mark.parametrize("path", [CONSTRAINTS, PYPROJECT], ids=lambda path: path.name)
def test_no_list_of_packages_says_where_they_come_from(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert re.findall(r"\S*(?:://|--find-links|--index|\s@\s).*", text) == []


def test_no_file_names_the_place_where_it_was_checked_out() -> None:
    place = str(HOUSE)
    naming = [str(path) for path in _sources() if place in path.read_text(encoding="utf-8")]
    assert naming == []


def test_no_file_of_the_core_or_the_service_is_longer_than_a_reader_can_hold() -> None:
    lengths = {
        path.relative_to(HOUSE).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for room in ("events", "service")
        for path in (HOUSE / room).rglob("*.py")
    }
    assert {path: length for path, length in lengths.items() if length > LONGEST_FILE} == {}
    assert len(lengths) > 1


def test_the_top_level_holds_only_what_the_house_plan_names() -> None:
    found = {path.name for path in HOUSE.iterdir() if not path.name.startswith(".")}
    assert found - MADE_BY_TOOLS - TOP_LEVEL == set()


def test_the_revisions_make_one_line_in_the_order_of_their_numbers() -> None:
    config = Config(toml_file=PYPROJECT)
    line = list(ScriptDirectory.from_config(config).walk_revisions())
    numbers = [int(script.revision) for script in reversed(line)]
    assert numbers == list(range(1, len(line) + 1))
    assert all(Path(script.path).name.startswith(script.revision) for script in line)
