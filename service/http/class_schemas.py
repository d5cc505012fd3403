"""What a class, its entries and its seats look like, coming in and going out."""

from marshmallow import Schema, fields, validate

from service.http.common import PageQuery
from service.http.fields import Day, Id, Line, Moment, Points, Prose, Whole
from service.http.option_schemas import PanelChoiceSchema, RoundSchema
from service.http.shown import HorseNamed, PersonNamed, Words
from service.http.shows import DIGEST, RuleBookRefSchema

SEAT_KINDS = ("judge", "learner")
CARD_KINDS = (*SEAT_KINDS, "closed")
PHASES = ("planned", "running", "posted", "official", "reopened", "cancelled")
NEW_CLASS = {
    "id": "ranch-reining-open",
    "name": "Open ranch reining",
    "number": 14,
    "ring": "Main ring",
    "day": "2026-05-09",
    "rulebook": "reining",
}
SUMMARY = {
    "id": "ranch-reining-open",
    "show": "three-rivers-2026",
    "name": "Open ranch reining",
    "number": 14,
    "ring": "Main ring",
    "day": "2026-05-09",
    "phase": "running",
    "version": 17,
}
ENTRY = {
    "entry": "e-214",
    "back_number": 214,
    "working_order": 1,
    "section": None,
    "exhibitor": {"id": "p-lind", "name": "Karin Lind"},
    "horse": {"id": "h-smoke", "name": "Smoke Over Willow"},
    "scratched": False,
    "calls": 1,
    "gate": None,
    "out_of_order": False,
    "late": False,
    "divisions": ["youth"],
    "carried": None,
}
CLASS = SUMMARY | {
    "latest": 17,
    "revision": 0,
    "protests_until": None,
    "rulebook": {"id": "reining", "edition": "2026-1", "digest": DIGEST},
    "pattern": {"name": "Pattern 5", "maneuvers": ["Left circles", "Right circles"]},
    "seats": [
        {
            "seat": "A",
            "judge": {"id": "p-ames", "name": "Judith Ames"},
            "kind": "judge",
            "signed": None,
            "judges_before": [],
        }
    ],
    "entries": [ENTRY],
    "draw": ["e-214"],
    "sections": [],
    "panel": {
        "method": "sum",
        "values": [],
        "weights": [],
        "call_judges": [],
        "tie_judge": {"odd": "A", "even": "B"},
    },
    "round": {"kind": "final", "after": "ranch-reining-go", "carries": True},
    "cut": None,
    "run_offs": [],
    "contest_cuts": [],
    "cancelled": None,
    "combined": [],
    "panel_misfit": None,
}


class NewClassSchema(Schema):
    """A class to be scheduled under one of the rule books that its show has adopted."""

    id = Id()
    name = Line(required=True)
    rulebook = Id(required=True, metadata={"description": "The id of an adopted rule book."})
    number = Whole(1, 100_000, allow_none=True)
    ring = Line(60, allow_none=True)
    day = Day(allow_none=True)
    panel = fields.Nested(PanelChoiceSchema, allow_none=True)
    round = fields.Nested(RoundSchema, allow_none=True)


class PatternSchema(Schema):
    """A pattern: its maneuvers in order."""

    maneuvers = fields.List(Line(120), required=True, validate=validate.Length(min=1, max=60))
    name = Line(120, allow_none=True)


class SeatSchema(Schema):
    """A seat for a judge, or for somebody learning to judge."""

    seat = Id(required=True, metadata={"description": "A capital letter, such as A."})
    judge = Id(required=True, metadata={"description": "The id of a registered person."})
    kind = fields.String(load_default="judge", validate=validate.OneOf(SEAT_KINDS))


class NewEntrySchema(Schema):
    """An entry: an exhibitor, a horse, a back number."""

    entry = Id(metadata={"description": "An id of your choice; without it one is made."})
    back_number = Whole(1, 100_000, required=True)
    exhibitor = Id(required=True, metadata={"description": "The id of a registered person."})
    horse = Id(allow_none=True, metadata={"description": "The id of a registered horse."})
    divisions = fields.List(
        Line(60),
        load_default=list,
        validate=validate.Length(max=20),
        metadata={"description": "The divisions that the one ride counts in."},
    )
    carried = Points(
        allow_none=True, metadata={"description": "The total brought from the round before."}
    )
    late = fields.Boolean(
        load_default=False,
        truthy={True},
        falsy={False},
        metadata={"description": "Whether it came after the entries had closed."},
    )


class ReasonSchema(Schema):
    """Why."""

    reason = Prose(required=True)


class PerhapsReasonSchema(Schema):
    """Why, if it is said."""

    reason = Prose(allow_none=True)


