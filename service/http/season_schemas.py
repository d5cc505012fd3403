"""What seasons, awards and members look like, coming in and going out."""

from typing import Any, get_args

from marshmallow import Schema, fields, validate

from events.awards.rules import Carrier, StandingTie
from service.http.common import PageQuery
from service.http.fields import Day, Id, Line, Prose, Whole
from service.http.shown import HorseSchema, PersonSchema
from service.http.shows import DIGEST, RuleBookRefSchema

CARRIERS = get_args(Carrier)
TIES = get_args(StandingTie)
SLUG = r"^[a-z0-9]+(-[a-z0-9]+)*$"
WEIGHT = r"^\d{1,6}(\.\d{1,6}|/[1-9]\d{0,5})?$"
MOST_CLASSES = 10_000
NEW_SEASON = {
    "id": "hill-country-2026",
    "federation": "hill-country",
    "name": "Hill Country season 2026",
    "first_day": "2026-01-01",
    "last_day": "2026-11-01",
}
NEW_AWARD: dict[str, Any] = {
    "award": "all-around",
    "name": "All-around, riders",
    "carrier": "rider",
    "points": "gchsc-high-point",
    "categories": [
        {"name": "Horsemanship", "rulebooks": ["western-horsemanship"]},
        {"name": "Novice trail", "rulebooks": ["trail"], "divisions": ["novice"]},
    ],
    "best_of": 5,
    "minimum_shows": 3,
    "minimum_categories": 2,
    "ties": ["most_placings", "most_beaten"],
}
TABLE = {"id": "gchsc-high-point", "edition": "2024", "digest": DIGEST}
CATEGORY: dict[str, Any] = {
    "name": "Horsemanship",
    "rulebooks": ["western-horsemanship"],
    "divisions": [],
    "classes": [],
    "champions": [],
    "weight": "1",
}
AWARD = (
    {
        "minimum_classes": 0,
        "minimum_judges": 0,
        "members_only": False,
        "eligible_divisions": [],
    }
    | NEW_AWARD
    | {
        "points": TABLE,
        "categories": [
            CATEGORY,
            CATEGORY | {"name": "Novice trail", "rulebooks": ["trail"], "divisions": ["novice"]},
        ],
    }
)
SEASON = NEW_SEASON | {
    "version": 12,
    "shows": ["three-rivers-2026"],
    "left_out": ["trial-class"],
    "members": 214,
    "awards": [AWARD],
}
MEMBER = {
    "member": "p-lind",
    "since": "2026-02-14",
    "person": {"id": "p-lind", "name": "Karin Lind"},
    "horse": None,
}
POINTS_TABLE: dict[str, Any] = TABLE | {
    "title": "Club high point, by class size, with a point for taking part",
    "source": "GCHSC, 2024 Class Points and High Point Tabulation, gchsc.org/high-point",
    "table": {"sizes": [{"entries_from": 1, "points": [2]}], "participation": 1},
}


class NewSeasonSchema(Schema):
    """A season over certain days, under an id of your choice or one that is made.

    ``federation`` is the id of whose it is; a key that is bound to one opens seasons for it alone.
    """

    id = Id()
    federation = Id(required=True)
    name = Line(required=True)
    first_day = Day(required=True)
    last_day = Day(required=True)


class CategorySchema(Schema):
    """Which results count together: of classes under these rule books, in these divisions.

    Without rule books, under any. Without divisions, the placing of the whole class counts. A
    result counts in the first category that takes it. ``weight`` is what part of its points counts,
    such as `0.5` or `1/3`.
    """

    name = Line(120, required=True)
    rulebooks = fields.List(Id(), load_default=[], validate=validate.Length(max=60))
    divisions = fields.List(Line(60), load_default=[], validate=validate.Length(max=60))
    weight = fields.String(load_default="1", validate=validate.Regexp(WEIGHT))


