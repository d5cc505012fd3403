"""One stored event of each type and schema, as it lies in somebody's log.

``python -m tests.core.golden`` writes the files that are missing and leaves the others alone: a
golden file is never edited. An optional field that came after the file of its schema gets one of
its own, named by the field.
"""

from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

import msgspec.inspect

from events.catalogue import ALL_EVENTS, CODEC
from events.envelope import Actor, Event, NewEvent

FOLDER = Path(__file__).parent / "golden"
NOON = datetime(2026, 6, 6, 12, tzinfo=UTC)
RECORDED_AT = datetime(2026, 6, 6, 12, 0, 1, 250, tzinfo=UTC)
SCRIBE = Actor(key="key-1", role="scribe", seat="A", device="tablet-1")


def path_of(kind: type[Event], schema: int) -> Path:
    """Where the golden file of a type and schema lies."""
    return FOLDER / f"{kind.__struct_config__.tag}.v{schema}.json"


def paths_of(kind: type[Event], schema: int) -> tuple[Path, ...]:
    """Every golden file of a type and schema, those of later optional fields last."""
    first = path_of(kind, schema)
    return (first, *sorted(FOLDER.glob(f"{first.stem}+*.json")))


def later_fields(kind: type[Event]) -> tuple[str, ...]:
    """The fields of which no golden file of the type's present schema knows."""
    known = {
        field
        for path in paths_of(kind, kind.SCHEMA)
        if path.exists()
        for field in msgspec.json.decode(path.read_bytes())["data"]
    }
    return tuple(field for field in kind.__struct_fields__ if field not in known)


def sample(kind: type[Event]) -> Event:
    """An event with every field given, the optional ones too."""
    made: Event = _struct(msgspec.inspect.type_info(kind))
    return made


def recorded_bytes(data: Event) -> bytes:
    """The bytes under which the log keeps a sample."""
    new = NewEvent(id="event-1", command="command-1", actor=SCRIBE, occurred_at=NOON, data=data)
    return CODEC.encode(new, stream="class-1", version=7).at(RECORDED_AT)


def _struct(info: msgspec.inspect.Type) -> Any:  # noqa: ANN401 - an event, or a part of one
    assert isinstance(info, msgspec.inspect.StructType)
    return info.cls(**{field.name: _value(field.type, field.name) for field in info.fields})


def _value(info: msgspec.inspect.Type, name: str) -> object:
    match info:
        case msgspec.inspect.StructType():
            return _struct(info)
        case msgspec.inspect.UnionType(types=types):
            return _value(next(each for each in types if not _is_none(each)), name)
        case msgspec.inspect.VarTupleType(item_type=item):
            return (_value(item, f"{name}-1"), _value(item, f"{name}-2"))
        case msgspec.inspect.LiteralType(values=values):
            return values[-1]
        case msgspec.inspect.StrType():
            return f"{name} é"
        case msgspec.inspect.BoolType():
            return True
        case msgspec.inspect.IntType():
            return 3
        case msgspec.inspect.DateTimeType():
            return NOON
        case msgspec.inspect.DateType():
            return date(2026, 6, 6)
        case msgspec.inspect.TimeType():
            return time(8, 30)
        case _:
            raise AssertionError(f"{info} is a type that no sample has yet")


def _is_none(info: msgspec.inspect.Type) -> bool:
    return isinstance(info, msgspec.inspect.NoneType)


def main() -> None:
    """Write what is missing."""
    FOLDER.mkdir(exist_ok=True)
    for kind in ALL_EVENTS:
        path = path_of(kind, kind.SCHEMA)
        if not path.exists():
            path.write_bytes(recorded_bytes(sample(kind)))
        while fields := later_fields(kind):
            path.with_stem(f"{path.stem}+{fields[0]}").write_bytes(recorded_bytes(sample(kind)))


if __name__ == "__main__":
    main()
