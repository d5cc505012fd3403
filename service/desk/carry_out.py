"""Carrying a command out on a show or a class: decided by the core, appended by the store."""

from collections.abc import Callable, Sequence

from events.envelope import Event, stream_of
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.show.state import ShowState
from service.desk.caller import Ask, Receipt, check_show
from service.desk.desk import Desk
from service.store import texts
from service.store.batch import CommandRecord
from service.store.execute import Executed, execute
from service.store.texts import SealedText


def on_class(
    desk: Desk,
    ask: Ask,
    class_id: str,
    decide: Callable[[ClassState], Sequence[Event]],
    *,
    asked: str,
    kept: Sequence[SealedText] = (),
) -> Executed:
    """Decide on a class and append what follows, with the texts that it names.

    ``asked`` is the fingerprint of the command.
    """
    stream = stream_of("class", class_id)
    command = CommandRecord(key=ask.caller.key, command=ask.id, fingerprint=asked)
    occurred_at = ask.occurred_at or desk.clock()
    return desk.turns.take(
        stream,
        lambda: execute(
            desk.classes,
            stream,
            decide,
            command=command,
            actor=ask.caller.actor,
            occurred_at=occurred_at,
            expected_version=ask.expected_version,
            beside=texts.keeping(kept),
        ),
    )


def receipt(thing: str, done: Executed) -> Receipt:
    """What is handed back for a command on or about the thing of that id."""
    return Receipt(id=thing, version=done.version, events=len(done.events), repeated=done.repeated)


def scheduled(state: ClassState, class_id: str, ask: Ask) -> ClassState:
    """The class, which is scheduled, at a show that the caller may act at; or a refusal."""
    if state.scheduled is None:
        raise no_class(class_id)
    check_show(ask.caller, state.scheduled.show)
    return state


def planned(state: ShowState, show_id: str) -> ShowState:
    """The show, which is planned; or a refusal."""
    if state.planned is None:
        raise no_show(show_id)
    return state


def no_class(class_id: str) -> Refusal:
    """The refusal for a class that is not there."""
    return Refusal("unknown_class", f"No class has the id {class_id}.", **{"class": class_id})


def no_show(show_id: str) -> Refusal:
    """The refusal for a show that is not there."""
    return Refusal("unknown_show", f"No show has the id {show_id}.", show=show_id)
