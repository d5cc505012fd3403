"""The awards of a show at the desk: defined, read as of any moment, and their ties settled."""

from collections.abc import Sequence
from typing import Literal

import msgspec

from events.awards.check import check_champions
from events.envelope import RecordedEvent, stream_of
from events.projections.settled import StaleSettlement, basis_of
from events.refusals import Refusal
from events.show import commands as ask_show
from events.show.events import AwardTieSettled
from events.show.state import ShowState
from service.desk import standings
from service.desk.caller import Ask, Caller, Receipt
from service.desk.desk import Desk
from service.desk.names import Names, names
from service.desk.points import kept as kept_table
from service.desk.season_moments import AsOf, followed_to, position_of
from service.desk.seasons import AwardPlan
from service.desk.shows import carry_out, look
from service.desk.standings import MovesLook, no_award
from service.desk.standings_kept import Standing
from service.store import keys, points_tables
from service.store import standings as kept
from service.store.standings import Tag

READS_TEXTS = frozenset({"office", "steward", "system"})
READS_LABELS = READS_TEXTS | {"federation"}


class SettlementLook(msgspec.Struct, frozen=True, kw_only=True):
    """What settled a tie: the event, whose key it was, and why it is stale, if it is.

    ``label`` is the key's own for whoever may read the log, else its role.
    """

    event: RecordedEvent
    settled: AwardTieSettled
    label: str
    stale: StaleSettlement | None


class SettlementsLook(msgspec.Struct, frozen=True, kw_only=True):
    """What settled the ties of a standing, with the reasons that the caller may read."""

    settlements: tuple[SettlementLook, ...]
    names: Names


def define(
    desk: Desk, ask: Ask, show_id: str, plan: AwardPlan, *, reason: str | None = None
) -> Receipt:
    """Define an award of a show, or define it anew for a reason; its table is kept with it."""
    check_champions(plan.rules, plan.points)
    _check_classes(desk, show_id, plan)
    command = ask_show.DefineAward(rules=plan.rules, reason=reason)
    keeping = points_tables.keeping(desk.database, kept_table(plan.points))
    return carry_out(desk, ask, show_id, command, beside=keeping)


def settle(
    desk: Desk,
    ask: Ask,
    show_id: str,
    award: str,
    order: Sequence[str],
    *,
    by: Literal["coin", "lots"],
    seed: str | None = None,
    reason: str | None = None,
) -> Receipt:
    """Record what settled a tie, with the points that those who share the place have now.

    A repeated command is answered as it was, whatever has moved since.
    """
    at = kept.tag(desk.database, kept.of_show(show_id), award)
    found = desk.standings.at(kept.of_show(show_id), award, at.position)
    basis = basis_of(found.reckoned, order) if found is not None else None
    command = ask_show.SettleTie(
        award=award, order=tuple(order), by=by, basis=basis or (), seed=seed, reason=reason
    )
    asked = msgspec.structs.replace(command, basis=())
    return carry_out(desk, ask, show_id, command, asked=asked)


def tag(desk: Desk, caller: Caller, show_id: str, award: str, at: AsOf = None) -> Tag:
    """What a standing of a show follows from at a moment: while it is the same, so is all of it."""
    look(desk, caller, show_id)
    owner = kept.of_show(show_id)
    bound = None if at is None else position_of(desk, owner, at, field="at")
    found = kept.tag(desk.database, owner, award, at=bound)
    if not found.position:
        raise no_award(award, "show")
    return found


def standing(desk: Desk, show_id: str, award: str, at: Tag) -> Standing:
    """The standing that a tag stands for; or a refusal where the award was dropped."""
    found = desk.standings.at(kept.of_show(show_id), award, at.position)
    if found is None:
        raise no_award(award, "show")
    return found


def current(desk: Desk, caller: Caller, show_id: str) -> tuple[Standing, ...]:
    """The standings of every award of a show as far as they are reckoned, by the awards' names."""
    state: ShowState = look(desk, caller, show_id).state
    owner = kept.of_show(show_id)
    turned = ((name, kept.tag(desk.database, owner, name).position) for name in state.awards)
    found = [desk.standings.at(owner, name, position) for name, position in turned if position]
    return tuple(
        sorted((each for each in found if each is not None), key=lambda each: each.rules.name)
    )


def moves(
    desk: Desk,
    caller: Caller,
    show_id: str,
    award: str,
    *,
    earlier: AsOf,
    later: AsOf,
    after: int,
    limit: int,
) -> MovesLook:
    """What moved in an award of a show from one moment to another, and which results did it."""
    look(desk, caller, show_id)
    owner = kept.of_show(show_id)
    first, last = (
        followed_to(desk) if moment is None else position_of(desk, owner, moment, field=field)
        for field, moment in (("from", earlier), ("to", later))
    )
    return standings.moved(desk, owner, award, first, last, after=after, limit=limit)


def settlements(desk: Desk, caller: Caller, show_id: str, of: Standing) -> SettlementsLook:
    """What settled the ties of a standing, each with its event, oldest first."""
    labels = {}
    if of.settlements and caller.role in READS_LABELS:
        labels = {key.id: key.label for key in keys.list_keys(desk.database)}
    stale = {each.settlement.version: each for each in of.stale}
    stream = stream_of("show", show_id)
    found = []
    for each in of.settlements:
        [event] = desk.log.read(stream, after=each.version - 1, to=each.version)
        found.append(
            SettlementLook(
                event=event,
                settled=each.event,
                label=labels.get(event.actor.key, event.actor.role),
                stale=stale.get(each.version),
            )
        )
    reasons = [each.settled.reason for each in found if each.settled.reason is not None]
    read = reasons if caller.role in READS_TEXTS else []
    return SettlementsLook(settlements=tuple(found), names=names(desk.database, texts=read))


def _check_classes(desk: Desk, show_id: str, plan: AwardPlan) -> None:
    known = {each.id for each in desk.directory.classes(show_id)}
    for number, category in enumerate(plan.categories):
        for part in ("classes", "champions"):
            for index, class_id in enumerate(getattr(category, part)):
                if class_id not in known:
                    raise Refusal(
                        "class_not_of_show",
                        f"The show has no class with the id {class_id}.",
                        field=f"rules.categories[{number}].{part}[{index}]",
                        **{"class": class_id},
                    )
