"""What a division asks, coming in and going out."""

from collections.abc import Mapping
from typing import Any

import msgspec
from marshmallow import Schema, fields, validate

from events.show.division import NEW_YEAR, DivisionTerms
from service.http.fields import Day, Id, Line, Whole
from service.http.shown import Words

MOST_DIVISIONS = 200
OLDEST = 150
DAY_KINDS = ("first_day", "same_year", "year_before", "given")
SEXES = ("mare", "gelding", "stallion")
YOUTH: dict[str, Any] = {
    "division": "Youth",
    "terms": {
        "rider_age": {"highest": 18, "on": {"kind": "same_year", "month_day": "01-01"}},
        "member_of": "Hill Country",
    },
}
_ON = {"kind": "same_year", "month_day": "01-01", "day": None}
YOUTH_SHOWN: dict[str, Any] = {
    "division": "Youth",
    "terms": {
        "rider_age": {"lowest": None, "highest": 18, "on": _ON},
        "rider_levels": None,
        "member_of": "Hill Country",
        "horse_age": None,
        "horse_levels": None,
        "horse_sexes": [],
    },
    "reason": None,
}
OF_CLASS = {"admits": ["Youth", "Novice"], "requires": [], "must_name": True}


class MonthDay(Line):
    """A day that comes every year, ``12-01``: the month, then the day."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        described = {"description": "Month and day, such as `12-01`."}
        super().__init__(5, metadata=described, **options)


class CountedOnSchema(Schema):
    """The day that something is counted on, as seen from the show.

    `first_day` is the show's; `same_year` and `year_before` name a `month_day` of that day's year,
    or of the year before; `given` names a `day`.
    """

    kind = fields.String(load_default="first_day", validate=validate.OneOf(DAY_KINDS))
    month_day = MonthDay(allow_none=True)
    day = Day(allow_none=True)


class RiderAgeSchema(Schema):
    """The least and the greatest age of a rider, both still admitted, in whole years on a day.

    Whoever was born on 29 February is a year older on 1 March of a common year.
    """

    lowest = Whole(0, OLDEST, allow_none=True)
    highest = Whole(0, OLDEST, allow_none=True)
    on = fields.Nested(CountedOnSchema)


class HorseAgeSchema(RiderAgeSchema):
    """The least and the greatest age of a horse, both still admitted, and how it is counted.

    A horse is a year older at every `year_begins` after its foaling, however soon the first comes;
    where that is null, on every return of its foaling day. Where horses foaled south of the equator
    are counted from another day, `southern_year_begins` says which.
    """

    year_begins = MonthDay(allow_none=True, load_default=NEW_YEAR)
    southern_year_begins = MonthDay(allow_none=True)


class LevelsAdmittedSchema(Schema):
    """The levels that are admitted, as held on a day, in one discipline or in all of them.

    A level in the discipline itself comes before one in all of them.
    """

    levels = fields.List(Line(60), required=True, validate=validate.Length(min=1, max=60))
    discipline = Line(60, allow_none=True)
    on = fields.Nested(CountedOnSchema)


class TermsSchema(Schema):
    """What a division asks; what is left out it does not ask."""

    rider_age = fields.Nested(RiderAgeSchema, allow_none=True)
    rider_levels = fields.Nested(LevelsAdmittedSchema, allow_none=True)
    member_of = Line(
        120,
        allow_none=True,
        metadata={"description": "A body whose members riders are on the day of the class."},
    )
    horse_age = fields.Nested(HorseAgeSchema, allow_none=True)
    horse_levels = fields.Nested(LevelsAdmittedSchema, allow_none=True)
    horse_sexes = fields.List(
        fields.String(validate=validate.OneOf(SEXES)), validate=validate.Length(max=len(SEXES))
    )


class DivisionDefinedSchema(Schema):
    """A division, under the name that entries give; `reason` says why its terms change."""

    division = Line(60, required=True)
    terms = fields.Nested(TermsSchema, required=True)
    reason = Line(4000, allow_none=True)


class DivisionDroppedSchema(Schema):
    """A division that the show has no longer, and why."""

    division = Line(60, required=True)
    reason = Line(4000, required=True)


class ClassDivisionsSchema(Schema):
    """The divisions of a class.

    Entries may be placed in those that it `admits`, in any of the show's where it names none; with
    `must_name` every entry is in at least one. Everybody in the class is eligible for those that it
    `requires`, whether the entry names them or not.
    """

    admits = fields.List(Line(60), load_default=list, validate=validate.Length(max=MOST_DIVISIONS))
    requires = fields.List(
        Line(60), load_default=list, validate=validate.Length(max=MOST_DIVISIONS)
    )
    must_name = fields.Boolean(load_default=False, truthy={True}, falsy={False})


class DivisionOfShowSchema(Schema):
    """A division as it is defined now; `reason` says why it changed last, to whom that is shown."""

    division = fields.String(required=True)
    terms = fields.Nested(TermsSchema, required=True)
    reason = Words(required=True, allow_none=True)


class DivisionsOfClassSchema(ClassDivisionsSchema):
    """The divisions of one class."""

    class_id = Id(required=True)


class DivisionsSchema(Schema):
    """The divisions of a show, and of those of its classes that have some of their own.

    A show that defines none takes entries in whatever divisions they name, unchecked.
    """

    version = Whole(required=True)
    divisions = fields.List(fields.Nested(DivisionOfShowSchema), required=True)
    classes = fields.List(fields.Nested(DivisionsOfClassSchema), required=True)


def terms_of(given: Mapping[str, Any]) -> DivisionTerms:
    """The terms that a body holds."""
    return msgspec.convert(given, DivisionTerms)
