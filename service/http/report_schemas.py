"""What reports on judges and learners look like."""

from marshmallow import Schema, fields

from service.http.fields import Figure, Id, Points, Whole
from service.http.shown import PersonNamed

AGREEMENT = {
    "version": 61,
    "seats": ["A", "B"],
    "entries": 12,
    "concordance": 0.91,
    "pairs": [{"first": "A", "second": "B", "spearman": 0.82, "kendall": 0.7}],
    "spreads": [
        {"maneuver": 1, "name": "Walk", "entries": 12, "mean": "0.25", "widest": 1.5},
    ],
    "apart": [
        {
            "seat": "B",
            "entry": "e-214",
            "back_number": 214,
            "maneuver": 1,
            "mark": -0.5,
            "others": [1],
        }
    ],
}
LEARNER = {
    "version": 61,
    "seat": "L",
    "learner": {"id": "p-holm", "name": "Signe Holm"},
    "against": "A",
    "marks": [
        {
            "entry": "e-214",
            "back_number": 214,
            "maneuver": 1,
            "name": "Walk",
            "official": 1,
            "learner": 0.5,
            "difference": -0.5,
        }
    ],
    "seen": [
        {
            "kind": "penalty",
            "entry": "e-214",
            "back_number": 214,
            "maneuver": 3,
            "code": "break-of-gait",
            "points": 3,
            "wording": "Break of gait",
            "seen": "missed",
        }
    ],
    "standings": [
        {
            "entry": "e-214",
            "back_number": 214,
            "official_total": 71.5,
            "learner_total": 72,
            "official_outcome": None,
            "learner_outcome": None,
            "official_place": 1,
            "learner_place": 2,
        }
    ],
    "contest": {
        "score": 45,
        "lost": 5,
        "finished": True,
        "turned": [{"above": "e-214", "below": "e-87", "cost": 5}],
    },
}
GROUP = {
    "version": 61,
    "against": "A",
    "by": "contest score",
    "rows": [
        {
            "seat": "L",
            "learner": {"id": "p-holm", "name": "Signe Holm"},
            "place": 1,
            "contest": 45,
            "spearman": 0.8,
            "marks": 24,
            "off": 6.5,
            "seen": 3,
            "missed": 1,
            "not_called": 0,
        }
    ],
    "doubts": [{"maneuver": 1, "name": "Walk", "mean": "0.75", "by_seat": {"L": "0.75"}}],
}


class AgainstQuery(Schema):
    """Which judge learners are held against; without it the first by seat."""

    against = Id()


class PairSchema(Schema):
    """The rank correlation of two seats, from -1 to 1."""

    first = fields.String(required=True)
    second = fields.String(required=True)
    spearman = fields.Float(required=True, allow_none=True)
    kendall = fields.Float(
        required=True, allow_none=True, metadata={"description": "Kendall's tau-b."}
    )


class SpreadSchema(Schema):
    """How far marks lie apart at a maneuver: highest less lowest, over rides that all marked."""

    maneuver = Whole(required=True)
    name = fields.String(required=True)
    entries = Whole(required=True)
    mean = Figure(required=True, metadata={"description": "In points, exact."})
    widest = Points(required=True)


class MarkApartSchema(Schema):
    """A mark that lies a point or more from the middle of the other judges' marks."""

    seat = fields.String(required=True)
    entry = fields.String(required=True)
    back_number = Whole(required=True)
    maneuver = Whole(required=True)
    mark = Points(required=True)
    others = fields.List(Points(), required=True)


class AgreementSchema(Schema):
    """How far the judges of a class agree, over the `entries` that all of them placed."""

    version = Whole(required=True)
    seats = fields.List(fields.String(), required=True)
    entries = Whole(required=True)
    concordance = fields.Float(
        required=True,
        allow_none=True,
        metadata={"description": "Kendall's W, from 0 to 1; null where nothing can be said."},
    )
    pairs = fields.List(fields.Nested(PairSchema), required=True)
    spreads = fields.List(fields.Nested(SpreadSchema), required=True)
    apart = fields.List(fields.Nested(MarkApartSchema), required=True)


class MarkPairSchema(Schema):
    """One maneuver marked by both; `difference` is the learner's mark less the judge's."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    maneuver = Whole(required=True)
    name = fields.String(required=True)
    official = Points(required=True, allow_none=True)
    learner = Points(required=True, allow_none=True)
    difference = Points(required=True, allow_none=True)


class SeenSchema(Schema):
    """A penalty or fault of position: seen by both, missed by the learner, or not called."""

    kind = fields.String(required=True)
    entry = fields.String(required=True)
    back_number = Whole(required=True)
    maneuver = Whole(required=True, allow_none=True)
    code = fields.String(required=True, allow_none=True)
    points = Points(required=True, allow_none=True)
    wording = fields.String(required=True, allow_none=True)
    seen = fields.String(required=True)


class StandingPairSchema(Schema):
    """What an entry came to on both cards."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    official_total = Points(required=True, allow_none=True)
    learner_total = Points(required=True, allow_none=True)
    official_outcome = fields.String(required=True, allow_none=True)
    learner_outcome = fields.String(required=True, allow_none=True)
    official_place = Whole(required=True, allow_none=True)
    learner_place = Whole(required=True, allow_none=True)


class TurnedSchema(Schema):
    """Two entries placed in the wrong order, and what it cost."""

    above = fields.String(required=True)
    below = fields.String(required=True)
    cost = Whole(required=True)


class ContestSchema(Schema):
    """The score by cuts; an unfinished placing scores nought."""

    score = fields.Integer(required=True)
    lost = Whole(required=True)
    finished = fields.Boolean(required=True)
    turned = fields.List(fields.Nested(TurnedSchema), required=True)


class LearnerSchema(Schema):
    """A learner's card beside that of a judge. It never counts."""

    version = Whole(required=True)
    seat = fields.String(required=True)
    learner = PersonNamed(required=True)
    against = fields.String(required=True)
    marks = fields.List(fields.Nested(MarkPairSchema), required=True)
    seen = fields.List(fields.Nested(SeenSchema), required=True)
    standings = fields.List(fields.Nested(StandingPairSchema), required=True)
    contest = fields.Nested(ContestSchema, required=True, allow_none=True)


class LearnerRowSchema(Schema):
    """One learner: `off` is how far `marks` lie from the judge's, added up, in points."""

    seat = fields.String(required=True)
    learner = PersonNamed(required=True)
    place = Whole(required=True)
    contest = fields.Integer(required=True, allow_none=True)
    spearman = fields.Float(required=True, allow_none=True)
    marks = Whole(required=True)
    off = Points(required=True)
    seen = Whole(required=True)
    missed = Whole(required=True)
    not_called = Whole(required=True)


class DoubtSchema(Schema):
    """How far marks at a maneuver lie from the judge's, on average, in points."""

    maneuver = Whole(required=True)
    name = fields.String(required=True)
    mean = Figure(required=True)
    by_seat = fields.Dict(keys=fields.String(), values=Figure(), required=True)


class GroupSchema(Schema):
    """The learners of a class, best first, and the maneuvers they were furthest off first."""

    version = Whole(required=True)
    against = fields.String(required=True)
    by = fields.String(required=True)
    rows = fields.List(fields.Nested(LearnerRowSchema), required=True)
    doubts = fields.List(fields.Nested(DoubtSchema), required=True)