class PointsChoice(fields.Field[Any]):
    """The id of a points table that ships with Ringfold, or a whole table of your own."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["metadata"] = {
            "oneOf": [{"type": "string", "pattern": SLUG}, {"type": "object"}],
            "description": "The id of a table that ships with Ringfold, or a whole table.",
            **options.get("metadata", {}),
        }
        super().__init__(**options)


class NewAwardSchema(Schema):
    """An award of the season: for whom, by which points, over which classes.

    ``best_of`` counts only so many best results of each category. With several categories it is an
    all-around; in ``minimum_categories`` of them points must have been earned. With
    ``eligible_divisions`` only entries that ride in one of them earn points, in whatever counts.
    """

    award = fields.String(required=True, validate=[validate.Length(max=64), validate.Regexp(SLUG)])
    name = Line(required=True)
    carrier = fields.String(required=True, validate=validate.OneOf(CARRIERS))
    points = PointsChoice(required=True)
    categories = fields.List(
        fields.Nested(CategorySchema), required=True, validate=validate.Length(min=1, max=60)
    )
    best_of = Whole(1, MOST_CLASSES, allow_none=True)
    minimum_shows = Whole(0, MOST_CLASSES)
    minimum_classes = Whole(0, MOST_CLASSES)
    minimum_judges = Whole(0, MOST_CLASSES)
    minimum_categories = Whole(0, 60)
    eligible_divisions = fields.List(Line(60), validate=validate.Length(max=60))
    members_only = fields.Boolean(truthy={True}, falsy={False})
    ties = fields.List(
        fields.String(validate=validate.OneOf(TIES)), validate=validate.Length(max=len(TIES))
    )
    reason = Prose(metadata={"description": "Why an award that is defined is defined anew."})


class CountedShowSchema(Schema):
    """A show."""

    show = Id(required=True)


class LeftOutSchema(Schema):
    """A class of a show that counts, and why."""

    class_ = Id(required=True, attribute="class", data_key="class")
    reason = Prose(required=True)


class NewMemberSchema(Schema):
    """A registered person or horse, and the day from which it belongs to the season."""

    member = Id(required=True)
    since = Day(required=True)


class SeasonSummarySchema(Schema):
    """A season by name."""

    id = fields.String(required=True)
    federation = fields.String(required=True)
    name = fields.String(required=True)
    first_day = Day(required=True)
    last_day = Day(required=True)


class SeasonsQuery(PageQuery):
    """Which seasons."""

    federation = Id(metadata={"description": "Of this federation alone."})


class SeasonPageSchema(Schema):
    """Some seasons, in the order of opening."""

    items = fields.List(fields.Nested(SeasonSummarySchema), required=True)
    next = fields.String(required=True, allow_none=True)


class CategoryShownSchema(Schema):
    """Which results count together."""

    name = fields.String(required=True)
    rulebooks = fields.List(fields.String(), required=True)
    divisions = fields.List(fields.String(), required=True)
    classes = fields.List(fields.String(), required=True)
    champions = fields.List(fields.String(), required=True)
    weight = fields.String(required=True)


class AwardSchema(Schema):
    """An award as it is reckoned now; ``points`` is the table by its digest."""

    award = fields.String(required=True)
    name = fields.String(required=True)
    carrier = fields.String(required=True, validate=validate.OneOf(CARRIERS))
    points = fields.Nested(RuleBookRefSchema, required=True)
    categories = fields.List(fields.Nested(CategoryShownSchema), required=True)
    best_of = Whole(required=True, allow_none=True)
    minimum_shows = Whole(required=True)
    minimum_classes = Whole(required=True)
    minimum_judges = Whole(required=True)
    minimum_categories = Whole(required=True)
    eligible_divisions = fields.List(fields.String(), required=True)
    members_only = fields.Boolean(required=True)
    ties = fields.List(fields.String(validate=validate.OneOf(TIES)), required=True)


class SeasonSchema(SeasonSummarySchema):
    """A season as it stands; ``members`` is how many belong to it."""

    version = Whole(required=True)
    shows = fields.List(fields.String(), required=True)
    left_out = fields.List(fields.String(), required=True)
    members = Whole(required=True)
    awards = fields.List(fields.Nested(AwardSchema), required=True)


class MembersQuery(PageQuery):
    """Which part of the members, by their ids."""

    after = fields.String(validate=validate.Length(max=64))


class MemberSchema(Schema):
    """Who belongs to a season, and since which day."""

    member = fields.String(required=True)
    since = Day(required=True)
    person = fields.Nested(PersonSchema, required=True, allow_none=True)
    horse = fields.Nested(HorseSchema, required=True, allow_none=True)


class MemberPageSchema(Schema):
    """Some members, in the order of their ids."""

    items = fields.List(fields.Nested(MemberSchema), required=True)
    next = fields.String(required=True, allow_none=True)


class PointsTableSummarySchema(RuleBookRefSchema):
    """A points table by name, with where it comes from."""

    title = fields.String(required=True)
    source = fields.String(required=True)


class PointsTableListSchema(Schema):
    """The points tables that ship with Ringfold."""

    items = fields.List(fields.Nested(PointsTableSummarySchema), required=True)


class PointsTableSchema(PointsTableSummarySchema):
    """A points table with its content, in the form that an author writes."""

    table = fields.Dict(required=True)
