"""Prize money at the desk: what a class paid, and what everybody is owed over a show."""

from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime, timedelta

import msgspec

from events.envelope import stream_of
from events.judged_class.events import PrizeAwarded
from events.judged_class.state import ClassState, Entry
from events.projections.prize_money import PrizeMoney, prize_money
from events.refusals import Refusal
from service.desk.caller import Caller, check_show
from service.desk.desk import Desk
from service.desk.moments import At, version_at
from service.desk.names import Names, names
from service.desk.season_moments import AsOf
from service.desk.shows import classes_of

READS_REASONS = frozenset({"office", "steward", "system"})
_ONE_DAY = timedelta(days=1)


class ClassMoney(msgspec.Struct, frozen=True, kw_only=True):
    """The purses of a class at a version, with the names in them."""

    id: str
    state: ClassState
    purses: tuple[PrizeMoney, ...]
    names: Names


class Owed(msgspec.Struct, frozen=True, kw_only=True):
    """One prize: for which entry of which class, from which purse."""

    class_id: str
    class_name: str
    purse: PrizeMoney
    entry: Entry
    prize: PrizeAwarded


class ExhibitorMoney(msgspec.Struct, frozen=True, kw_only=True):
    """What one exhibitor is owed over a show, with every prize, in cents."""

    exhibitor: str
    prizes: tuple[Owed, ...]

    @property
    def cents(self) -> int:
        """All of it."""
        return sum(each.prize.cents for each in self.prizes)


class Purse(msgspec.Struct, frozen=True, kw_only=True):
    """A purse and the class that it was awarded in."""

    class_id: str
    class_name: str
    money: PrizeMoney


class ShowMoney(msgspec.Struct, frozen=True, kw_only=True):
    """What a show paid: its purses in the order of the classes, and what each exhibitor is owed.

    What is paid is the purses less what each of them states to be left.
    """

    purses: tuple[Purse, ...]
    exhibitors: tuple[ExhibitorMoney, ...]
    names: Names

    @property
    def purse(self) -> int:
        """What all purses hold."""
        return sum(each.money.event.purse for each in self.purses)

    @property
    def left(self) -> int:
        """What all of them state to be left."""
        events = [each.money.event for each in self.purses]
        return sum(each.unscheduled + each.unfilled + each.odd_cents for each in events)

    @property
    def paid(self) -> int:
        """What all exhibitors are owed."""
        return sum(each.cents for each in self.exhibitors)


def of_class(desk: Desk, caller: Caller, class_id: str, at: At = None) -> ClassMoney:
    """The prize money of a class at a moment; for the public once results were official."""
    version = version_at(desk, class_id, at)
    state = desk.classes.at(stream_of("class", class_id), version).state
    assert state.scheduled is not None  # noqa: S101 - that it is was looked at first
    check_show(caller, state.scheduled.show)
    if caller.role == "public" and not state.official_at:
        raise Refusal("no_official_results", "The results of this class are not official.")
    purses = prize_money(state, desk.books.held_to(state.scheduled.rulebook))
    paid = [state.entries[prize.entry] for each in purses for prize in each.event.prizes]
    reasons = [each.event.reason for each in purses if each.event.reason is not None]
    return ClassMoney(
        id=class_id,
        state=state,
        purses=purses,
        names=names(
            desk.database,
            people=[entry.exhibitor for entry in paid],
            horses=[entry.horse for entry in paid if entry.horse is not None],
            texts=reasons if caller.role in READS_REASONS else (),
        ),
    )


def of_show(desk: Desk, caller: Caller, show_id: str, at: AsOf = None) -> ShowMoney:
    """What a show owes to whom at a moment: exhibitors by their names."""
    classes = [each.id for each in classes_of(desk, caller, show_id)]
    purses: list[Purse] = []
    owed: list[Owed] = []
    for class_id, state in _states(desk, classes, at):
        scheduled = state.scheduled
        if scheduled is None or not state.purses:
            continue
        for money in prize_money(state, desk.books.held_to(scheduled.rulebook)):
            purses.append(Purse(class_id=class_id, class_name=scheduled.name, money=money))
            owed.extend(
                Owed(
                    class_id=class_id,
                    class_name=scheduled.name,
                    purse=money,
                    entry=state.entries[prize.entry],
                    prize=prize,
                )
                for prize in money.event.prizes
            )
    known = names(
        desk.database,
        people=[each.entry.exhibitor for each in owed],
        horses=[each.entry.horse for each in owed if each.entry.horse is not None],
    )
    return ShowMoney(purses=tuple(purses), exhibitors=_by_exhibitor(owed, known), names=known)


def _by_exhibitor(owed: Iterable[Owed], known: Names) -> tuple[ExhibitorMoney, ...]:
    of: dict[str, list[Owed]] = {}
    for each in owed:
        of.setdefault(each.entry.exhibitor, []).append(each)
    listed = sorted(of, key=lambda exhibitor: (known.person(exhibitor), exhibitor))
    return tuple(ExhibitorMoney(exhibitor=each, prizes=tuple(of[each])) for each in listed)


def _states(desk: Desk, classes: list[str], at: AsOf) -> Iterable[tuple[str, ClassState]]:
    """Every class at a moment, in the order of scheduling; those not scheduled yet are left out."""
    if at is None:
        streams = {class_id: stream_of("class", class_id) for class_id in classes}
        found = desk.classes.latest_of(streams.values())
        for class_id, stream in streams.items():
            yield class_id, found[stream].state
        return
    versions = _versions(desk, [stream_of("class", each) for each in classes], at)
    for class_id in classes:
        stream = stream_of("class", class_id)
        if stream in versions:
            yield class_id, desk.classes.at(stream, versions[stream]).state


def _versions(desk: Desk, streams: list[str], at: int | datetime | date) -> Mapping[str, int]:
    now = desk.clock()
    match at:
        case datetime():
            if at > now:
                raise _not_come(at)
            return desk.log.versions(streams, until=at)
        case date():
            if at > now.astimezone(UTC).date():
                raise _not_come(at)
            end = datetime(at.year, at.month, at.day, tzinfo=UTC) + _ONE_DAY
            return desk.log.versions(streams, until=end - timedelta(microseconds=1))
        case int():
            head = desk.log.head().position
            if at > head:
                raise Refusal(
                    "moment_unknown",
                    f"The log has positions up to {head}, not {at}.",
                    field="at",
                    head=head,
                )
            return desk.log.versions(streams, to=at)


def _not_come(at: date) -> Refusal:
    return Refusal("moment_unknown", f"{at.isoformat()} has not come yet.", field="at")
