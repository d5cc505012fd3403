"""Who goes on to the next round, best first."""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from itertools import groupby

from events.judged_class.panel import panel_result
from events.judged_class.standing import running_entries, seat_placing, sections
from events.judged_class.state import Card, ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook


def ranked_for_cut(
    state: ClassState, book: RuleBook, section: int | None = None
) -> tuple[tuple[str, ...], ...]:
    """The entries of all sections, or of one, in groups that nothing parts, best first.

    By the number of judges who called them back where call-backs were taken; else by the panel's
    placing; else by the placing of the one judge.
    """
    judges = [card for card in state.cards.values() if card.kind == "judge"]
    among = _among(state, section)
    if any(card.called_back is not None for card in judges):
        return _by_call_backs(state, judges, among)
    if section is None and state.sections and book.judging == "placed":
        raise Refusal(
            "cut_across_sections",
            "Places in one section say nothing of another; take so many from each section, or "
            "call-backs.",
            field="per_section",
            rule="a cut over all sections follows scores, times or call-backs",
        )
    panel = panel_result(state, book, among)
    if panel.rows:
        return _groups((row.place, row.entry) for row in panel.rows if row.place is not None)
    if len(judges) != 1:
        raise Refusal(
            "cut_without_result",
            "Several judges give separate results here, so there is no one order to cut.",
            rule="a cut follows the panel's result, or call-backs",
        )
    rows = seat_placing(state, judges[0], book, among)
    return _groups((row.place, row.entry) for row in rows if row.place is not None)


def _among(state: ClassState, section: int | None) -> frozenset[str]:
    """Those who are ranked against one another, whatever sections they rode in."""
    if section is not None:
        return sections(state)[section]
    return frozenset(entry.id for entry in running_entries(state))


def _by_call_backs(
    state: ClassState, judges: Sequence[Card], among: Collection[str]
) -> tuple[tuple[str, ...], ...]:
    calls = Counter(
        entry for card in judges if card.called_back for entry in card.called_back.event.entries
    )
    running = [entry.id for entry in running_entries(state) if entry.id in among]
    return _groups(
        sorted(((-calls[name], name) for name in running if calls[name]), key=lambda each: each[0])
    )


def _groups(ranked: Iterable[tuple[int, str]]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        tuple(name for _, name in group) for _, group in groupby(ranked, key=lambda each: each[0])
    )
