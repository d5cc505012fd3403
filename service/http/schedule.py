"""The schedule: slots in rings, deadlines, and the timetable that follows what really happens."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from flask import Response

from events.projections.timetable import Estimate
from events.show.commands import SetDeadlines, SlotClass
from service.desk import schedule, shows
from service.desk.schedule import DayLook, Riding, RingDay, Waiting
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import RECEIPT, ReceiptSchema, acknowledged
from service.http.guard import caller
from service.http.here import desk
from service.http.schedule_schemas import (
    DEADLINES,
    SLOT,
    TIMETABLE,
    DayQuery,
    DeadlinesSchema,
    SlotSchema,
    TimetableSchema,
)
from service.http.shown import show, unchanged

blueprint = Resource("schedule", __name__, url_prefix="/v1/shows/<id:show_id>", description=__doc__)
DONE = RECEIPT | {"id": "three-rivers-2026"}


@blueprint.route("/classes/<id:class_id>/slot", methods=["PUT"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(SlotSchema, example=SLOT)
@blueprint.response(200, ReceiptSchema, example=DONE)
def slot_class(body: dict[str, Any], show_id: str, class_id: str) -> Response:
    """Give a class its turn in a ring, or another.

    Slots order the classes of a ring on a day; they need not be next to each other.
    """
    wanted = SlotClass(class_id=class_id, **body)
    return acknowledged(schedule.of_class(desk(), command_ask(), show_id, wanted))


@blueprint.route("/deadlines", methods=["PUT"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(DeadlinesSchema, example=DEADLINES)
@blueprint.response(200, ReceiptSchema, example=DONE)
def set_deadlines(body: dict[str, Any], show_id: str) -> Response:
    """Set the deadlines for late entries, scratches and changes of horse.

    They count back from the start that the timetable expects, or from that which was.
    """
    done = shows.carry_out(desk(), command_ask(), show_id, SetDeadlines(**body))
    return acknowledged(done)


@blueprint.route("/timetable", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(DayQuery, location="query")
@blueprint.response(200, TimetableSchema, example=TIMETABLE)
def read_timetable(query: dict[str, Any], show_id: str) -> Response:
    """Read a day's timetable, with who is in the ring, who rides next and who is on deck.

    A class that has begun goes on at the mean time from one of its rides to the next. Times to come
    are seen from the next whole minute. Without a day it is today, by the show's clock; before and
    after the show, its first or last day.
    """
    seen = schedule.day_of(desk(), caller(), show_id, query.get("day"))
    if (known := unchanged(seen.tag, vary="Authorization")) is not None:
        return known
    document = {
        "day": seen.day,
        "time_zone": seen.zone.key,
        "deadlines": seen.state.deadlines,
        "rings": [_ring(seen, each) for each in seen.rings],
    }
    return show(TimetableSchema(), document, names=seen.names, tag=seen.tag)


def _ring(seen: DayLook, ring: RingDay) -> dict[str, Any]:
    riders = [_waiting(seen, each) for each in ring.waiting]
    return {
        "ring": ring.ring,
        "classes": [_estimate(seen, each) for each in ring.estimates],
        "in_ring": ring.riding and _rider(ring.riding),
        "next": riders[0] if riders else None,
        "on_deck": riders[1:],
    }


def _estimate(seen: DayLook, estimate: Estimate) -> dict[str, Any]:
    scheduled = seen.classes[estimate.class_id].scheduled
    return {
        "class_id": estimate.class_id,
        "name": scheduled and scheduled.name,
        "number": scheduled and scheduled.number,
        "slot": estimate.slot,
        "entries": estimate.entries,
        "ridden": estimate.ridden,
        "starts_at": estimate.starts_at,
        "ends_at": estimate.ends_at,
        "starts_at_local": _local(estimate.starts_at, seen.zone),
        "ends_at_local": _local(estimate.ends_at, seen.zone),
        "started": estimate.started,
        "ended": estimate.ended,
    }


def _waiting(seen: DayLook, waiting: Waiting) -> dict[str, Any]:
    at = waiting.expected_at
    return {
        **_rider(waiting),
        "expected_at": at,
        "expected_at_local": _local(at, seen.zone),
        "together": waiting.together,
    }


def _rider(of: Riding | Waiting) -> dict[str, Any]:
    entry = of.entry
    return {
        "class_id": of.class_id,
        "entry": entry.id,
        "back_number": entry.back_number,
        "working_order": of.working_order,
        "exhibitor": entry.exhibitor,
        "horse": entry.horse,
        "calls": entry.calls,
    }


def _local(moment: datetime, zone: ZoneInfo) -> str:
    return moment.astimezone(zone).isoformat(timespec="seconds")
