"""What a show's timetable looks like."""

import re
from collections.abc import Mapping
from datetime import time
from typing import Any

from marshmallow import Schema, ValidationError, fields

from service.http.fields import Day, Id, Line, Moment, Whole
from service.http.shown import HorseNamed, PersonNamed

_CLOCK = re.compile(r"([01]\d|2[0-3]):[0-5]\d", re.ASCII)
MOST_SECONDS = 86_400
MOST_MINUTES = 100_000

SLOT = {
    "ring": "Main ring",
    "day": "2026-05-09",
    "slot": 3,
    "not_before": "09:30",
    "seconds_a_ride": 240,
}
DEADLINES = {"late_entry": 30, "scratch": 120, "horse_change": 60}
RIDER = {
    "class": "ranch-reining-open",
    "entry": "e-214",
    "back_number": 214,
    "working_order": 7,
    "exhibitor": {"id": "p-lind", "name": "Karin Lind"},
    "horse": {"id": "h-smoke", "name": "Smoke Over Willow"},
    "calls": 1,
}
EXPECTED = {
    "expected_at": "2026-05-09T14:58:00.000000Z",
    "expected_at_local": "2026-05-09T09:58:00-05:00",
    "together": False,
}
TIMETABLE = {
    "day": "2026-05-09",
    "time_zone": "America/Chicago",
    "deadlines": DEADLINES,
    "rings": [
        {
            "ring": "Main ring",
            "classes": [
                {
                    "class": "ranch-reining-open",
                    "name": "Open ranch reining",
                    "number": 14,
                    "slot": 3,
                    "entries": 12,
                    "ridden": 6,
                    "starts_at": "2026-05-09T14:30:00.000000Z",
                    "ends_at": "2026-05-09T15:21:00.000000Z",
                    "starts_at_local": "2026-05-09T09:30:00-05:00",
                    "ends_at_local": "2026-05-09T10:21:00-05:00",
                    "started": True,
                    "ended": False,
                }
            ],
            "in_ring": RIDER | {"entry": "e-87", "back_number": 87, "working_order": 6},
            "next": RIDER | EXPECTED,
            "on_deck": [],
        }
    ],
}


class Clock(fields.Field[time]):
    """A time on the show's clock, ``09:30``."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["metadata"] = {"pattern": f"^({_CLOCK.pattern})$", **options.get("metadata", {})}
        super().__init__(**options)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> time:
        del attr, data
        if not isinstance(value, str) or not _CLOCK.fullmatch(value):
            raise ValidationError("Not a time of the day, such as 09:30.")
        return time.fromisoformat(value)


class SlotSchema(Schema):
    """A class's turn in a ring.

    Without `not_before` it follows the class before. `seconds_a_ride` is reckoned with until rides
    of the class itself say better.
    """

    ring = Line(60, required=True)
    day = Day(required=True)
    slot = Whole(1, 10_000, required=True)
    not_before = Clock(allow_none=True, metadata={"description": "On the show's own clock."})
    seconds_a_ride = Whole(1, MOST_SECONDS, load_default=240)


class DeadlinesSchema(Schema):
    """Until how many minutes before a class starts the office takes changes; 0: until it starts."""

    late_entry = Whole(0, MOST_MINUTES, required=True)
    scratch = Whole(0, MOST_MINUTES, required=True)
    horse_change = Whole(0, MOST_MINUTES, required=True)


class DayQuery(Schema):
    """Which day."""

    day = Day(metadata={"description": "Without it, today by the show's clock."})


class EstimateSchema(Schema):
    """When a class began or will begin, and when it ended or will end, by what has happened."""

    class_id = fields.String(required=True, data_key="class")
    name = fields.String(required=True)
    number = Whole(required=True, allow_none=True)
    slot = Whole(required=True)
    entries = Whole(required=True)
    ridden = Whole(required=True)
    starts_at = Moment(required=True)
    ends_at = Moment(required=True)
    starts_at_local = fields.String(
        required=True, metadata={"description": "The same on the show's clock."}
    )
    ends_at_local = fields.String(required=True)
    started = fields.Boolean(required=True)
    ended = fields.Boolean(required=True)


class RiderSchema(Schema):
    """An entry at the gate or in the ring, and how often it was called."""

    class_id = fields.String(required=True, data_key="class")
    entry = Id(required=True)
    back_number = Whole(required=True)
    working_order = Whole(required=True, allow_none=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    calls = Whole(required=True)


class RiderToComeSchema(RiderSchema):
    """An entry that has not ridden yet, and when it is expected to go in."""

    expected_at = Moment(required=True)
    expected_at_local = fields.String(
        required=True, metadata={"description": "The same on the show's clock."}
    )
    together = fields.Boolean(
        required=True,
        metadata={"description": "Whether all of its class go in at once, as on the rail."},
    )


class RingDaySchema(Schema):
    """One ring's day: its classes in running order, and who is at the gate.

    `in_ring` is whose ride has begun and is not fully marked by every judge; nobody in a class that
    is judged on the rail, all together.
    """

    ring = fields.String(required=True)
    classes = fields.List(fields.Nested(EstimateSchema), required=True)
    in_ring = fields.Nested(RiderSchema, required=True, allow_none=True)
    next = fields.Nested(RiderToComeSchema, required=True, allow_none=True)
    on_deck = fields.List(
        fields.Nested(RiderToComeSchema),
        required=True,
        metadata={"description": "Who follows the next: the first is on deck, then in the hole."},
    )


class TimetableSchema(Schema):
    """A day of the show, ring by ring."""

    day = Day(required=True)
    time_zone = fields.String(required=True)
    deadlines = fields.Nested(DeadlinesSchema, required=True, allow_none=True)
    rings = fields.List(fields.Nested(RingDaySchema), required=True)
