"""What the awards of a show look like: their rules, their standings, and what settled a tie."""

from typing import Any, get_args

from marshmallow import Schema, fields, validate

from events.projections.settled import Why
from events.show.events import SettledBy
from service.http.common import PageQuery
from service.http.fields import Id, Line, Moment, Prose, Whole
from service.http.season_schemas import (
    AWARD,
    NEW_AWARD,
    AwardSchema,
    CategorySchema,
    NewAwardSchema,
)
from service.http.standing_schemas import (
    CARRIER,
    MOVES,
    STANDING,
    Instant,
    MovesSchema,
    Share,
    StandingSchema,
    Yes,
)

WAYS = get_args(SettledBy)
SEASONAL = ("minimum_shows", "members_only")
"""What only the award of a season asks for."""

NEW_SHOW_AWARD: dict[str, Any] = {
    name: each for name, each in NEW_AWARD.items() if name not in SEASONAL
} | {
    "name": "All-around of the show, youth riders",
    "categories": [
        {"name": "Horsemanship", "rulebooks": ["western-horsemanship"]},
        {"name": "Halter", "classes": ["mares"], "champions": ["halter-final"]},
    ],
    "points": "mpahc-high-point",
    "minimum_classes": 2,
    "eligible_divisions": ["youth"],
    "ties": ["most_beaten", "most_top_tens"],
}
SHOW_AWARD = {name: each for name, each in AWARD.items() if name not in SEASONAL}
SETTLEMENT: dict[str, Any] = {
    "settlement": 41,
    "by": "coin",
    "order": ["p-lind", "p-falk"],
    "seed": None,
    "reason": "The steward tossed the coin before both of them.",
    "basis": [
        {"carrier": "p-falk", "exact": "23/2", "now": 11.5},
        {"carrier": "p-lind", "exact": "23/2", "now": 11.5},
    ],
    "stale": None,
    "whose_hand": "Show office",
    "settled_at": "2026-05-10T16:02:00.000000Z",
}
SHOW_STANDING: dict[str, Any] = {
    name: each for name, each in STANDING.items() if name != "season"
} | {"show": "three-rivers-2026", "settlements": [SETTLEMENT]}
SHOW_MOVES: dict[str, Any] = {name: each for name, each in MOVES.items() if name != "season"} | {
    "show": "three-rivers-2026"
}


class ShowCategorySchema(CategorySchema):
    """Which results count together; ``classes`` narrows them to some classes of the show.

    The first two of ``champions`` are grand and reserve champion of the category, and earn what the
    points table has for them.
    """

    classes = fields.List(Id(), load_default=[], validate=validate.Length(max=400))
    champions = fields.List(Id(), load_default=[], validate=validate.Length(max=60))


class NewShowAwardSchema(NewAwardSchema):
    """An award of the show: for whom, by which points, over which classes."""

    class Meta:
        """An award of one show knows no other shows and no members."""

        exclude = SEASONAL

    categories = fields.List(
        fields.Nested(ShowCategorySchema), required=True, validate=validate.Length(min=1, max=60)
    )


class ShowAwardSchema(AwardSchema):
    """An award as it is reckoned now; ``points`` is the table by its digest."""

    class Meta:
        """As above."""

        exclude = SEASONAL


class ShowAwardListSchema(Schema):
    """The awards of a show, by their ids."""

    items = fields.List(fields.Nested(ShowAwardSchema), required=True)


class ShowStandingQuery(PageQuery):
    """As of when, and how much of it."""

    at = Instant()
    carrier = fields.String(
        validate=validate.Regexp(CARRIER),
        metadata={"description": "A rider, a horse, or `rider+horse`: its row with every line."},
    )
    lines = Yes(metadata={"description": "Whether every row comes with the lines behind it."})


class ShowMovesQuery(PageQuery):
    """From which moment to which."""

    from_ = Instant(required=True, attribute="from", data_key="from")
    to = Instant()


class TieBasisSchema(Schema):
    """The points that somebody had when a tie was settled, and has now; null: none any more."""

    carrier = fields.String(required=True)
    exact = fields.String(required=True)
    now = Share(required=True, allow_none=True, metadata={"type": "number"})


class SettlementSchema(Schema):
    """What settled a tie, best first; ``stale`` says why it no longer counts."""

    settlement = Whole(
        required=True, metadata={"description": "The version of the show that recorded it."}
    )
    by = fields.String(required=True, validate=validate.OneOf(WAYS))
    order = fields.List(fields.String(), required=True)
    seed = fields.String(required=True, allow_none=True)
    reason = fields.String(required=True, allow_none=True)
    basis = fields.List(fields.Nested(TieBasisSchema), required=True)
    stale = fields.String(required=True, allow_none=True, validate=validate.OneOf(get_args(Why)))
    whose_hand = fields.String(
        required=True,
        metadata={"description": "The label of the key, or its role for who may not read the log."},
    )
    settled_at = Moment(required=True)


class ShowStandingSchema(StandingSchema):
    """The standings of a show's award, and what settled its ties."""

    class Meta:
        """They are of a show."""

        exclude = ("season",)

    show = fields.String(required=True)
    settlements = fields.List(fields.Nested(SettlementSchema), required=True)


class ShowMovesSchema(MovesSchema):
    """What moved in a show's award from one position of the log to another."""

    class Meta:
        """They are of a show."""

        exclude = ("season",)

    show = fields.String(required=True)


class NewSettlementSchema(Schema):
    """How a tie was settled: those who share the place, best first.

    Lots are drawn from a `seed`: in ascending order of the SHA-256 of `seed:carrier`, in whatever
    order they are named. A coin takes a reason: who tossed it, and before whom.
    """

    order = fields.List(
        fields.String(validate=validate.Regexp(CARRIER)),
        required=True,
        validate=validate.Length(min=2, max=400),
    )
    by = fields.String(required=True, validate=validate.OneOf(WAYS))
    seed = Line()
    reason = Prose()