class CallSchema(Schema):
    """Which call to the gate it is."""

    call = Whole(1, 9, required=True)


class ClassSummarySchema(Schema):
    """A class on its show's schedule."""

    id = fields.String(required=True)
    show = fields.String(required=True)
    name = fields.String(required=True)
    number = Whole(required=True, allow_none=True)
    ring = fields.String(required=True, allow_none=True)
    day = Day(required=True, allow_none=True)
    phase = fields.String(required=True, validate=validate.OneOf(PHASES))
    version = Whole(required=True)


class ClassesQuery(PageQuery):
    """Which classes of a show."""

    day = Day(metadata={"description": "Of this day alone."})
    ring = Line(60, metadata={"description": "Of this ring alone."})
    phase = fields.String(
        validate=validate.OneOf(PHASES), metadata={"description": "At this stage alone."}
    )


class ClassPageSchema(Schema):
    """Some classes of a show, in the order of scheduling."""

    items = fields.List(fields.Nested(ClassSummarySchema), required=True)
    next = fields.String(required=True, allow_none=True)


class PatternShownSchema(Schema):
    """The pattern as it was set."""

    name = fields.String(required=True, allow_none=True)
    maneuvers = fields.List(fields.String(), required=True)


class SeatShownSchema(Schema):
    """A seat; ``signed`` is the version of the signature that stands on its card.

    ``kind`` is ``closed`` for a judge who could not go on, whose card counts for nothing, and
    ``judges_before`` are those who filled the card before this one.
    """

    seat = fields.String(required=True)
    judge = PersonNamed(required=True)
    kind = fields.String(required=True, validate=validate.OneOf(CARD_KINDS))
    signed = Whole(required=True, allow_none=True)
    judges_before = fields.List(PersonNamed(), required=True)


class EntryShownSchema(Schema):
    """An entry; ``gate`` says whether it missed the gate or was excused."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    working_order = Whole(required=True, allow_none=True)
    section = Whole(required=True, allow_none=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    scratched = fields.Boolean(required=True)
    calls = Whole(required=True)
    gate = fields.String(required=True, allow_none=True)
    out_of_order = fields.Boolean(required=True)
    late = fields.Boolean(required=True)
    divisions = fields.List(fields.String(), required=True)
    carried = Points(required=True, allow_none=True)


class CutShownSchema(Schema):
    """Who goes on to the next round; `tied_out` are those whom a tie at the cut kept out."""

    size = Whole(required=True)
    qualified = fields.List(fields.String(), required=True)
    tied_out = fields.List(fields.String(), required=True)
    per_section = fields.Boolean(required=True)


class RunOffShownSchema(Schema):
    """How a run-off ended, best first; `award_to` is who was given the award on the spot."""

    order = fields.List(fields.String(), required=True)
    declined = fields.List(fields.String(), required=True)
    award_to = fields.String(required=True, allow_none=True)


class CancelledSchema(Schema):
    """Why a class is not held; `into` is the class within which it is held, if it is in one."""

    version = Whole(required=True)
    reason = Words(required=True)
    into = fields.String(required=True, allow_none=True)


class CombinedShownSchema(Schema):
    """A class that was taken into this one, and what the two are called as divisions."""

    other = fields.String(required=True)
    division = fields.String(required=True)
    own_division = fields.String(required=True)
    reason = Words(required=True)


class ClassSchema(ClassSummarySchema):
    """A class at a version; ``latest`` is the version that it has come to by now."""

    latest = Whole(required=True)
    revision = Whole(required=True, metadata={"description": "How often results were posted."})
    protests_until = Moment(required=True, allow_none=True)
    rulebook = fields.Nested(RuleBookRefSchema, required=True)
    pattern = fields.Nested(PatternShownSchema, required=True, allow_none=True)
    seats = fields.List(fields.Nested(SeatShownSchema), required=True)
    entries = fields.List(fields.Nested(EntryShownSchema), required=True)
    draw = fields.List(fields.String(), required=True)
    sections = fields.List(
        Whole(),
        required=True,
        metadata={
            "description": "How many of the draw ride in each section, one after another; empty "
            "where the class is ridden as one."
        },
    )
    panel = fields.Nested(PanelChoiceSchema, required=True, allow_none=True)
    round = fields.Nested(RoundSchema, required=True, allow_none=True)
    cut = fields.Nested(CutShownSchema, required=True, allow_none=True)
    run_offs = fields.List(fields.Nested(RunOffShownSchema), required=True)
    contest_cuts = fields.List(Whole(), required=True)
    cancelled = fields.Nested(CancelledSchema, required=True, allow_none=True)
    combined = fields.List(fields.Nested(CombinedShownSchema), required=True)
    panel_misfit = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "What of the panel does not fit the seats that are taken."},
    )
