"""What holds of every class, whatever is asked of it."""

from collections.abc import Mapping

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.authority import AUTHORITY
from events.judged_class.decide import decide
from events.judged_class.evolve import evolve, fold, skip
from events.judged_class.standing import running_entries, stale_orders
from events.judged_class.state import INITIAL, ClassState
from events.projections.card import card_view
from events.projections.placing import ClassPlacing, placing
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from tests.core.judged_class.histories import (
    BOOKS,
    SEATS,
    Story,
    card_commands,
    commands,
    hands,
    nonsense,
    riding,
    setting_up,
    stories,
    tell,
)
from tests.core.judged_class.scene import NOON, OFFICE, check_readable

NAMING_NO_VERSION = tuple(
    kind
    for kind in AUTHORITY
    if kind
    not in {
        ask.SeatJudge,
        ask.UnseatJudge,
        ask.ReplaceJudge,
        ask.CloseSeat,
        ask.MakeCorrection,
        ask.FileProtest,
        ask.GrantReride,
    }
)
"""What means the same however many events have happened, and leaves learners seat and card."""
few = settings(max_examples=25)
books = st.sampled_from(BOOKS)


def check_placing(state: ClassState, book: RuleBook) -> ClassPlacing:
    """Every seat's placing names the running entries once, in places that add up."""
    found = placing(state, book)
    running = sorted(entry.id for entry in running_entries(state))
    assert found.class_size <= len(running)
    for seat in found.seats:
        assert sorted(row.entry for row in seat.rows) == sorted(set(running))
        numbers = [row.place for row in seat.rows if row.place is not None]
        assert numbers == [1 + sum(each < number for each in numbers) for number in numbers]
        assert all(row.tied == (numbers.count(row.place or 0) > 1) for row in seat.rows)
        assert all(row.complete for row in seat.rows if row.place is not None)
        card = state.cards[seat.seat]
        assert seat.stale_orders == stale_orders(state, card, book)
        assert len(card_view(state, card, book).rides) == len(running)
    return found


@few
@given(stories())
def test_asking_the_same_again_at_once_makes_nothing_happen(story: Story) -> None:
    state = INITIAL
    for step in story.steps:
        if not step.happened:
            continue
        state = fold(step.happened, state)  # type: ignore[arg-type]
        again = decide(state, step.command, rulebook=story.book, now=NOON, actor=step.by)
        assert again == (), step.command


@few
@given(stories())
def test_a_placing_at_a_version_is_the_one_computed_when_it_was_the_end(story: Story) -> None:
    state, then = INITIAL, []
    for event in story.events:
        state = evolve(state, event)
        then.append(placing(state, story.book))
    for version in range(0, len(then), 7):
        assert placing(fold(story.events[: version + 1]), story.book) == then[version]
        assert then[version].version == version + 1


@few
@given(stories())
def test_every_placing_of_a_story_adds_up(story: Story) -> None:
    state = INITIAL
    for number, event in enumerate(story.events):
        state = evolve(state, event)
        if number % 5 == 0:
            check_placing(state, story.book)


@few
@given(stories(), st.data())
def test_any_command_at_any_time_is_carried_out_or_refused_in_a_sentence(
    story: Story, data: st.DataObject
) -> None:
    command = data.draw(commands())
    state = fold(story.events[: data.draw(st.integers(0, len(story.events)))])
    try:
        by = data.draw(hands(command))
        made = decide(state, command, rulebook=story.book, now=NOON, actor=by)
    except Refusal as refused:
        check_readable(refused, command)
    else:
        check_placing(fold(made, state), story.book)  # type: ignore[arg-type]


@given(nonsense(), books)
def test_a_fold_of_any_events_never_fails_and_can_be_read(
    events: list[happened.ClassEvent], book: RuleBook
) -> None:
    state = INITIAL
    for number, event in enumerate(events, start=1):
        state = evolve(state, event)
        assert state.version == number
    check_placing(state, book)


@few
@given(stories(), st.data())
def test_a_story_with_events_struck_out_can_be_read(story: Story, data: st.DataObject) -> None:
    state = INITIAL
    struck = data.draw(st.sets(st.integers(0, max(len(story.events) - 1, 0)), max_size=8))
    for index, event in enumerate(story.events):
        state = skip(state) if index in struck else evolve(state, event)
        assert state.version == index + 1
    check_placing(state, story.book)


def told(found: ClassPlacing) -> Mapping[str, object]:
    """What a placing says of the judges: all but its version."""
    judges = [seat for seat in found.seats if seat.kind == "judge"]
    return {**msgspec.structs.asdict(found), "version": 0, "seats": judges}


@few
@given(stories())
def test_a_learners_card_never_moves_the_class(story: Story) -> None:
    with_learners, without = INITIAL, INITIAL
    for event in story.events:
        with_learners = evolve(with_learners, event)
        card = with_learners.cards.get(getattr(event, "seat", None) or "")
        learnt = card is not None and card.kind == "learner"
        seated = isinstance(event, happened.JudgeSeated)
        without = skip(without) if learnt and not seated else evolve(without, event)
        if learnt:
            assert told(placing(with_learners, story.book)) == told(placing(without, story.book))
    assert told(placing(with_learners, story.book)) == told(placing(without, story.book))
    assert with_learners.changed_at == without.changed_at


@few
@given(books, st.data())
def test_a_learners_card_never_changes_what_the_judges_may_do(
    book: RuleBook, data: st.DataObject
) -> None:
    asked = [(command, OFFICE, 0) for command in (*setting_up(), *riding(book, [0, 1, -1], "AB"))]
    for _ in range(data.draw(st.integers(0, 12))):
        command = data.draw(commands(NAMING_NO_VERSION))
        asked.append((command, data.draw(hands(command)), 0))
    learnt = list(asked)
    for _ in range(data.draw(st.integers(1, 12))):
        command = data.draw(card_commands("L"))
        learnt.insert(data.draw(st.integers(len(SEATS), len(learnt))), (command, OFFICE, 0))

    def judged(story: Story) -> list[object]:
        return [
            (step.command, step.happened, step.refused)
            for step in story.steps
            if getattr(step.command, "seat", None) != "L"
        ]

    assert judged(tell(book, learnt)) == judged(tell(book, asked))


@few
@given(books, st.data())
def test_the_order_of_independent_actions_on_different_seats_does_not_matter(
    book: RuleBook, data: st.DataObject
) -> None:
    course = [*setting_up(), *riding(book, data.draw(st.lists(st.integers(-1, 1), min_size=3)))]
    by_seat = {seat: data.draw(st.lists(card_commands(seat), max_size=10)) for seat in SEATS}
    turns = [seat for seat, asked in by_seat.items() for _ in asked]

    def played(order: list[str]) -> ClassState:
        left = {seat: list(asked) for seat, asked in by_seat.items()}
        asked = [left[seat].pop(0) for seat in order]
        return tell(book, [(command, OFFICE, 0) for command in (*course, *asked)]).state

    one, other = played(turns), played(data.draw(st.permutations(turns)))
    assert placing(one, book) == placing(other, book)
    assert one.phase == other.phase
