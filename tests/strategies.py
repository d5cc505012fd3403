"""Values for property tests, drawn from the very types that events are made of."""

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import msgspec.inspect
from hypothesis import strategies as st

from events.catalogue import ALL_EVENTS
from events.envelope import Actor, Event, NewEvent

GREATEST = 2**53 - 1
texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30)
"""Any text that an event may hold."""

moments = st.datetimes(
    min_value=datetime(1970, 1, 3),  # noqa: DTZ001 - hypothesis adds the zone
    max_value=datetime(2200, 1, 1),  # noqa: DTZ001 - as above
    timezones=st.integers(-840, 840).map(lambda minutes: timezone(timedelta(minutes=minutes))),
)
"""Times in any zone."""

utc_moments = moments.map(lambda moment: moment.astimezone(UTC))
streams = st.builds("{}-{}".format, st.sampled_from(["show", "class", "season"]), texts)


def events_of(kind: type[Event]) -> st.SearchStrategy[Event]:
    """Any event of one class, its optional fields given or left out."""
    return _struct(msgspec.inspect.type_info(kind))


def actors() -> st.SearchStrategy[Actor]:
    """Anybody who may act."""
    return _struct(msgspec.inspect.type_info(Actor))


def new_events() -> st.SearchStrategy[NewEvent]:
    """Any event of the catalogue on its way into the log."""
    return st.builds(
        NewEvent,
        id=texts,
        command=texts,
        actor=actors(),
        occurred_at=moments,
        data=st.sampled_from(ALL_EVENTS).flatmap(events_of),
    )


def _struct(info: msgspec.inspect.Type) -> st.SearchStrategy[Any]:
    assert isinstance(info, msgspec.inspect.StructType)
    required = {field.name: _of(field.type) for field in info.fields if field.required}
    optional = {field.name: _of(field.type) for field in info.fields if not field.required}
    return st.fixed_dictionaries(required, optional=optional).map(lambda given: info.cls(**given))


def _of(info: msgspec.inspect.Type) -> st.SearchStrategy[Any]:
    match info:
        case msgspec.inspect.StructType():
            return _struct(info)
        case msgspec.inspect.UnionType(types=types):
            return st.one_of([_of(each) for each in types])
        case msgspec.inspect.VarTupleType(item_type=item):
            return st.lists(_of(item), max_size=4).map(tuple)
        case msgspec.inspect.LiteralType(values=values):
            return st.sampled_from(values)
        case msgspec.inspect.StrType():
            return texts
        case msgspec.inspect.BoolType():
            return st.booleans()
        case msgspec.inspect.IntType(ge=least):
            return st.integers(-GREATEST if least is None else least, GREATEST)
        case msgspec.inspect.DateTimeType():
            return moments
        case msgspec.inspect.DateType():
            return st.dates()
        case msgspec.inspect.TimeType(tz=None):
            return st.times()
        case msgspec.inspect.NoneType():
            return st.none()
        case _:
            raise AssertionError(f"{info} is a type that no strategy draws yet")
