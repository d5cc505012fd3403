"""What a ruling would change, before it is made: nothing here is stored."""

from collections.abc import Collection, Sequence

import msgspec

from events.judged_class.commands import FactCommand
from events.judged_class.decide_cards import fact_of, ride_of, stands
from events.judged_class.evolve import evolve
from events.judged_class.references import card_of, running_entry
from events.judged_class.state import ClassState
from events.projections.compare import StandingChange, moved
from events.projections.history import History
from events.projections.placing import ClassPlacing, placing
from events.refusals import Refusal
from events.rulebook.model import RuleBook


class WhatIf(msgspec.Struct, frozen=True, kw_only=True):
    """The placing as it stands, as it would stand, and who would move."""

    before: ClassPlacing
    after: ClassPlacing
    moved: tuple[StandingChange, ...]


def what_if(
    history: History,
    book: RuleBook,
    *,
    strike: Collection[int] = (),
    add: Sequence[FactCommand] = (),
) -> WhatIf:
    """The effect of striking events by version and of adding facts to cards.

    An added fact must fit the pattern and the rule book as if a judge gave it; signatures and
    phases do not stand in its way, since it is only a question. Raises ``Refusal`` naming the
    version or the fact that does not fit.
    """
    for index, version in enumerate(strike):
        if not 1 <= version <= history.version:
            raise Refusal(
                "unknown_version",
                f"The class has events 1 to {history.version}, not {version}.",
                field=f"strike[{index}]",
            )
    state = history.without(frozenset(strike))
    for index, command in enumerate(add):
        try:
            state = _with_fact(state, command, book)
        except Refusal as refused:
            part = f".{refused.field}" if refused.field else ""
            refused.field = f"add[{index}]{part}"
            raise
    before = placing(history.at_version(history.version), book)
    after = placing(state, book)
    return WhatIf(before=before, after=after, moved=moved(before, after))


def _with_fact(state: ClassState, command: FactCommand, book: RuleBook) -> ClassState:
    card = card_of(state, command.seat)
    entry = running_entry(state, command.ref)
    try:
        fact = fact_of(state, command, entry, book)
    except Refusal as refused:
        refused.field = f"fact.{refused.field}"
        raise
    return state if stands(ride_of(card, entry), fact) else evolve(state, fact)
