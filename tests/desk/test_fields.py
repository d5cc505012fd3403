"""What is known by a field's name alone is what the core means by that name."""

import ast
from collections.abc import Iterator
from pathlib import Path

from service.desk.texts import TEXT_FIELDS
from service.http.story import HALF_POINT_FIELDS

CORE = Path(__file__).parents[2] / "events"
LOGGED = (
    "judged_class/commands.py",
    "judged_class/events.py",
    "show/commands.py",
    "show/events.py",
)


def annotated(of: str) -> Iterator[tuple[str, str, str]]:
    """Every field of the classes in a file: where it stands, its name, its annotation."""
    for node in ast.walk(ast.parse((CORE / of).read_text(encoding="utf-8"))):
        if isinstance(node, ast.ClassDef):
            for field in node.body:
                if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name):
                    yield f"{of} {node.name}", field.target.id, ast.unparse(field.annotation)


def test_the_fields_that_name_a_text_are_known_and_hold_nothing_else() -> None:
    for where, name, annotation in (each for of in LOGGED for each in annotated(of)):
        assert ("TextRef" in annotation) == (name in TEXT_FIELDS), (where, name)


def test_the_fields_that_hold_half_points_are_known_and_hold_nothing_else() -> None:
    for where, name, annotation in annotated("judged_class/events.py"):
        assert ("HalfPoints" in annotation) == (name in HALF_POINT_FIELDS), (where, name)
