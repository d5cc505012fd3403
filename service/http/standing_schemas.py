"""What standings look like: rows, the lines behind them, and what moved."""

import re
from collections.abc import Mapping
from datetime import date, datetime
from fractions import Fraction
from typing import Any, get_args

from marshmallow import Schema, ValidationError, fields, validate

from events.projections.earned import Title
from events.projections.standings import Missing
from events.scoring.exact import to_plain
from service.desk.season_moments import AsOf
from service.http.common import PageQuery
from service.http.fields import Day, Moment, Points, Whole, moment_from
from service.http.season_schemas import SLUG, TABLE, TIES
from service.http.shown import HorseSchema, PersonNamed, PersonSchema
from service.http.shows import RuleBookRefSchema

FORMATS = ("application/json", "text/csv")
CARRIER = r"^[A-Za-z0-9][A-Za-z0-9._~-]{0,63}(\+[A-Za-z0-9][A-Za-z0-9._~-]{0,63})?$"
CURSOR = r"^\d{1,18}(:[a-z0-9-]{1,64})?$"
MISSING = get_args(Missing)
TITLES = get_args(Title)
_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_POSITION = re.compile(r"\d{1,15}", re.ASCII)
RIDER = {"id": "p-lind", "name": "Karin Lind"}
HORSE = {"id": "h-smoke", "name": "Smoke Over Willow"}
LINE: dict[str, Any] = {
    "counts": True,
    "says": "2nd in a class of 9, shared by 2: (5 + 4) / 2 = 4.5.",
    "points": 4.5,
    "exact": "9/2",
    "places": [{"place": 2, "points": 5}, {"place": 3, "points": 4}],
    "place": 2,
    "shared_by": 2,
    "outcome": None,
    "total": 71.5,
    "class_size": 9,
    "beaten": 6,
    "category": "Horsemanship",
    "division": None,
    "show": "three-rivers-2026",
    "class": "horsemanship-open",
    "class_name": "Horsemanship, open",
    "day": "2026-05-09",
    "seat": "A",
    "judges": [{"id": "p-ames", "name": "Judith Ames"}],
    "revision": 1,
    "version": 63,
    "position": 941,
    "entry": "e-214",
    "back_number": 214,
    "rider": RIDER,
    "horse": HORSE,
    "table": TABLE["digest"],
    "title": None,
    "highest": None,
    "highest_class": None,
}
ROW: dict[str, Any] = {
    "place": 1,
    "tied": False,
    "carrier": "p-lind",
    "rider": RIDER,
    "horse": None,
    "points": 11.5,
    "exact": "23/2",
    "shows": 3,
    "classes": 5,
    "judges": 4,
    "categories": [{"name": "Horsemanship", "points": 11.5, "exact": "23/2"}],
    "missing": [],
    "parted_by": None,
    "settled": None,
}
STANDING: dict[str, Any] = {
    "season": "hill-country-2026",
    "award": "all-around",
    "name": "All-around, riders",
    "points": TABLE,
    "position": 941,
    "turned_at": "2026-05-09T15:40:00.000000Z",
    "size": 1,
    "rows": [ROW],
    "next": None,
}
STOOD = {"place": 2, "tied": False, "points": 7, "exact": "7", "missing": []}
MOVES: dict[str, Any] = {
    "season": "hill-country-2026",
    "award": "all-around",
    "from": 900,
    "to": 941,
    "moves": [
        {
            "carrier": "p-lind",
            "rider": RIDER,
            "horse": None,
            "before": STOOD,
            "after": STOOD | {"place": 1, "points": 11.5, "exact": "23/2"},
            "lines": [{"before": None, "after": LINE}],
        }
    ],
    "next": None,
}
CHANGE: dict[str, Any] = {
    "position": 941,
    "at": "2026-05-09T15:40:00.000000Z",
    "award": "all-around",
    "opened": 9,
    "closed": 0,
    "cause": "results.made_official",
    "stream": "class-horsemanship-open",
    "version": 63,
    "reason": None,
}
CSV = (
    "place,tied,carrier,rider_id,rider,horse_id,horse,points,exact,shows,judges,categories,"
    "missing,parted_by\r\n1,false,p-lind,p-lind,Karin Lind,,,11.5,23/2,3,4,Horsemanship 11.5,,\r\n"
)


