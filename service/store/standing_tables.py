"""The tables of seasons: what official results earned, while each row was in force.

``season`` is the id of a season, or ``show:`` and that of a show, whose awards are kept alike.

All but the points tables and the registry's turn are made from the log by the follower that
carries standings forward, and can be made anew.
"""

from sqlalchemy import CheckConstraint, Column, Index, Integer, LargeBinary, Table, Text

from service.store.tables import metadata
from service.store.types import UtcTime, Whole

points_table = Table(
    "points_table",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("id", Text, nullable=False),
    Column("edition", Text, nullable=False),
    Column("content", LargeBinary, nullable=False),
    sqlite_strict=True,
)
"""Every points table that an award was ever counted by, once under its digest."""

registry_turn = Table(
    "registry_turn",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("number", Whole, nullable=False),
    CheckConstraint("id = 1", name="one_row"),
    sqlite_strict=True,
)
"""One row: how often a name was corrected or erased. While it is the same, so are all names."""

season_mark = Table(
    "season_mark",
    metadata,
    Column("season", Text, primary_key=True),
    Column("version", Integer, nullable=False),
    sqlite_strict=True,
)
"""Up to which version of each season standings were carried forward."""

class_result = Table(
    "class_result",
    metadata,
    Column("class_id", Text, primary_key=True),
    Column("show_id", Text, nullable=False),
    Column("position", Whole, nullable=False),
    Column("document", LargeBinary, nullable=False),
    Index(None, "show_id"),
    sqlite_strict=True,
)
"""The last official results of each class, without the root: they are reckoned with, not signed."""

class_result_member = Table(
    "class_result_member",
    metadata,
    Column("member", Text, primary_key=True),
    Column("class_id", Text, primary_key=True),
    Index(None, "class_id"),
    sqlite_strict=True,
)
"""Which riders and horses stand in the last official results of which classes."""

season_award = Table(
    "season_award",
    metadata,
    Column("season", Text, primary_key=True),
    Column("award", Text, primary_key=True),
    Column("valid_from", Whole, primary_key=True, autoincrement=False),
    Column("valid_until", Whole),
    Column("rules", LargeBinary, nullable=False),
    CheckConstraint("valid_until IS NULL OR valid_until > valid_from", name="valid_a_while"),
    sqlite_strict=True,
)
"""The rules of each award from the event that defined them up to the one that ended them."""

earned_line = Table(
    "earned_line",
    metadata,
    Column("season", Text, primary_key=True),
    Column("award", Text, primary_key=True),
    Column("class_id", Text, primary_key=True),
    Column("division", Text, primary_key=True),
    Column("seat", Text, primary_key=True),
    Column("entry", Text, primary_key=True),
    Column("valid_from", Whole, primary_key=True, autoincrement=False),
    Column("valid_until", Whole),
    Column("line", LargeBinary, nullable=False),
    CheckConstraint("valid_until IS NULL OR valid_until > valid_from", name="valid_a_while"),
    sqlite_strict=True,
)
"""What each official line earned in each award, from one event of the log up to another.

``division`` and ``seat`` are empty for the whole class and for judges who placed together.
"""

standing_turn = Table(
    "standing_turn",
    metadata,
    Column("season", Text, primary_key=True),
    Column("award", Text, primary_key=True),
    Column("position", Whole, primary_key=True, autoincrement=False),
    Column("recorded_at", UtcTime, nullable=False),
    Column("opened", Integer, nullable=False),
    Column("closed", Integer, nullable=False),
    Index(None, "season", "position"),
    sqlite_strict=True,
)
"""Every event that changed an award or its lines, and how many lines came and went with it."""
