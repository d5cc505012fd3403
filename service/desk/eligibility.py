"""Eligibility at the desk: what the registry knows, held against the divisions of a show."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import TypeVar

import msgspec

from events.envelope import stream_of
from events.judged_class.commands import AcceptEntry, ChangeHorse
from events.judged_class.references import entry_meant
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.show.decide_divisions import check_defined
from events.show.eligibility import FIELDS
from events.show.entering import Entering, refusals
from events.show.facts import HorseFacts, RiderFacts
from events.show.state import ShowState
from service.desk.desk import Desk
from service.store.engine import Database
from service.store.facts import horse_facts_of, rider_facts

C = TypeVar("C", bound=AcceptEntry | ChangeHorse)


class NotEligible(Refusal):
    """An entry that is not taken, with every reason; it reads as the first of them."""

    def __init__(self, reasons: tuple[Refusal, ...]) -> None:
        first = reasons[0]
        super().__init__(
            first.code, first.message, field=first.field, rule=first.rule, **first.facts
        )
        self.reasons = reasons


class Known(msgspec.Struct, frozen=True, kw_only=True):
    """What the registry knows now of some riders and horses."""

    riders: Mapping[str, RiderFacts]
    horses: Mapping[str, HorseFacts]

    def entering(
        self,
        exhibitor: str,
        horse: str | None,
        divisions: tuple[str, ...],
        held_on: date | None = None,
    ) -> Entering:
        """A rider with a horse and what is known of both."""
        return Entering(
            exhibitor=exhibitor,
            rider=self.riders.get(exhibitor, RiderFacts()),
            horse=horse,
            mount=None if horse is None else self.horses.get(horse, HorseFacts()),
            divisions=divisions,
            held_on=held_on,
        )


def known(database: Database, people: Iterable[str], horses: Iterable[str | None]) -> Known:
    """What the registry knows of these."""
    animals = {horse for horse in horses if horse is not None}
    return Known(
        riders=rider_facts(database, people),
        horses=horse_facts_of(database, animals) if animals else {},
    )


def stamped(show: ShowState, command: C) -> C:
    """The command, which says by which version of the show it is checked if it is to be."""
    if show.divisions:
        return msgspec.structs.replace(command, checked_at=show.version)
    return command


def check(
    desk: Desk,
    show: ShowState,
    class_id: str,
    state: ClassState,
    command: AcceptEntry | ChangeHorse,
) -> None:
    """Refuse an entry, or another horse, that the divisions of the show do not admit."""
    if not show.divisions:
        return
    held_on = day_of(show, class_id, state)
    if isinstance(command, AcceptEntry):
        facts = known(desk.database, [command.exhibitor], [command.horse])
        found = of_entry(show, class_id, facts, command, held_on)
    else:
        entry = entry_meant(state, command.ref)
        facts = known(desk.database, [entry.exhibitor], [command.horse])
        mounted = facts.entering(entry.exhibitor, command.horse, entry.divisions, held_on)
        of_horse = FIELDS["horse"]
        found = tuple(each for each in refusals(show, class_id, mounted) if each.field == of_horse)
    if found:
        raise NotEligible(found)


def check_names(desk: Desk, show_id: str, **divisions: str) -> None:
    """Refuse, by its field, a division that is none of the show's, where it defines any."""
    show = desk.shows.latest(stream_of("show", show_id)).state
    if show.divisions:
        for field, name in divisions.items():
            check_defined(show, name, field)


def of_entry(
    show: ShowState, class_id: str, facts: Known, entry: AcceptEntry, held_on: date | None
) -> tuple[Refusal, ...]:
    """Every reason why an entry is not taken."""
    whom = facts.entering(entry.exhibitor, entry.horse, entry.divisions, held_on)
    return refusals(show, class_id, whom)


def day_of(show: ShowState, class_id: str, state: ClassState) -> date | None:
    """The day on which a class is held, as far as it has been said."""
    if class_id in show.slots:
        return show.slots[class_id].day
    return state.scheduled.day if state.scheduled else None