class Instant(fields.Field[Any]):
    """A moment: a position of the log, an RFC 3339 time, or a day, to its end in UTC."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["metadata"] = {
            "type": "string",
            "maxLength": 40,
            "description": "A position of the log, an RFC 3339 time, or a day, which is taken to "
            "its end in UTC; without it, now.",
            "example": "2026-06-30",
            **options.get("metadata", {}),
        }
        super().__init__(**options)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> AsOf:
        del attr, data
        found = _instant(value) if isinstance(value, str) else None
        if found is None:
            raise ValidationError("Neither a position, nor an RFC 3339 time, nor a day.")
        return found


def _instant(text: str) -> int | datetime | date | None:
    if _POSITION.fullmatch(text):
        return int(text)
    if _DAY.fullmatch(text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            return None
    return moment_from(text)


class Share(fields.Field[Fraction]):
    """Points as the nearest plain number; thirds of a point are given exactly beside it."""

    def _serialize(
        self, value: Fraction | None, attr: str | None, obj: object, **_: object
    ) -> float | None:
        del attr, obj
        return None if value is None else to_plain(value)


class Yes(fields.Field[bool]):
    """``true`` or ``false`` in a query string."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["metadata"] = {
            "type": "string",
            "enum": ["true", "false"],
            **options.get("metadata", {}),
        }
        super().__init__(**options)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> bool:
        del attr, data
        if value not in {"true", "false"}:
            raise ValidationError("It is true or false.")
        return value == "true"


class _AwardQuery(PageQuery):
    """One award of the season."""

    award = fields.String(required=True, validate=[validate.Length(max=64), validate.Regexp(SLUG)])


class StandingQuery(_AwardQuery):
    """Which award, as of when, and how much of it."""

    as_of = Instant()
    carrier = fields.String(
        validate=validate.Regexp(CARRIER),
        metadata={"description": "A rider, a horse, or `rider+horse`: its row with every line."},
    )
    lines = Yes(metadata={"description": "Whether every row comes with the lines behind it."})


class MovesQuery(_AwardQuery):
    """Which award, from which moment to which."""

    from_ = Instant(required=True, attribute="from", data_key="from")
    to = Instant()


class TurnsQuery(PageQuery):
    """Which part of the changes, of one award or of all."""

    after = fields.String(validate=validate.Regexp(CURSOR))
    award = fields.String(validate=[validate.Length(max=64), validate.Regexp(SLUG)])


class PlacePointsSchema(Schema):
    """What a place earns whoever holds it alone."""

    place = Whole(required=True)
    points = Share(required=True, metadata={"type": "number"})


class LineSchema(Schema):
    """One official line that earned points, down to the event; ``counts`` if among the best.

    ``seat`` is null where the judges placed together, ``division`` where the whole class did. In a
    class that names champions, ``title`` is the one that was won, and ``highest`` the points of the
    highest pointed class that those of champions come on top of.
    """

    counts = fields.Boolean(required=True)
    says = fields.String(required=True)
    points = Share(required=True, metadata={"type": "number"})
    exact = fields.String(required=True)
    places = fields.List(fields.Nested(PlacePointsSchema), required=True)
    place = Whole(required=True, allow_none=True)
    shared_by = Whole(required=True)
    outcome = fields.String(required=True, allow_none=True)
    total = Points(required=True, allow_none=True)
    class_size = Whole(required=True)
    beaten = Whole(required=True)
    category = fields.String(required=True)
    division = fields.String(required=True, allow_none=True)
    show = fields.String(required=True)
    class_ = fields.String(required=True, attribute="class_id", data_key="class")
    class_name = fields.String(required=True)
    day = Day(required=True, allow_none=True)
    seat = fields.String(required=True, allow_none=True)
    judges = fields.List(PersonNamed(), required=True)
    revision = Whole(required=True)
    version = Whole(required=True)
    position = fields.Integer(required=True)
    entry = fields.String(required=True)
    back_number = Whole(required=True)
    rider = fields.Nested(PersonSchema, required=True)
    horse = fields.Nested(HorseSchema, required=True, allow_none=True)
    table = fields.String(required=True)
    title = fields.String(required=True, allow_none=True, validate=validate.OneOf(TITLES))
    highest = Share(required=True, allow_none=True, metadata={"type": "number"})
    highest_class = fields.String(required=True, allow_none=True)


