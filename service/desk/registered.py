"""Whether the people and horses that a command names are in the registry."""

from collections.abc import Mapping

from events.envelope import Command
from events.judged_class import commands as ask_class
from events.refusals import Refusal
from events.show import commands as ask_show
from service.store import registry
from service.store.engine import Database

PERSON_FIELDS: Mapping[type[Command], str] = {
    ask_class.AcceptEntry: "exhibitor",
    ask_class.ReplaceJudge: "judge",
    ask_class.SeatJudge: "judge",
    ask_class.FileProtest: "filed_by",
    ask_show.GiveBackNumber: "exhibitor",
    ask_show.NameOfficial: "official",
    ask_show.RecordEvidence: "exhibitor",
}
HORSE_FIELDS: Mapping[type[Command], str] = {
    ask_class.AcceptEntry: "horse",
    ask_class.ChangeHorse: "horse",
    ask_show.GiveBackNumber: "horse",
    ask_show.RecordEvidence: "horse",
}


def check(database: Database, command: Command) -> None:
    """Refuse a command that names somebody who is not registered, or was erased."""
    if (field := PERSON_FIELDS.get(type(command))) and getattr(command, field) is not None:
        _check_person(database, field, getattr(command, field))
    if (field := HORSE_FIELDS.get(type(command))) and getattr(command, field) is not None:
        _check_horse(database, field, getattr(command, field))


def check_pair(database: Database, exhibitor: str, horse: str | None) -> None:
    """Refuse a rider or a horse that is not registered, or was erased."""
    _check_person(database, "exhibitor", exhibitor)
    if horse is not None:
        _check_horse(database, "horse", horse)


def _check_person(database: Database, field: str, name: str) -> None:
    person = registry.find_person(database, name)
    if person is None:
        raise Refusal(
            "person_not_registered",
            f"Nobody is registered under the id {name}.",
            field=field,
            person=name,
        )
    if person.erased_at is not None:
        raise Refusal("person_erased", f"The person {name} was erased.", field=field, person=name)


def _check_horse(database: Database, field: str, name: str) -> None:
    if registry.find_horse(database, name) is None:
        raise Refusal(
            "horse_not_registered",
            f"No horse is registered under the id {name}.",
            field=field,
            horse=name,
        )
