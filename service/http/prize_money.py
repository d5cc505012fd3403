"""Prize money that is paid: awarded on official results, and what a show owes to whom."""

from typing import Any, get_args

from flask import Response, request
from marshmallow import Schema, fields, validate

from events.judged_class.commands import AwardPrizeMoney, WithdrawPrizeMoney
from events.judged_class.state import Entry
from events.projections.prize_money import PrizeMoney, Standing
from service.desk import classes, prize_money
from service.desk.prize_money import ClassMoney, ExhibitorMoney, Owed
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.awards import PERCENT, PurseSchema
from service.http.common import RECEIPT, AtQuery, ReceiptSchema, acknowledged, moment
from service.http.fields import Id, Line, Prose, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import HorseNamed, PersonNamed, Words, show
from service.http.standing_schemas import FORMATS, Instant
from service.publishing.prize_columns import PRIZES

blueprint = Resource("prize-money", __name__, url_prefix="/v1", description=__doc__)

TEXT = {"type": "string"}
VARY = {"Vary": "Accept, Authorization"}
Json = dict[str, Any]
RIDER = {"id": "p-lind", "name": "Karin Lind"}
HORSE = {"id": "h-smoke", "name": "Smoke Over Willow"}
PRIZE: Json = {
    "entry": "e-214",
    "back_number": 214,
    "exhibitor": RIDER,
    "horse": HORSE,
    "place": 1,
    "percent": "43",
    "cents": 43_000,
    "odd_cents": 0,
}
PURSE: Json = {
    "version": 66,
    "results": 63,
    "standing": "stands",
    "seat": "A",
    "division": None,
    "section": None,
    "purse": 43_500,
    "percentages": ["100"],
    "odd_cents_go": "kept",
    "unfilled_go": "kept",
    "paid": 43_000,
    "unscheduled": 500,
    "unfilled": 0,
    "odd_cents": 0,
    "prizes": [PRIZE],
    "reason": None,
}
OWED: Json = {
    "class": "horsemanship-open",
    "class_name": "Horsemanship, open",
    "version": 66,
    "standing": "stands",
    "seat": "A",
    "division": None,
    "section": None,
    "entry": "e-214",
    "back_number": 214,
    "horse": HORSE,
    "place": 1,
    "percent": "43",
    "cents": 43_000,
    "odd_cents": 0,
}
SHOW_MONEY: Json = {
    "show": "three-rivers-2026",
    "purse": 43_500,
    "paid": 43_000,
    "left": 500,
    "purses": [
        {
            "class": "horsemanship-open",
            "class_name": "Horsemanship, open",
            **{name: each for name, each in PURSE.items() if name not in {"prizes", "reason"}},
        }
    ],
    "exhibitors": [{"exhibitor": RIDER, "cents": 43_000, "prizes": [OWED]}],
}
CSV = (
    "exhibitor_id,exhibitor,horse_id,horse,class,class_name,entry,back_number,division,seat,place,"
    "cents,version,standing,section\r\n"
    "p-lind,Karin Lind,h-smoke,Smoke Over Willow,horsemanship-open,"
    '"Horsemanship, open",e-214,214,,A,1,43000,66,stands,\r\n'
)


class NewPrizeMoneySchema(PurseSchema):
    """A purse to be paid by the official places; awarding one anew takes a `reason`."""

    cents = Whole(1, required=True)
    reason = Prose()


class WithdrawalSchema(Schema):
    """Which purse is not paid, and why."""

    seat = Id()
    division = Line(60)
    section = Whole(1)
    reason = Prose(required=True)