class CategoryPointsSchema(Schema):
    """What counts in one category."""

    name = fields.String(required=True)
    points = Share(required=True, metadata={"type": "number"})
    exact = fields.String(required=True)


class StandingRowSchema(Schema):
    """Where a carrier stands; without a place while a minimum is ``missing`` or nothing earned."""

    place = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)
    carrier = fields.String(required=True)
    rider = fields.Nested(PersonSchema, required=True, allow_none=True)
    horse = fields.Nested(HorseSchema, required=True, allow_none=True)
    points = Share(required=True, metadata={"type": "number"})
    exact = fields.String(required=True)
    shows = Whole(required=True)
    classes = Whole(required=True)
    judges = Whole(required=True)
    categories = fields.List(fields.Nested(CategoryPointsSchema), required=True)
    missing = fields.List(fields.String(validate=validate.OneOf(MISSING)), required=True)
    parted_by = fields.String(required=True, allow_none=True, validate=validate.OneOf(TIES))
    settled = Whole(
        required=True,
        allow_none=True,
        metadata={"description": "The version of the show's event that settled the tie."},
    )
    lines = fields.List(fields.Nested(LineSchema))


class StandingSchema(Schema):
    """The standings of an award; ``position`` is that of the event that they turned at last."""

    season = fields.String(required=True)
    award = fields.String(required=True)
    name = fields.String(required=True)
    points = fields.Nested(RuleBookRefSchema, required=True)
    position = fields.Integer(required=True)
    turned_at = Moment(required=True)
    size = Whole(required=True, metadata={"description": "How many rows there are in all."})
    rows = fields.List(fields.Nested(StandingRowSchema), required=True)
    next = fields.String(required=True, allow_none=True)


class StoodSchema(Schema):
    """Where a carrier stood at a moment."""

    place = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)
    points = Share(required=True, metadata={"type": "number"})
    exact = fields.String(required=True)
    missing = fields.List(fields.String(validate=validate.OneOf(MISSING)), required=True)


class LineMoveSchema(Schema):
    """A result of the carrier's own that came, went, or came to something else."""

    before = fields.Nested(LineSchema, required=True, allow_none=True)
    after = fields.Nested(LineSchema, required=True, allow_none=True)


class MoveSchema(Schema):
    """A carrier that stands elsewhere; without ``lines`` it was others that moved past."""

    carrier = fields.String(required=True)
    rider = fields.Nested(PersonSchema, required=True, allow_none=True)
    horse = fields.Nested(HorseSchema, required=True, allow_none=True)
    before = fields.Nested(StoodSchema, required=True, allow_none=True)
    after = fields.Nested(StoodSchema, required=True, allow_none=True)
    lines = fields.List(fields.Nested(LineMoveSchema), required=True)


class MovesSchema(Schema):
    """What moved in an award from one position of the log to another."""

    season = fields.String(required=True)
    award = fields.String(required=True)
    from_ = fields.Integer(required=True, attribute="from", data_key="from")
    to = fields.Integer(required=True)
    moves = fields.List(fields.Nested(MoveSchema), required=True)
    next = fields.String(required=True, allow_none=True)


class ChangeSchema(Schema):
    """An event that changed an award, and how many lines came into force and ended with it."""

    position = fields.Integer(required=True)
    at = Moment(required=True)
    award = fields.String(required=True)
    opened = Whole(required=True)
    closed = Whole(required=True)
    cause = fields.String(required=True, metadata={"description": "The kind of the event."})
    stream = fields.String(required=True)
    version = Whole(required=True)
    reason = fields.String(required=True, allow_none=True)


class ChangePageSchema(Schema):
    """Some changes, in the order of the log."""

    items = fields.List(fields.Nested(ChangeSchema), required=True)
    next = fields.String(required=True, allow_none=True)
