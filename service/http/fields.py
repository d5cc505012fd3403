"""What the values in requests and answers may be, checked and documented in one place."""

import re
import unicodedata
from collections.abc import Mapping
from datetime import UTC, date, datetime
from fractions import Fraction
from typing import Any

from marshmallow import Schema, ValidationError, fields, validate

from events.codec import time_text
from events.half_points import from_number, to_number
from events.scoring.exact import to_words

MOST_POINTS = 10_000
"""No mark, penalty or total of any rule book comes near it."""
GREATEST_WHOLE = 2**31 - 1
_RFC3339 = re.compile(
    r"\d{4}-\d\d-\d\d[Tt]\d\d:\d\d:\d\d(\.\d{1,9})?([Zz]|[+-]\d\d:\d\d)", re.ASCII
)
_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_FIRST_YEAR, _LAST_YEAR = 1970, 9000
_ID = r"[A-Za-z0-9][A-Za-z0-9._~-]{0,63}"


class Whole(fields.Field[int]):
    """A whole number; ``8.0`` is one, as JSON Schema has it, but ``true`` and ``"8"`` are not."""

    def __init__(self, lowest: int = 0, highest: int = GREATEST_WHOLE, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["validate"] = validate.Range(min=lowest, max=highest)
        super().__init__(**options)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> int:
        del attr, data
        if isinstance(value, bool) or not isinstance(value, int | float) or value % 1:
            raise ValidationError("Not a whole number.")
        return int(value)


class Digits(Whole):
    """A whole number in a query string."""

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> int:
        if not isinstance(value, str) or not re.fullmatch(r"\d{1,10}", value, re.ASCII):
            raise ValidationError("Not a whole number.")
        return super()._deserialize(int(value), attr, data)


class Points(fields.Field[int]):
    """Points as a plain number outside, such as ``1.5``, and as whole half points inside."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["metadata"] = {"multipleOf": 0.5, **options.get("metadata", {})}
        super().__init__(**options)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> int:
        del attr, data
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValidationError("Not a number of points.")
        if not -MOST_POINTS <= value <= MOST_POINTS:
            raise ValidationError(f"Points lie between -{MOST_POINTS} and {MOST_POINTS}.")
        try:
            return from_number(value)
        except ValueError as error:
            raise ValidationError("Points go by halves: 0.5, 1, 1.5 and so on.") from error

    def _serialize(
        self, value: int | None, attr: str | None, obj: object, **_: object
    ) -> float | None:
        del attr, obj
        return None if value is None else to_number(value)


class Figure(fields.Field[Fraction]):
    """An exact fraction on its way out, as people write it: ``212.5``, or ``7/3``."""

    def _serialize(
        self, value: Fraction | None, attr: str | None, obj: object, **_: object
    ) -> str | None:
        del attr, obj
        return None if value is None else to_words(value)


class Line(fields.String):
    """One line of text that says something."""

    upset = "Only ordinary characters may stand here, on one line."

    def __init__(self, longest: int = 200, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["validate"] = validate.Length(min=1, max=longest)
        super().__init__(**options)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> str:
        text: str = self.framed(super()._deserialize(value, attr, data))
        if not any(_can_be_seen(character) for character in text):
            raise ValidationError("There must be text here.")
        if not self.ordinary(text):
            raise ValidationError(self.upset)
        return text

    def framed(self, text: str) -> str:
        """The text without the white space around it, which nobody can see."""
        return text.strip(" ")

    def ordinary(self, text: str) -> bool:
        """Whether nothing in the text upsets a line on a screen or on paper."""
        return not _UNUSUAL.search(text) and not _TURNING.search(text)


class Prose(Line):
    """Free text of several lines."""

    upset = "A control character, or half a character, stands in the text."

    def __init__(self, longest: int = 4000, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        super().__init__(longest, **options)

    def framed(self, text: str) -> str:
        """The text as it came."""
        return text

    def ordinary(self, text: str) -> bool:
        """Whether the text can be stored and shown."""
        return not _UNUSUAL.search(re.sub(r"[\t\r\n]", "", text))


def _can_be_seen(character: str) -> bool:
    """Whether a character shows anything: neither white space, nor a mark that only steers."""
    return not character.isspace() and unicodedata.category(character) not in {"Cc", "Cf", "Cs"}


_UNUSUAL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_TURNING = re.compile("[\u202a-\u202e\u2066-\u2069]")
"""What turns the direction of all that follows it (UAX #9): a name would turn its whole line."""


class Id(fields.String):
    """A name that can stand in an address; whoever makes one chooses it."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        options["metadata"] = {"pattern": f"^{_ID}$", **options.get("metadata", {})}
        super().__init__(**options)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> str:
        del attr, data
        if not isinstance(value, str) or not re.fullmatch(_ID, value):
            raise ValidationError(
                "Not an id: letters, digits, '.', '_', '~' and '-', at most 64 of them."
            )
        return value


class Moment(fields.Field[datetime]):
    """An RFC 3339 time; with any offset when it comes in, in UTC when it goes out."""

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> datetime:
        del attr, data
        moment = moment_from(value) if isinstance(value, str) else None
        if moment is None:
            raise ValidationError(
                "Not an RFC 3339 time with its offset, such as 2026-05-09T14:03:00Z."
            )
        if not _FIRST_YEAR <= moment.year <= _LAST_YEAR:
            raise ValidationError(f"Times lie between the years {_FIRST_YEAR} and {_LAST_YEAR}.")
        return moment.astimezone(UTC)

    def _serialize(
        self, value: datetime | None, attr: str | None, obj: object, **_: object
    ) -> str | None:
        del attr, obj
        return None if value is None else time_text(value)


class Day(fields.Date):
    """A calendar day, ``2026-05-09``."""

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> date:
        del attr, data
        if not isinstance(value, str) or not _DAY.fullmatch(value):
            raise ValidationError("Not a day, such as 2026-05-09.")
        try:
            return date.fromisoformat(value)
        except ValueError as error:
            raise ValidationError("Not a day of the calendar.") from error


class OneOfKinds(fields.Dict):
    """An object of one of several kinds, documented as such; whatever comes is read later.

    So a list of them is read one by one, and one that cannot be read does not lose the others.
    """

    def __init__(self, schemas: Mapping[str, Schema], **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        self.schemas = schemas
        super().__init__(**options)

    def _validate_missing(self, value: object) -> None:
        if value is not None:
            super()._validate_missing(value)

    def _deserialize(
        self, value: object, attr: str | None, data: Mapping[str, Any] | None, **_: object
    ) -> Any:  # noqa: ANN401 - as it came
        del attr, data
        return value


def moment_from(text: str) -> datetime | None:
    """The time that an RFC 3339 text names, or ``None`` if it names none.

    A leap second counts as the end of the second before it; digits beyond the microsecond are cut.
    """
    if not _RFC3339.fullmatch(text):
        return None
    upper = text.upper()
    leap = upper[17:19] == "60"
    fraction = re.sub(r"(\.\d{6})\d+", r"\1", upper)
    try:
        moment = datetime.fromisoformat(f"{fraction[:17]}59{fraction[19:]}" if leap else fraction)
    except ValueError:
        return None
    return moment.replace(microsecond=999_999) if leap else moment