class PaidPrizeSchema(Schema):
    """What one entry is paid, in cents, `odd_cents` of them beyond its `percent`."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    place = Whole(required=True)
    percent = fields.String(required=True)
    cents = Whole(required=True)
    odd_cents = Whole(required=True)


class PaidPurseSchema(Schema):
    """A purse as it was awarded by the event at `version`, on what became official at `results`.

    It is `paid` + `unscheduled` + `unfilled` + `odd_cents`. Its `standing` is `open` while results
    are open again, and `stale` when the official places pay otherwise now; it is never changed but
    by another award.
    """

    version = Whole(required=True)
    results = Whole(required=True)
    standing = fields.String(required=True, validate=validate.OneOf(get_args(Standing)))
    seat = fields.String(required=True, allow_none=True)
    division = fields.String(required=True, allow_none=True)
    section = Whole(required=True, allow_none=True)
    purse = Whole(required=True)
    percentages = fields.List(fields.String(validate=validate.Regexp(PERCENT)), required=True)
    odd_cents_go = fields.String(required=True)
    unfilled_go = fields.String(required=True)
    paid = Whole(required=True)
    unscheduled = Whole(required=True)
    unfilled = Whole(required=True)
    odd_cents = Whole(required=True)


class AwardedPurseSchema(PaidPurseSchema):
    """A purse of a class, with its prizes, best place first."""

    prizes = fields.List(fields.Nested(PaidPrizeSchema), required=True)
    reason = Words(required=True, allow_none=True)


class PrizeMoneySchema(Schema):
    """The purses of a class, oldest award first."""

    version = Whole(required=True)
    phase = fields.String(required=True)
    items = fields.List(fields.Nested(AwardedPurseSchema), required=True)


class ShowPurseSchema(PaidPurseSchema):
    """A purse and the class that it was awarded in."""

    class_ = fields.String(required=True, attribute="class_id", data_key="class")
    class_name = fields.String(required=True)


class OwedSchema(Schema):
    """One prize, down to the event that awarded it."""

    class_ = fields.String(required=True, attribute="class_id", data_key="class")
    class_name = fields.String(required=True)
    version = Whole(required=True)
    standing = fields.String(required=True, validate=validate.OneOf(get_args(Standing)))
    seat = fields.String(required=True, allow_none=True)
    division = fields.String(required=True, allow_none=True)
    section = Whole(required=True, allow_none=True)
    entry = fields.String(required=True)
    back_number = Whole(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    place = Whole(required=True)
    percent = fields.String(required=True)
    cents = Whole(required=True)
    odd_cents = Whole(required=True)


class ExhibitorMoneySchema(Schema):
    """What one exhibitor is owed, on whatever horse."""

    exhibitor = PersonNamed(required=True)
    cents = fields.Integer(required=True)
    prizes = fields.List(fields.Nested(OwedSchema), required=True)


class ShowMoneySchema(Schema):
    """What a show owes, in cents: `purse`, all of its purses, is `paid` + `left`."""

    show = fields.String(required=True)
    purse = fields.Integer(required=True)
    paid = fields.Integer(required=True)
    left = fields.Integer(required=True)
    purses = fields.List(fields.Nested(ShowPurseSchema), required=True)
    exhibitors = fields.List(fields.Nested(ExhibitorMoneySchema), required=True)


class ShowMoneyQuery(Schema):
    """As of when."""

    at = Instant()


@blueprint.route("/classes/<id:class_id>/prize-money", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.arguments(AtQuery, location="query")
@blueprint.response(
    200, PrizeMoneySchema, example={"version": 66, "phase": "official", "items": [PURSE]}
)
def read_prize_money(query: Json, class_id: str) -> Response:
    """Read the prize money that was awarded in a class, and whether it still stands."""
    found = prize_money.of_class(desk(), caller(), class_id, moment(query))
    document = {
        "version": found.state.version,
        "phase": found.state.phase,
        "items": [_awarded(each, found) for each in found.purses],
    }
    return show(PrizeMoneySchema(), document, version=found.state.version, names=found.names)


@blueprint.route("/classes/<id:class_id>/prize-money", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    NewPrizeMoneySchema, example={"cents": 100_000, "percentages": ["50", "30", "20"], "seat": "A"}
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def award_prize_money(body: Json, class_id: str) -> Response:
    """Award a purse by the official places.

    Entries that share a place share its money. What is recorded stays as it is: a correction that
    moves the places makes it stale, and another award, with a reason, takes its place.
    """
    cents, parts = body.pop("cents"), tuple(body.pop("percentages"))
    command = AwardPrizeMoney(purse=cents, percentages=parts, **body)
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))


@blueprint.route("/classes/<id:class_id>/prize-money/withdraw", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    WithdrawalSchema, example={"reason": "The purse was for another class.", "seat": "A"}
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def withdraw_prize_money(body: Json, class_id: str) -> Response:
    """Take back a purse that was awarded."""
    command = WithdrawPrizeMoney(**body)
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))


@blueprint.route("/shows/<id:show_id>/prize-money", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.arguments(ShowMoneyQuery, location="query")
@blueprint.response(200, ShowMoneySchema, example=SHOW_MONEY)
@blueprint.response(200, TEXT, content_type="text/csv", example=CSV)
def read_show_prize_money(query: Json, show_id: str) -> Response:
    """Read what a show owes to each exhibitor, and all its purses with what is left of them.

    As CSV, a row for each prize, with `Accept: text/csv`.
    """
    found = prize_money.of_show(desk(), caller(), show_id, query.get("at"))
    wanted = request.accept_mimetypes.best_match(FORMATS, default=FORMATS[0])
    if wanted == "text/csv":
        lines = [(found.names, each) for of in found.exhibitors for each in of.prizes]
        response = Response(PRIZES.csv(lines), mimetype="text/csv")
        response.headers["Cache-Control"] = "private, no-cache"
        response.headers.extend(VARY)
        return response
    document = {
        "show": show_id,
        "purse": found.purse,
        "paid": found.paid,
        "left": found.left,
        "purses": [
            _purse(each.money) | {"class_id": each.class_id, "class_name": each.class_name}
            for each in found.purses
        ],
        "exhibitors": [_exhibitor(each) for each in found.exhibitors],
    }
    return show(ShowMoneySchema(), document, names=found.names, headers=VARY)


def _purse(of: PrizeMoney) -> Json:
    event = of.event
    return {
        "version": of.version,
        "results": event.results,
        "standing": of.standing,
        "seat": event.seat,
        "division": event.division,
        "section": event.section,
        "purse": event.purse,
        "percentages": event.schedule.percentages,
        "odd_cents_go": event.schedule.odd_cents,
        "unfilled_go": event.schedule.unfilled,
        "paid": of.paid,
        "unscheduled": event.unscheduled,
        "unfilled": event.unfilled,
        "odd_cents": event.odd_cents,
    }


def _awarded(of: PrizeMoney, found: ClassMoney) -> Json:
    return _purse(of) | {
        "prizes": [
            _who(found.state.entries[prize.entry])
            | {name: getattr(prize, name) for name in prize.__struct_fields__}
            for prize in of.event.prizes
        ],
        "reason": of.event.reason,
    }


def _exhibitor(of: ExhibitorMoney) -> Json:
    return {
        "exhibitor": of.exhibitor,
        "cents": of.cents,
        "prizes": [_owed(each) for each in of.prizes],
    }


def _owed(of: Owed) -> Json:
    prize = {name: getattr(of.prize, name) for name in of.prize.__struct_fields__}
    return (
        _who(of.entry)
        | prize
        | {
            "class_id": of.class_id,
            "class_name": of.class_name,
            "version": of.purse.version,
            "standing": of.purse.standing,
            "seat": of.purse.event.seat,
            "division": of.purse.event.division,
            "section": of.purse.event.section,
        }
    )


def _who(entry: Entry) -> Json:
    return {
        "back_number": entry.back_number,
        "exhibitor": entry.exhibitor,
        "horse": entry.horse,
    }
