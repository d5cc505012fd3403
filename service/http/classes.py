"""Classes: scheduled, given a pattern, seats, entries and a draw, and read at any moment."""

from collections.abc import Mapping
from typing import Any

from flask import Response

from events.judged_class.commands import AcceptEntry, SeatJudge, SetPattern
from events.judged_class.events import EntryMissedGate
from events.judged_class.panel import judging, misfit
from events.judged_class.panel import panel_choice as panel_choice_of
from events.judged_class.state import Card, ClassState, Entry
from events.show.events import ClassSlotted
from service.desk import classes, shows
from service.desk.classes import ClassPlan
from service.desk.look import ClassLook, look
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.class_schemas import (
    CLASS,
    NEW_CLASS,
    SUMMARY,
    ClassesQuery,
    ClassPageSchema,
    ClassSchema,
    NewClassSchema,
    NewEntrySchema,
    PatternSchema,
    SeatSchema,
)
from service.http.common import (
    RECEIPT,
    AtQuery,
    ReceiptSchema,
    acknowledged,
    cursor,
    moment,
    next_link,
)
from service.http.guard import caller
from service.http.here import desk
from service.http.option_schemas import class_round, panel_choice
from service.http.shown import show

blueprint = Resource("classes", __name__, url_prefix="/v1", description=__doc__)


@blueprint.route("/shows/<id:show_id>/classes", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.arguments(ClassesQuery, location="query")
@blueprint.response(200, ClassPageSchema, example={"items": [SUMMARY], "next": None})
def list_classes(query: dict[str, Any], show_id: str) -> Response:
    """List the classes of a show, all or those of a day, a ring or a stage.

    In the order of scheduling, each with the ring and the day of its slot, if it has one, and the
    stage that it has come to.
    """
    limit = query["limit"]
    listed = [
        (each.position, _summary(each.id, state, slot))
        for each, state, slot in shows.classes_now(desk(), caller(), show_id, cursor(query))
    ]
    found = [(position, each) for position, each in listed if _is_wanted(each, query)]
    following = str(found[limit - 1][0]) if len(found) > limit else None
    items = [each for _, each in found[:limit]]
    page = {"items": items, "next": following}
    return show(ClassPageSchema(), page, headers=next_link(following, limit))


def _is_wanted(summary: Mapping[str, Any], query: Mapping[str, Any]) -> bool:
    return all(query[name] == summary[name] for name in ("day", "ring", "phase") if name in query)


@blueprint.route("/shows/<id:show_id>/classes", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(NewClassSchema, example=NEW_CLASS)
@blueprint.response(201, ReceiptSchema, example=RECEIPT)
def schedule_class(body: dict[str, Any], show_id: str) -> Response:
    """Schedule a class."""
    class_id = body.pop("id", None)
    body["panel"] = panel_choice(body.get("panel"))
    body["round"] = class_round(body.get("round"))
    done = classes.schedule(desk(), command_ask(), show_id, ClassPlan(**body), class_id)
    return acknowledged(done, 201, location=f"/v1/classes/{done.id}")


@blueprint.route("/classes/<id:class_id>", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(AtQuery, location="query")
@blueprint.response(200, ClassSchema, example=CLASS)
def read_class(query: dict[str, Any], class_id: str) -> Response:
    """Read a class.

    Its schedule, pattern, seats, entries and draw, at a moment or now. Ring and day are those of
    its slot, if it has one; with `at` they are those that it was scheduled for.
    """
    seen = look(desk(), caller(), class_id, moment(query))
    slot = None if "at" in query else shows.slots_of(desk(), seen.show).get(class_id)
    return show(ClassSchema(), _document(seen, slot), version=seen.version, names=seen.names)


@blueprint.route("/classes/<id:class_id>/pattern", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    PatternSchema, example={"name": "Pattern 5", "maneuvers": ["Left circles", "Right circles"]}
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def set_pattern(body: dict[str, Any], class_id: str) -> Response:
    """Set the pattern.

    Maneuvers are numbered from 1 in the order given.
    """
    command = SetPattern(maneuvers=tuple(body["maneuvers"]), name=body.get("name"))
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))


@blueprint.route("/classes/<id:class_id>/seats", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(SeatSchema, example={"seat": "A", "judge": "p-ames", "kind": "judge"})
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def seat_judge(body: dict[str, Any], class_id: str) -> Response:
    """Seat a judge, or somebody learning to judge.

    A learner's card is kept like any other and never counts.
    """
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, SeatJudge(**body)))


@blueprint.route("/classes/<id:class_id>/entries", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    NewEntrySchema,
    example={"entry": "e-214", "back_number": 214, "exhibitor": "p-lind", "horse": "h-smoke"},
)
@blueprint.response(201, ReceiptSchema, example=RECEIPT | {"id": "e-214"})
def accept_entry(body: dict[str, Any], class_id: str) -> Response:
    """Enter an exhibitor and a horse."""
    ask = command_ask()
    body["divisions"] = tuple(body["divisions"])
    command = AcceptEntry(**{"entry": ask.made_id(), **body})
    done = classes.carry_out(desk(), ask, class_id, command, thing=command.entry)
    return acknowledged(done, 201)


def _summary(class_id: str, state: ClassState, slot: ClassSlotted | None) -> dict[str, Any]:
    scheduled = state.scheduled
    held = slot or scheduled
    return {
        "id": class_id,
        "show": scheduled and scheduled.show,
        "name": scheduled and scheduled.name,
        "number": scheduled and scheduled.number,
        "ring": held and held.ring,
        "day": held and held.day,
        "phase": state.phase,
        "version": state.version,
    }


def _document(seen: ClassLook, slot: ClassSlotted | None) -> dict[str, Any]:
    state = seen.state
    return _summary(seen.id, state, slot) | {
        "latest": seen.latest,
        "revision": state.revision,
        "protests_until": state.protests_until,
        "rulebook": state.scheduled and state.scheduled.rulebook,
        "pattern": state.pattern,
        "seats": [_seat(state.cards[seat]) for seat in sorted(state.cards)],
        "entries": [_entry(state, entry) for entry in state.entries.values()],
        "draw": state.draw,
        "sections": state.sections,
        "panel": state.scheduled and state.scheduled.panel,
        "round": state.scheduled and state.scheduled.round,
        "cut": state.cut and state.cut.event,
        "run_offs": [known.event for known in state.run_offs],
        "contest_cuts": state.contest_cuts,
        "cancelled": state.cancelled,
        "combined": [known.event for known in state.combined],
        "panel_misfit": misfit(state, panel_choice_of(state, seen.book), judging(state)),
    }


def _seat(card: Card) -> dict[str, Any]:
    return {
        "seat": card.seat,
        "judge": card.judge,
        "kind": card.kind,
        "signed": card.signed,
        "judges_before": [judge for judge, _ in card.before],
    }


def _entry(state: ClassState, entry: Entry) -> dict[str, Any]:
    gate = entry.gate and (
        "missed_gate" if isinstance(entry.gate.event, EntryMissedGate) else "excused"
    )
    return {
        "entry": entry.id,
        "back_number": entry.back_number,
        "working_order": state.working_order(entry.id),
        "section": state.section(entry.id),
        "exhibitor": entry.exhibitor,
        "horse": entry.horse,
        "scratched": entry.scratched is not None,
        "calls": entry.calls,
        "gate": gate,
        "out_of_order": entry.out_of_order,
        "late": entry.late,
        "divisions": entry.divisions,
        "carried": entry.carried,
    }
